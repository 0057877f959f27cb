"""Remedies as plain text: the plans, and the questions to be settled on site."""

from collections.abc import Iterable

from faultpath.answers.remedies import RemediesAnswer, RemedyPlan
from faultpath.answers.site_questions import OpenFinding, Settling
from faultpath.present.text.page import MARKS, Page, counted, print_not_judged


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
    print_not_judged(page, answer.not_encoded)
    for number, plan in enumerate(answer.plans, 1):
        _print_plan(page, number, plan)
    _print_questions(page, answer.questions)


def _print_plan(page: Page, number: int, plan: RemedyPlan) -> None:
    page.line()
    page.line(f"Plan {number} ({plan.disruption}):")
    for stage in plan.stages:
        page.line(f"- {stage.says}", 2, 2)
    page.line(f"After it: {counted(plan.summary)}", 2)
    if plan.leaves_undecided:
        page.line("Then to be found out: " + _named(plan.leaves_undecided) + ".", 2, 2)


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
        page.line("No stated fact settles: " + _named(questions.unsettled) + ".", 0, 2)


def _named(findings: Iterable[OpenFinding]) -> str:
    return "; ".join(f"{finding.rule}: {finding.about}" for finding in findings)
