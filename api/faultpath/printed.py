"""Answers as plain text for people: readable without colour, in a pipe and in a log."""

import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from faultpath.answers.book import ConditionText, EditionSummary, RuleDetail, RuleSummary, RuleText
from faultpath.answers.editions import ComparisonAnswer
from faultpath.answers.findings import ConditionResult, Finding, FindingsAnswer
from faultpath.answers.law import Candidates
from faultpath.answers.origin import OriginAnswer
from faultpath.answers.places import OverlayDetail, PlaceDetail, PlaceSummary
from faultpath.answers.reasons import MissingFact
from faultpath.outcome import Outcome
from faultpath.overlays import every_overlay
from faultpath.rulebook import condition_label, rules

PIPED_WIDTH = 100
LAST_COLUMN = 30  # The least that text in the last column is folded to.
MARKS = {"holds": "[ok]", "fails": "[FAIL]", "undecided": "[?]", "not_applicable": "[--]", "not_encoded": "[..]", "withdrawn": "[--]"}
_COLOURS = {"holds": "green", "fails": "bold red", "undecided": "bold yellow"}
_COMBINES = {"all": "all of", "any": "any of", "not": "not"}


class Page:
    """Where an answer is printed: tables and wrapped lines on standard output."""

    def __init__(self) -> None:
        terminal = sys.stdout.isatty()
        self._console = Console(file=sys.stdout, width=None if terminal else PIPED_WIDTH, highlight=False, markup=False, emoji=False)
        self._width = self._console.width

    def line(self, text: str = "", indent: int = 0, hanging: int = 0, style: str = "") -> None:
        """A paragraph, wrapped; `hanging` indents its further lines."""
        wrapped = textwrap.wrap(
            text, max(self._width, 40), initial_indent=" " * indent, subsequent_indent=" " * (indent + hanging), break_long_words=False, break_on_hyphens=False
        )
        for piece in wrapped or [""]:
            self._console.print(Text(piece, style=style), soft_wrap=True)

    def table(self, head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        """A table without rulings; a cell that is a mark gets its colour on a terminal."""
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_edge=False, header_style="bold")
        listed, widest = list(rows), max(map(len, MARKS.values()))
        for number, name in enumerate(head):
            marks = any(row[number] in MARKS.values() for row in listed)
            # Keys and ids are copied from here, so only the last column is folded.
            table.add_column(name, overflow="fold", no_wrap=number + 1 < len(head), min_width=widest if marks else None)
        styles = {MARKS[outcome]: colour for outcome, colour in _COLOURS.items()}
        for row in listed:
            table.add_row(*(Text(cell, style=styles.get(cell, "")) for cell in row))
        # Nothing is cut off: where the columns need more room than there is, lines run over.
        widths = [max(map(len, (name, *(row[number] for row in listed)))) + 2 for number, name in enumerate(head)]
        self._console.width = max(self._width, sum(widths[:-1]) + min(widths[-1], LAST_COLUMN))
        self._console.print(table)
        self._console.width = self._width


def print_findings(page: Page, answer: FindingsAnswer) -> None:
    """The caution, a table of all findings, and each failing and undecided one with its reason."""
    summary, record = answer.summary, answer.record
    page.line(f"Findings for {record.installation} under edition {record.edition}")
    page.line(answer.caution)
    page.line()
    rows = [f for f in answer.findings if f.outcome is not Outcome.NOT_APPLICABLE or f.why is not None]
    page.table(("", "Rule", "About", "Section"), ((MARKS[f.outcome], f.rule, f.about, f.citation.section) for f in rows))
    page.line()
    counted = f"{summary.fails} fail, {summary.undecided} cannot be decided, {summary.holds} hold, {summary.not_applicable} do not apply."
    page.line(counted + (" The reference engine agrees." if answer.verified else ""))
    if summary.not_encoded:
        page.line("Not encoded for this edition, so not judged: " + ", ".join(summary.not_encoded) + ".")
    for outcome in (Outcome.FAILS, Outcome.UNDECIDED):
        for finding in answer.findings:
            if finding.outcome is outcome:
                _print_finding(page, finding)
    for finding in answer.findings:
        if finding.outcome not in (Outcome.FAILS, Outcome.UNDECIDED) and finding.why is not None:
            _print_finding(page, finding)


def _print_finding(page: Page, finding: Finding) -> None:
    page.line()
    page.line(f"{MARKS[finding.outcome]} {finding.rule}: {finding.about}", style=_COLOURS.get(finding.outcome, ""))
    page.line(finding.says, 2)
    page.line(f"Edition {finding.citation.edition}, {finding.citation.section}; content checked: {finding.standing}.", 2)
    if finding.contested:
        page.line("Contested: " + finding.contested, 2)
    for left_out in finding.leaves_out:
        page.line("Not encoded yet: " + left_out, 2)
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


def print_missing(page: Page, missing: Sequence[MissingFact]) -> None:
    """The facts to be found out, as questions."""
    if missing:
        page.line("To be found out on site:", 2)
    for fact in missing:
        page.line(f"- {fact.ask} ({fact.about}, {fact.fact})", 4, 2)


def _tree(why: ConditionResult, indent: int) -> Iterator[tuple[int, str]]:
    """A condition tree as lines: what fails or is undecided in full, what holds in one line."""
    notes = [_COMBINES[why.combines]] if why.combines and _opens(why) else []
    notes += ["allowance"] if why.exception else []
    yield indent, f"{MARKS[why.outcome]} {why.says}" + (f" ({', '.join(notes)})" if notes else "")
    if _opens(why):
        for part in why.parts:
            yield from _tree(part, indent + 2)


def _opens(why: ConditionResult) -> bool:
    return why.outcome in (Outcome.FAILS, Outcome.UNDECIDED) and bool(why.parts)


def print_candidates(page: Page, found: Candidates[Any], print_one: Callable[[Page, Any], None]) -> None:
    """The answers under each edition that may be in force, with what would settle it."""
    page.line(found.says)
    page.line(f"Adoptions checked: {found.standing}. Source: {'; '.join(found.sources) or 'none read'}.")
    page.line("To be found out about the edition:")
    for ask in found.asks:
        page.line(f"- {ask}", 2, 2)
    for candidate in found.candidates:
        page.line()
        page.line(f"If the edition is {candidate.edition}" + (", which is the last one known to be in force:" if candidate.likeliest else ":"))
        page.line()
        print_one(page, candidate.answer)


def print_origin(page: Page, answer: OriginAnswer) -> None:
    """Each supply path, stage by stage."""
    page.line(f"Supply paths of {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    for path in answer.paths:
        page.line()
        page.line(f"{path.about}: originates at {path.origin}" if path.origin else path.about)
        page.table(
            ("  Stage", "Is a", "Role", "Side"), (("  " + s.id, s.is_a, s.role or "-", s.side or ("not known" if s.missing else "-")) for s in path.stages)
        )
        print_missing(page, list(dict.fromkeys(fact for stage in path.stages for fact in stage.missing)))


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


def print_rules(page: Page, listed: Sequence[RuleSummary]) -> None:
    """The rules of the book."""
    page.table(("Rule", "Editions", "Checked", "Requires"), ((r.key, _span(r.editions), r.standing, r.label) for r in listed))


def _span(found: Sequence[str]) -> str:
    return f"{found[0]}..{found[-1]}" if len(found) > 1 else "".join(found)


def print_rule(page: Page, rule: RuleDetail) -> None:
    """The record of a rule."""
    page.line(f"{rule.key} ({rule.chapter})")
    page.line(rule.requires, 2)
    page.line(f"Why: {rule.why}", 2)
    page.line(f"Content checked: {rule.standing}.", 2)
    for note in ([f"Contested: {rule.contested}"] if rule.contested else []) + [f"Not encoded yet: {left}" for left in rule.leaves_out]:
        page.line(note, 2)
    page.line()
    page.table(("Edition", "Section", "Checked"), ((c.edition, c.section, c.standing) for c in rule.citations))
    for change in rule.history:
        page.line(f"{change.later}: {change.says}", 2, 2)
    if rule.remedies:
        page.line("Remedies:")
    for remedy in rule.remedies:
        page.line(f"- {remedy.label} ({remedy.key}; effort: {remedy.disturbs}).", 2, 2)


def print_rule_text(page: Page, text: RuleText) -> None:
    """The conditions of a rule in an edition."""
    page.line(f"{text.key} in edition {text.edition}, {text.section}; this text since {text.since}")
    page.line(text.says, 2)
    page.line(f"About every {text.about}.", 2)
    for outside in text.outside:
        page.line("Does not apply where:", 2)
        _print_condition(page, outside, 4)
    page.line("Required:", 2)
    _print_condition(page, text.requirement, 4)


def _print_condition(page: Page, condition: ConditionText, indent: int) -> None:
    notes = [_COMBINES[condition.combines]] if condition.combines else []
    notes += ["allowance"] if condition.exception else []
    page.line(f"- {condition.states}" + (f" ({', '.join(notes)})" if notes else ""), indent, 2)
    for part in condition.parts:
        _print_condition(page, part, indent + 2)


def print_editions(page: Page, listed: Sequence[EditionSummary]) -> None:
    """The editions that the book knows."""
    page.table(("Edition", "Rules that answer", "Not encoded"), ((e.edition, str(len(e.rules)), str(len(e.not_encoded))) for e in listed))


def print_places(page: Page, listed: Sequence[PlaceSummary]) -> None:
    """The places of the book."""
    page.table(("Place", "Name", "Adopts", "Amendments here"), ((p.key, p.name, p.model, str(p.amendments)) for p in listed))


def print_place(page: Page, place: PlaceDetail) -> None:
    """A place with its adoptions and amendments."""
    page.line(f"{place.name} ({place.key}): {place.model}")
    page.line("Dated data: check it with the authority before relying on it.")
    for said, value in (("Date that counts", place.date_counts), ("To be found out locally", place.asks), ("Note", place.note)):
        if value:
            page.line(f"{said}: {value}", 0, 2)
    page.table(
        ("Edition", "Occupancy", "From", "Known until", "Or", "Checked"),
        ((a.edition, a.occupancy, a.effective or "-", a.known_until or "-", " ".join(a.alternatives), a.standing) for a in place.adoptions),
    )
    print_practices(page, place.amendments)


def print_practices(page: Page, listed: Sequence[OverlayDetail]) -> None:
    """Practices or amendments, each with the rules and editions that it changes."""
    for found in listed:
        page.line()
        page.line(f"{found.key}: {found.says}", 0, 2)
        page.line(f"Rules: {', '.join(found.rules)}. Editions: {', '.join(found.editions)}. Content checked: {found.standing}.", 2)
