"""What planned work would change, as plain text."""

from collections.abc import Sequence

from faultpath.answers.what_if import ChangedFinding, WhatIfAnswer
from faultpath.present.text.page import MARKS, Page, counted, print_not_judged


def print_what_if(page: Page, answer: WhatIfAnswer) -> None:
    """The work, what it changes and why."""
    page.line(f"Planned work on {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    page.line()
    for number, step in enumerate(answer.work, 1):
        page.line(f"{number}. {step}", 2, 3)
    page.line()
    page.line(f"Before: {counted(answer.before)}")
    page.line(f"After:  {counted(answer.after)}")
    print_not_judged(page, answer.after.not_encoded)
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
    page.line()
    page.line(f"As before: {counted(answer.unchanged)}")


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
