"""What follows from what is stated: runs the derivations in force, and keeps for each new triple what it rests on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TypeAlias

import pyoxigraph as ox

from faultpath.base.terms import DERIVATIONS, TYPE
from faultpath.base.triples import Graph, PredicateTable, Term, Triple, from_ox, named_to_ox, node_to_ox, to_ox
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.index import Index
from faultpath.derivation.join import ANYTHING
from faultpath.derivation.patterns import Pattern, QueryBranch, fill
from faultpath.derivation.program import CompiledBranch, Derivation, derivations, reference, reference_numbers

_CLASS_MEMBERSHIP = DERIVATIONS + "class-membership"
Known: TypeAlias = tuple[Graph, Graph]  # what was stated or followed, and the book's own facts


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


class Conclusions:
    """What an alternative concluded, known before or not: why, and as pairs of subject and object by predicate.

    The number stands for the triples.
    """

    __slots__ = ("number", "pairs", "reasons")

    def __init__(self, number: int, reasons: dict[Triple, Because]) -> None:
        self.number, self.reasons = number, reasons
        self.pairs: dict[str, list[tuple[str, Term]]] = {}
        for subject, predicate, obj in reasons:
            self.pairs.setdefault(predicate, []).append((subject, obj))


class Memory:
    """What derivations and their alternatives concluded, by what they read: asked about the same once more, they conclude the same.

    A number stands for the content of a predicate, its triples in their order, so that contents are compared by their numbers. (Python takes 1
    and true for equal, but the values of one property are of one kind.) `tables` holds contents by predicate and number, `grown` the number of a
    content that conclusions were added to. It serves similar installations, and editions, one after the other, and keeps their tables alive.
    """

    def __init__(self) -> None:
        self._numbers: dict[object, int] = {}
        self.steps: dict[tuple[object, ...], list[Conclusions]] = {}
        self.concluded: dict[tuple[object, ...], Conclusions] = {}
        self.tables: dict[tuple[str, int], PredicateTable] = {}
        self.grown: dict[tuple[str, int, int], int] = {}

    def number(self, content: object) -> int:
        """The number that stands for a content, from 1."""
        return self._numbers.setdefault(content, len(self._numbers) + 1)


@dataclass(frozen=True)
class Derived:
    """An installation with all that follows from it in one edition.

    `graph` holds asserted and derived triples; `reference` are the book's own facts (wire areas, table rows) that premises may name. `memory`
    saves time where something similar is derived next.
    """

    asserted: Graph
    graph: Graph
    reference: Graph
    memory: Memory
    _concluded: tuple[dict[Triple, Because], ...]

    @cached_property
    def because(self) -> dict[Triple, Because]:
        """Why each derived triple is there: what concluded it first."""
        found: dict[Triple, Because] = {}
        for reasons in self._concluded:
            for triple, reason in reasons.items():
                if triple not in found and triple not in self.asserted:
                    found[triple] = reason
        return found


def derive(asserted: Graph, edition: int, memory: Memory | None = None) -> Derived:
    """Everything that follows from an asserted graph under the derivations in force in an edition.

    `memory` is that of something similar that was derived before.
    """
    deriving = _Deriving(asserted, edition, memory or Memory())
    for derivation in derivations(edition):
        deriving.conclude(derivation)
    return deriving.ended()


class _Deriving:
    """One installation while conclusions are added to it.

    What remembered conclusions make of a predicate is known by its number at once; its table is brought up to date when somebody reads it.
    """

    def __init__(self, asserted: Graph, edition: int, memory: Memory) -> None:
        self._asserted, self._memory = asserted, memory
        self._graph, self._reference = asserted.copy(), reference(edition)
        self._known: Known = (self._graph, self._reference)
        self._concluded = [
            {triple: Because(_CLASS_MEMBERSHIP, triple, (premise,), {}, self._known) for triple, premise in _memberships(asserted) if self._graph.add(triple)}
        ]
        self._numbers = dict(reference_numbers(edition))
        for predicate, table in list(self._graph.tables.items()):
            number = self._numbers[predicate] = memory.number((predicate, *[(subject, *objects) for subject, objects in table.by_subject.items()]))
            self._graph.share(predicate, memory.tables.setdefault((predicate, number), table))
        for cls, members in self._graph.table(TYPE).by_object.items():
            self._numbers[str(cls)] = memory.number((cls, *members))
        self._index = Index(self._reference, self._graph)
        self._pending: dict[str, list[Conclusions]] = {}

    def conclude(self, derivation: Derivation) -> None:
        """Run a derivation until nothing new follows."""
        key = (derivation.iri, *[self._numbers.get(name) for name in derivation.reads])
        steps = self._memory.steps.get(key)
        if steps is None:
            steps = list(self._run(derivation))
            if ANYTHING not in derivation.reads:
                self._memory.steps[key] = steps
        else:
            for conclusions in steps:
                self._add(conclusions)

    def _run(self, derivation: Derivation) -> Iterator[Conclusions]:
        """Ask its alternatives, those of which what they read grew once more; what was concluded, in this order."""
        waiting = dict.fromkeys(derivation.alternatives)
        while waiting:
            alternative = next(iter(waiting))
            del waiting[alternative]
            if alternative.needs <= self._numbers.keys():
                conclusions = self._ask(alternative)
                new = self._add(conclusions)
                if conclusions.pairs:
                    yield conclusions
                if new and derivation.repeats:
                    waiting.update(dict.fromkeys(reader for name in (*new, ANYTHING) for reader in derivation.readers.get(name, ())))

    def ended(self) -> Derived:
        """All that follows; the tables are kept for what is derived next."""
        self._bring_up_to_date()
        for predicate, table in list(self._graph.tables.items()):
            self._graph.share(predicate, self._memory.tables.setdefault((predicate, self._numbers[predicate]), table))
        return Derived(self._asserted, self._graph, self._reference, self._memory, tuple(self._concluded))

    def _ask(self, alternative: CompiledBranch) -> Conclusions:
        numbers = self._numbers
        key = (*alternative.key, *[numbers.get(name) for name in alternative.reads])
        found = self._memory.concluded.get(key)
        if found is None:
            self._bring_up_to_date()
            reasons: dict[Triple, Because] = {}
            for bound in _solutions(alternative, self._index, self._known):
                for pattern in alternative.arm.conclusions:
                    triple = fill(pattern, bound)
                    if triple is not None and triple not in reasons:
                        reasons[triple] = Because(alternative.derivation, triple, alternative.arm.premises, bound, self._known)
            found = Conclusions(self._memory.number(tuple(reasons)), reasons)
            if alternative.join is not None:
                self._memory.concluded[key] = found
        return found

    def _add(self, conclusions: Conclusions) -> set[str]:
        """Add conclusions; the names of which there is more now."""
        names: set[str] = set()
        if conclusions.pairs:
            self._concluded.append(conclusions.reasons)
        for predicate, pairs in conclusions.pairs.items():
            old = self._numbers.get(predicate, 0)
            growth = (predicate, old, conclusions.number)
            new = self._memory.grown.get(growth)
            if new is None:
                new = self._memory.grown[growth] = self._memory.number(growth) if self._grow(predicate, pairs) else old
            elif new != old:
                self._pending.setdefault(predicate, []).append(conclusions)
            if new != old:
                self._numbers[predicate] = new
                names.add(predicate)
                if predicate == TYPE:
                    for cls in {str(obj) for _, obj in pairs}:
                        self._numbers[cls] = self._memory.number((cls, self._numbers.get(cls, 0), conclusions.number))
                        names.add(cls)
        return names

    def _grow(self, predicate: str, pairs: list[tuple[str, Term]]) -> bool:
        """Add triples to a table; whether one was new."""
        self._bring_up_to_date()
        missing = [(subject, obj) for subject, obj in pairs if (subject, predicate, obj) not in self._graph]
        if missing:
            table = self._index.tables[predicate] = self._graph.own(predicate)
            for subject, obj in missing:
                table.add(subject, obj)
        return bool(missing)

    def _bring_up_to_date(self) -> None:
        """Make the tables that remembered conclusions were not added to yet, or take them over from where they were made."""
        for predicate, waiting in self._pending.items():
            known = self._memory.tables.get((predicate, self._numbers[predicate]))
            if known is not None:
                self._graph.share(predicate, known)
            else:
                table = self._graph.own(predicate)
                for conclusions in waiting:
                    for subject, obj in conclusions.pairs[predicate]:
                        table.add(subject, obj)
            self._index.tables[predicate] = self._graph.tables[predicate]
        self._pending.clear()


def _memberships(asserted: Graph) -> Iterator[tuple[Triple, Triple]]:
    """Class membership by subclass, with the stated type it rests on."""
    for subject, classes in asserted.table(TYPE).by_subject.items():
        for cls in classes:
            for parent in _above(str(cls)):
                yield (subject, TYPE, parent), (subject, TYPE, cls)


@cache
def _above(cls: str) -> tuple[str, ...]:
    """The superclasses of a class."""
    return tuple(sorted(vocabulary().superclasses.get(cls, frozenset()) - {cls}))


def _solutions(alternative: CompiledBranch, index: Index, known: Known) -> Iterator[dict[str, Term]]:
    join = alternative.join
    if join is None:
        yield from solutions_by_engine(alternative.arm, known)
        return
    for solution in join.solutions(index):
        yield {name: value for name, value in zip(join.names, solution, strict=True) if value is not None}


def solutions_by_engine(arm: QueryBranch, known: Iterable[Graph]) -> Iterator[dict[str, Term]]:
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
