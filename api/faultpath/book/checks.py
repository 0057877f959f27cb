"""What is wrong with a book, before anything is judged by it: each fault with file, line, what was expected and the nearest name.

An engine of SHACL skips silently what it does not know, and a misspelt property is met by nothing: a rule would hold that should fail.
So a book with a fault is refused.
"""

import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import cache
from typing import Literal, TypeAlias

from faultpath.base.problems import Problem, nearest
from faultpath.base.terms import CODE, EDITIONS, FIRST, INST, LABEL, NIL, RDFS, REST, SH, TYPE, XSD, short
from faultpath.base.triples import Term
from faultpath.book.loader import BrokenBook, LoadedBook, load_book
from faultpath.book.vocabulary import Path, PathStep, Vocabulary, read_vocabulary

LEAF, GROUP = SH + "PropertyShape", SH + "NodeShape"
COMBINATIONS = ("property", "node", "and", "or", "not")
Constraint: TypeAlias = Literal["hasValue", "in", "minCount", "maxCount", "minInclusive", "maxInclusive", "lessThanOrEquals"]
CONSTRAINTS: tuple[Constraint, ...] = ("hasValue", "in", "minCount", "maxCount", "minInclusive", "maxInclusive", "lessThanOrEquals")
RECORD = (LABEL, CODE + "requires", CODE + "why", CODE + "standing")
_LISTS = ("and", "or", "in")
_NUMBERS = {XSD + "integer": int, XSD + "decimal": (int, Decimal)}


@cache
def sound_book() -> LoadedBook:
    """The book that comes along, checked once. Raises BrokenBook with every fault."""
    book = load_book()
    found = faults(book)
    if found:
        raise BrokenBook(found)
    return book


def faults(book: LoadedBook) -> list[Problem]:
    """Every fault of a book; the pointer of each is its file and line."""
    return [*_Checks(book).faults()]


class _Checks:
    """One look through a book. Each check yields problems; `_at` finds where."""

    def __init__(self, book: LoadedBook) -> None:
        self.book, self.graph = book, book.shapes
        self.words: Vocabulary = read_vocabulary(book.ontology)
        self.defined = set(book.ontology.subjects())
        self.shapes = {s for kind in (LEAF, GROUP) for s in self.graph.instances(kind)}
        self.texts = self.graph.instances(CODE + "Text")

    def faults(self) -> Iterator[Problem]:
        named = list(self._terms())
        yield from named
        structure = [fault for shape in sorted(self.shapes) for fault in (self._leaf(shape) if self._is_leaf(shape) else self._group(shape))]
        structure += [fault for rule in self.graph.instances(CODE + "Rule") for fault in self._once(rule, RECORD)]
        structure += [fault for text in self.texts for fault in self._text(text)]
        yield from structure
        if not named and not structure:
            yield from self._meaning()

    # Where

    def _at(self, subject: str, word: str = "") -> str:
        """File and line of a subject, or of a word in what is said about it."""
        name = self.book.file_of(subject)
        lines = self.book.turtle.get(name, "").splitlines()
        local = subject.split("#")[1] if "#" in subject else None
        start = re.compile(rf"(?:\w*:|<[^>\s]*#){re.escape(local)}>?\s+a\b" if local else r"<>\s+a\b")
        first = next((number for number, line in enumerate(lines) if start.match(line)), 0 if not subject.startswith("_:") else -1)
        if word and name:
            near = range(max(first, 0), len(lines))
            said = re.compile(rf"(?<![\w-]){re.escape(word)}(?![\w-])")
            first = next((number for number in near if said.search(lines[number])), first)
        return f"{name}, line {max(first, 0) + 1}" if name else short(subject)

    def _fault(self, subject: str, found: str, expected: str, word: str = "", close: str | None = None) -> Problem:
        return Problem(self._at(subject, word), found, expected, close)

    # Terms

    def _terms(self) -> Iterator[Problem]:
        """Every term of ours that a shape or a record uses is defined."""
        for subject, predicate, value in self.graph:
            for term in (predicate, value):
                if not isinstance(term, str) or term in self.defined:
                    continue
                if term.startswith((INST, CODE)):
                    known = [short(other) for other in self.defined if other.startswith(INST if term.startswith(INST) else CODE)]
                    yield self._fault(subject, f"{short(term)!r} is not defined.", "Expected a term of the ontology.", short(term), nearest(short(term), known))
                elif term.startswith(EDITIONS) and term == value:
                    known = [short(iri) for iri in self.book.ontology.instances(CODE + "Edition")]
                    expected = "Expected one of: " + ", ".join(sorted(known)) + "."
                    yield self._fault(subject, f"{short(term)!r} is not an edition of the book.", expected, short(term), nearest(short(term), known))
        for key, ranges in (("standing", "Standing"), ("effort", "Effort")):
            words = self.book.ontology.instances(CODE + ranges)
            for subject, value in ((s, v) for s in self.graph.subjects() for v in self.graph.values(s, CODE + key) if v in self.defined and v not in words):
                expected = "Expected one of: " + ", ".join(map(short, words)) + "."
                yield self._fault(subject, f"{short(str(value))} is no {key}.", expected, short(str(value)))

    # Structure

    def _is_leaf(self, shape: str) -> bool:
        return (shape, TYPE, LEAF) in self.graph

    def _once(self, shape: str, predicates: tuple[str, ...]) -> Iterator[Problem]:
        for predicate in predicates:
            count = len(self.graph.values(shape, predicate))
            if count != 1:
                yield self._fault(shape, f"{short(shape)} has {count} of {_written(predicate)}.", "Expected one.", _written(predicate) if count else "")

    def _unknown(self, shape: str, allowed: tuple[str, ...]) -> Iterator[Problem]:
        for predicate in self.graph.properties(shape):
            name = predicate.removeprefix(SH)
            if predicate.startswith(SH) and name not in allowed:
                expected = "Expected of SHACL only: " + ", ".join(allowed) + "."
                yield self._fault(shape, f"{short(shape)} uses sh:{name}, which the judge does not read.", expected, f"sh:{name}", nearest(name, allowed))

    def _leaf(self, shape: str) -> Iterator[Problem]:
        if shape.startswith("_:"):
            yield self._fault(shape, "A condition has no name.", "Expected a named shape, so that it can be blamed.", "sh:path")
        yield from self._unknown(shape, ("path", "message", *CONSTRAINTS))
        yield from self._once(shape, (LABEL, SH + "path", SH + "message"))
        named = [name for name in CONSTRAINTS if self.graph.values(shape, SH + name)]
        if len(named) != 1:
            yield self._fault(shape, f"{short(shape)} has {len(named)} constraints.", "Expected one of: " + ", ".join(CONSTRAINTS) + ".")
        for name in named:
            yield from self._once(shape, (SH + name,))
            if name in _LISTS:
                yield from self._list(shape, name)
        for path in self.graph.values(shape, SH + "path")[:1]:
            if self._path(path) is None:
                found = f"The path of {short(shape)} is not read."
                yield self._fault(shape, found, "Expected a property, or a list of properties, each walked forwards.", "sh:path")

    def _group(self, shape: str) -> Iterator[Problem]:
        is_text = shape in self.texts
        if shape.startswith("_:"):
            yield self._fault(shape, "A group of conditions has no name.", "Expected a named shape, so that it can be blamed.")
        yield from self._unknown(shape, (*COMBINATIONS, *(("targetClass",) if is_text else ())))
        if not is_text:
            yield from self._once(shape, (LABEL,))
        used = [name for name in COMBINATIONS if self.graph.values(shape, SH + name)]
        if len(used) != 1:
            yield self._fault(shape, f"{short(shape)} combines its parts in {len(used)} ways.", "Expected one of: " + ", ".join(COMBINATIONS) + ".")
        for name in used:
            if name in ("not", "and", "or"):
                yield from self._once(shape, (SH + name,))
            if name in _LISTS:
                yield from self._list(shape, name)
            for part in self._members(shape, name) or ():
                if part not in self.shapes:
                    close = nearest(short(str(part)), [short(other) for other in self.shapes if other.split("#")[0] == str(part).split("#")[0]])
                    yield self._fault(shape, f"No shape is called {short(str(part))!r}.", "Expected a shape of the book.", short(str(part)), close)

    def _list(self, shape: str, name: str) -> Iterator[Problem]:
        if not self._members(shape, name):
            yield self._fault(shape, f"sh:{name} of {short(shape)} is no list with something in it.", "Expected a list of at least one.", f"sh:{name}")

    def _members(self, shape: str, name: str) -> list[Term] | None:
        """The parts or values of a shape by one predicate; None for a list that is none."""
        values = self.graph.values(shape, SH + name)
        return self._items(values[0]) if name in _LISTS and values else list(values)

    def _items(self, head: Term) -> list[Term] | None:
        found: list[Term] = []
        seen: set[Term] = set()
        while head != NIL:
            first, rest = self.graph.values(str(head), FIRST), self.graph.values(str(head), REST)
            if head in seen or len(first) != 1 or len(rest) != 1:
                return None
            seen.add(head)
            found.append(first[0])
            head = rest[0]
        return found

    def _path(self, path: Term) -> Path | None:
        """The steps of a path; None for what the judge does not walk."""
        items = self._items(path) if self.graph.values(str(path), FIRST) else [path]
        if not items or any(not isinstance(item, str) or item.startswith("_:") for item in items):
            return None
        return tuple(PathStep(str(item)) for item in items)

    def _text(self, text: str) -> Iterator[Problem]:
        yield from self._once(text, (CODE + "of", SH + "targetClass"))
        for cls in self.graph.iris(text, SH + "targetClass"):
            if cls in self.defined and cls not in self.words.superclasses:
                yield self._fault(text, f"{short(cls)} is no class of installations.", "Expected a class.", short(cls))
        if text not in self.shapes or self._is_leaf(text):
            yield self._fault(text, f"{short(text)} is a text and no group of conditions.", "Expected sh:NodeShape among its types.")

    # Meaning: only of a book whose structure stands.

    def _meaning(self) -> Iterator[Problem]:
        reached: dict[str, dict[str, None]] = {}
        for text in self.texts:
            target = self.graph.text(text, SH + "targetClass")
            if self._is_circular(text):
                yield self._fault(text, f"{short(text)} leads back to a shape on the way to it.", "Expected conditions that end.")
                continue
            below = list(self._below(text))
            for shape in below:
                reached.setdefault(shape, {})[target] = None
            top = self._members(text, next(name for name in COMBINATIONS if self.graph.values(text, SH + name))) or []
            for shape in (s for s in below if (s, TYPE, CODE + "Outside") in self.graph and s not in top):
                yield self._fault(shape, f"{short(shape)} is an outside condition inside another.", "Expected it directly in the text's sh:or.")
            if any((str(s), TYPE, CODE + "Outside") in self.graph for s in top) and not self.graph.values(text, SH + "or"):
                yield self._fault(
                    text, f"{short(text)} has an outside condition beside what is required.", "Expected sh:or: any outside condition silences the text."
                )
        for shape in sorted(self.shapes - set(self.texts)):
            if shape not in reached:
                yield self._fault(shape, f"No text leads to {short(shape)}.", "Expected each condition to be used.")
            elif self._is_leaf(shape):
                for target in reached[shape]:
                    yield from self._walk(shape, target)
        cured = ((s, str(v)) for s in self.graph.subjects() for v in self.graph.values(s, CODE + "cures"))
        for remedy, shape in cured:
            if shape not in self.shapes:
                close = nearest(short(shape), map(short, self.shapes))
                yield self._fault(remedy, f"No condition is called {short(shape)!r}.", "Expected a condition of the rule.", short(shape), close)

    def _below(self, shape: str) -> Iterator[str]:
        for name in COMBINATIONS:
            for part in (self._members(shape, name) or ()) if self.graph.values(shape, SH + name) else ():
                yield str(part)
                yield from self._below(str(part))

    def _is_circular(self, shape: str, above: frozenset[str] = frozenset()) -> bool:
        if shape in above:
            return True
        parts = [str(p) for name in COMBINATIONS if self.graph.values(shape, SH + name) for p in self._members(shape, name) or ()]
        return any(self._is_circular(part, above | {shape}) for part in parts)

    def _walk(self, leaf: str, target: str) -> Iterator[Problem]:
        """Each step can follow on the one before, and the value that is asked for is one that the last can have."""
        at = target
        last = None
        for step in self._path(self.graph.values(leaf, SH + "path")[0]) or ():
            last = self.words.properties.get(step.property)
            word = short(step.property)
            if last is None:
                yield self._fault(leaf, f"{word} is no property of installations.", "Expected one.", word)
                return
            if last.kind == "note":
                yield self._fault(leaf, f"{word} is a note: unknown, it would read as none.", "Expected an attribute or a list.", word)
            if last.domain not in self.words.superclasses.get(at, frozenset()) | self.words.subclasses.get(at, frozenset()):
                family = [short(p.iri) for p in self.words.properties.values() if p.domain in self.words.superclasses.get(at, frozenset())]
                yield self._fault(leaf, f"{word} is no property of a {short(at)}.", f"Expected a property of a {short(at)}.", word, nearest(word, family))
                return
            at = last.range
        if last is not None:
            name = next(name for name in CONSTRAINTS if self.graph.values(leaf, SH + name))
            yield from self._values(leaf, name, self._members(leaf, name) or [], last.range)
            if name == "lessThanOrEquals":
                other = self.words.properties.get(self.graph.text(leaf, SH + name))
                if other is None or {last.range, other.range} - set(_NUMBERS):
                    yield self._fault(leaf, f"{short(leaf)} compares what is no number.", "Expected two properties whose values are numbers.", f"sh:{name}")
                elif other.domain not in self.words.superclasses[target] | self.words.subclasses[target]:
                    yield self._fault(leaf, f"{short(other.iri)} is no property of a {short(target)}.", "Expected a property of the target.", short(other.iri))

    def _values(self, leaf: str, name: str, values: list[Term], ranges: str) -> Iterator[Problem]:
        """The arguments of a constraint are of the kind that the property has, and leave something that fails."""
        if name in ("minCount", "maxCount"):
            if type(values[0]) is not int or values[0] < (1 if name == "minCount" else 0):
                yield self._fault(leaf, f"sh:{name} {values[0]} cannot fail.", "Expected a whole number that something can fall short of.", f"sh:{name}")
            return
        if name == "lessThanOrEquals":
            return
        fits, expected = self._fitting(ranges)
        for value in values:
            if not fits(value):
                said = short(value) if isinstance(value, str) else str(value).lower()
                close = nearest(said, map(short, self.words.codes.get(ranges, ())))
                yield self._fault(leaf, f"{said} is no value that the property can have.", expected, said, close)
        if name in ("minInclusive", "maxInclusive") and ranges not in _NUMBERS:
            yield self._fault(leaf, f"sh:{name} bounds what is no number.", "Expected a property whose values are numbers.", f"sh:{name}")
        every = set(self.words.codes[ranges].values()) if ranges in self.words.codes else {True, False} if ranges == XSD + "boolean" else None
        if (name == "in" and every is not None and every <= set(values)) or (name == "minInclusive" and not isinstance(values[0], str) and values[0] <= 0):
            yield self._fault(leaf, f"{short(leaf)} cannot fail.", "Expected a value that the condition leaves out.", f"sh:{name}")

    def _fitting(self, ranges: str) -> tuple[Callable[[Term], bool], str]:
        """Which values a property of this range can have, and how to say so."""
        if ranges in self.words.codes:
            words = self.words.codes[ranges]
            return (lambda value: value in words.values()), "Expected one of: " + ", ".join(words) + "."
        if ranges == XSD + "boolean":
            return (lambda value: isinstance(value, bool)), "Expected true or false."
        if ranges == XSD + "integer":
            return (lambda value: type(value) is int), "Expected a whole number, written as one."
        if ranges == XSD + "decimal":
            return (lambda value: isinstance(value, (int, Decimal)) and not isinstance(value, bool)), "Expected a number."
        return (lambda _: True), ""


def _written(iri: str) -> str:
    """An IRI as Turtle has it."""
    namespaces = {"sh:": SH, "code:": CODE, "rdfs:": RDFS}
    return next((prefix for prefix, namespace in namespaces.items() if iri.startswith(namespace)), "") + short(iri)
