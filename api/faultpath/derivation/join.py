"""Solves the WHERE clause of a derivation by joining over dictionaries: the same solutions as the SPARQL engine, several times faster.

A group becomes a chain of steps; each tries the triples that fit what is bound so far and hands on to the next. The chain starts with
the pattern that the fewest triples fit, so it is compiled once for each pattern that came first.
"""

from collections.abc import Callable, Sequence

from faultpath.base.terms import TYPE
from faultpath.base.triples import Term
from faultpath.derivation.algebra import Bind, Call, Element, Exists, Expression, Filter, Group, OptionalGroup, Unsupported, Values
from faultpath.derivation.expressions import (
    ExpressionError,
    Solution,
    Value,
    compile_expression,
    every_pattern,
    every_variable,
    hidden_variables,
    truth,
    variables,
    variables_of,
    variables_of_exists,
)
from faultpath.derivation.index import Index, Link, Step, backward, by_bound_predicate, check, everywhere, forward, same
from faultpath.derivation.patterns import Pattern, Variable

ANYTHING = "*"  # read by what asks for any property


class Join:
    """A compiled WHERE clause; `names` are its variables in the order of its solutions.

    `reads` are the predicates and classes that it asks about, rdf:type where it asks for any class, ANYTHING where for any property. Without
    each of those in `needs` there is no solution.
    """

    def __init__(self, group: Group) -> None:
        self._group = group
        self._slots: dict[str, int] = {}
        for name in variables(group):
            self._slots.setdefault(name, len(self._slots))
        for name in hidden_variables(group):
            self._slots.setdefault(name, len(self._slots))
        self.names = tuple(dict.fromkeys(variables(group)))
        first = next((n for n, element in enumerate(group) if isinstance(element, Bind | Values | OptionalGroup)), len(group))
        self._starts = [n for n in range(first) if isinstance(group[n], tuple) and not isinstance(group[n][1], Variable)]  # type: ignore[index]
        self._needed = [_fixed(element) for element in group if isinstance(element, tuple) and not isinstance(element[1], Variable)]
        self._sought = [_fixed(group[n]) for n in self._starts]  # type: ignore[arg-type]
        self._chains: dict[int, Step] = {}
        possible = _possible(group)
        self.reads = frozenset(name for pattern in every_pattern(group) for name in _asked(pattern, possible))
        self.needs = frozenset(str(obj) if predicate == TYPE and obj is not None else predicate for predicate, obj in self._needed)
        self._chain(self._starts[0] if self._starts else -1)

    def solutions(self, index: Index) -> list[tuple[Term | None, ...]]:
        """Every solution over an index, as values in the order of `names`."""
        for predicate, obj in self._needed:
            if not index.fitting(predicate, obj):
                return []
        start, least = -1, -1
        for place, (predicate, obj) in zip(self._starts, self._sought, strict=True):
            number = index.fitting(predicate, obj)
            if least < 0 or number < least:
                start, least = place, number
        index.found = []
        self._chain(start)([None] * len(self._slots), index)
        return index.found

    def _chain(self, start: int) -> Step:
        found = self._chains.get(start)
        if found is None:
            width = len(self.names)

            def collect(solution: Solution, index: Index) -> bool:
                index.found.append(tuple(solution[:width]))
                return False

            group = self._group
            ordered = group if start < 0 else (group[start], *group[:start], *group[start + 1 :])
            found = self._chains[start] = _Compiler(self._slots).link(ordered, set(), start >= 0)(collect)
        return found


class _Compiler:
    """Puts the elements of a group in an order in which each finds bound what it needs, and links them."""

    def __init__(self, slots: dict[str, int]) -> None:
        self.slots = slots

    def link(self, group: Sequence[Element], bound: set[str], fixed_start: bool = False) -> Link:
        everything = bound | set(variables(tuple(group)))
        waiting: list[tuple[set[str], Link]] = []
        doubtful = (
            set().union(*(variables(e.group) for e in group if isinstance(e, OptionalGroup)))
            - set(variables(tuple(e for e in group if not isinstance(e, OptionalGroup))))
            - bound
        )
        for asked in [element.expression for element in group if isinstance(element, Filter)]:
            if doubtful & variables_of_exists(asked):
                raise Unsupported("EXISTS asks about what OPTIONAL may have left unbound")
            waiting.append((variables_of(asked) & everything, self.filter(asked, everything)))
        bound, unsure = set(bound), set[str]()
        links: list[Link] = []

        def keep() -> None:
            for needs, link in [w for w in waiting if w[0] <= bound]:
                links.append(link)
                waiting.remove((needs, link))

        keep()
        segment: list[Pattern] = []
        for element in (*group, None):
            if isinstance(element, tuple):
                segment.append(element)
                continue
            if isinstance(element, Filter):
                continue
            while segment:
                pattern = segment.pop(0) if fixed_start else segment.pop(_next(segment, bound))
                fixed_start = False
                if unsure & _named(pattern):
                    raise Unsupported("a pattern after OPTIONAL uses what it may have left unbound")
                links.append(self.pattern(pattern, bound))
                bound |= _named(pattern)
                keep()
            if isinstance(element, Bind):
                links.append(self.bind(element, bound))
                bound.add(element.name)
            elif isinstance(element, Values):
                links.append(self.values(element, bound))
                bound |= set(element.names)
            elif isinstance(element, OptionalGroup):
                new = set(variables(element.group)) - bound
                links.append(self.maybe(element, bound, new))
                bound |= new
                unsure |= new
            keep()
        links.extend(link for _, link in waiting)

        def linked(after: Step) -> Step:
            for link in reversed(links):
                after = link(after)
            return after

        return linked

    def pattern(self, pattern: Pattern, bound: set[str]) -> Link:
        subject, predicate, obj = pattern
        if (isinstance(predicate, Variable) and predicate.name not in bound) or (isinstance(subject, Variable) and subject == obj):
            raise Unsupported("a predicate that nothing binds, or one variable twice in a pattern")
        reads_subject = self.reader(subject, bound)
        reads_object = self.reader(obj, bound)
        s = self.slots[subject.name] if isinstance(subject, Variable) else -1
        o = self.slots[obj.name] if isinstance(obj, Variable) else -1
        if isinstance(predicate, Variable):
            return by_bound_predicate(self.slots[predicate.name], reads_subject, reads_object, s, o)
        p = str(predicate)
        if reads_subject and reads_object:
            return check(p, reads_subject, reads_object)
        if reads_subject:
            return forward(p, reads_subject, o)
        if reads_object:
            return backward(p, reads_object, s)
        return everywhere(p, s, o)

    def reader(self, slot: Variable | Term, bound: set[str]) -> Callable[[Solution], Term] | None:
        if not isinstance(slot, Variable):
            return lambda _: slot
        place = self.slots[slot.name]
        return (lambda solution: solution[place]) if slot.name in bound else None

    def filter(self, expression: Expression, everything: set[str]) -> Link:
        value = compile_expression(expression, self.slots, lambda e: self.exists(e, everything))

        def link(after: Step) -> Step:
            def step(solution: Solution, index: Index) -> bool:
                try:
                    if not truth(value(solution, index)):
                        return False
                except ExpressionError:
                    return False
                return after(solution, index)

            return step

        return link

    def exists(self, exists: Exists, everything: set[str]) -> Value:
        group, sure = exists.group, everything & set(every_variable(exists.group))
        search = self.link(group, sure)(lambda _solution, _index: True)
        negated = exists.negated

        def found(solution: Solution, index: Index) -> bool:
            return search(solution, index) is not negated

        return found

    def bind(self, bind: Bind, bound: set[str]) -> Link:
        if bind.name in bound:
            raise Unsupported("BIND names a variable that is bound already")
        place = self.slots[bind.name]
        unseen = variables_of(bind.expression) - bound
        if unseen:
            raise Unsupported(f"BIND reads {sorted(unseen)} before anything binds them")
        value = compile_expression(bind.expression, self.slots, lambda e: self.exists(e, bound))

        def link(after: Step) -> Step:
            def step(solution: Solution, index: Index) -> bool:
                try:
                    solution[place] = value(solution, index)
                except ExpressionError:
                    solution[place] = None
                return after(solution, index)

            return step

        return link

    def values(self, values: Values, bound: set[str]) -> Link:
        places = [(self.slots[name], name in bound, n) for n, name in enumerate(values.names)]
        rows = values.rows

        def link(after: Step) -> Step:
            def step(solution: Solution, index: Index) -> bool:
                for row in rows:
                    if any(known and not same(solution[place], row[n]) for place, known, n in places):
                        continue
                    for place, known, n in places:
                        if not known:
                            solution[place] = row[n]
                    if after(solution, index):
                        return True
                return False

            return step

        return link

    def maybe(self, maybe: OptionalGroup, bound: set[str], new: set[str]) -> Link:
        flag = self.slots.setdefault(f"maybe {len(self.slots)}", len(self.slots))
        inner = self.link(maybe.group, bound)
        cleared = [self.slots[name] for name in new]

        def link(after: Step) -> Step:
            def matched(solution: Solution, index: Index) -> bool:
                solution[flag] = True
                return after(solution, index)

            search = inner(matched)

            def step(solution: Solution, index: Index) -> bool:
                solution[flag] = False
                if search(solution, index):
                    return True
                if solution[flag]:
                    return False
                for place in cleared:
                    solution[place] = None
                return after(solution, index)

            return step

        return link


# What is read


def _asked(pattern: Pattern, possible: dict[str, frozenset[str]]) -> frozenset[str]:
    """The predicates and classes that a pattern asks about."""
    _, predicate, obj = pattern
    if isinstance(predicate, Variable):
        return possible.get(predicate.name, frozenset((ANYTHING,)))
    if predicate != TYPE:
        return frozenset((str(predicate),))
    return possible.get(obj.name, frozenset((TYPE,))) if isinstance(obj, Variable) else frozenset((str(obj),))


def _possible(group: Group) -> dict[str, frozenset[str]]:
    """The IRIs that a variable can stand for, where the group names them: by `IN`, or as the outcomes of a binding."""
    found: dict[str, frozenset[str]] = {}
    for element in group:
        if isinstance(element, Bind):
            outcomes = _outcomes(element.expression)
            if outcomes is not None:
                found[element.name] = outcomes
        elif isinstance(element, Filter) and isinstance(element.expression, Call) and element.expression.name == "IN":
            variable, *listed = element.expression.operands
            if isinstance(variable, Variable) and all(isinstance(one, str) for one in listed):
                found[variable.name] = frozenset(map(str, listed))
    return found


def _outcomes(expression: Expression) -> frozenset[str] | None:
    """The IRIs that an expression can come to; none where it can come to something else."""
    if isinstance(expression, Call) and expression.name == "IF":
        yes, no = (_outcomes(operand) for operand in expression.operands[1:])
        return None if yes is None or no is None else yes | no
    return frozenset((expression,)) if isinstance(expression, str) else None


# Order


def _next(segment: Sequence[Pattern], bound: set[str]) -> int:
    """The pattern to go on with: the one that what is bound narrows most, the earlier of equals."""

    def openness(number: int) -> tuple[int, int]:
        subject, predicate, obj = segment[number]
        if isinstance(predicate, Variable) and predicate.name not in bound:
            return 5, number
        known_subject = not isinstance(subject, Variable) or subject.name in bound
        known_object = not isinstance(obj, Variable) or obj.name in bound
        if known_subject:
            return (0 if known_object else 1), number
        return (2 if isinstance(obj, Variable) and known_object else 3 if known_object else 4), number

    return min(range(len(segment)), key=openness)


def _fixed(pattern: Pattern) -> tuple[str, Term | None]:
    return str(pattern[1]), None if isinstance(pattern[2], Variable) else pattern[2]


def _named(pattern: Pattern) -> set[str]:
    return {slot.name for slot in pattern if isinstance(slot, Variable)}
