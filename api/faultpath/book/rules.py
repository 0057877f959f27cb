"""The book in force for an edition: rules with their citations, and the dated text of each taken apart into conditions."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from faultpath.base.terms import AMENDMENTS, CODE, DCT, INST, LABEL, PRACTICES, RULES, SH, TYPE, short
from faultpath.base.triples import Graph, Term
from faultpath.book.checks import CONSTRAINTS, Constraint, sound_book
from faultpath.book.loader import base_of
from faultpath.book.vocabulary import Path, read_path, vocabulary

_COMBINES: dict[str, Literal["all", "any", "not"]] = {"property": "all", "node": "all", "and": "all", "or": "any", "not": "not"}


@dataclass(frozen=True)
class Leaf:
    """One condition on one path. `label` states it, `message` is what is found when it fails."""

    iri: str
    label: str
    message: str
    path: Path
    constraint: Constraint
    arguments: tuple[Term, ...]


@dataclass(frozen=True)
class Group:
    """A named combination of conditions; `exception` marks a branch that satisfies the rule by an allowance."""

    iri: str
    label: str
    combine: Literal["all", "any", "not"]
    parts: tuple["Condition", ...]
    exception: bool


Condition: TypeAlias = Leaf | Group


@dataclass(frozen=True)
class DatedText:
    """The conditions of a rule in force from an edition on. Any of `outside` holding means the rule does not apply."""

    iri: str
    rule: str
    year: int
    target: str
    outside: tuple[Condition, ...]
    requirement: Condition
    comment: str


@dataclass(frozen=True)
class Citation:
    """Where an edition prints a rule."""

    edition: int
    section: str
    standing: str


@dataclass(frozen=True)
class Remedy:
    """A field fix, the conditions it cures and what it disturbs.

    `work` is the template of the steps that carry it out, empty where `no_work` says why no steps can; `rank` orders efforts.
    """

    key: str
    label: str
    effort: str
    cures: tuple[str, ...]
    work: str = ""
    no_work: str = ""
    rank: int = 0


@dataclass(frozen=True)
class Rule:
    """A requirement of the trade: what, why, where it is printed, what cures it, how well it was checked.

    `texts` are the book's own dated texts; `in_force` maps each edition that is answered for to its text, which an overlay
    may have replaced. `overlays` are those that did, `place` is the only place where the rule is in force, if any.
    """

    key: str
    chapter: str
    label: str
    requires: str
    why: str
    leaves_out: tuple[str, ...]
    contested: str
    citations: dict[int, Citation]
    remedies: tuple[Remedy, ...]
    see_also: tuple[str, ...]
    sources: tuple[str, ...]
    standing: str
    texts: tuple[DatedText, ...]
    in_force: dict[int, DatedText]
    place: str = ""
    overlays: tuple["Overlay", ...] = ()

    def text_in(self, edition: int) -> DatedText | None:
        """The text in force in an edition, None if the edition is not cited or no text is that old."""
        return self.in_force.get(edition)

    def is_withdrawn_in(self, edition: int) -> bool:
        """Whether an overlay took the rule out of an edition."""
        return any(self.key in overlay.withdraws and edition in overlay.citations for overlay in self.overlays)


@dataclass(frozen=True)
class Overlay:
    """A practice or an amendment: what it says, where it comes from, and the texts that it puts in the place of others.

    `citations` are the editions that an amendment changes; a practice has none and speaks for all that its rules cite.
    `withdraws` are the rules that it takes out instead of replacing them.
    """

    iri: str
    place: str
    label: str
    says: str
    sources: tuple[str, ...]
    standing: str
    citations: dict[int, Citation]
    remedies: tuple[Remedy, ...]
    texts: dict[str, tuple[DatedText, ...]]
    withdraws: tuple[str, ...]

    @property
    def key(self) -> str:
        """The key that requests and paths use."""
        return self.iri.removeprefix(AMENDMENTS if self.place else PRACTICES)


@cache
def editions() -> tuple[int, ...]:
    """The years of the editions that the book knows, oldest first."""
    return tuple(sorted(int(short(iri)) for iri in sound_book().ontology.instances(CODE + "Edition")))


@cache
def rules() -> dict[str, Rule]:
    """Every rule of the book by key, in the order of the chapters, without any overlay."""
    graph = sound_book().shapes
    texts: dict[str, list[DatedText]] = {}
    for text in all_texts():
        if not graph.text(text.iri, CODE + "by"):
            texts.setdefault(RULES + text.rule, []).append(text)
    chapters = {base_of(n): "/".join(n.split("/")[1:-2]) for n in sound_book().turtle if n.endswith("/rule.ttl")}
    return {short(iri): _read_rule(graph, iri, chapters[iri], texts.get(iri, [])) for iri in sorted(chapters, key=lambda i: (chapters[i], i))}


@cache
def all_texts() -> tuple[DatedText, ...]:
    """Every dated text of the book, those of overlays included, by IRI."""
    graph = sound_book().shapes
    comments = {base_of(name): _first_comment(text) for name, text in sound_book().turtle.items()}
    return tuple(_read_text(graph, iri, graph.text(iri, CODE + "of"), comments.get(iri, "")) for iri in sorted(graph.instances(CODE + "Text")))


def _first_comment(text: str) -> str:
    lines = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("# ").rstrip())
    return " ".join(lines)


def _read_rule(graph: Graph, iri: str, chapter: str, texts: list[DatedText]) -> Rule:
    citations = read_citations(graph, iri)
    dated = tuple(sorted(texts, key=lambda text: text.year))
    return Rule(
        key=iri.removeprefix(RULES),
        chapter=chapter,
        label=graph.text(iri, LABEL),
        requires=graph.text(iri, CODE + "requires"),
        why=graph.text(iri, CODE + "why"),
        leaves_out=tuple(map(str, graph.values(iri, CODE + "leavesOut"))),
        contested=graph.text(iri, CODE + "contested"),
        citations=citations,
        remedies=read_remedies(graph, iri),
        see_also=tuple(short(other) for other in graph.iris(iri, CODE + "seeAlso")),
        sources=tuple(str(source) for source in graph.values(iri, DCT + "source")),
        standing=read_standing(graph, iri),
        texts=dated,
        in_force={edition: text for edition in citations if (text := latest(dated, edition)) is not None},
        place=graph.text(iri, CODE + "place"),
    )


def latest(texts: Iterable[DatedText], edition: int) -> DatedText | None:
    """The newest of dated texts that is not younger than an edition."""
    return max((text for text in texts if text.year <= edition), key=lambda text: text.year, default=None)


def read_citations(graph: Graph, iri: str) -> dict[int, Citation]:
    """The citations of a record by edition, oldest first."""
    found = {}
    for citation in graph.iris(iri, CODE + "citation"):
        standing = read_standing(graph, citation) or read_standing(graph, iri)
        for edition in graph.iris(citation, CODE + "edition"):
            year = int(short(edition))
            found[year] = Citation(year, graph.text(citation, CODE + "section"), standing)
    return dict(sorted(found.items()))


def read_remedies(graph: Graph, iri: str) -> tuple[Remedy, ...]:
    """The remedies of a record."""
    return tuple(
        Remedy(
            key=short(r),
            label=graph.text(r, LABEL),
            effort=vocabulary().labels[graph.text(r, CODE + "effort")],
            cures=tuple(graph.iris(r, CODE + "cures")),
            work=graph.text(r, CODE + "work"),
            no_work=graph.text(r, CODE + "noWork"),
            rank=int(sound_book().ontology.text(graph.text(r, CODE + "effort"), CODE + "order") or 0),
        )
        for r in graph.iris(iri, CODE + "remedy")
    )


def read_standing(graph: Graph, iri: str) -> str:
    """How far a record was checked, in the word that answers use; empty if it does not say."""
    return vocabulary().labels.get(graph.text(iri, CODE + "standing"), "")


def _read_text(graph: Graph, iri: str, rule: str, comment: str) -> DatedText:
    whole = _read_group(graph, iri)
    outside = tuple(p for p in whole.parts if (p.iri, TYPE, CODE + "Outside") in graph)
    inside = tuple(p for p in whole.parts if p not in outside)
    requirement = inside[0] if len(inside) == 1 else Group(iri, graph.text(rule, LABEL), whole.combine, inside, exception=False)
    return DatedText(iri, rule.removeprefix(RULES), int(short(iri)), graph.text(iri, SH + "targetClass"), outside, requirement, comment)


def _read_condition(graph: Graph, iri: str) -> Condition:
    """A named shape of a checked book as a condition."""
    return _read_leaf(graph, iri) if graph.values(iri, SH + "path") else _read_group(graph, iri)


def _read_group(graph: Graph, iri: str) -> Group:
    combine, name = next((combine, name) for name, combine in _COMBINES.items() if graph.values(iri, SH + name))
    values = graph.values(iri, SH + name)
    members = graph.members(str(values[0])) if name in ("and", "or") else values
    exception = (iri, TYPE, CODE + "Exception") in graph
    return Group(iri, graph.text(iri, LABEL), combine, tuple(_read_condition(graph, str(member)) for member in members), exception)


def _read_leaf(graph: Graph, iri: str) -> Leaf:
    name = next(name for name in CONSTRAINTS if graph.values(iri, SH + name))
    value = graph.values(iri, SH + name)[0]
    arguments = tuple(graph.members(str(value))) if name == "in" else (value,)
    path = read_path(graph, graph.text(iri, SH + "path"))
    return Leaf(iri, graph.text(iri, LABEL), graph.text(iri, SH + "message"), path, name, arguments)


def conditions(condition: Condition) -> list[Condition]:
    """A condition and everything below it, in order."""
    below = condition.parts if isinstance(condition, Group) else ()
    return [condition, *(inner for part in below for inner in conditions(part))]


def text_conditions(text: DatedText) -> list[Condition]:
    """Every condition of a text, outside ones first."""
    return [inner for part in (*text.outside, text.requirement) for inner in conditions(part)]


@cache
def _labels() -> dict[str, str]:
    return {condition.iri: condition.label for text in all_texts() for condition in text_conditions(text)}


def condition_label(iri: str) -> str:
    """A condition as a statement. Raises KeyError for an IRI that no text uses."""
    return _labels()[iri]


def shapes_in_force(edition: int, book: Mapping[str, Rule] | None = None) -> Graph:
    """The texts of an edition as plain SHACL Core shapes that any engine can run: the texts and all they reach."""
    return as_shapes(text.iri for rule in (rules() if book is None else book).values() if (text := rule.text_in(edition)) is not None)


def as_shapes(texts: Iterable[str]) -> Graph:
    """Dated texts and all they reach as plain SHACL Core shapes."""
    graph, kept = sound_book().shapes, Graph()
    waiting = list(texts)
    seen: set[str] = set()
    while waiting:
        node = waiting.pop()
        if node in seen:
            continue
        seen.add(node)
        for predicate, values in graph.properties(node).items():
            if predicate.startswith(CODE):
                continue
            for value in values:
                kept.add((node, predicate, value))
                if isinstance(value, str) and not value.startswith((SH, INST, CODE)) and graph.properties(value):
                    waiting.append(value)
    return kept
