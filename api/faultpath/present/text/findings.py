"""Findings as plain text: a table of all, and the reasons."""

from collections.abc import Iterator

from faultpath.answers.findings import ConditionResult, Finding, FindingsAnswer
from faultpath.base.outcomes import Outcome
from faultpath.book.overlays import every_overlay
from faultpath.book.rules import condition_label, rules
from faultpath.present.text.page import COLOURS, COMBINES, MARKS, Page, counted, print_missing, print_not_judged


def print_findings(page: Page, answer: FindingsAnswer) -> None:
    """The caution, a table of all findings, and each failing and undecided one with its reason."""
    summary, record = answer.summary, answer.record
    page.line(f"Findings for {record.installation} under edition {record.edition}")
    page.line(answer.caution)
    page.line()
    rows = [f for f in answer.findings if f.outcome is not Outcome.NOT_APPLICABLE or f.why is not None]
    page.table(("", "Rule", "About", "Section"), ((MARKS[f.outcome], f.rule, f.about, f.citation.section) for f in rows))
    page.line()
    page.line(counted(summary) + (" The reference engine agrees." if answer.verified else ""))
    if answer.open_lists:
        page.line("What is there is not stated in full, so the whole cannot be decided.")
        print_missing(page, answer.open_lists)
    print_not_judged(page, summary.not_encoded)
    for outcome in (Outcome.FAILS, Outcome.UNDECIDED):
        for finding in answer.findings:
            if finding.outcome is outcome:
                _print_finding(page, finding)
    for finding in answer.findings:
        if finding.outcome not in (Outcome.FAILS, Outcome.UNDECIDED) and finding.why is not None:
            _print_finding(page, finding)


def _print_finding(page: Page, finding: Finding) -> None:
    page.line()
    page.line(f"{MARKS[finding.outcome]} {finding.rule}: {finding.about}", style=COLOURS.get(finding.outcome, ""))
    page.line(finding.says, 2)
    page.line(f"Edition {finding.citation.edition}, {finding.citation.section}; content checked: {finding.standing}.", 2)
    if finding.contested:
        page.line("Contested: " + finding.contested, 2)
    for left_out in finding.leaves_out:
        page.line("Not covered: " + left_out, 2)
    if finding.why is not None:
        _print_why(page, finding.why)
    print_missing(page, finding.missing)
    if finding.remedies:
        page.line("Remedies:", 2)
        overlaid = [overlay.remedies for overlay in every_overlay() if finding.rule in overlay.texts]
        known = {remedy.key: remedy for remedies in (rules()[finding.rule].remedies, *overlaid) for remedy in remedies}
        for key in finding.remedies:
            page.line(f"- {known[key].label} ({key}; effort: {known[key].effort}).", 4, 2)


def _print_why(page: Page, why: ConditionResult) -> None:
    """The condition tree; what would put the part outside the rule is told apart from what is required."""
    for part in why.parts if any(part.outside for part in why.parts) else [why]:
        if not part.outside:
            lines = list(_tree(part, 2))
        elif part.outcome is Outcome.FAILS:
            lines = [(2, f"{MARKS['holds']} The rule is not put aside by: {condition_label(part.condition)}.")]
        elif part.outcome is Outcome.HOLDS:
            lines = [(2, f"{MARKS['not_applicable']} The rule is put aside by: {condition_label(part.condition)}.")]
        else:
            opened = [line for inner in part.parts if inner.outcome is Outcome.UNDECIDED for line in _tree(inner, 4)]
            lines = [(2, f"{MARKS['undecided']} The rule may be put aside by: {condition_label(part.condition)}."), *opened]
        for indent, line in lines:
            page.line(line, indent, 4)


def _tree(why: ConditionResult, indent: int) -> Iterator[tuple[int, str]]:
    """A condition tree as lines: what fails or is undecided in full, what holds in one line."""
    notes = [COMBINES[why.combines]] if why.combines and _opens(why) else []
    notes += ["allowance"] if why.exception else []
    yield indent, f"{MARKS[why.outcome]} {why.says}" + (f" ({', '.join(notes)})" if notes else "")
    if _opens(why):
        for part in why.parts:
            yield from _tree(part, indent + 2)


def _opens(why: ConditionResult) -> bool:
    return why.outcome in (Outcome.FAILS, Outcome.UNDECIDED) and bool(why.parts)
