"""What a document states once of all its parts, and what stays open where it states nothing."""

import copy
from typing import Any

import pytest

from faultpath.answers.findings import Finding, answer_findings
from faultpath.base.problems import BadInput
from faultpath.base.terms import INST
from faultpath.book.cases import example
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess

HOUSE: dict[str, Any] = {
    "id": "elm-court-2",
    "occupancy": "one-family-dwelling",
    "sources": [{"id": "utility", "kind": "utility", "system": "120/240V-single-phase-3-wire"}],
    "equipment": [
        {"id": "panel", "kind": "panelboard", "disconnect": {"designation": "service-disconnect"}},
        {
            "id": "dryer",
            "kind": "clothes-dryer",
            "furnishedReceptacles": "none",
            "bonds": [{"id": "dryer-strap", "kind": "strap", "from": "grounded-terminal", "to": "frame"}],
        },
    ],
    "runs": [
        {"id": "service", "from": "utility", "to": "panel"},
        {
            "id": "dryer-cable",
            "from": "panel",
            "to": "dryer",
            "method": "NM",
            "installed": 1985,
            "conductors": [
                {"role": "ungrounded", "count": 2, "size": "10 AWG", "material": "copper", "insulated": True},
                {"role": "grounded", "size": "10 AWG", "material": "copper", "insulated": True},
            ],
        },
    ],
}
ALL = ["existing-unless-stated", "grounds-with-their-circuits", "one-building", "single-sets-of-conductors"]


def dryer(document: dict[str, Any]) -> Finding:
    found = answer_findings(assess(read_document(document), Law(2023)), detail="all").findings
    return next(f for f in found if f.rule == "range-and-dryer-frames-grounded" and f.about == "dryer")


def with_keys(run: dict[str, Any] | None = None, **keys: Any) -> dict[str, Any]:
    document = copy.deepcopy(HOUSE) | keys
    document["runs"][1] |= run or {}
    return document


def test_unknown_work_is_not_read_as_existing() -> None:
    """With nothing said the dryer waits for the work on its cable; each answer decides, and neither flips what was said."""
    others = [word for word in ALL if word != "existing-unless-stated"]
    unsaid = dryer(with_keys(conventions=others))
    assert unsaid.outcome == "undecided"
    assert ("dryer-cable", "work") in {(m.about, m.fact) for m in unsaid.missing}
    assert dryer(with_keys({"work": "existing"}, conventions=others)).outcome == "holds"
    assert dryer(with_keys({"work": "rerouted"}, conventions=others)).outcome == "fails"


def test_where_year_and_work_are_missing_either_is_named_and_the_work_alone_can_decide() -> None:
    document = with_keys(conventions=[word for word in ALL if word != "existing-unless-stated"])
    del document["runs"][1]["installed"]
    found = dryer(document)
    named = [(m.about, m.fact) for m in found.missing]
    assert {("dryer-cable", "work"), ("dryer-cable", "installed")} <= set(named)
    assert [named.index(("dryer-cable", "work"))] in found.deciding


def test_a_stated_convention_decides_and_stands_in_the_evidence() -> None:
    document = with_keys(conventions=ALL)
    assert dryer(document).outcome == "holds"
    whole = answer_findings(assess(read_document(document), Law(2023), only=["range-and-dryer-frames-grounded"]), detail="all")
    assert "existing-unless-stated" in whole.model_dump_json()


def test_what_a_part_says_goes_before_the_convention() -> None:
    assert dryer(with_keys({"work": "rerouted"}, conventions=ALL)).outcome == "fails"


def test_buildings_left_out_are_unknown() -> None:
    graph = read_document(HOUSE).graph
    assert graph.instances(INST + "Building") == []
    assert len(read_document(with_keys(conventions=["one-building"])).graph.instances(INST + "Building")) == 1


@pytest.mark.parametrize(
    ("keys", "run", "pointer"),
    [
        ({"conventions": ["one-building"], "buildings": [{"id": "house"}, {"id": "garage"}]}, {}, "/buildings"),
        ({"conventions": ["nothing-planned"]}, {"work": "new"}, "/runs/1/work"),
        ({}, {"method": "cord", "wires": 4}, "/runs/1/wires"),
    ],
)
def test_contradictions_are_refused_with_both_sides_named(keys: dict[str, Any], run: dict[str, Any], pointer: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_document(with_keys(run, **keys))
    assert [problem.pointer for problem in refused.value.problems] == [pointer]


def test_bonding_of_metal_that_nobody_looked_at_is_not_none() -> None:
    document = example("alder-row-before")
    document["metalBodies"] = [{"id": "gas", "kind": "gas-piping"}]
    assert all(
        f.outcome != "holds"
        for f in answer_findings(assess(read_document(document), Law(2020))).findings
        if f.rule == "neutral-current-stays-off-metal" and f.about == "range-1"
    )
