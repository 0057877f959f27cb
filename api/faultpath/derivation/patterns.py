"""The triple patterns of a derivation: its conclusions and the premises that a solution of its query rests on.

A derivation is one SPARQL 1.1 CONSTRUCT query in a plain style: no property paths, no blank nodes, no collections. What
stands in FILTER, BIND, VALUES and (NOT) EXISTS restricts solutions and states no premise.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from faultpath.base.terms import TYPE
from faultpath.base.triples import Term, TextLiteral, Triple


@dataclass(frozen=True)
class Variable:
    """A variable of a pattern, by name."""

    name: str


Slot: TypeAlias = Variable | Term
Pattern: TypeAlias = tuple[Slot, Slot, Slot]

_TOKEN = re.compile(
    r"""\s*(?: \#[^\n]* | (?P<iri><[^>\s]*>) | (?P<var>[?$]\w+) | (?P<string>"[^"]*")(?:\^\^(?P<cast>[\w:]+))?
    | (?P<number>-?\d+(?:\.\d+)?) | (?P<name>\w*:(?:[\w.-]|\\.|%\w\w)*[\w-]|\w+:) | (?P<word>\w+) | (?P<mark>[^\s\w?]) )""",
    re.VERBOSE,
)
PREFIX = re.compile(r"PREFIX\s+(\w*):\s*<([^>]*)>", re.IGNORECASE)


@dataclass(frozen=True)
class QueryBranch:
    """One alternative of a query's WHERE clause, as a query of its own.

    `conclusions` are the patterns of the template that it can fill, `premises` its own triple patterns. Only new triples with a
    predicate in `reads` can give it further solutions.
    """

    select: str
    conclusions: tuple[Pattern, ...]
    premises: tuple[Pattern, ...]
    reads: frozenset[str]


def read_query(text: str) -> tuple[QueryBranch, ...]:
    """Take a derivation's query apart into its alternatives. Raises ValueError for a form that the plain style does not allow."""
    prefixes = dict(PREFIX.findall(text))
    match = re.search(r"CONSTRUCT\s*\{", text)
    if match is None:
        raise ValueError("a derivation is one CONSTRUCT query")
    end = _closing(text, match.end() - 1)
    where = re.compile(r"\s*WHERE\s*").match(text, end + 1)
    if where is None:
        raise ValueError("WHERE follows the CONSTRUCT template")
    prologue = "".join(f"PREFIX {name}: <{iri}>\n" for name, iri in prefixes.items())
    conclusions = tuple(_patterns(text[match.end() : end], prefixes))
    arms = tuple(_arm(arm, prologue, prefixes, conclusions) for arm in _alternatives(text[where.end() :]))
    if set(conclusions) != {conclusion for arm in arms for conclusion in arm.conclusions}:
        raise ValueError("no alternative binds the variables of some conclusion")
    return arms


def _arm(body: str, prologue: str, prefixes: dict[str, str], conclusions: tuple[Pattern, ...]) -> QueryBranch:
    terms = [value for kind, value in tokenize(body, prefixes) if kind == "term"]
    return QueryBranch(
        select=f"{prologue}SELECT DISTINCT * WHERE {body}",
        conclusions=tuple(c for c in conclusions if all(slot in terms for slot in c if isinstance(slot, Variable))),
        premises=tuple(_patterns(body, prefixes)),
        reads=frozenset(value for value in terms if isinstance(value, str)),
    )


def _alternatives(body: str) -> list[str]:
    """The groups of a WHERE clause that is nothing but a UNION of groups, else the whole clause."""
    inside = body[body.index("{") + 1 : body.rindex("}")]
    groups, at = [], 0
    union = re.compile(r"\s*UNION\s*")
    while inside[at:].lstrip().startswith("{"):
        start = inside.index("{", at)
        end = _closing(inside, start) + 1
        groups.append(inside[start:end])
        follows = union.match(inside, end)
        if follows is None:
            return groups if not inside[end:].strip() else [body]
        at = follows.end()
    return [body]


def fill(pattern: Pattern, solution: dict[str, Term]) -> Triple | None:
    """The triple that a pattern becomes under a solution; None if a variable is unbound."""
    filled: list[Term] = []
    for slot in pattern:
        value = solution.get(slot.name) if isinstance(slot, Variable) else slot
        if value is None:
            return None
        filled.append(value)
    return str(filled[0]), str(filled[1]), filled[2]


def _closing(text: str, start: int) -> int:
    depth = 0
    for index in range(start, len(text)):
        depth += {"{": 1, "}": -1}.get(text[index], 0)
        if depth == 0:
            return index
    raise ValueError("a brace is not closed")


def tokenize(text: str, prefixes: dict[str, str]) -> Iterator[tuple[str, Slot | str]]:
    """The tokens of a query: terms with prefixes resolved, words in capitals, and single marks."""
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            return
        at = match.end()
        kind = match.lastgroup
        if kind is None:
            continue
        if match["iri"]:
            yield "term", match["iri"][1:-1]
        elif match["var"]:
            yield "term", Variable(match["var"][1:])
        elif match["string"]:
            yield ("term", TextLiteral(match["string"][1:-1])) if match["cast"] is None else ("mark", "^^")
        elif match["number"]:
            yield "term", int(match["number"]) if match["number"].lstrip("-").isdigit() else Decimal(match["number"])
        elif match["name"]:
            prefix, _, local = match["name"].partition(":")
            yield "term", prefixes[prefix] + local.replace("\\", "")
        elif match["word"] == "a":
            yield "term", TYPE
        elif match["word"] in ("true", "false"):
            yield "term", match["word"] == "true"
        elif match["word"]:
            yield "word", match["word"].upper()
        elif match["mark"]:
            yield "mark", match["mark"]


def _patterns(text: str, prefixes: dict[str, str]) -> Iterator[Pattern]:
    """The triple patterns of a group, those of its optional parts included."""
    tokens = list(tokenize(text, prefixes))
    at = 0
    slots: list[Slot] = []
    while at < len(tokens):
        kind, value = tokens[at]
        if kind == "word" and value in ("FILTER", "BIND", "VALUES", "MINUS", "EXISTS", "NOT"):
            at = _skip(tokens, at + 1, ("{",) if value == "VALUES" else ("(", "{"))
            continue
        if kind == "term":
            slots.append(value)
            if len(slots) == 3:
                yield slots[0], slots[1], slots[2]
        elif value == ";":
            slots = slots[:1]
        elif value == ",":
            slots = slots[:2]
        elif value in (".", "{", "}") or (kind == "word" and value in ("OPTIONAL", "UNION")):
            slots = []
        else:
            raise ValueError(f"{value!r} is outside the plain style of derivations")
        at += 1


def _skip(tokens: list[tuple[str, Slot | str]], at: int, openers: tuple[str, ...]) -> int:
    """The place after the bracketed expression or group that follows FILTER, BIND, VALUES, MINUS or EXISTS."""
    while tokens[at][1] not in openers:
        at += 1
    depth = 0
    while True:
        mark = tokens[at][1] if tokens[at][0] == "mark" else ""
        depth += {"(": 1, "{": 1, ")": -1, "}": -1}.get(str(mark), 0)
        at += 1
        if depth == 0:
            return at
