"""A set of triples as dictionaries: the form in which the judge reads an installation.

An IRI is a plain `str`; a string literal is `TextLiteral`; numbers and booleans are Python values. pyoxigraph parses and
serialises; this module only turns its terms into these and back.
"""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import lru_cache
from typing import Any, TypeAlias

import pyoxigraph as ox

from faultpath.base.terms import FIRST, NIL, REST, TYPE, XSD


class TextLiteral(str):
    """A string literal, told apart from an IRI by its class."""

    __slots__ = ()


class DateTimeLiteral(TextLiteral):
    """An instant, as XML Schema writes it."""

    __slots__ = ()


Term: TypeAlias = str | bool | int | Decimal
Triple: TypeAlias = tuple[str, str, Term]
OxNode: TypeAlias = ox.NamedNode | ox.BlankNode
OxTerm: TypeAlias = ox.NamedNode | ox.BlankNode | ox.Literal | ox.Triple

_INTEGER, _DECIMAL, _BOOLEAN, _STRING = (XSD + name for name in ("integer", "decimal", "boolean", "string"))
_INTEGER_FORM = re.compile(r"[+-]?[0-9]{1,40}")
_DECIMAL_FORM = re.compile(r"[+-]?(?:[0-9]{1,40}(?:\.[0-9]{0,40})?|\.[0-9]{1,40})")
_BOOLEANS = {"true": True, "1": True, "false": False, "0": False}
_NOTHING: list[Any] = []


class PredicateTable:
    """The triples of one predicate: objects by subject, in order, and subjects by object as soon as somebody asks for them."""

    __slots__ = ("_by_object", "by_subject", "size")

    def __init__(self) -> None:
        self.by_subject: dict[str, list[Term]] = {}
        self._by_object: dict[Term, list[str]] | None = None
        self.size = 0

    def add(self, subject: str, obj: Term) -> bool:
        """Add a triple; False if it was there already."""
        objects = self.by_subject.get(subject)
        if objects is None:
            self.by_subject[subject] = [obj]
        elif obj in objects:
            return False
        else:
            objects.append(obj)
        self.size += 1
        if self._by_object is not None:
            self._by_object.setdefault(obj, []).append(subject)
        return True

    @property
    def by_object(self) -> dict[Term, list[str]]:
        """The subjects of each object, in order."""
        found = self._by_object
        if found is None:
            found = {}
            for subject, objects in self.by_subject.items():
                for obj in objects:
                    found.setdefault(obj, []).append(subject)
            # Only when it is whole: other threads may ask for it.
            self._by_object = found
        return found

    def copy(self) -> "PredicateTable":
        """A table of its own with the same triples."""
        other = PredicateTable()
        other.by_subject = {subject: list(objects) for subject, objects in self.by_subject.items()}
        other.size = self.size
        return other


_NO_TRIPLES = PredicateTable()


class Graph:
    """Triples by predicate, each once. Graphs that are alike share tables: one that is shared is copied before a triple is added to it."""

    __slots__ = ("_own", "tables")

    def __init__(self, triples: Iterable[Triple] = ()) -> None:
        self.tables: dict[str, PredicateTable] = {}
        self._own: set[str] = set()
        for triple in triples:
            self.add(triple)

    def add(self, triple: Triple) -> bool:
        """Add a triple; False if it was there already."""
        subject, predicate, obj = triple
        return self.own(predicate).add(subject, obj)

    def table(self, predicate: str) -> PredicateTable:
        """The triples of a predicate, to read."""
        return self.tables.get(predicate, _NO_TRIPLES)

    def own(self, predicate: str) -> PredicateTable:
        """The table of a predicate, to add to."""
        table = self.tables.get(predicate)
        if table is None or predicate not in self._own:
            table = self.tables[predicate] = PredicateTable() if table is None else table.copy()
            self._own.add(predicate)
        return table

    def share(self, predicate: str, table: PredicateTable) -> None:
        """Take a table that other graphs have too."""
        self.tables[predicate] = table
        self._own.discard(predicate)

    def copy(self) -> "Graph":
        """A graph with the same triples, all tables shared."""
        other = Graph()
        other.tables = dict(self.tables)
        self._own.clear()
        return other

    def values(self, subject: str, predicate: str) -> list[Term]:
        """The objects of `subject predicate`, in order."""
        return self.tables.get(predicate, _NO_TRIPLES).by_subject.get(subject, _NOTHING)

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
        return self.table(TYPE).by_object.get(cls, _NOTHING)

    def properties(self, subject: str) -> dict[str, list[Term]]:
        """All predicates of a subject with their objects."""
        return {predicate: table.by_subject[subject] for predicate, table in self.tables.items() if subject in table.by_subject}

    def subjects(self) -> Iterator[str]:
        """Every subject, those with a type first."""
        found = dict.fromkeys(self.table(TYPE).by_subject)
        for table in self.tables.values():
            found.update(dict.fromkeys(table.by_subject))
        return iter(found)

    def members(self, head: str) -> list[Term]:
        """The members of an RDF list."""
        found: list[Term] = []
        while head != NIL:
            found.append(self.values(head, FIRST)[0])
            head = str(self.values(head, REST)[0])
        return found

    def __contains__(self, triple: Triple) -> bool:
        subject, predicate, obj = triple
        return obj in self.values(subject, predicate)

    def __iter__(self) -> Iterator[Triple]:
        """Every triple, subject by subject."""
        found: dict[str, list[Triple]] = {subject: [] for subject in self.subjects()}
        for predicate, table in self.tables.items():
            for subject, objects in table.by_subject.items():
                found[subject].extend([(subject, predicate, obj) for obj in objects])
        for triples in found.values():
            yield from triples

    def __len__(self) -> int:
        return sum(table.size for table in self.tables.values())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Graph) and len(self) == len(other) and all(triple in other for triple in self)

    __hash__ = None  # type: ignore[assignment]  # a graph changes; it is no dictionary key


def is_literal(term: Term) -> bool:
    """Whether a term is a literal rather than an IRI or blank node."""
    return not isinstance(term, str) or isinstance(term, TextLiteral)


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
    return TextLiteral(term.value)


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
    if isinstance(term, DateTimeLiteral):
        return ox.Literal(str(term), datatype=named_to_ox(XSD + "dateTime"))
    if isinstance(term, TextLiteral):
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
