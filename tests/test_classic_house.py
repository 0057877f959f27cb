"""The classic trap, end to end: one old house before and after an outdoor service disconnect, under six editions.

Sources: NECA-NEIS code question of the day 2018-11-13 (a new disconnect ahead makes the panel feeder-supplied, and a bare
neutral is no longer allowed from it); published summaries of the 2023 change (a bare neutral in SE cable may stay if it is
covered with listed insulating material inside the supply enclosure); the rest follows from where the service ends.
"""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from faultpath.answers.findings import FindingsAnswer, answer_findings
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
EDITIONS = (2008, 2011, 2014, 2017, 2020, 2023)
RANGE = ("range-and-dryer-frames-grounded", "range-1")
FOUR_MORE = {
    ("feeder-carries-an-equipment-grounding-conductor", "outdoor-main-to-panel"),
    ("neutral-insulated-or-named", "outdoor-main-to-panel"),
    ("neutral-isolated-past-the-service", "panel"),
    ("electrode-conductor-meets-the-service", "gec"),
}


def house(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((EXAMPLES / f"alder-row-{name}.json").read_text())
    return found


def findings(document: dict[str, Any], edition: int) -> FindingsAnswer:
    return answer_findings(assess(read_document(document), Law(edition)), detail="all")


def with_outcome(answer: FindingsAnswer, outcome: str) -> set[tuple[str, str]]:
    return {(finding.rule, finding.about) for finding in answer.findings if finding.outcome == outcome}


def neutral(document: dict[str, Any], **facts: Any) -> dict[str, Any]:
    changed = copy.deepcopy(document)
    cable = next(run for run in changed["runs"] if run["id"] == "range-cable")
    cable["conductors"][1].update(facts)
    return changed


@pytest.mark.parametrize("edition", EDITIONS)
def test_before_the_range_frame_holds_and_nothing_fails(edition: int) -> None:
    answer = findings(house("before"), edition)
    assert RANGE in with_outcome(answer, "holds")
    assert with_outcome(answer, "fails") == set()


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_outdoor_disconnect_alone_breaks_five_things_that_nobody_touched(edition: int) -> None:
    bare = neutral(house("outdoor-disconnect"), coveringInSupplyEnclosure="uncovered")
    assert with_outcome(findings(bare, edition), "fails") == FOUR_MORE | {RANGE}


@pytest.mark.parametrize("edition", EDITIONS)
def test_with_the_other_three_steps_only_the_range_frame_fails(edition: int) -> None:
    bare = neutral(house("four-wire-feeder"), coveringInSupplyEnclosure="uncovered")
    assert with_outcome(findings(bare, edition), "fails") == {RANGE}


def test_covering_the_neutral_in_the_supply_enclosure_cures_it_from_2023_only() -> None:
    covered = house("covered-neutral")
    assert [RANGE in with_outcome(findings(covered, edition), "holds") for edition in EDITIONS] == [False] * 5 + [True]


def test_covering_it_in_the_outlet_box_instead_does_not() -> None:
    wrong_end = neutral(house("four-wire-feeder"), coveringInSupplyEnclosure="uncovered", coveringInOutletBox="covered-with-listed-insulation")
    assert RANGE in with_outcome(findings(wrong_end, 2023), "fails")


def test_not_stating_the_cover_is_undecided_and_asks_exactly_that() -> None:
    answer = findings(house("four-wire-feeder"), 2023)
    (finding,) = (f for f in answer.findings if (f.rule, f.about) == RANGE)
    assert finding.outcome == "undecided"
    assert [(fact.about, fact.fact) for fact in finding.missing] == [("range-cable/conductor-2", "coveringInSupplyEnclosure")]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("state", ["before", "outdoor-disconnect", "four-wire-feeder"])
def test_an_insulated_neutral_holds_wherever_the_circuit_originates(state: str, edition: int) -> None:
    insulated = neutral(house(state), insulated=True, size="10 AWG")
    cable = next(run for run in insulated["runs"] if run["id"] == "range-cable")
    cable["method"] = "NM"
    assert RANGE in with_outcome(findings(insulated, edition), "holds")


@pytest.mark.parametrize("edition", [2020, 2023])
def test_an_emergency_disconnect_that_is_not_service_equipment_leaves_all_as_before(edition: int) -> None:
    before, after = findings(house("before"), edition), findings(house("emergency-disconnect"), edition)
    assert with_outcome(after, "fails") == set()
    assert RANGE in with_outcome(after, "holds")
    untouched = {pair for pair in with_outcome(before, "holds") if pair[1] != "riser"}
    assert untouched <= with_outcome(after, "holds")


@pytest.mark.parametrize("edition", [2008, 2011, 2014, 2017])
def test_older_editions_make_that_emergency_disconnect_the_service_disconnect(edition: int) -> None:
    assert with_outcome(findings(house("emergency-disconnect"), edition), "fails") == FOUR_MORE | {RANGE}


def test_why_names_every_condition_with_its_outcome_and_no_blank_node() -> None:
    answer = findings(house("outdoor-disconnect"), 2020)
    (finding,) = (f for f in answer.findings if (f.rule, f.about) == RANGE)
    assert finding.why is not None
    waiting, seen = [finding.why], []
    while waiting:
        condition = waiting.pop()
        seen.append(condition)
        waiting.extend(condition.parts)
    assert len(seen) > 15
    assert all(condition.outcome in ("holds", "fails", "undecided") for condition in seen)
    assert all(condition.evidence for condition in seen if not condition.parts)
    assert "_:" not in answer.model_dump_json()
    assert ("panel", "suppliedAs", "feeder-supplied") in {derivation.triple for derivation in answer.derivations}
