"""The WHERE clause of a derivation as data: patterns, filters, bindings and optional parts, in the order in which they are written.

Only the plain style that derivations use is read. Anything else raises Unsupported, and then the SPARQL engine answers.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from faultpath.base.triples import Term
from faultpath.derivation.patterns import PREFIX, Pattern, Slot, Variable, tokenize


class Unsupported(ValueError):
    """A form of query that is not read here."""


@dataclass(frozen=True)
class Call:
    """An operator or function with its operands."""

    name: str
    operands: tuple["Expression", ...]


@dataclass(frozen=True)
class Exists:
    """Whether a group has a solution, or has none."""

    group: "Group"
    negated: bool


Expression: TypeAlias = Call | Exists | Variable | Term


@dataclass(frozen=True)
class Filter:
    """Keeps the solutions of its group for which the expression is true."""

    expression: Expression


@dataclass(frozen=True)
class Bind:
    """Gives a variable the value of an expression; none where the expression is in error."""

    expression: Expression
    name: str


@dataclass(frozen=True)
class Values:
    """Rows of constants for variables."""

    names: tuple[str, ...]
    rows: tuple[tuple[Term, ...], ...]


@dataclass(frozen=True)
class OptionalGroup:
    """An OPTIONAL group."""

    group: "Group"


Element: TypeAlias = Pattern | Filter | Bind | Values | OptionalGroup
Group: TypeAlias = tuple[Element, ...]
Token: TypeAlias = tuple[str, Slot | str]

_FUNCTIONS = {"IF": 3, "BOUND": 1, "CEIL": 1, "FLOOR": 1, "STR": 1}
_CASTS = {"http://www.w3.org/2001/XMLSchema#integer": "INTEGER"}
_LEVELS: tuple[tuple[str, ...], ...] = (("||",), ("&&",), ("=", "!=", "<", "<=", ">", ">="), ("+", "-"), ("*", "/"))
_JOINED = ("&&", "||", "!=", "<=", ">=")


def read_where(query: str) -> Group:
    """The group of `SELECT … WHERE { … }`. Raises Unsupported."""
    prefixes = dict(PREFIX.findall(query))
    match = re.search(r"\bWHERE\s*\{", query)
    if match is None:
        raise Unsupported("there is no WHERE clause")
    reader = _Reader(list(tokenize(query[match.end() - 1 :], prefixes)))
    group = reader.group()
    if reader.at != len(reader.tokens):
        raise Unsupported("something follows the WHERE clause")
    return group


class _Reader:
    """Reads a group by recursive descent."""

    def __init__(self, tokens: list[Token]) -> None:
        self.tokens = tokens
        self.at = 0

    def peek(self, ahead: int = 0) -> Token:
        place = self.at + ahead
        return self.tokens[place] if place < len(self.tokens) else ("end", "")

    def take(self) -> Token:
        found = self.peek()
        self.at += 1
        return found

    def took(self, kind: str, value: str) -> bool:
        if self.peek() == (kind, value):
            self.at += 1
            return True
        return False

    def expect(self, mark: str) -> None:
        if not self.took("mark", mark):
            raise Unsupported(f"{mark!r} expected, found {self.peek()[1]!r}")

    def group(self) -> Group:
        self.expect("{")
        found: list[Element] = []
        while not self.took("mark", "}"):
            if self.took("mark", "."):
                continue
            kind, value = self.peek()
            if kind == "term":
                found.extend(self.triples())
            elif kind == "word" and value in ("FILTER", "BIND", "VALUES", "OPTIONAL"):
                self.at += 1
                found.append(self.clause(str(value)))
            else:
                raise Unsupported(f"{value!r} inside a group")
        return tuple(found)

    def clause(self, word: str) -> Element:
        if word == "FILTER":
            return Filter(self.exists() or self.bracketed())
        if word == "BIND":
            return self.bind()
        return self.values() if word == "VALUES" else OptionalGroup(self.group())

    def term(self) -> Slot:
        kind, value = self.take()
        if kind != "term":
            raise Unsupported(f"a term expected, found {value!r}")
        return value

    def triples(self) -> Iterator[Pattern]:
        subject = self.term()
        while True:
            predicate = self.term()
            yield subject, predicate, self.term()
            while self.took("mark", ","):
                yield subject, predicate, self.term()
            if not self.took("mark", ";"):
                return

    def exists(self) -> Exists | None:
        negated = self.peek() == ("word", "NOT") and self.peek(1) == ("word", "EXISTS")
        if negated:
            self.at += 1
        return Exists(self.group(), negated) if self.took("word", "EXISTS") else None

    def bracketed(self) -> Expression:
        self.expect("(")
        found = self.expression()
        self.expect(")")
        return found

    def bind(self) -> Bind:
        self.expect("(")
        found = self.expression()
        name = self.term() if self.took("word", "AS") else None
        self.expect(")")
        if not isinstance(name, Variable):
            raise Unsupported("BIND names a variable")
        return Bind(found, name.name)

    def values(self) -> Values:
        many = self.took("mark", "(")
        names = []
        while self.peek()[0] == "term":
            names.append(self.term())
        if many:
            self.expect(")")
        self.expect("{")
        rows = []
        while not self.took("mark", "}"):
            rows.append(tuple(self.row(many, len(names))))
        if not all(isinstance(name, Variable) for name in names):
            raise Unsupported("VALUES names variables")
        return Values(tuple(name.name for name in names if isinstance(name, Variable)), tuple(rows))

    def row(self, many: bool, width: int) -> Iterator[Term]:
        if many:
            self.expect("(")
        for _ in range(width):
            value = self.term()
            if isinstance(value, Variable):
                raise Unsupported("VALUES holds constants")
            yield value
        if many:
            self.expect(")")

    # Expressions

    def operator(self, among: tuple[str, ...]) -> str | None:
        """The operator that comes next, if it is one of these; marks come one by one."""
        if self.peek()[0] != "mark":
            return None
        first, second = str(self.peek()[1]), str(self.peek(1)[1]) if self.peek(1)[0] == "mark" else ""
        found = first + second if first + second in _JOINED else first
        if found not in among:
            return None
        self.at += len(found)
        return found

    def expression(self, level: int = 0) -> Expression:
        if level == len(_LEVELS):
            return self.unary()
        found = self.expression(level + 1)
        while True:
            name = self.operator(_LEVELS[level])
            if name is not None:
                found = Call(name, (found, self.expression(level + 1)))
            elif _LEVELS[level][0] == "=" and self.peek() in (("word", "IN"), ("word", "NOT")):
                negated = self.took("word", "NOT")
                if not self.took("word", "IN"):
                    raise Unsupported("NOT without IN")
                listed = Call("IN", (found, *self.listed()))
                found = Call("!", (listed,)) if negated else listed
            else:
                return found

    def listed(self) -> Iterator[Expression]:
        self.expect("(")
        while True:
            yield self.expression()
            if not self.took("mark", ","):
                break
        self.expect(")")

    def unary(self) -> Expression:
        if self.operator(("!",)):
            return Call("!", (self.unary(),))
        if self.peek() == ("mark", "("):
            return self.bracketed()
        found = self.exists()
        if found is not None:
            return found
        kind, value = self.take()
        if kind == "word" and value in _FUNCTIONS:
            return self.call(str(value), _FUNCTIONS[str(value)])
        if kind == "term" and isinstance(value, str) and self.peek() == ("mark", "("):
            if value not in _CASTS:
                raise Unsupported(f"the function {value}")
            return self.call(_CASTS[value], 1)
        if kind != "term":
            raise Unsupported(f"{value!r} inside an expression")
        return value

    def call(self, name: str, operands: int) -> Call:
        found = Call(name, tuple(self.listed()))
        if len(found.operands) != operands:
            raise Unsupported(f"{name} with {len(found.operands)} operands")
        return found
