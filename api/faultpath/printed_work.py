"""Answers about planned work as plain text."""

from collections.abc import Sequence

from faultpath.answers.findings import Summary
from faultpath.answers.remedies import RemediesAnswer, RemedyPlan
from faultpath.answers.settling import Settling
from faultpath.answers.what_if import ChangedFinding, WhatIfAnswer
from faultpath.printed import MARKS, Page


def print_what_if(page: Page, answer: WhatIfAnswer) -> None:
    """The work, what it changes and why."""
    page.line(f"Planned work on {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    page.line()
    for number, step in enumerate(answer.work, 1):
        page.line(f"{number}. {step}", 2, 3)
    page.line()
    page.line(f"Before: {_counted(answer.before)}")
    page.line(f"After:  {_counted(answer.after)}")
    for title, group in (
        ("Starts failing", answer.starts_failing),
        ("Cannot be told any more", answer.becomes_undecided),
        ("Stops failing", answer.stops_failing),
    ):
        _print_group(page, title, group)
    others = [c for c in answer.changed if c.was is not None and c.becomes is not None]
    if others:
        page.line()
        page.line("Other changes:")
        for changed in others:
            page.line(f"{MARKS[changed.was]} to {MARKS[changed.becomes]} {changed.rule}: {changed.about}", 2, 4)  # type: ignore[index]  # both are there
    unchanged = answer.unchanged
    page.line()
    page.line(f"As before: {unchanged.fails} fail, {unchanged.undecided} cannot be decided, {unchanged.holds} hold, {unchanged.not_applicable} do not apply.")


def _print_group(page: Page, title: str, group: Sequence[ChangedFinding]) -> None:
    if not group:
        return
    page.line()
    page.line(f"{title}:")
    for changed in group:
        page.line(f"{MARKS[changed.becomes] if changed.becomes else '[gone]'} {changed.rule}: {changed.about}", 2)
        page.line(changed.says, 4)
        for cause in changed.causes:
            page.line(f"- {cause.says}" + (f" (step {cause.step + 1})" if cause.step is not None else ""), 4, 2)


def _counted(summary: Summary) -> str:
    return f"{summary.fails} fail, {summary.undecided} cannot be decided, {summary.holds} hold, {summary.not_applicable} do not apply."


def print_remedies(page: Page, answer: RemediesAnswer) -> None:
    """The plans, least disruptive first, and the questions to be settled on site."""
    page.line(f"Remedies for {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    page.line()
    if answer.work:
        page.line("After this work:")
        for number, step in enumerate(answer.work, 1):
            page.line(f"{number}. {step}", 2, 3)
    for finding in answer.failing:
        page.line(f"{MARKS[finding.outcome]} {finding.rule}: {finding.says}", 0, 4)
    page.line(answer.says)
    for number, plan in enumerate(answer.plans, 1):
        _print_plan(page, number, plan)
    _print_questions(page, answer.questions)


def _print_plan(page: Page, number: int, plan: RemedyPlan) -> None:
    page.line()
    page.line(f"Plan {number} ({plan.disruption}):")
    for stage in plan.stages:
        page.line(f"- {stage.says}", 2, 2)
    page.line(f"After it: {_counted(plan.summary)}", 2)
    if plan.leaves_undecided:
        page.line("Then to be found out: " + "; ".join(plan.leaves_undecided) + ".", 2, 2)


def _print_questions(page: Page, questions: Settling) -> None:
    if questions.facts:
        page.line()
        page.line("To be found out on site, the fewest facts that settle the rest:")
    for fact in questions.facts:
        page.line(f"- {fact.ask} ({fact.about}, {fact.fact})", 2, 2)
        for possible in fact.answers:
            decided = ", ".join(f"{MARKS[s.outcome]} {s.rule}: {s.about}" for s in possible.decides)
            page.line(f"{possible.answer}: {decided or 'decides nothing by itself'}", 6, 2)
    if questions.unsettled:
        page.line("No stated fact settles: " + "; ".join(questions.unsettled) + ".", 0, 2)
