"""The pages of the book: rules, editions, places, practices and tables, from the same answers as the JSON."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from faultpath.answers.book import ConditionText, RuleSummary, edition_list, rule_detail, rule_list, rule_text, table_detail, table_list
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.base.outcomes import Outcome
from faultpath.base.terms import INST
from faultpath.book.cases import cases
from faultpath.book.rules import rules
from faultpath.book.vocabulary import vocabulary
from faultpath.present.documents.paper import plain, render

_COMBINES = {"all": "all of these", "any": "any one of these", "not": "must not be so"}


@dataclass(frozen=True)
class Stated:
    """A line of the conditions; an allowance is only named where `is_link`, and told under its own heading."""

    key: str
    says: str
    notes: str
    is_link: bool
    parts: tuple["Stated", ...]


@dataclass(frozen=True)
class CaseShown:
    """A worked case in a line."""

    says: str
    outcome: Outcome
    editions: str
    source: str
    standing: str


def rules_page() -> str:
    """Every rule, chapter by chapter."""
    chapters = [(plain(chapter).capitalize(), list(found)) for chapter, found in groupby(rule_list(), lambda r: r.chapter)]
    return render("rules.html", chapters=chapters, span=_span, on_site=True)


def _span(rule: RuleSummary) -> str:
    return rule.editions[0] if len(rule.editions) == 1 else f"{rule.editions[0]} to {rule.editions[-1]}"


def rule_page(key: str, edition: str | None = None) -> str:
    """A rule: what it asks in an edition, the latest that was checked if none is named, and its history. Raises BadInput (404)."""
    detail = rule_detail(key)
    text = rule_text(key, edition or detail.citations[-1].edition)
    return render(
        "rule.html",
        rule=detail,
        text=text,
        about=vocabulary().labels.get(INST + text.about, plain(text.about)),
        outside=[_stated(condition, within=True) for condition in text.outside],
        requirement=_stated(text.requirement),
        exceptions=[_stated(condition, within=True) for condition in _exceptions(text.requirement)],
        amendments=_amendments(key, detail.place),
        cases=list(_cases(key)),
        labels={rule.key: rule.label for rule in rules().values()},
        on_site=True,
    )


def _stated(condition: ConditionText, *, within: bool = False) -> Stated:
    notes = [_COMBINES[condition.combines]] if condition.combines else []
    notes += ["an allowance"] if condition.exception else []
    is_link = condition.exception and not within
    parts = () if is_link else tuple(_stated(part) for part in condition.parts)
    return Stated(condition.condition.rpartition("#")[2], condition.states, "; ".join(notes), is_link, parts)


def _exceptions(condition: ConditionText) -> Iterator[ConditionText]:
    if condition.exception:
        yield condition
    for part in condition.parts:
        yield from _exceptions(part)


def _amendments(key: str, place: str | None) -> list[tuple[str, str, str]]:
    """Where the rule is not as published: key of the place, its name, and what it made of the rule."""
    found = []
    for listed in place_list():
        for amendment in place_detail(listed.key).amendments if listed.amendments else ():
            if key in amendment.rules and amendment.place == listed.key:
                says = "Adds the rule; it is in force nowhere else." if place == listed.key else amendment.says
                found.append((listed.key, listed.name, says))
    return found


def _cases(key: str) -> Iterator[CaseShown]:
    for case in cases():
        if case.rule == key:
            editions = ", ".join(map(str, case.editions))
            where = f" in {case.place}" if case.place else ""
            yield CaseShown(case.says, case.outcome, editions + where, case.source, case.standing)


def editions_page() -> str:
    """The editions that the book knows."""
    return render("editions.html", editions=edition_list(), labels={rule.key: rule.label for rule in rules().values()}, on_site=True)


def places_page() -> str:
    """The places of the book."""
    return render("places.html", places=place_list(), on_site=True)


def place_page(key: str) -> str:
    """A place with what it adopted and amended. Raises BadInput (404)."""
    return render("place.html", place=place_detail(key), labels={rule.key: rule.label for rule in rules().values()}, on_site=True)


def practices_page() -> str:
    """The named practices."""
    return render("practices.html", practices=practice_list(), labels={rule.key: rule.label for rule in rules().values()}, on_site=True)


def tables_page() -> str:
    """The tables of the book."""
    return render("tables.html", tables=[table_detail(key) for key in table_list()], on_site=True)


def table_page(key: str) -> str:
    """A table with all its dated rows. Raises BadInput (404)."""
    return render("table.html", table=table_detail(key), on_site=True)
