"""Triples by predicate, both ways, and the steps that try the triples which fit a pattern."""

from collections.abc import Callable, Iterable
from typing import TypeAlias

from faultpath.expressions import Solution
from faultpath.graph import Term, Triple

_NONE: tuple[()] = ()


class Index:
    """Triples by predicate, both ways. The predicates of a base are shared until a triple is added to them."""

    __slots__ = ("_own", "by_object", "by_subject", "found", "sizes")

    def __init__(self, triples: Iterable[Triple] = (), base: "Index | None" = None) -> None:
        self.by_subject: dict[str, dict[str, list[Term]]] = dict(base.by_subject) if base else {}
        self.by_object: dict[str, dict[Term, list[str]]] = dict(base.by_object) if base else {}
        self.sizes: dict[str, int] = dict(base.sizes) if base else {}
        self.found: list[tuple[Term | None, ...]] = []
        self._own: set[str] = set()
        for triple in triples:
            self.add(triple)

    def add(self, triple: Triple) -> None:
        """Add a triple that is not there yet."""
        subject, predicate, obj = triple
        if predicate not in self._own:
            self._own.add(predicate)
            self.by_subject[predicate] = {s: list(o) for s, o in self.by_subject.get(predicate, {}).items()}
            self.by_object[predicate] = {o: list(s) for o, s in self.by_object.get(predicate, {}).items()}
        self.by_subject[predicate].setdefault(subject, []).append(obj)
        self.by_object[predicate].setdefault(obj, []).append(subject)
        self.sizes[predicate] = self.sizes.get(predicate, 0) + 1

    def fitting(self, predicate: str, obj: Term | None) -> int:
        """How many triples have the predicate and, if given, the object."""
        return self.sizes.get(predicate, 0) if obj is None else len(self.by_object.get(predicate, {}).get(obj, _NONE))


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
            values = index.by_subject.get(p, {}).get(subject(solution), _NONE)  # type: ignore[arg-type]
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
            for value in index.by_subject.get(p, {}).get(subject(solution), _NONE):  # type: ignore[arg-type]
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
            for subject in index.by_object.get(p, {}).get(sought, _NONE):
                if type(sought) is not str and not any(same(value, sought) for value in index.by_subject[p][subject]):
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
            for subject, values in index.by_subject.get(p, {}).items():
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
            triples = index.by_subject.get(solution[p], {})
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
