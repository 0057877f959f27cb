"""What follows from what is stated: runs the derivations in force, and keeps for each new triple what it rests on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TypeAlias

import pyoxigraph as ox

from faultpath.algebra import Unsupported, read_where
from faultpath.graph import Graph, Term, Triple, from_ox, named_to_ox, node_to_ox, to_ox
from faultpath.index import Index
from faultpath.join import Join
from faultpath.patterns import Arm, Pattern, fill, read_query
from faultpath.shelf import shelf
from faultpath.tables import rows_in_force
from faultpath.terms import DERIVATIONS, INST, TYPE
from faultpath.vocabulary import vocabulary

_FOLDER = "ontology/derivations/"
_ANYTHING = "*"  # read by what asks for any property or any class
_CLASS_MEMBERSHIP = DERIVATIONS + "class-membership"
Known: TypeAlias = tuple[Graph, Graph]  # what was stated or followed, and the book's own facts
_REFERENCE_PROPERTIES = ("circularMils", "metalReturn")


@dataclass(frozen=True)
class Derivation:
    """One conclusion family in the text that an edition has in force.

    `after` are the families it reads; one that `repeats` reads its own conclusions and runs until nothing new follows.
    """

    key: str
    year: int
    says: str
    after: tuple[str, ...]
    repeats: bool
    arms: tuple[Arm, ...]

    @property
    def iri(self) -> str:
        """The IRI of this dated text."""
        return f"{DERIVATIONS}{self.key}/{self.year}"

    @cached_property
    def reads(self) -> frozenset[str]:
        """The predicates and classes that it asks about; what has none of these changes nothing for it."""
        return frozenset().union(*(_asks(arm) for arm in self.arms))

    @property
    def conclusions(self) -> tuple[Pattern, ...]:
        """What it can conclude, each pattern once."""
        return tuple(dict.fromkeys(pattern for arm in self.arms for pattern in arm.conclusions))


class Because:
    """Why a derived triple is there: the derivation and, worked out when somebody asks, the triples it rests on."""

    __slots__ = ("_conclusion", "_known", "_patterns", "_solution", "derivation")

    def __init__(self, derivation: str, conclusion: Triple, patterns: tuple[Pattern, ...], solution: dict[str, Term], known: Known) -> None:
        self.derivation = derivation
        self._conclusion = conclusion
        self._patterns = patterns
        self._solution = solution
        self._known = known

    @property
    def premises(self) -> tuple[Triple, ...]:
        """The triples that the conclusion rests on: the patterns of the query as its solution filled them."""
        graph, reference = self._known
        filled = dict.fromkeys(fill(pattern, self._solution) for pattern in self._patterns)
        return tuple(t for t in filled if t is not None and t != self._conclusion and (t in graph or t in reference))


@dataclass(frozen=True)
class Derived:
    """An installation with all that follows from it in one edition.

    `graph` holds asserted and derived triples; `because` has an entry for each derived one; `reference` are the book's own
    facts (wire areas, table rows) that premises may name. `concluded` has all that each derivation concludes, known before or not.
    """

    asserted: Graph
    graph: Graph
    because: dict[Triple, Because]
    reference: Graph
    concluded: dict[str, dict[Triple, Because]]


def _read(path: str, text: str) -> Derivation:
    key, year = path.removeprefix(_FOLDER).removesuffix(".rq").split("/")
    comments = [line.lstrip("# ").rstrip() for line in text.splitlines() if line.startswith("#")]
    after = next((c.removeprefix("after:") for c in comments if c.startswith("after:")), "")
    return Derivation(
        key=key,
        year=int(year),
        says=" ".join(c for c in comments if not c.startswith("after:") and c != "repeats"),
        after=tuple(name.strip() for name in after.split(",") if name.strip()),
        repeats="repeats" in comments,
        arms=read_query(text),
    )


@cache
def all_derivations() -> tuple[Derivation, ...]:
    """Every dated text of every derivation, by key and year."""
    return tuple(_read(path, text) for path, text in sorted(shelf().files.items()) if path.startswith(_FOLDER))


@cache
def derivations(edition: int) -> tuple[Derivation, ...]:
    """The derivations in force in an edition, each after those it reads. Raises ValueError if they go round in a circle."""
    in_force = {d.key: d for d in all_derivations() if d.year <= edition}
    ordered: list[Derivation] = []
    while len(ordered) < len(in_force):
        done = {d.key for d in ordered}
        ready = [d for key, d in in_force.items() if key not in done and all(a in done for a in d.after if a in in_force)]
        if not ready:
            raise ValueError("derivations wait for one another: " + ", ".join(sorted(in_force.keys() - done)))
        ordered.extend(ready)
    return tuple(ordered)


@cache
def reference(edition: int) -> Graph:
    """The facts of the book that derivations look up: areas of sizes, metal wiring methods, classes of codes, table rows."""
    ontology = shelf().ontology
    facts = [t for t in ontology if t[1] in {INST + name for name in _REFERENCE_PROPERTIES}]
    return Graph([*facts, *rows_in_force(edition)])


@cache
def _reference_index(edition: int) -> Index:
    return Index(reference(edition))


@cache
def joined(query: str) -> Join | None:
    """The query of an alternative compiled; None where it is written in a way that only the SPARQL engine answers."""
    try:
        return Join(read_where(query))
    except Unsupported:
        return None


def derive(asserted: Graph, edition: int, like: Derived | None = None) -> Derived:
    """Everything that follows from an asserted graph under the derivations in force in an edition.

    `like` is what follows from a similar graph in the same edition: a derivation that reads nothing which differs concludes the same.
    """
    graph = Graph(asserted)
    because: dict[Triple, Because] = {}
    known = (graph, reference(edition))
    for triple, premise in _memberships(asserted):
        if graph.add(triple):
            because[triple] = Because(_CLASS_MEMBERSHIP, triple, (premise,), {}, known)
    index = Index(graph, _reference_index(edition))
    differing: set[str] | None = None
    if like is not None:
        differing = _asked_by(set(graph) ^ (set(like.asserted) | {t for t, reason in like.because.items() if reason.derivation == _CLASS_MEMBERSHIP}))
    concluded: dict[str, dict[Triple, Because]] = {}
    for derivation in derivations(edition):
        if like is not None and differing is not None and derivation.reads.isdisjoint(differing):
            concluded[derivation.iri] = like.concluded[derivation.iri]
            for triple, reason in like.concluded[derivation.iri].items():
                if graph.add(triple):
                    because[triple] = reason
                    index.add(triple)
            continue
        found = concluded[derivation.iri] = _conclude(derivation, index, because, known)
        if like is not None and differing is not None:
            differing |= _asked_by(found.keys() ^ like.concluded[derivation.iri].keys())
    return Derived(asserted, graph, because, known[1], concluded)


def _asks(arm: Arm) -> frozenset[str]:
    join = joined(arm.select)
    return arm.reads | ({_ANYTHING} if join is None or join.reads_anything else frozenset())


def _asked_by(triples: Iterable[Triple]) -> set[str]:
    """What a derivation would have to read to notice that these triples came or went."""
    found = {str(obj) if predicate == TYPE else predicate for _, predicate, obj in triples}
    return found | {_ANYTHING} if found else found


def _conclude(derivation: Derivation, index: Index, because: dict[Triple, Because], known: Known) -> dict[Triple, Because]:
    """Run a derivation until nothing new follows; all that it concludes."""
    arms = derivation.arms
    concluded: dict[Triple, Because] = {}
    waiting = dict.fromkeys(range(len(arms)))
    while waiting:
        number = next(iter(waiting))
        del waiting[number]
        new = _run(arms[number], derivation, index, because, known, concluded)
        if new and derivation.repeats:
            predicates = {triple[1] for triple in new}
            waiting.update(dict.fromkeys(n for n, arm in enumerate(arms) if not arm.reads.isdisjoint(predicates)))
    return concluded


def _memberships(asserted: Graph) -> Iterator[tuple[Triple, Triple]]:
    """Class membership by subclass, with the stated type it rests on."""
    above = vocabulary().superclasses
    for triple in asserted:
        subject, predicate, cls = triple
        if predicate == TYPE:
            for parent in sorted(above.get(str(cls), frozenset()) - {str(cls)}):
                yield (subject, TYPE, parent), triple


def _run(arm: Arm, derivation: Derivation, index: Index, because: dict[Triple, Because], known: Known, concluded: dict[Triple, Because]) -> list[Triple]:
    """Run one alternative of a derivation; what newly followed."""
    graph = known[0]
    new: list[Triple] = []
    for bound in _solutions(arm, index, known):
        for pattern in arm.conclusions:
            triple = fill(pattern, bound)
            if triple is None or triple in concluded:
                continue
            reason = concluded[triple] = Because(derivation.iri, triple, arm.premises, bound, known)
            if graph.add(triple):
                because[triple] = reason
                index.add(triple)
                new.append(triple)
    return new


def _solutions(arm: Arm, index: Index, known: Known) -> Iterator[dict[str, Term]]:
    join = joined(arm.select)
    if join is None:
        yield from solutions_by_engine(arm, known)
        return
    for solution in join.solutions(index):
        yield {name: value for name, value in zip(join.names, solution, strict=True) if value is not None}


def solutions_by_engine(arm: Arm, known: Iterable[Graph]) -> Iterator[dict[str, Term]]:
    """The solutions of an alternative as the SPARQL engine finds them."""
    store = ox.Store()
    store.extend(_quad(triple) for graph in known for triple in graph)
    solutions = store.query(arm.select)
    if not isinstance(solutions, ox.QuerySolutions):
        raise TypeError("a derivation selects solutions")
    names = [variable.value for variable in solutions.variables]
    for solution in solutions:
        yield {name: from_ox(term) for name, term in zip(names, solution, strict=True) if term is not None}


def _quad(triple: Triple) -> ox.Quad:
    return ox.Quad(node_to_ox(triple[0]), named_to_ox(triple[1]), to_ox(triple[2]))
