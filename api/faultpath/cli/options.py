"""The arguments and options that several commands take, alone or in groups."""

import inspect
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import wraps
from typing import Annotated, Any, Literal

import typer

from faultpath.document.intake import SUFFIXES

File = Annotated[str, typer.Argument(metavar="FILE|-", help=f"The installation, by suffix: {', '.join(SUFFIXES)}; - reads JSON from standard input.")]
Media = Annotated[str | None, typer.Option(help="Media type of the input, where the suffix does not tell it.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print what HTTP would answer.")]
Plot = Annotated[str | None, typer.Option("--plot", metavar="OUT.svg", help="Write the curves to this file as SVG.")]
Verify = Annotated[bool, typer.Option("--verify", help="Refuse to answer where the reference engine differs.")]
Detail = Literal["matters", "all"]
Edition = Annotated[str | None, typer.Option(help="Edition to judge by; `faultpath editions` lists them. Left out, the place and the date choose it.")]
PlaceKey = Annotated[str | None, typer.Option(metavar="KEY", help="Place whose amendments apply; `faultpath places` lists them.")]
Day = Annotated[str | None, typer.Option("--date", metavar="YEAR-MM-DD", help="Date that counts in the place; it chooses the edition.")]
OccupancyWord = Annotated[str | None, typer.Option("--occupancy", metavar="WORD", help="Occupancy, where places adopt by it; left out, the document's.")]
Practices = Annotated[list[str] | None, typer.Option("--practice", metavar="KEY", help="Judge by this named practice; can be repeated.")]
RuleKeys = Annotated[list[str] | None, typer.Option("--rule", metavar="KEY", help="Only this rule; can be repeated.")]
About = Annotated[list[str] | None, typer.Option(metavar="ID", help="Only about this part; can be repeated.")]
# What the options are called in a request, where it is not the same.
_REQUEST = {"practice": "practices", "rule": "rules"}


@dataclass(frozen=True)
class Options:
    """A group of options that a command takes as one parameter."""

    def as_request(self) -> dict[str, Any]:
        """The options that were given, as the keys of a request."""
        given = ((field.name, getattr(self, field.name)) for field in fields(self))
        return {_REQUEST.get(name, name): value for name, value in given if value is not None}


@dataclass(frozen=True)
class LawOptions(Options):
    """By what law to answer, and about which parts."""

    edition: Edition = None
    place: PlaceKey = None
    date: Day = None
    occupancy: OccupancyWord = None
    about: About = None


@dataclass(frozen=True)
class JudgingOptions(Options):
    """By what law to judge, by which rules, and which parts."""

    edition: Edition = None
    place: PlaceKey = None
    date: Day = None
    occupancy: OccupancyWord = None
    practice: Practices = None
    rule: RuleKeys = None
    about: About = None


def spread(command: Callable[..., int]) -> Callable[..., int]:
    """The command as typer reads it: in the place of a group of options stand the options."""
    parameters = inspect.signature(command).parameters.values()
    groups: dict[str, type[Options]] = {p.name: p.annotation for p in parameters if p.annotation in (LawOptions, JudgingOptions)}

    @wraps(command)
    def taken(**given: Any) -> int:
        gathered = {name: group(**{field.name: given.pop(field.name) for field in fields(group)}) for name, group in groups.items()}
        return command(**given, **gathered)

    options: list[inspect.Parameter] = []
    for parameter in parameters:
        options += inspect.signature(groups[parameter.name]).parameters.values() if parameter.name in groups else [parameter]
    # By name only, so that one that must be given may stand behind one that need not.
    taken.__signature__ = inspect.Signature([option.replace(kind=option.KEYWORD_ONLY) for option in options])  # type: ignore[attr-defined]
    taken.__annotations__ = {option.name: option.annotation for option in options}
    return taken
