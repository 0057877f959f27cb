"""The book itself: rules, their texts by edition, editions and tables."""

from collections.abc import Iterator
from itertools import pairwise

from pydantic import Field
from pyoxigraph import RdfFormat

from faultpath.answers.editions import TextChange, difference, text_change
from faultpath.answers.record import Answer
from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.base.terms import CODE, PREFIXES, short
from faultpath.base.triples import serialize
from faultpath.book.loader import load_book
from faultpath.book.overlays import book, every_overlay
from faultpath.book.places import places
from faultpath.book.rules import Condition, Group, Leaf, Rule, editions, rules, shapes_in_force
from faultpath.book.tables import tables


class RuleSummary(Answer):
    """A rule in a list."""

    key: str
    chapter: str
    label: str
    requires: str
    editions: list[str] = Field(description="Editions that were checked.")
    standing: str
    place: str | None = Field(description="The only place where the rule is in force; null for everywhere.")


class CitationDetail(Answer):
    """Where an edition prints a rule, and how well that was checked."""

    edition: str
    section: str
    standing: str
    text: str = Field(description="IRI of the dated text in force.")


class RemedyDetail(Answer):
    """A field fix."""

    key: str
    label: str
    disturbs: str
    cures: list[str] = Field(description="IRIs of the conditions it cures.")


class RuleDetail(Answer):
    """The record of a rule with its history."""

    key: str
    chapter: str
    label: str
    requires: str
    why: str
    leaves_out: list[str]
    contested: str | None
    citations: list[CitationDetail]
    history: list[TextChange] = Field(description="What changed from each edition checked to the next, moves of the section number included.")
    difference: TextChange | None = Field(description="What differs between the two editions asked for; null where none were.")
    place: str | None = Field(description="The only place where the rule is in force; null for everywhere.")
    amended_in: list[str] = Field(description="Keys of the amendments that replace its text or withdraw it.")
    practices: list[str] = Field(description="Keys of the named practices that read it in another way.")
    remedies: list[RemedyDetail]
    see_also: list[str]
    sources: list[str]
    standing: str


class ConditionText(Answer):
    """A condition as the book states it."""

    condition: str = Field(description="IRI of the condition.")
    states: str = Field(description="The condition as a statement.")
    finding: str | None = Field(description="What is found when it fails; null for a group.")
    combines: str | None = Field(description="all, any or not; null for a leaf.")
    exception: bool
    path: str | None
    parts: list["ConditionText"]


class RuleText(Answer):
    """The conditions of a rule in force in an edition."""

    key: str
    edition: str
    section: str
    text: str = Field(description="IRI of the dated text.")
    since: str = Field(description="The edition that brought this text in.")
    says: str = Field(description="What the text asks, or what changed with it.")
    about: str = Field(description="The class of nodes that it is about.")
    outside: list[ConditionText] = Field(description="Conditions under which the rule does not apply.")
    requirement: ConditionText


class EditionSummary(Answer):
    """An edition that the book knows."""

    edition: str
    rules: list[str] = Field(description="Rules that answer for it.")
    not_encoded: list[str] = Field(description="Rules that nobody checked for it.")


class TableRows(Answer):
    """The rows of a table in force from one edition on."""

    since: str
    rows: list[dict[str, str]]


class TableDetail(Answer):
    """A printed table."""

    key: str
    title: str
    description: str
    source: str
    standing: str
    sections: dict[str, str] = Field(description="Where each edition prints it.")
    columns: dict[str, str] = Field(description="What each column is.")
    dated: list[TableRows]


def rule_list() -> list[RuleSummary]:
    """Every rule in the order of the chapters."""
    return [
        RuleSummary(
            key=rule.key,
            chapter=rule.chapter,
            label=rule.label,
            requires=rule.requires,
            editions=[str(year) for year in rule.citations],
            standing=rule.standing,
            place=rule.place or None,
        )
        for rule in rules().values()
    ]


def rule_detail(key: str, between: tuple[int, int] | None = None) -> RuleDetail:
    """The record of a rule, with what differs `between` two editions if asked. Raises BadInput (404) for an unknown key or edition."""
    rule = _rule(key)
    overlays = [overlay for overlay in every_overlay() if key in overlay.texts or key in overlay.withdraws]
    return RuleDetail(
        key=rule.key,
        chapter=rule.chapter,
        label=rule.label,
        requires=rule.requires,
        why=rule.why,
        leaves_out=list(rule.leaves_out),
        contested=rule.contested or None,
        citations=list(_citations(rule)),
        history=[change for earlier, later in pairwise(rule.citations) if (change := text_change(rule, earlier, later))],
        difference=_difference(rule, *between) if between else None,
        place=rule.place or None,
        amended_in=[overlay.key for overlay in overlays if overlay.place],
        practices=[overlay.key for overlay in overlays if not overlay.place],
        remedies=[RemedyDetail(key=r.key, label=r.label, disturbs=r.effort, cures=list(r.cures)) for r in rule.remedies],
        see_also=list(rule.see_also),
        sources=list(rule.sources),
        standing=rule.standing,
    )


def _difference(rule: Rule, earlier: int, later: int) -> TextChange:
    for year in (earlier, later):
        if rule.text_in(year) is None:
            cited = ", ".join(map(str, rule.citations))
            raise _not_found(f"{rule.key} is not encoded for edition {year}.", f"Expected one of: {cited}.", nearest(str(year), list(map(str, rule.citations))))
    return difference(rule, earlier, later)


def _citations(rule: Rule) -> Iterator[CitationDetail]:
    for year, citation in rule.citations.items():
        text = rule.text_in(year)
        if text is not None:
            yield CitationDetail(edition=str(year), section=citation.section, standing=citation.standing, text=text.iri)


def rule_text(key: str, edition: str) -> RuleText:
    """The conditions of a rule in an edition. Raises BadInput (404) where the book does not answer."""
    rule = _rule(key)
    cited = {str(year): year for year in rule.citations}
    text = rule.text_in(cited[edition]) if edition in cited else None
    if text is None:
        raise _not_found(f"{key} is not encoded for edition {edition!r}.", "Expected one of: " + ", ".join(cited) + ".", nearest(edition, cited))
    return RuleText(
        key=key,
        edition=edition,
        section=rule.citations[cited[edition]].section,
        text=text.iri,
        since=str(text.year),
        says=text.comment,
        about=short(text.target),
        outside=[_condition(condition) for condition in text.outside],
        requirement=_condition(text.requirement),
    )


def _condition(condition: Condition) -> ConditionText:
    leaf = condition if isinstance(condition, Leaf) else None
    group = condition if isinstance(condition, Group) else None
    return ConditionText(
        condition=condition.iri,
        states=condition.label,
        finding=leaf.message if leaf else None,
        combines=group.combine if group else None,
        exception=bool(group and group.exception),
        path=" / ".join(short(step.property) for step in leaf.path) if leaf else None,
        parts=[_condition(part) for part in group.parts] if group else [],
    )


def edition_list(place: str | None = None) -> list[EditionSummary]:
    """The editions that the book knows, oldest first, as published (without the rules that only a place has) or as a place amended them."""
    published = list(book(places=_chain(place)).values())
    return [
        EditionSummary(
            edition=str(year),
            rules=[rule.key for rule in published if rule.text_in(year) is not None],
            not_encoded=[rule.key for rule in published if rule.text_in(year) is None],
        )
        for year in editions()
    ]


def edition_detail(edition: str, place: str | None = None) -> EditionSummary:
    """One edition, as published or as a place amended it. Raises BadInput (404) for one that the book does not know."""
    known = {found.edition: found for found in edition_list(place)}
    if edition not in known:
        raise _not_found(f"{edition!r} is not an edition of the book.", "Expected one of: " + ", ".join(known) + ".", nearest(edition, known))
    return known[edition]


def rule_turtle(key: str) -> str:
    """The record of a rule as its file in the book. Raises BadInput (404)."""
    rule = _rule(key)
    return load_book().turtle[f"shapes/{rule.chapter}/{key}/rule.ttl"]


def text_turtle(key: str, edition: str) -> str:
    """The dated text in force in an edition as its file in the book. Raises BadInput (404)."""
    found = rule_text(key, edition)
    return load_book().turtle[f"shapes/{_rule(key).chapter}/{key}/{found.since}.ttl"]


def edition_turtle(edition: str, place: str | None = None) -> str:
    """The shapes in force in an edition, as published or as a place amended it, as any SHACL engine can run them. Raises BadInput (404)."""
    found = edition_detail(edition, place)
    shapes = shapes_in_force(int(found.edition), book(places=_chain(place)))
    return serialize(shapes, RdfFormat.TURTLE, {name: iri for name, iri in PREFIXES.items() if name in ("inst", "sh", "rdfs", "xsd")})


def _chain(place: str | None) -> tuple[str, ...]:
    if place is None:
        return ()
    if place not in places():
        raise _not_found(f"No place has the key {place[:80]!r}.", "Expected a key of GET /v1/places.", nearest(place, places()))
    return places()[place].chain


def table_list() -> list[str]:
    """The keys of the tables."""
    return sorted(tables())


def table_detail(key: str) -> TableDetail:
    """A table with all its dated rows. Raises BadInput (404) for a key that the book does not have."""
    if key not in tables():
        raise _not_found(f"No table has the key {key!r}.", "Expected one of: " + ", ".join(table_list()) + ".", nearest(key, tables()))
    table = tables()[key]
    data = table.metadata
    return TableDetail(
        key=key,
        title=data["dc:title"],
        description=data["dc:description"],
        source=data["dc:source"],
        standing=data[CODE + "standing"],
        sections=data[CODE + "sections"],
        columns={column["name"]: column["titles"] for column in data["tableSchema"]["columns"]},
        dated=[TableRows(since=str(year), rows=rows) for year, rows in table.dated.items()],
    )


def _rule(key: str) -> Rule:
    if key not in rules():
        raise _not_found(f"No rule has the key {key!r}.", "Expected a key of the book.", nearest(key, rules()))
    return rules()[key]


def _not_found(found: str, expected: str, close: str | None) -> BadInput:
    return BadInput([Problem("", found, expected, close)], kind="not-found", status=404)
