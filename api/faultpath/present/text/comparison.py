"""A comparison of editions as plain text."""

from faultpath.answers.editions import ComparisonAnswer
from faultpath.base.outcomes import Outcome
from faultpath.present.text.page import MARKS, Page


def print_comparison(page: Page, answer: ComparisonAnswer) -> None:
    """The outcome of each rule on each part in each edition, and what the texts changed."""
    where = f" and the places {', '.join(answer.places)}" if answer.places else ""
    page.line(f"{answer.record.installation} under the editions {', '.join(answer.editions)}{where}")
    page.line(answer.caution)
    page.line()
    # What no law of these speaks about is left to the JSON.
    told = [row for row in answer.rows if any(o.outcome in (Outcome.HOLDS, Outcome.FAILS, Outcome.UNDECIDED) for o in row.outcomes)]
    rows = [(row.rule, row.about, *(MARKS[o.outcome] for o in row.outcomes), "differs" if row.differs else "") for row in told]
    columns = [" ".join(filter(None, (o.edition, o.place))) for o in answer.rows[0].outcomes] if answer.rows else answer.editions
    page.table(("Rule", "About", *columns, ""), rows)
    for change in answer.changes:
        page.line()
        step = f"in {change.place} on {change.later}" if change.place else f"from {change.earlier} to {change.later}"
        page.line(f"{change.rule}, {step}: {change.says}", 0, 2)
        if change.added or change.dropped:
            page.line(f"{len(change.added)} conditions added, {len(change.dropped)} dropped, {len(change.unchanged)} unchanged.", 2)
