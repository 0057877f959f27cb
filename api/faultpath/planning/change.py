"""A planned change: a list of work steps, read, checked and carried out on an installation."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, TypeAlias, Union, cast, get_args

from pydantic import Discriminator, Tag, TypeAdapter, ValidationError

from faultpath.base.problems import MOST_PROBLEMS, BadInput, Problem, nearest, pointer
from faultpath.base.terms import INST, short
from faultpath.base.triples import Graph
from faultpath.derivation.run import Memory, derive
from faultpath.document.consistency import NOTHING_PLANNED
from faultpath.document.installation import Installation, iri_of, read_document
from faultpath.document.models import explain
from faultpath.planning import bonding, disconnects, premises, wiring
from faultpath.planning.patch import Operation
from faultpath.planning.site import Site, Unfit
from faultpath.planning.steps import Step

MOST_STEPS = 100
_NO_SIZES: Mapping[str, str] = {}
_STEPS: tuple[type[Step], ...] = (
    disconnects.InsertDisconnect,
    disconnects.RemoveDisconnect,
    disconnects.ReplaceDisconnect,
    disconnects.RedesignateDisconnect,
    disconnects.MarkEquipment,
    disconnects.ChangeListing,
    wiring.AddRun,
    wiring.ReplaceRun,
    wiring.RerouteRun,
    wiring.RemoveRun,
    wiring.AddConductor,
    wiring.ReuseConductor,
    wiring.ReplaceOvercurrent,
    wiring.CoverNeutral,
    bonding.AddBond,
    bonding.RemoveBond,
    bonding.MoveBond,
    bonding.AddElectrode,
    bonding.AddElectrodeConductor,
    bonding.MoveElectrodeConductor,
    bonding.ReplaceElectrodeConductor,
    bonding.RemoveElectrodeConductor,
    bonding.BondMetalBody,
    premises.AddBuilding,
    premises.AddEquipment,
    premises.AddGenerator,
    premises.ReplaceAppliance,
    premises.ReplaceReceptacle,
    premises.AlterPart,
    premises.AddPart,
    premises.RemovePart,
)
_PATCH = "JSON Patch"
Work: TypeAlias = Step | Operation


def _word(step: type[Step]) -> str:
    return str(get_args(step.model_fields["work"].annotation)[0])


WORDS = {_word(step): step for step in _STEPS}


def _kind(item: Any) -> str | None:
    if isinstance(item, Work):
        return item.work if isinstance(item, Step) else _PATCH
    if not isinstance(item, dict):
        return None
    return _PATCH if "op" in item else item.get("work") if isinstance(item.get("work"), str) else None


@cache
def _adapter() -> TypeAdapter[list[Work]]:
    tagged = [Annotated[step, Tag(word)] for word, step in WORDS.items()]
    union = Union[(*tagged, Annotated[Operation, Tag(_PATCH)])]  # type: ignore[valid-type]
    return TypeAdapter(list[Annotated[union, Discriminator(_kind)]])


def change_schema(references: str = "#/$defs/{model}") -> dict[str, Any]:
    """The JSON Schema of a planned change, its parts referred to as a template says."""
    return {
        "title": "Change",
        "description": "Planned work, step by step, in the order in which it is done.",
        "maxItems": MOST_STEPS,
        **_adapter().json_schema(by_alias=True, ref_template=references),
    }


def read_change(data: Any) -> tuple[Work, ...]:
    """A planned change from parsed JSON. Raises BadInput with every problem found."""
    if not isinstance(data, list):
        raise _bad([Problem("/change", "The change is not a list.", "Expected a list of work steps or of JSON Patch operations.")])
    if len(data) > MOST_STEPS:
        raise _bad([Problem("/change", f"There are {len(data)} steps.", f"Expected at most {MOST_STEPS}.")])
    try:
        return tuple(_adapter().validate_python(data))
    except ValidationError as error:
        raise _bad(_problem(cast(dict[str, Any], e)) for e in error.errors(include_url=False)[:MOST_PROBLEMS]) from error


def _problem(error: dict[str, Any]) -> Problem:
    number, *where = error["loc"]
    if error["type"] in ("union_tag_invalid", "union_tag_not_found"):
        given = error["input"].get("work") if isinstance(error["input"], dict) else None
        found = "The step does not say which work it is." if given is None else f"{str(given)[:40]!r} is not a kind of work."
        expected = 'Expected "work" to be one of: ' + ", ".join(WORDS) + "; or an operation of a JSON Patch."
        return Problem(pointer(["change", number, "work"]), found, expected, nearest(str(given), WORDS) if given else None)
    model = WORDS.get(str(where[0]), Operation) if where else Operation
    inner = ["change", number, *where[1:]]
    if error["type"] == "extra_forbidden":
        known = [field.alias or name for name, field in model.model_fields.items()]
        return Problem(
            pointer(inner), f"The key {where[-1]!r} is not defined here.", "Expected one of: " + ", ".join(known) + ".", nearest(str(where[-1]), known)
        )
    return explain({**error, "loc": tuple(inner)})


def _bad(problems: Any) -> BadInput:
    return BadInput(problems, kind="bad-change")


@dataclass(frozen=True)
class Worked:
    """An installation after work; `touched` gives for each part that work was done on the number of the last step that did.

    `sizes` are the sizes that conductors took because no step gave them one.
    """

    installation: Installation
    touched: dict[str, int]
    sizes: dict[str, str]


def carry_out(installation: Installation, change: Sequence[Work], edition: int, memory: Memory | None = None, sizes: Mapping[str, str] = _NO_SIZES) -> Worked:
    """Do planned work on an installation, conductors without a size taking what the tables of an edition ask for. Raises BadInput.

    `memory` is that of deriving from a similar installation. `sizes` are taken instead of looking them up; who gives them
    checks them.
    """
    try:
        return _carry_out(installation, change, edition, memory, sizes)
    except BadInput as bad:
        if bad.kind == "bad-change":
            raise
        _blame(installation, change, edition)
        raise


def _carry_out(installation: Installation, change: Sequence[Work], edition: int, memory: Memory | None = None, sizes: Mapping[str, str] = _NO_SIZES) -> Worked:
    site = Site(installation)
    done: dict[str, int] = {}
    if change:
        site.spell_out(NOTHING_PLANNED)
    for number, step in enumerate(change):
        site.touched = {}
        try:
            step.carry_out(site)
        except Unfit as unfit:
            at = pointer(["change", number]) + (f"/{unfit.key}" if unfit.key else "")
            raise _bad([Problem(at, unfit.found, unfit.expected, unfit.close)]) from unfit
        except (AttributeError, IndexError, KeyError, TypeError, ValueError) as error:
            # A patch or a stated fact before it, or its own, left something that no installation document is.
            found = "The document, as the change leaves it here, is no installation any more."
            raise _bad([Problem(pointer(["change", number]), found, "Expected facts and operations that fit the schema of installations.")]) from error
        done.update(dict.fromkeys(site.touched, number))
    unsized = [identifier for identifier in site.unsized if identifier in site.places()]
    if unsized and not all(identifier in sizes for identifier in unsized):
        sizes = _sizes(read_document(site.document, defaults=False), unsized, edition, memory)
    taken = {identifier: sizes[identifier] for identifier in unsized if sizes.get(identifier)}
    for identifier, size in taken.items():
        site.places()[identifier].part["size"] = size
    return Worked(read_document(site.document, defaults=False), done, {identifier: taken.get(identifier, "") for identifier in unsized})


def _blame(installation: Installation, change: Sequence[Work], edition: int) -> None:
    """Find the step after which the document cannot be read. Raises BadInput that names it."""
    for number in range(len(change)):
        try:
            _carry_out(installation, change[: number + 1], edition)
        except BadInput as bad:
            told = [Problem(pointer(["change", number]), f"After it, {p.pointer}: {p.found}", p.expected, p.nearest) for p in bad.problems]
            raise _bad(told) from bad


def _sizes(installation: Installation, unsized: Sequence[str], edition: int, memory: Memory | None) -> dict[str, str]:
    """The size that the tables ask of each conductor that waits for it, empty where that cannot be told."""
    return required_sizes(derive(installation.graph, edition, memory).graph, unsized)


def required_sizes(graph: Graph, conductors: Sequence[str]) -> dict[str, str]:
    """The size that the tables ask of conductors, empty where that cannot be told."""
    found = {identifier: graph.value(iri_of(identifier), INST + "requiredSize") for identifier in conductors}
    return {identifier: short(str(size)) if size is not None else "" for identifier, size in found.items()}
