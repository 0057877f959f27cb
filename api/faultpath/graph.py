"""A set of triples as dictionaries: the form in which the judge reads an installation.

An IRI is a plain `str`; a string literal is `Text`; numbers and booleans are Python values. pyoxigraph parses and
serialises; this module only turns its terms into these and back.
"""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import lru_cache
from typing import TypeAlias

import pyoxigraph as ox

from faultpath.terms import FIRST, NIL, REST, TYPE, XSD


class Text(str):
    """A string literal, told apart from an IRI by its class."""

    __slots__ = ()


Term: TypeAlias = str | bool | int | Decimal
Triple: TypeAlias = tuple[str, str, Term]
OxNode: TypeAlias = ox.NamedNode | ox.BlankNode
OxTerm: TypeAlias = ox.NamedNode | ox.BlankNode | ox.Literal | ox.Triple

_INTEGER, _DECIMAL, _BOOLEAN, _STRING = (XSD + name for name in ("integer", "decimal", "boolean", "string"))
_INTEGER_FORM = re.compile(r"[+-]?[0-9]{1,40}")
_DECIMAL_FORM = re.compile(r"[+-]?(?:[0-9]{1,40}(?:\.[0-9]{0,40})?|\.[0-9]{1,40})")
_BOOLEANS = {"true": True, "1": True, "false": False, "0": False}
_EMPTY: dict[str, list[Term]] = {}
_NOTHING: list[Term] = []


class Graph:
    """Triples indexed by subject and predicate, in the order in which they were added, each once."""

    __slots__ = ("_by_type", "_spo", "_triples")

    def __init__(self, triples: Iterable[Triple] = ()) -> None:
        self._triples: dict[Triple, None] = {}
        self._spo: dict[str, dict[str, list[Term]]] = {}
        self._by_type: dict[str, list[str]] = {}
        for triple in triples:
            self.add(triple)

    def add(self, triple: Triple) -> bool:
        """Add a triple; False if it was there already."""
        if triple in self._triples:
            return False
        self._triples[triple] = None
        subject, predicate, obj = triple
        self._spo.setdefault(subject, {}).setdefault(predicate, []).append(obj)
        if predicate == TYPE:
            self._by_type.setdefault(str(obj), []).append(subject)
        return True

    def values(self, subject: str, predicate: str) -> list[Term]:
        """The objects of `subject predicate`, in order."""
        return self._spo.get(subject, _EMPTY).get(predicate, _NOTHING)

    def value(self, subject: str, predicate: str) -> Term | None:
        """The first object of `subject predicate`, or None."""
        found = self.values(subject, predicate)
        return found[0] if found else None

    def text(self, subject: str, predicate: str) -> str:
        """The first object as a string, empty if there is none."""
        found = self.values(subject, predicate)
        return str(found[0]) if found else ""

    def iris(self, subject: str, predicate: str) -> list[str]:
        """The objects that are IRIs or blank nodes, in order."""
        return [value for value in self.values(subject, predicate) if isinstance(value, str)]

    def instances(self, cls: str) -> list[str]:
        """The subjects typed `cls`, in order."""
        return self._by_type.get(cls, [])

    def properties(self, subject: str) -> dict[str, list[Term]]:
        """All predicates of a subject with their objects."""
        return self._spo.get(subject, _EMPTY)

    def subjects(self) -> Iterator[str]:
        """Every subject, in order."""
        return iter(self._spo)

    def members(self, head: str) -> list[Term]:
        """The members of an RDF list."""
        found: list[Term] = []
        while head != NIL:
            found.append(self.values(head, FIRST)[0])
            head = str(self.values(head, REST)[0])
        return found

    def __contains__(self, triple: Triple) -> bool:
        return triple in self._triples

    def __iter__(self) -> Iterator[Triple]:
        return iter(self._triples)

    def __len__(self) -> int:
        return len(self._triples)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Graph) and self._triples.keys() == other._triples.keys()

    __hash__ = None  # type: ignore[assignment]  # a graph changes; it is no dictionary key


def is_literal(term: Term) -> bool:
    """Whether a term is a literal rather than an IRI or blank node."""
    return not isinstance(term, str) or isinstance(term, Text)


def from_ox(term: OxTerm) -> Term:
    """A pyoxigraph term as a term of ours; a blank node becomes `_:label`.

    Raises ValueError for a literal whose lexical form its datatype does not allow.
    """
    if isinstance(term, ox.NamedNode):
        return term.value
    if isinstance(term, ox.BlankNode):
        return "_:" + term.value
    if isinstance(term, ox.Triple):
        raise ValueError("a triple cannot stand inside a triple here")
    kind = term.datatype.value
    if kind == _BOOLEAN:
        if term.value not in _BOOLEANS:
            raise ValueError(f"{term.value!r} is not a boolean")
        return _BOOLEANS[term.value]
    if kind == _INTEGER:
        return int(_lexical(term.value, _INTEGER_FORM, "an integer"))
    if kind == _DECIMAL:
        return Decimal(_lexical(term.value, _DECIMAL_FORM, "a decimal"))
    return Text(term.value)


def _lexical(text: str, form: re.Pattern[str], name: str) -> str:
    """A lexical form that XSD allows; Python itself reads more than that."""
    if form.fullmatch(text) is None:
        raise ValueError(f"{text!r} is not {name}")
    return text


@lru_cache(maxsize=8192)
def node_to_ox(iri: str) -> OxNode:
    """An IRI or blank node of ours as a pyoxigraph node."""
    return ox.BlankNode(iri[2:]) if iri.startswith("_:") else ox.NamedNode(iri)


@lru_cache(maxsize=1024)
def named_to_ox(iri: str) -> ox.NamedNode:
    """An IRI of ours as a pyoxigraph named node."""
    return ox.NamedNode(iri)


def decimal_text(number: Decimal) -> str:
    """The canonical XSD lexical form of a decimal, never in exponent notation."""
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def to_ox(term: Term) -> ox.NamedNode | ox.BlankNode | ox.Literal:
    """A term of ours as a pyoxigraph term, literals in canonical form."""
    if isinstance(term, Text):
        return ox.Literal(str(term))
    if isinstance(term, str):
        return node_to_ox(term)
    if isinstance(term, bool):
        return ox.Literal(term)
    if isinstance(term, int):
        return ox.Literal(str(term), datatype=named_to_ox(_INTEGER))
    return ox.Literal(decimal_text(term), datatype=named_to_ox(_DECIMAL))


def to_ox_triple(triple: Triple) -> ox.Triple:
    """A triple of ours as a pyoxigraph triple."""
    return ox.Triple(node_to_ox(triple[0]), named_to_ox(triple[1]), to_ox(triple[2]))


def parse(data: bytes, media: ox.RdfFormat, base: str | None = None) -> Graph:
    """Parse one RDF document into a graph. Raises SyntaxError or ValueError."""
    graph = Graph()
    for quad in ox.parse(data, format=media, base_iri=base):
        subject = from_ox(quad.subject)
        if isinstance(subject, str):
            graph.add((subject, quad.predicate.value, from_ox(quad.object)))
    return graph


def serialize(triples: Iterable[Triple], media: ox.RdfFormat, prefixes: dict[str, str] | None = None) -> str:
    """Triples in an RDF syntax, in the order given."""
    written = ox.serialize([to_ox_triple(triple) for triple in triples], format=media, prefixes=prefixes or {})
    return written.decode() if written else ""
