"""What a cord is to the ground and to the neutral: its number of wires, its list of conductors and the contacts of its receptacle are one fact."""

import copy
from typing import Any

import pytest

from faultpath.base.problems import BadInput
from faultpath.base.terms import INST
from faultpath.derivation.run import derive
from faultpath.document.installation import iri_of, read_document

HOT, NEUTRAL, GROUND = ({"role": role} for role in ("ungrounded", "grounded", "equipment-grounding"))
HOUSE: dict[str, Any] = {
    "id": "plugged-in",
    "sources": [{"id": "utility", "kind": "utility", "system": "120/240V-single-phase-3-wire"}],
    "equipment": [{"id": "panel", "kind": "panelboard"}, {"id": "outlet", "kind": "receptacle"}, {"id": "range", "kind": "range"}],
    "runs": [
        {"id": "service", "from": "utility", "to": "panel", "conductors": [HOT, HOT, NEUTRAL]},
        {"id": "cable", "from": "panel", "to": "outlet", "method": "NM", "conductors": [HOT, HOT, NEUTRAL, GROUND]},
        {"id": "cord", "from": "outlet", "to": "range", "method": "cord"},
    ],
}


def plugged(poles: int, slots: int, **cord: Any) -> dict[str, Any]:
    document = copy.deepcopy(HOUSE)
    document["equipment"][1] |= {"poles": poles, "wires": slots}
    document["runs"][2] |= cord
    return document


def carries_and_reaches(document: dict[str, Any]) -> tuple[Any, Any]:
    """Whether the cord carries an equipment ground and whether the neutral reaches the range; None while it is not known."""
    graph = derive(read_document(document).graph, 2020).graph
    return graph.value(iri_of("cord"), INST + "carriesEquipmentGround"), graph.value(iri_of("range"), INST + "neutralReaches")


@pytest.mark.parametrize(
    ("poles", "slots", "cord", "expected"),
    [
        (3, 4, {"wires": 4}, (True, True)),
        (3, 3, {"wires": 3}, (False, True)),
        (3, 4, {"wires": 3}, (None, None)),
        (3, 4, {"wires": 3, "conductors": [HOT, HOT, NEUTRAL]}, (False, True)),
        (3, 4, {"wires": 3, "conductors": [HOT, HOT, GROUND]}, (True, False)),
        # A grounding wire without a grounding contact to go to carries nothing back.
        (3, 3, {"wires": 4, "conductors": [HOT, HOT, NEUTRAL, GROUND]}, (False, True)),
        (2, 3, {"wires": 2}, (False, None)),
        (2, 3, {"wires": 3}, (True, None)),
        (2, 3, {"wires": 3, "conductors": [HOT, NEUTRAL, GROUND]}, (True, True)),
    ],
)
def test_what_a_cord_brings(poles: int, slots: int, cord: dict[str, Any], expected: tuple[Any, Any]) -> None:
    assert carries_and_reaches(plugged(poles, slots, **cord)) == expected


def test_a_list_turns_nothing_round_that_the_contacts_decided() -> None:
    """For every cord and receptacle: what is known of it without its list stays so with every list that is accepted."""
    lists = [[HOT, HOT, *rest] for rest in ([], [NEUTRAL], [GROUND], [NEUTRAL, GROUND], [NEUTRAL, NEUTRAL])]
    for poles, slots, wires in ((p, s, w) for p in (2, 3) for s in (p, p + 1) for w in (2, 3, 4)):
        before = carries_and_reaches(plugged(poles, slots, wires=wires))
        for listed in lists:
            for complete in ([], ["conductors"]):
                try:
                    after = carries_and_reaches(plugged(poles, slots, wires=wires, conductors=listed, complete=complete))
                except BadInput:
                    continue
                assert all(was is None or was is now for was, now in zip(before, after, strict=True)), (poles, slots, wires, listed, complete)


@pytest.mark.parametrize(
    ("poles", "slots", "cord", "names"),
    [
        (3, 3, {"wires": 3, "conductors": [{**HOT, "count": 1}, NEUTRAL]}, "has 3 wires, and its conductors come to 2"),
        (3, 3, {"wires": 3, "conductors": [HOT, HOT, NEUTRAL, GROUND]}, "has 3 wires, and its conductors come to 4"),
        (2, 3, {"wires": 2, "conductors": [HOT, GROUND]}, "lists an equipment grounding conductor"),
        (3, 4, {"wires": 4, "conductors": [HOT, HOT, NEUTRAL, NEUTRAL]}, "lists no equipment grounding conductor"),
        (3, 4, {"conductors": [HOT, HOT, NEUTRAL, NEUTRAL]}, "lists no equipment grounding conductor"),
    ],
)
def test_two_statements_of_one_fact_that_differ_are_refused(poles: int, slots: int, cord: dict[str, Any], names: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_document(plugged(poles, slots, **cord))
    assert any(names in problem.found for problem in refused.value.problems)
