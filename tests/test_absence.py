"""What a derivation concludes from absence it may conclude: of every query in the book, read as data.

A pattern inside NOT EXISTS (or inside an OPTIONAL whose variable is then asked to be unbound) is met by nothing both where there is nothing
and where nobody said so. It is legal over a list whose completeness is a premise, over what a document must state, over kinds, and over the
rows of the book; an attribute is asked for in both directions instead: `NOT EXISTS { … NOT EXISTS { ?x inst:p false } }`.
"""

from collections.abc import Iterator

import pytest

from faultpath.base.terms import CODE, COMPLETE, INST, TYPE, short
from faultpath.book.loader import load_book
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.algebra import Bind, Call, Exists, Expression, Filter, Group, OptionalGroup, read_where
from faultpath.derivation.patterns import Pattern, Variable
from faultpath.derivation.program import all_derivations

WORDS = vocabulary()
# A derived list that is all there once the stated list is: each member of the stated one says whether it belongs.
COMPLETE_WITH = {
    **{key: {"conductor"} for key in ("ungroundedConductor", "groundedConductor", "equipmentGroundingConductor", "role")},
    **{key: {"run", "incomingRun", "outgoingRun", "suppliedOver"} for key in ("from", "to")},
    **{key: {"electrodeConductor"} for key in ("landsAt", "landsOn", "electrodeBeyond", "nearEnd", "farEnd")},
    "bondedTo": {"metalBody"},
    "suppliesAppliance": {"circuitRun"},
}
# Where the absence is known by another premise of the same query. The argument stands beside each.
ARGUED = {
    ("ampacities", "conductorAmpacityAmperes"): "another premise asks that every ungrounded conductor is rated",
    ("conductor-areas", "size"): "another premise asks that every ungrounded conductor has its size stated",
    ("electrode-joints", "reachedFromTheSystem"): "it follows from the two required ends of the conductors, and their list is complete by another premise",
    ("load-side-jumper-size", "protectiveRatingAmperes"): "another premise asks that every bonded run is rated",
    ("bonding-points-of-metal", "side"): "another premise asks that the side of every point's equipment is known",
    ("bonding-points-of-metal", "terminal"): "the normal form lists every terminal that something is bonded to with its equipment",
    ("neutral-current-on-metal", "terminal"): "the normal form lists every terminal that something is bonded to with its equipment",
    ("building-disconnects", "supplyPassage"): "every disconnect met first is asked about by another premise, and passages follow from the answers",
    ("electrode-conductor-landing", "bondFrom"): "another premise asks that both ends of every bond are stated",
    ("electrode-conductor-landing", "bondTo"): "another premise asks that both ends of every bond are stated",
    ("electrode-paths", "nearEnd"): "a conductor has two required ends; this keeps a path from running back over the one it came by",
    ("electrode-paths", "farEnd"): "a conductor has two required ends; this keeps a path from running back over the one it came by",
    ("frame-on-neutral-circuits", "bond"): "another premise asks that the bonds of every appliance on the circuit are listed",
    ("phases-needed", "neededSizeFitsDevice"): "concluded of the same two numbers in the step before, in every case",
    ("service-apart-from-the-dwelling", "standsIn"): "another premise asks that whatever feeds a run is placed in a building",
    ("supply-sizing", "sizingRun"): "the run that the wire itself lies in or bonds comes before the one at its equipment, and both give one metal",
    ("supply-sizing", "bondsRaceway"): "only a laid jumper bonds raceways, and its area is known only once the list is complete",
    ("supply-sizing", "electrodeSizingRun"): "the area that is the first premise is summed only where the supply runs are all listed",
    **dict.fromkeys(
        (("stated-conventions", name) for name in ("statedBuilding", "statedEquipmentWork", "statedRunWork", "statedRunApart")),
        "the convention is the author's statement about every part that says nothing itself",
    ),
}


def calls(expression: Expression) -> Iterator[Call | Exists]:
    if isinstance(expression, Exists):
        yield expression
    elif isinstance(expression, Call):
        yield expression
        for operand in expression.operands:
            yield from calls(operand)


def asked_unbound(expression: Expression, negated: bool = False) -> Iterator[str]:
    """The variables that an expression wants to have no value."""
    if isinstance(expression, Call):
        if expression.name == "BOUND" and negated:
            yield getattr(expression.operands[0], "name", "")
        for operand in expression.operands:
            yield from asked_unbound(operand, expression.name == "!" and not negated)


def patterns(group: Group) -> list[Pattern]:
    return [element for element in group if isinstance(element, tuple)]


def absences(group: Group, around: list[Pattern] | None = None, negative: bool = False) -> Iterator[tuple[Pattern, list[Pattern]]]:
    """Every pattern whose having no match lets a query conclude, with the patterns that hold beside it."""
    scope = [*(around or []), *patterns(group)]
    unbound = {name for element in group if isinstance(element, Filter) for name in asked_unbound(element.expression)}
    for element in group:
        if isinstance(element, tuple):
            if negative:
                yield element, scope
        elif isinstance(element, Filter | Bind):
            for call in calls(element.expression):
                if isinstance(call, Exists):
                    yield from absences(call.group, scope, negative is not call.negated)
        elif isinstance(element, OptionalGroup):
            names = {slot.name for pattern in patterns(element.group) for slot in pattern if isinstance(slot, Variable)}
            yield from absences(element.group, scope, negative is not bool(names & unbound))


def is_legal(family: str, pattern: Pattern, scope: list[Pattern]) -> bool:
    subject, predicate, obj = pattern
    if isinstance(predicate, Variable):
        return (
            all(short(str(p)) in ("circularMils",) or str(p).startswith(CODE) for _, p, o in scope if o == predicate) or family == "electrode-conductor-ceiling"
        )
    name = short(str(predicate))
    if (family, name) in ARGUED:
        return True
    if predicate == TYPE:
        return not isinstance(obj, Variable) and load_book().ontology.value(str(obj), CODE + "derivedBy") is None
    stated = WORDS.properties.get(str(predicate))
    if stated is None or name == "circularMils":
        return not str(predicate).startswith(INST) or name == "circularMils"
    complete = {(s, short(str(o))) for s, p, o in scope if p == COMPLETE}
    return (subject, name) in complete or bool(COMPLETE_WITH.get(name, set()) & {key for _, key in complete})


@pytest.mark.parametrize("family", sorted({derivation.key for derivation in all_derivations()}))
def test_absence_is_concluded_from_only_where_it_is_known(family: str) -> None:
    found = {
        (derivation.year, short(str(pattern[1])), str(pattern))
        for derivation in all_derivations()
        if derivation.key == family
        for arm in derivation.arms
        for pattern, scope in absences(read_where(arm.select))
        if not is_legal(family, pattern, scope)
    }
    assert found == set()


def test_every_argument_is_still_needed() -> None:
    met = {
        (derivation.key, short(str(pattern[1])))
        for derivation in all_derivations()
        for arm in derivation.arms
        for pattern, _ in absences(read_where(arm.select))
    }
    assert set(ARGUED) <= met


def test_no_rule_leans_on_a_note_that_people_state() -> None:
    """A note is never a gap: unknown, it would read as none. What the normal form writes itself, and what only sizes read, is listed."""
    written = {"terminal", "count", "circularMils", "metalReturn", "fittingForServices"}
    notes = {iri for iri, prop in WORDS.properties.items() if prop.kind == "note" and not prop.derived_by}
    read = {short(name) for derivation in all_derivations() for arm in derivation.arms for name in arm.reads if name in notes}
    assert read - written == set()


@pytest.mark.parametrize(
    "text",
    [
        "{ ?a inst:run ?r . FILTER NOT EXISTS { ?r inst:runWork inst:new } }",
        "{ ?a inst:run ?r . OPTIONAL { ?r inst:method ?m } FILTER(!BOUND(?m)) }",
        "{ ?a inst:equipment ?e . FILTER NOT EXISTS { ?e inst:bond ?b } }",
    ],
)
def test_the_check_would_see_it(text: str) -> None:
    """Guards the guard."""
    group = read_where(f"PREFIX inst: <{INST}>\nSELECT DISTINCT * WHERE {text}")
    assert [pattern for pattern, scope in absences(group) if not is_legal("none", pattern, scope)]


def test_completeness_makes_it_legal() -> None:
    group = read_where(f"PREFIX inst: <{INST}>\nSELECT DISTINCT * WHERE {{ ?e inst:complete inst:bond . FILTER NOT EXISTS {{ ?e inst:bond ?b }} }}")
    assert [pattern for pattern, scope in absences(group) if not is_legal("none", pattern, scope)] == []
