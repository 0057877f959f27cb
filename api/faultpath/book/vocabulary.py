"""The ontology as the code reads it: which classes, properties and code words there are, and what their absence means."""

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Literal, NamedTuple, TypeAlias

from faultpath.base.terms import (
    ALT_LABEL,
    CODE,
    CODE_WORD,
    DEFINITION,
    DOMAIN,
    FIRST,
    INST,
    LABEL,
    OWL,
    RANGE,
    SH,
    SUBCLASS,
    TYPE,
    XSD,
    short,
)
from faultpath.base.triples import Graph
from faultpath.book.loader import load_book

FactKind: TypeAlias = Literal["attribute", "list", "note"]


class PathStep(NamedTuple):
    """One step of a path: a property, forwards or backwards. A tuple, because walks are looked up by their path."""

    property: str
    inverse: bool = False


Path: TypeAlias = tuple[PathStep, ...]


@dataclass(frozen=True)
class Property:
    """A property of the ontology.

    `key` is its key in the JSON document; `kind` says what a missing value means; `exists_if` names the yes-or-no property
    that, stated false, means that there is no value; `derived_by` names the derivation that concludes it, empty for what
    people state; `spoken` is how the fact is said; `settled_by` are the paths along which a missing stated fact is looked for, the first
    that has one; `settled_also_by` those whose end may settle it by itself, whatever else is missing.
    """

    iri: str
    key: str
    kind: FactKind
    domain: str
    range: str
    nested: bool
    required: bool
    exists_if: str
    derived_by: str
    label: str
    definition: str
    asks: str
    spoken: str
    unit: str
    settled_by: tuple[Path, ...]
    settled_also_by: tuple[Path, ...]

    @property
    def many(self) -> bool:
        """Whether a document writes it as a list."""
        return self.kind == "list" or (self.nested and self.kind == "note")


@dataclass(frozen=True)
class Vocabulary:
    """Classes with their superclasses, properties, and the code words of each code class.

    `kinds` maps the word that a document uses for the kind of a thing to its class; `item_kinds` gives, for a class that
    documents list, the words that may stand in `kind`.
    """

    properties: dict[str, Property]
    superclasses: dict[str, frozenset[str]]
    subclasses: dict[str, frozenset[str]]
    labels: dict[str, str]
    synonyms: dict[str, tuple[str, ...]]
    codes: dict[str, dict[str, str]]
    kinds: dict[str, str]
    _documented: dict[str, dict[str, Property]] = field(default_factory=dict, compare=False, repr=False)
    _nested: dict[str, dict[str, Property]] = field(default_factory=dict, compare=False, repr=False)
    _lists: dict[str, tuple[str, ...]] = field(default_factory=dict, compare=False, repr=False)

    def is_a(self, cls: str, other: str) -> bool:
        """Whether `cls` is `other` or one of its subclasses."""
        return other in self.superclasses.get(cls, frozenset((cls,)))

    def document_properties(self, cls: str) -> dict[str, Property]:
        """The properties, by JSON key, that a document may state of a `cls` or of one of its kinds."""
        found = self._documented.get(cls)
        if found is None:
            family = self.subclasses[cls] | self.superclasses[cls]
            found = self._documented[cls] = {p.key: p for p in self.properties.values() if not p.derived_by and p.domain in family}
        return found

    def nested_properties(self, cls: str) -> dict[str, Property]:
        """Those among them whose values are parts written inside."""
        found = self._nested.get(cls)
        if found is None:
            found = self._nested[cls] = {key: prop for key, prop in self.document_properties(cls).items() if prop.nested}
        return found

    def list_keys(self, cls: str) -> tuple[str, ...]:
        """The keys of those among them that are lists."""
        found = self._lists.get(cls)
        if found is None:
            found = self._lists[cls] = tuple(key for key, prop in self.document_properties(cls).items() if prop.kind == "list")
        return found

    def is_reference(self, prop: Property) -> bool:
        """Whether a document writes a property as the id of another part."""
        return not (prop.nested or prop.range.startswith(XSD) or self.is_a(prop.range, CODE_WORD))

    def item_kinds(self, cls: str) -> dict[str, str]:
        """The kinds of a listed class, by the word that documents use; empty where there is nothing to choose."""
        return {word: kind for word, kind in self.kinds.items() if kind != cls and cls in self.superclasses[kind]}


def kebab(name: str) -> str:
    """`MainBondingJumper` as documents write it: `main-bonding-jumper`."""
    return re.sub(r"(?<!^)(?=[A-Z])", "-", name).lower()


def read_path(graph: Graph, term: str) -> Path:
    """A SHACL path of the book: a predicate, an inverse, or a sequence of these."""
    if graph.values(term, FIRST):
        return tuple(step for member in graph.members(term) for step in read_path(graph, str(member)))
    inverse = graph.value(term, SH + "inversePath")
    if inverse is not None:
        return (PathStep(str(inverse), inverse=True),)
    return (PathStep(term),)


def _paths(graph: Graph, iri: str, predicate: str) -> tuple[Path, ...]:
    head = graph.value(iri, CODE + predicate)
    return tuple(read_path(graph, str(path)) for path in graph.members(str(head))) if head else ()


def _property(graph: Graph, iri: str, kind: str) -> Property:
    return Property(
        iri=iri,
        key=graph.text(iri, CODE + "key") or short(iri),
        kind={"Attribute": "attribute", "List": "list", "Note": "note"}[short(kind)],  # type: ignore[arg-type]
        domain=graph.text(iri, DOMAIN),
        range=graph.text(iri, RANGE),
        nested=bool(graph.value(iri, CODE + "nested")),
        required=bool(graph.value(iri, CODE + "required")),
        exists_if=graph.text(iri, CODE + "existsIf"),
        derived_by=graph.text(iri, CODE + "derivedBy"),
        label=graph.text(iri, LABEL),
        definition=graph.text(iri, DEFINITION),
        asks=graph.text(iri, CODE + "asks"),
        spoken=graph.text(iri, CODE + "spoken"),
        unit=graph.text(iri, CODE + "unit"),
        settled_by=_paths(graph, iri, "settledBy"),
        settled_also_by=_paths(graph, iri, "settledAlsoBy"),
    )


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary of the book that comes along."""
    return read_vocabulary(load_book().ontology)


def read_vocabulary(graph: Graph) -> Vocabulary:
    """The vocabulary of an ontology."""
    classes = [cls for cls in graph.instances(OWL + "Class") if cls.startswith(INST)]
    superclasses: dict[str, frozenset[str]] = {}

    def ancestors(cls: str) -> frozenset[str]:
        if cls not in superclasses:
            above = (ancestors(parent) for parent in graph.iris(cls, SUBCLASS) if parent.startswith(INST))
            superclasses[cls] = frozenset((cls,)).union(*above)
        return superclasses[cls]

    for cls in classes:
        ancestors(cls)
    subclasses = {cls: frozenset(c for c in classes if cls in superclasses[c]) for cls in classes}
    properties = {}
    for iri in graph.subjects():
        kind = graph.value(iri, CODE + "fact")
        if kind is not None:
            properties[iri] = _property(graph, iri, str(kind))
    codes = {cls: {short(word): word for word in graph.instances(cls)} for cls in classes if CODE_WORD in superclasses[cls] and cls != CODE_WORD}
    stated = (c for c in classes if CODE_WORD not in superclasses[c] and graph.value(c, CODE + "derivedBy") is None)
    leaves = (c for c in stated if subclasses[c] == {c})
    return Vocabulary(
        properties=properties,
        superclasses=superclasses,
        subclasses=subclasses,
        labels={iri: graph.text(iri, LABEL) for iri in graph.subjects() if graph.text(iri, LABEL)},
        synonyms={iri: tuple(map(str, graph.values(iri, ALT_LABEL))) for iri in graph.subjects()},
        codes=codes,
        kinds={kebab(short(cls)): cls for cls in leaves},
    )


def types_of(graph: Graph, node: str) -> frozenset[str]:
    """The classes of a node, superclasses included."""
    above = vocabulary().superclasses
    return frozenset().union(*(above.get(str(cls), frozenset((str(cls),))) for cls in graph.values(node, TYPE)))
