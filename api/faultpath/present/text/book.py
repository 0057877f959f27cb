"""Rules, editions, places and practices of the book as plain text."""

from collections.abc import Sequence

from faultpath.answers.book import ConditionText, RuleDetail, RuleSummary, RuleText
from faultpath.answers.lists import EditionList, PlaceList, PracticeList, RuleList
from faultpath.answers.places import OverlayDetail, PlaceDetail
from faultpath.present.text.page import COMBINES, Page


def print_rules(page: Page, listed: RuleList) -> None:
    """The rules of the book."""
    page.table(("Rule", "Editions", "Checked", "Requires"), ((r.key, _span(r.editions), r.standing, _label(r)) for r in listed.rules))


def _label(rule: RuleSummary) -> str:
    return f"{rule.label} ({rule.place} only)" if rule.place else rule.label


def _span(found: Sequence[str]) -> str:
    return f"{found[0]}..{found[-1]}" if len(found) > 1 else "".join(found)


def print_rule(page: Page, rule: RuleDetail) -> None:
    """The record of a rule."""
    page.line(f"{rule.key} ({rule.chapter})")
    page.line(rule.requires, 2)
    page.line(f"Why: {rule.why}", 2)
    page.line(f"Content checked: {rule.standing}.", 2)
    for note in ([f"Contested: {rule.contested}"] if rule.contested else []) + [f"Not covered: {left}" for left in rule.leaves_out]:
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
    notes = [COMBINES[condition.combines]] if condition.combines else []
    notes += ["allowance"] if condition.exception else []
    page.line(f"- {condition.states}" + (f" ({', '.join(notes)})" if notes else ""), indent, 2)
    for part in condition.parts:
        _print_condition(page, part, indent + 2)


def print_editions(page: Page, listed: EditionList) -> None:
    """The editions that the book knows."""
    page.table(("Edition", "Rules that answer", "Not encoded"), ((e.edition, str(len(e.rules)), str(len(e.not_encoded))) for e in listed.editions))


def print_places(page: Page, listed: PlaceList) -> None:
    """The places of the book."""
    page.table(("Place", "Name", "Adopts", "Amendments here"), ((p.key, p.name, p.model, str(p.amendments)) for p in listed.places))


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
    _print_overlays(page, place.amendments)


def print_practices(page: Page, listed: PracticeList) -> None:
    """The named practices of the book."""
    _print_overlays(page, listed.practices)


def _print_overlays(page: Page, listed: Sequence[OverlayDetail]) -> None:
    """Practices or amendments, each with the rules and editions that it changes."""
    for found in listed:
        page.line()
        page.line(f"{found.key}: {found.says}", 0, 2)
        page.line(f"Rules: {', '.join(found.rules)}. Editions: {', '.join(found.editions)}. Content checked: {found.standing}.", 2)
