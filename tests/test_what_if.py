"""What-if: the classic trap as planned work, what caused it, and that it is nothing but before against after."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings

from faultpath.answers.what_if import ChangedFinding, WhatIfAnswer, plan_request, what_if
from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.planning.change import carry_out, read_change
from generated import installations

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
CHANGE = read_change(json.loads((EXAMPLES / "alder-row-change.json").read_text()))
BEFORE = read_document(json.loads((EXAMPLES / "alder-row-before.json").read_text()))
RANGE = ("range-and-dryer-frames-grounded", "range-1")
FOUR_MORE = {
    ("feeder-carries-an-equipment-grounding-conductor", "outdoor-main-to-panel"),
    ("neutral-insulated-or-named", "outdoor-main-to-panel"),
    ("neutral-isolated-past-the-service", "panel"),
    ("electrode-conductor-meets-the-service", "gec"),
}


def pairs(group: list[ChangedFinding]) -> set[tuple[str, str]]:
    return {(changed.rule, changed.about) for changed in group}


def entry(group: list[ChangedFinding], pair: tuple[str, str]) -> ChangedFinding:
    return next(changed for changed in group if (changed.rule, changed.about) == pair)


def test_the_outdoor_disconnect_alone_makes_five_things_fail() -> None:
    answer = what_if(plan_request(BEFORE, CHANGE[:1], Law(2020)))
    assert pairs(answer.starts_failing) >= FOUR_MORE | {RANGE}
    assert answer.before.fails == 0
    assert answer.after.fails == len(answer.starts_failing)


def test_a_part_that_came_inside_another_came_with_the_step_that_added_that() -> None:
    answer = what_if(plan_request(BEFORE, CHANGE, Law(2020)))
    steps = {changed.about: [cause.step for cause in changed.causes] for changed in everything(answer) if changed.was is None}
    assert steps["outdoor-main-jumper"] == [0]
    assert steps["meter-to-outdoor-main/conductor-2"] == [0]
    assert steps["outdoor-main-to-panel/conductor-3"] == [1]


def test_with_all_four_steps_only_the_range_frame_fails_and_it_is_said_why() -> None:
    answer = what_if(plan_request(BEFORE, CHANGE, Law(2020)))
    assert pairs(answer.starts_failing) == {RANGE}
    changed = entry(answer.starts_failing, RANGE)
    assert (changed.was, changed.becomes) == (Outcome.HOLDS, Outcome.FAILS)
    assert changed.before is not None
    assert changed.after is not None
    assert changed.before.why is not None
    assert changed.after.why is not None
    assert [(c.about, c.step) for c in changed.causes] == [("panel", 0)]
    assert changed.causes[0].says == "panel is now feeder-supplied equipment, because outdoor-main is designated service disconnect."


def test_what_is_new_starts_failing_and_what_is_gone_is_told() -> None:
    answer = what_if(plan_request(BEFORE, CHANGE[:1], Law(2020)))
    new = entry(answer.starts_failing, ("neutral-insulated-or-named", "outdoor-main-to-panel"))
    assert (new.was, new.before) == (None, None)
    assert new.causes[0].says == "outdoor-main-to-panel is new."
    gone = [changed for changed in answer.changed if changed.about == "riser"]
    assert gone
    assert all(changed.becomes is None and changed.causes[0].says == "riser is gone." for changed in gone)


def test_it_can_no_longer_be_told_where_the_edition_asks_for_the_cover() -> None:
    assert RANGE in pairs(what_if(plan_request(BEFORE, CHANGE, Law(2023))).becomes_undecided)


def test_the_document_comes_along_if_it_is_asked_for() -> None:
    answer = what_if(plan_request(BEFORE, CHANGE, Law(2020)), document=True)
    assert answer.document is not None
    assert read_document(answer.document).graph == carry_out(BEFORE, CHANGE, 2020).installation.graph
    assert what_if(plan_request(BEFORE, CHANGE, Law(2020))).document is None


def test_a_part_may_be_asked_about_that_only_one_state_has() -> None:
    assert {changed.about for changed in everything(what_if(plan_request(BEFORE, CHANGE, Law(2020), about=["outdoor-main"])))} == {"outdoor-main"}
    assert {changed.about for changed in everything(what_if(plan_request(BEFORE, CHANGE, Law(2020), about=["riser"])))} == {"riser"}
    with pytest.raises(BadInput):
        plan_request(BEFORE, CHANGE, Law(2020), about=["rise"])


def everything(answer: WhatIfAnswer) -> list[ChangedFinding]:
    return [*answer.starts_failing, *answer.stops_failing, *answer.becomes_undecided, *answer.changed]


def test_no_work_changes_nothing() -> None:
    assert everything(what_if(plan_request(BEFORE, (), Law(2020)))) == []


STEPS: list[dict[str, Any]] = [
    {"work": "alter-part", "part": "panel", "facts": {"location": "outdoors", "hasDisconnect": False, "disconnect": None}},
    {"op": "replace", "path": "/occupancy", "value": "mobile-home"},
]


@given(installations(complete=False))
@settings(max_examples=40, deadline=None)
def test_it_is_before_against_after_and_every_change_has_a_cause(document: dict[str, Any]) -> None:
    installation = read_document(document)
    steps = [step for step in STEPS if step.get("part", "panel") in {part["id"] for part in installation.document["equipment"]}]
    if "occupancy" not in installation.document:
        steps = steps[:1]
    law, change = Law(2020), read_change(steps)
    after = assess(carry_out(installation, change, 2020).installation, law)
    was = {(rule.key, j.about): j.outcome for rule, j in assess(installation, law).judgements}
    becomes = {(rule.key, j.about): j.outcome for rule, j in after.judgements}
    answer = what_if(plan_request(installation, change, law))
    differing = {pair for pair in was.keys() | becomes.keys() if was.get(pair) is not becomes.get(pair)}
    assert len(everything(answer)) == len(differing)
    assert answer.unchanged.holds + answer.unchanged.fails + answer.unchanged.undecided + answer.unchanged.not_applicable == len(was.keys() - differing)
    for changed in everything(answer):
        assert changed.causes, (changed.rule, changed.about)
