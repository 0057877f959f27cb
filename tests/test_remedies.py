"""Remedies: what they find for the classic house, that every plan does what it says, and that none is missed up to the stated number."""

import json
from itertools import chain, combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, event, given, settings

from faultpath.answers.remedies import RemediesAnswer, remedies
from faultpath.base.outcomes import Outcome
from faultpath.book.cases import house
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Law, assess
from faultpath.planning.change import carry_out, read_change
from faultpath.planning.search import Goal, search
from faultpath.planning.states import Proposal, State, States, text_of
from generated import installations

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
RANGE = ("range-and-dryer-frames-grounded", "range-1")
CHANGE = json.loads((EXAMPLES / "alder-row-change.json").read_text())


def classic(name: str, **neutral: Any) -> Installation:
    document = json.loads((EXAMPLES / f"alder-row-{name}.json").read_text())
    next(run for run in document["runs"] if run["id"] == "range-cable")["conductors"][1].update(neutral)
    return read_document(document)


def used(answer: RemediesAnswer) -> list[set[str]]:
    return [{remedy.remedy for remedy in plan.remedies} for plan in answer.plans]


@pytest.mark.parametrize("edition", [2020, 2023])
def test_the_outdoor_disconnect_is_cured_in_the_ways_of_the_trade(edition: int) -> None:
    answer = remedies(classic("outdoor-disconnect", coveringInSupplyEnclosure="uncovered"), Law(edition))
    found = used(answer)
    feeder = {"replace-by-a-four-wire-feeder", "remove-the-bond", "move-the-electrode-conductor"}
    assert {"keep-the-panel-as-service-equipment"} in found
    assert feeder | {"new-four-wire-circuit"} in found
    assert feeder | {"start-the-circuit-at-the-service-equipment"} in found
    assert (feeder | {"cover-the-neutral-in-the-supply-enclosure"} in found) is (edition == 2023)
    assert answer.complete_up_to >= 4
    assert [plan.summary.fails for plan in answer.plans] == [0] * len(answer.plans)


def test_least_disruption_comes_first() -> None:
    answer = remedies(classic("four-wire-feeder"), Law(2020))
    assert [plan.disruption for plan in answer.plans] == ["within an enclosure"] + ["accessible wiring"] * 2 + ["finished walls"]


def test_the_neutral_is_never_isolated_before_there_is_another_way_back() -> None:
    answer = remedies(classic("outdoor-disconnect"), Law(2020))
    plans = [plan for plan in answer.plans if any(r.remedy == "remove-the-bond" for r in plan.remedies)]
    assert plans
    for plan in plans:
        works = [(step["work"], step.get("bond") or step.get("run")) for step in plan.steps]
        feeder = next(n for n, (work, what) in enumerate(works) if (work, what) == ("replace-run", "outdoor-main-to-panel"))
        assert works.index(("remove-bond", "panel-screw")) > feeder


def test_what_cannot_be_parted_is_done_as_one() -> None:
    answer = remedies(classic("four-wire-feeder"), Law(2020))
    plan = answer.plans[used(answer).index({"keep-the-panel-as-service-equipment", "fit-the-jumper"})]
    assert [(stage.as_one, len(stage.steps)) for stage in plan.stages] == [(True, 2)]
    assert plan.stages[0].says.startswith("De-energised and as one: ")


def test_with_planned_work_the_remedies_are_for_what_it_makes_fail() -> None:
    before = read_document(json.loads((EXAMPLES / "alder-row-before.json").read_text()))
    answer = remedies(before, Law(2020), change=read_change(CHANGE))
    assert [(f.rule, f.about) for f in answer.failing] == [RANGE]
    assert {"start-the-circuit-at-the-service-equipment"} in used(answer)


def test_only_what_is_asked_about_is_cured() -> None:
    answer = remedies(classic("outdoor-disconnect"), Law(2020), about=["range-1"])
    assert [(f.rule, f.about) for f in answer.failing] == [RANGE]
    assert {"new-four-wire-circuit"} in used(answer)


def test_an_undecided_finding_gives_a_question_with_what_each_answer_means() -> None:
    answer = remedies(classic("four-wire-feeder"), Law(2023), about=["range-1"])
    assert answer.plans == []
    fact = next(fact for fact in answer.questions.facts if fact.fact == "coveringInSupplyEnclosure")
    assert fact.about == "range-cable/conductor-2"
    means = {possible.answer: {s.outcome for s in possible.decides} for possible in fact.answers}
    assert means["covered with listed insulating material"] == {Outcome.HOLDS}
    assert means["not covered"] == {Outcome.FAILS}


def test_what_was_not_judged_is_not_said_to_be_fine() -> None:
    answer = remedies(classic("outdoor-disconnect"), Law(2026))
    assert "range-and-dryer-frames-grounded" in answer.not_encoded
    assert answer.says == "Nothing that was asked about and judged fails."


# What is true of every plan


def goal_of(states: States) -> Goal:
    return Goal(frozenset(states.start.fails), frozenset())


def check_plans(installation: Installation, law: Law) -> int:
    states = States(installation, law, 250)
    goal = goal_of(states)
    found = search(states, goal, 5)
    for plan in found.plans:
        fresh = assess(carry_out(installation, plan.steps, law.edition).installation, law)
        end = State(plan.steps, fresh)
        assert not goal.open_in(end)
        for number in range(len(plan.steps)):
            fewer = states.after((*plan.steps[:number], *plan.steps[number + 1 :]))
            assert fewer is None or goal.open_in(fewer), plan.steps[number]
        done: tuple[Any, ...] = ()
        for stage in plan.stages[:-1]:
            done = (*done, *stage.steps)
            between = states.after(done)
            assert between is not None
            assert not between.is_worse_than(states.start, plan.end)
    assert [p.steps for p in search(States(installation, law, 250), goal, 5).plans] == [p.steps for p in found.plans]
    return len(found.plans)


def brute(states: States, goal: Goal, most: int) -> list[frozenset[str]]:
    """The steps of every set of up to so many remedies that cures all: each remedy of any failing finding tried in each state."""
    frontier: list[tuple[Proposal, ...]] = [()]
    seen, found = {frozenset[str]()}, list[frozenset[str]]()
    for _ in range(most):
        following = []
        for chosen in frontier:
            state = states.after(steps_of(chosen))
            for proposal in state.proposals(goal.open_in(state)) if state is not None else ():
                grown = (*chosen, proposal)
                key = frozenset(map(text_of, steps_of(grown)))
                if key in seen:
                    continue
                seen.add(key)
                reached = states.after(steps_of(grown), state)
                if reached is not None and not goal.open_in(reached):
                    found.append(key)
                elif reached is not None:
                    following.append(grown)
        frontier = following
    return found


def steps_of(chosen: tuple[Proposal, ...]) -> tuple[Any, ...]:
    return tuple({text_of(step): step for step in chain.from_iterable(p.steps for p in chosen)}.values())


def check_against_brute_force(installation: Installation, law: Law, most: int) -> None:
    states = States(installation, law, 100_000)
    goal = goal_of(states)
    found = search(states, goal, 50)
    plans = [frozenset(map(text_of, plan.steps)) for plan in found.plans]
    for everything in brute(states, goal, min(most, found.complete_up_to)):
        assert any(plan <= everything for plan in plans), sorted(everything)


HOUSES = [("outdoor-disconnect", 2020), ("four-wire-feeder", 2020), ("emergency-disconnect", 2017)]


@pytest.mark.parametrize(("name", "edition"), HOUSES)
def test_classic_plans_hold_what_they_say(name: str, edition: int) -> None:
    assert check_plans(classic(name), Law(edition))


@pytest.mark.parametrize(("name", "edition"), HOUSES)
def test_nothing_is_missed_on_the_classic_house(name: str, edition: int) -> None:
    check_against_brute_force(classic(name), Law(edition), 3)


def test_nothing_is_missed_where_a_garage_has_three_wires() -> None:
    document = house("birch-lane")
    next(run for run in document["runs"] if run["id"] == "garage-feeder")["metalPathBeside"] = True
    installation = read_document(document)
    assert check_plans(installation, Law(2020))
    check_against_brute_force(installation, Law(2020), 2)


FEW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])


@given(installations(complete=True))
@FEW
def test_every_plan_for_any_house_holds_what_it_says(document: dict[str, Any]) -> None:
    installation = read_document(document)
    failing = sum(j.outcome is Outcome.FAILS for _, j in assess(installation, Law(2020)).judgements)
    assume(0 < failing <= 4)
    event(f"{check_plans(installation, Law(2020)) > 0}")


@given(installations(complete=True))
@FEW
def test_nothing_is_missed_in_any_small_house(document: dict[str, Any]) -> None:
    installation = read_document(document)
    failing = sum(j.outcome is Outcome.FAILS for _, j in assess(installation, Law(2020)).judgements)
    assume(0 < failing <= 3)
    check_against_brute_force(installation, Law(2020), 2)


# What is not known is not safe


def grouped(document: dict[str, Any]) -> dict[frozenset[str], set[frozenset[str]]]:
    """Of each plan, by its steps, the pairs of steps that have to be done in one outage."""
    found = remedies(read_document(document), Law(2020), limit=3)
    return {
        frozenset(json.dumps(step, sort_keys=True) for step in plan.steps): {
            frozenset((json.dumps(plan.steps[a], sort_keys=True), json.dumps(plan.steps[b], sort_keys=True)))
            for stage in plan.stages
            if stage.as_one
            for a, b in combinations(stage.steps, 2)
        }
        for plan in found.plans
    }


@pytest.mark.parametrize(
    ("part", "key"),
    [("drop", "conductors"), ("outdoor-main-to-panel", "method"), ("meter-to-outdoor-main", "conductors"), ("range-cable", "installed"), ("meter", "location")],
)
def test_leaving_out_a_fact_never_takes_two_steps_out_of_one_outage(part: str, key: str) -> None:
    document = json.loads((EXAMPLES / "alder-row-outdoor-disconnect.json").read_text())
    known = grouped(document)
    assert any(known.values()), "there is something to be lost"
    stated = next(one for one in (*document["runs"], *document["equipment"]) if one["id"] == part)
    assert stated.pop(key, None) is not None
    for steps, pairs in grouped(document).items():
        assert known.get(steps, set()) <= pairs


def test_no_two_plans_read_the_same() -> None:
    for path in sorted(EXAMPLES.glob("alder-row-*.json")):
        document = json.loads(path.read_text())
        if isinstance(document, dict):
            found = [tuple(stage.says for stage in plan.stages) for plan in remedies(read_document(document), Law(2020), limit=5).plans]
            assert len(found) == len(set(found))
