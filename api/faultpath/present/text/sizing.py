"""Sizes as plain text for people."""

from faultpath.answers.lists import FormList
from faultpath.answers.sizing import Sized, Sizing, SizingAnswer
from faultpath.present.text.page import Page, print_missing


def print_sizing(page: Page, answer: SizingAnswer) -> None:
    """Each conductor with its size, the metals to choose from, the rows and the arithmetic."""
    page.line(f"Sizes of {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    for sizing in answer.sizes:
        _print_one(page, sizing)
    if answer.open_lists:
        page.line()
        page.line("What is there is not stated in full: further conductors may have to be sized.")
        print_missing(page, answer.open_lists)
    if answer.not_tried:
        page.line()
        page.line(answer.not_tried)


def _print_one(page: Page, sizing: Sizing) -> None:
    page.line()
    will_do = {True: "large enough", False: "TOO SMALL", None: ""}[sizing.will_do]
    page.line(f"{sizing.about}: {sizing.conductor}" + (f", {will_do}" if will_do else ""))
    if sizing.required:
        page.line(f"Required: {_said(sizing.required)}" + (f"; there is {_said(sizing.installed)}" if sizing.installed else ""), 2)
    elif not sizing.alternatives:
        page.line("Required: cannot be told yet.", 2)
    if sizing.alternatives:
        page.line("By metal: " + "; ".join(map(_said, sizing.alternatives)), 2, 2)
    for row in sizing.rows:
        page.line(f"Table {row.table}, row {row.row} (printed since {row.since}): " + ", ".join(f"{k} {v}" for k, v in row.cells.items()), 2, 2)
    for step in sizing.steps:
        unit = f" {step.unit}" if step.unit else ""
        page.line(f"{step.what} of {step.of}: {step.value}{unit}" + (f", from {'; '.join(step.given)}" if step.given else ""), 4, 2)
    for rule in sizing.rules:
        page.line(f"{rule.rule}: {rule.outcome} ({rule.section}; content checked: {rule.standing})", 2, 2)
    print_missing(page, sizing.missing)
    for possible in sizing.possible:
        page.line(f"{possible.ask} ({possible.about}, {possible.fact})", 2, 2)
        for found in possible.sizes:
            page.line(f"{found.value}: {found.required or 'more has to be known'}", 4)


def _said(sized: Sized) -> str:
    return f"{sized.size} {sized.material} ({sized.circular_mils} circular mils)"


def print_forms(page: Page, listed: FormList) -> None:
    """The conductors that can be sized without a house, with their fields."""
    for form in listed.forms:
        page.line(f"{form.conductor}: {form.says}")
        for field in form.fields:
            words = f" ({', '.join(field.words)})" if field.words else ""
            page.line(f"- {field.key}: {field.asks}{words}", 2, 2)
