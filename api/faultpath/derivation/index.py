"""Tables of triples to be joined, and the steps that try the triples which fit a pattern."""

from collections.abc import Callable
from typing import TypeAlias

from faultpath.base.triples import Graph, PredicateTable, Term
from faultpath.derivation.expressions import Solution

_NONE: tuple[()] = ()
_EMPTY = PredicateTable()


class Index:
    """Tables by predicate as a join reads them, and the solutions that it found."""

    __slots__ = ("found", "tables")

    def __init__(self, *graphs: Graph) -> None:
        """The tables of several graphs, no two of which have a predicate in common."""
        self.tables: dict[str, PredicateTable] = {predicate: table for graph in graphs for predicate, table in graph.tables.items()}
        self.found: list[tuple[Term | None, ...]] = []

    def fitting(self, predicate: str, obj: Term | None) -> int:
        """How many triples have the predicate and, if given, the object."""
        table = self.tables.get(predicate, _EMPTY)
        return table.size if obj is None else len(table.by_object.get(obj, _NONE))


Step: TypeAlias = Callable[[Solution, Index], bool]  # true ends the search
Link: TypeAlias = Callable[[Step], Step]


# Patterns, by what is bound


def same(left: Term, right: Term) -> bool:
    """Whether two terms are one and the same; Python takes 1, 1.0 and true for equal."""
    return left == right and (type(left) is type(right))


def check(p: str, subject: Callable[[Solution], Term], obj: Callable[[Solution], Term]) -> Link:
    """Go on if the triple is there."""

    def link(after: Step) -> Step:
        def step(solution: Solution, index: Index) -> bool:
            values = index.tables.get(p, _EMPTY).by_subject.get(subject(solution), _NONE)  # type: ignore[arg-type]
            sought = obj(solution)
            if sought in values and (type(sought) is str or any(same(value, sought) for value in values)):
                return after(solution, index)
            return False

        return step

    return link


def forward(p: str, subject: Callable[[Solution], Term], place: int) -> Link:
    """Go on with each object of a known subject."""

    def link(after: Step) -> Step:
        def step(solution: Solution, index: Index) -> bool:
            for value in index.tables.get(p, _EMPTY).by_subject.get(subject(solution), _NONE):  # type: ignore[arg-type]
                solution[place] = value
                if after(solution, index):
                    return True
            return False

        return step

    return link


def backward(p: str, obj: Callable[[Solution], Term], place: int) -> Link:
    """Go on with each subject of a known object."""

    def link(after: Step) -> Step:
        def step(solution: Solution, index: Index) -> bool:
            sought = obj(solution)
            for subject in index.tables.get(p, _EMPTY).by_object.get(sought, _NONE):
                if type(sought) is not str and not any(same(value, sought) for value in index.tables.get(p, _EMPTY).by_subject[subject]):
                    continue
                solution[place] = subject
                if after(solution, index):
                    return True
            return False

        return step

    return link


def everywhere(p: str, s: int, o: int) -> Link:
    """Go on with each triple of the predicate."""

    def link(after: Step) -> Step:
        def step(solution: Solution, index: Index) -> bool:
            for subject, values in index.tables.get(p, _EMPTY).by_subject.items():
                for value in values:
                    solution[s] = subject
                    solution[o] = value
                    if after(solution, index):
                        return True
            return False

        return step

    return link


def by_bound_predicate(p: int, subject: Callable[[Solution], Term] | None, obj: Callable[[Solution], Term] | None, s: int, o: int) -> Link:
    """The same for a predicate that the solution names."""

    def link(after: Step) -> Step:
        def step(solution: Solution, index: Index) -> bool:
            triples = index.tables.get(solution[p], _EMPTY).by_subject
            subjects = triples if subject is None else [x for x in (subject(solution),) if x in triples]
            for found in subjects:
                for value in triples[found]:  # type: ignore[index]
                    if obj is not None and not same(value, obj(solution)):
                        continue
                    if s >= 0:
                        solution[s] = found
                    if o >= 0:
                        solution[o] = value
                    if after(solution, index):
                        return True
            return False

        return step

    return link
