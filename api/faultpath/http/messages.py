"""What goes over the wire beside the answers: the request of each question, what is wrong with one, and the lists of the book."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, TypeVar, cast

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictStr, ValidationError

import faultpath
from faultpath.answers.book import EditionSummary, RuleSummary
from faultpath.answers.record import Answer
from faultpath.assessment import Law
from faultpath.models import explain
from faultpath.overlays import practices
from faultpath.problems import BadInput, Problem, nearest, pointer
from faultpath.rulebook import editions
from faultpath.shelf import shelf

Edition = Annotated[StrictStr, Field(max_length=40)]
Name = Annotated[StrictStr, Field(max_length=600)]
_INSTALLATION = "The installation to judge, as the schema of installation documents describes it."
_EDITION = "Edition to judge by, a key of GET /v1/editions. It must be named: the book holds no places, so none can choose it."
_ABOUT = "Ids of the parts of the installation to answer about; all if left out or empty."
_PRACTICES = "Keys of named practices, GET /v1/practices: readings of contested rules to judge by instead of the strict ones."
_RULES = "Keys of the rules to judge; all that answer for the edition if left out or empty."
PLACES = ("place", "date", "occupancy")


class Question(BaseModel):
    """What all questions share: no key may be unknown."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class FindingsQuestion(Question):
    """Which findings, by which edition."""

    edition: Edition = Field(description=_EDITION)
    practices: list[Name] = Field(default=[], description=_PRACTICES, max_length=100)
    rules: list[Name] = Field(default=[], description=_RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=_ABOUT, max_length=1000)
    verify: StrictBool = Field(default=False, description="Run the reference engine beside the judge, and refuse to answer where they differ.")
    detail: Literal["matters", "all"] = Field(
        default="matters", description="Condition trees for what fails or is undecided (matters), or for everything (all)."
    )


class FindingsRequest(FindingsQuestion):
    """An installation and the findings wanted."""

    installation: dict[str, Any] = Field(description=_INSTALLATION)


class OriginQuestion(Question):
    """Which supply paths, by which edition."""

    edition: Edition = Field(description=_EDITION)
    about: list[Name] = Field(default=[], description=_ABOUT, max_length=1000)


class OriginRequest(OriginQuestion):
    """An installation and the supply paths wanted."""

    installation: dict[str, Any] = Field(description=_INSTALLATION)


class ComparisonQuestion(Question):
    """Which editions to compare, on what."""

    editions: list[Edition] = Field(description="Editions to compare, at least two; they are answered oldest first.", min_length=2, max_length=100)
    practices: list[Name] = Field(default=[], description=_PRACTICES, max_length=100)
    rules: list[Name] = Field(default=[], description=_RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=_ABOUT, max_length=1000)


class ComparisonRequest(ComparisonQuestion):
    """An installation and the editions to compare."""

    installation: dict[str, Any] = Field(description=_INSTALLATION)


Q = TypeVar("Q", bound=Question)


def read_question(model: type[Q], data: Any) -> Q:
    """A question from parsed JSON or a query string. Raises BadInput with every problem found."""
    if isinstance(data, Mapping):
        no_places(data)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise BadInput((_problem(model, cast(dict[str, Any], e)) for e in error.errors(include_url=False)), kind="bad-request") from error


def no_places(keys: Mapping[str, Any]) -> None:
    """Refuse what would have to choose an edition by a place. Raises BadInput."""
    named = [key for key in PLACES if key in keys]
    if named:
        expected = "Expected an edition, one of: " + ", ".join(map(str, editions())) + "."
        found = "No place is in the book yet, so the {} of the work chooses no edition."
        raise BadInput((Problem(pointer([key]), found.format(key), expected) for key in named), kind="places-not-in-book")


def _problem(model: type[Question], error: dict[str, Any]) -> Problem:
    where = error["loc"]
    if error["type"] == "extra_forbidden":
        keys = list(model.model_fields)
        found = f"The key {where[-1]!r} is not defined here."
        return Problem(pointer(where), found, "Expected one of: " + ", ".join(keys) + ".", nearest(str(where[-1]), keys))
    if where[:1] in (("edition",), ("editions",)) and error["type"] == "string_type" and isinstance(error["input"], int):
        return Problem(pointer(where), f"{str(error['input'])[:40]} is a number.", "Expected the edition as a text.", f'"{str(error["input"])[:40]}"')
    if error["type"] == "model_type":
        return Problem("", "The request is not an object.", "Expected an object with the keys " + ", ".join(model.model_fields) + ".")
    if error["type"] == "too_short":
        return Problem(pointer(where), f"The list has {error['ctx']['actual_length']} in it.", f"Expected at least {error['ctx']['min_length']}.")
    return explain(error)


def year_of(edition: str, at: str = "/edition", *, kind: str = "unknown-edition", status: int = 422) -> int:
    """The edition as the book numbers it. Raises BadInput for one that the book does not know."""
    known = {str(year): year for year in editions()}
    if edition in known:
        return known[edition]
    close = nearest(edition, known)
    if edition.isascii() and edition.isdigit() and len(edition) < 8:
        close = min(known, key=lambda word: abs(known[word] - int(edition)))
    found = f"{edition[:40]!r} is not an edition of the book."
    raise BadInput([Problem(at, found, "Expected one of: " + ", ".join(known) + ".", close)], kind=kind, status=status)


def years_of(chosen: Sequence[str]) -> list[int]:
    """The editions to compare as the book numbers them. Raises BadInput."""
    years = [year_of(edition, f"/editions/{index}") for index, edition in enumerate(chosen)]
    for index, year in enumerate(years):
        if year in years[:index]:
            raise BadInput([Problem(f"/editions/{index}", f"The edition {year} is named twice.", "Expected different editions.")], kind="bad-request")
    return years


def practices_of(chosen: Sequence[str]) -> frozenset[str]:
    """The practices to judge by. Raises BadInput for one that the book does not know."""
    unknown = [(index, key) for index, key in enumerate(chosen) if key not in practices()]
    if unknown:
        expected = "Expected keys of GET /v1/practices."
        problems = (Problem(f"/practices/{i}", f"No practice has the key {key[:80]!r}.", expected, nearest(key, practices())) for i, key in unknown)
        raise BadInput(problems, kind="bad-request")
    return frozenset(chosen)


def law_of(edition: str, practices_chosen: Sequence[str] = ()) -> Law:
    """What a request asks to be judged by. Raises BadInput."""
    return Law(year_of(edition), practices=practices_of(practices_chosen))


class RuleList(Answer):
    """The rules of the book."""

    rules: list[RuleSummary] = Field(description="Every rule, in the order of the chapters.")


class EditionList(Answer):
    """The editions of the code that the book knows."""

    editions: list[EditionSummary] = Field(description="Every edition, oldest first.")


class Version(Answer):
    """What answers here: the software and the book."""

    software: str = Field(description="Version of faultpath.")
    book_digest: str = Field(description="SHA-256 over the files of the ontology and the shapes.")


def version() -> Version:
    """The version of what answers."""
    return Version(software=faultpath.__version__, book_digest=shelf().digest)
