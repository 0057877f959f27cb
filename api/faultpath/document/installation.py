"""An installation: document to asserted graph and back, by way of one normal form.

The normal form is JSON that is also JSON-LD under our context: every part has an id and a kind, every list says whether
it is complete, every terminal that something lands on is listed. What is read from RDF gets no defaults: it states all.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from itertools import islice
from typing import Any, cast

from pydantic import ValidationError

from faultpath.base.problems import MOST_PROBLEMS, BadInput, Problem, nearest, pointer
from faultpath.base.terms import COMPLETE, INST, INSTALLATION, NODE, TYPE, XSD, short
from faultpath.base.triples import Graph, Term, TextLiteral, Triple, decimal_text
from faultpath.book.vocabulary import Property, kebab, vocabulary
from faultpath.document.consistency import ONE_BUILDING, SINGLE_SETS, Part, class_of, misfits, parts, walk
from faultpath.document.models import explain, model_of

_TERMINAL, _BOND, _RUN, _EQUIPMENT = (INST + name for name in ("Terminal", "Bond", "Run", "Equipment"))


@dataclass(frozen=True)
class Installation:
    """A well-formed installation: its normal form and the graph that the form states."""

    id: str
    document: Part
    graph: Graph


def iri_of(identifier: str) -> str:
    """The IRI of a document id; a full IRI stands for itself."""
    return identifier if identifier.startswith(("http://", "https://", "urn:")) else NODE + identifier


def id_of(iri: str) -> str:
    """The document id of an IRI."""
    return iri[len(NODE) :] if iri.startswith(NODE) else iri


def read_document(document: Any, *, defaults: bool = True) -> Installation:
    """Read a JSON document. Raises BadInput with every problem found.

    With `defaults`, what plain JSON leaves to convention is written out: lists that are present are complete, a disconnect that is
    described exists. That conductors are one set, equipment stands in the one building or parts exist is taken from the conventions
    that the document itself states, and from nothing else.
    """
    try:
        model = model_of(INSTALLATION).model_validate(document)
    except ValidationError as error:
        raise BadInput(explain(cast(dict[str, Any], e)) for e in error.errors(include_url=False)[:MOST_PROBLEMS]) from error
    normal = model.model_dump(by_alias=True, exclude_none=True)
    _name_parts(normal, INSTALLATION, normal["id"], defaults)
    if defaults:
        _state_conventions(normal)
    _list_terminals(normal)
    problems = list(islice(misfits(normal), MOST_PROBLEMS))
    if problems:
        raise BadInput(problems)
    written = _ordered(normal, INSTALLATION)
    return Installation(normal["id"], {"@context": "context.jsonld", **written}, Graph(_triples(written, INSTALLATION)))


def plain_part(part: Part, cls: str) -> Part:
    """A new part as the normal form writes it, with what plain JSON leaves to convention; planned wiring is one set if it says no more."""
    _name_parts(part, cls, part["id"], defaults=True)
    if cls == _RUN and "conductors" in part["complete"]:
        part.setdefault("parallelSets", 1)
    if cls == _EQUIPMENT:
        _state_disconnect(part)
    return part


def read_graph(graph: Graph) -> Installation:
    """Read an installation stated as triples. Raises BadInput; nothing that was stated is dropped silently."""
    heads = graph.instances(INSTALLATION)
    if len(heads) != 1:
        raise BadInput(
            [
                Problem(
                    "",
                    f"The graph describes {len(heads)} installations.",
                    "Expected exactly one inst:Installation, kinds stated; plain JSON goes as application/json.",
                )
            ]
        )
    used: set[Triple] = set()
    installation = read_document(_document_of(graph, heads[0], INSTALLATION, used), defaults=False)
    left = [triple for triple in graph if triple not in used]
    if left:
        subject, predicate, _ = left[0]
        known = vocabulary().properties
        if predicate not in known and predicate not in (TYPE, COMPLETE):
            close = nearest(short(predicate), [short(iri) for iri, p in known.items() if not p.derived_by])
            raise BadInput([Problem(pointer([id_of(subject)]), f"The property <{predicate}> is not defined.", "Expected a property of the ontology.", close)])
        raise BadInput(
            [
                Problem(
                    pointer([id_of(subject)]),
                    f"{id_of(subject)} {short(predicate)} does not belong to the installation.",
                    "Expected every node to be reached from the installation, with properties of its kind.",
                )
            ]
        )
    return installation


# Naming and conventions


def _name_parts(part: Part, cls: str, name: str, defaults: bool) -> None:
    """Give every part an id and a kind, and say of every list whether it is complete."""
    part.setdefault("id", name)
    part.setdefault("kind", short(cls))
    lists = vocabulary().list_keys(cls)
    if lists:
        given = part.get("complete")
        part["complete"] = sorted(given if given is not None else [key for key in lists if defaults and key in part])
        for key in part["complete"]:
            part.setdefault(key, [])
    numbers: dict[str, int] = {}
    for prop, key, inner in parts(part, cls):
        stem = key.split("/")[0]
        if "/" in key:
            numbers[stem] = numbers.get(stem, 0) + 1
            stem = f"{stem.removesuffix('s')}-{numbers[stem]}"
        owner = "" if cls == INSTALLATION else part["id"] + "/"
        _name_parts(inner, prop.range, owner + stem, defaults)


def _state_conventions(document: Part) -> None:
    ids = {part["id"] for _, _, part in walk(document)}
    if ONE_BUILDING in document.get("conventions", []) and "buildings" not in document:
        name = next(n for n in ("main-building", f"{document['id']}-main-building") if n not in ids)
        document["buildings"] = [{"id": name, "kind": "Building"}]
        document["complete"] = sorted([*document["complete"], "buildings"])
    for part in document.get("runs", []) if SINGLE_SETS in document.get("conventions", []) else ():
        part.setdefault("parallelSets", 1)
    for part in document.get("equipment", []):
        _state_disconnect(part)


def _state_disconnect(part: Part) -> None:
    if "disconnect" in part:
        part.setdefault("hasDisconnect", True)


def _list_terminals(document: Part) -> None:
    """Write terminals by their full id and list those that something lands on with their equipment."""
    words = _terminal_words()
    equipment = {item["id"]: item for item in document.get("equipment", [])}

    def listed(reference: str) -> None:
        owner, _, word = reference.rpartition("/")
        if owner in equipment and word in words:
            terminals = equipment[owner].setdefault("terminals", [])
            if all(terminal["id"] != reference for terminal in terminals):
                terminals.append({"id": reference, "kind": word})

    for item in equipment.values():
        for bond in item.get("bonds", []):
            for end in ("from", "to"):
                if bond.get(end) in words:
                    bond[end] = f"{item['id']}/{bond[end]}"
                if end in bond:
                    listed(bond[end])
    for conductor in document.get("electrodeConductors", []):
        listed(conductor["from"])
        listed(conductor["to"])
    for body in document.get("metalBodies", []):
        for reference in body.get("bondedTo", []):
            listed(reference)


@cache
def _terminal_words() -> frozenset[str]:
    return frozenset(kebab(short(cls)) for cls in vocabulary().subclasses[_TERMINAL])


# Graph and back


def _ordered(part: Part, cls: str) -> Part:
    """A part with its keys in the order of the ontology and its numbers in canonical form."""
    properties = vocabulary().document_properties(cls)
    written: Part = {"id": part["id"], "kind": part["kind"]}
    for key, prop in properties.items():
        # An empty list that is not complete says nothing, and triples cannot say it.
        if key not in part or (part[key] == [] and key not in part.get("complete", [])):
            continue
        value = part[key]
        if isinstance(value, Decimal):
            text = decimal_text(value)
            value = text if "." in text else int(text)
        elif prop.nested:
            value = [_ordered(v, prop.range) for v in value] if isinstance(value, list) else _ordered(value, prop.range)
        written[key] = value
    if "complete" in part:
        written["complete"] = part["complete"]
    return written


def _term(prop: Property, value: Any) -> Term:
    if prop.range == XSD + "string":
        return TextLiteral(value)
    if prop.range == XSD + "decimal":
        return Decimal(value)
    if prop.range.startswith(XSD):
        return cast(Term, value)
    codes = vocabulary().codes.get(prop.range)
    return codes[value] if codes else iri_of(value)


def _triples(part: Part, cls: str) -> Iterator[Triple]:
    node = iri_of(part["id"])
    properties = vocabulary().document_properties(cls)
    yield node, TYPE, class_of(part, cls)
    for key in part.get("complete", []):
        yield node, COMPLETE, properties[key].iri
    for key, written in part.items():
        prop = properties.get(key)
        if prop is None:
            continue
        for value in written if isinstance(written, list) else [written]:
            if prop.nested:
                yield node, prop.iri, iri_of(value["id"])
                yield from _triples(value, prop.range)
            else:
                yield node, prop.iri, _term(prop, value)


def _document_of(graph: Graph, node: str, cls: str, used: set[Triple]) -> Part:
    """The document that a graph states of a node, noting the triples that it used."""
    words = vocabulary()
    stated = graph.properties(node)
    part: Part = {}
    if not node.startswith("_:"):
        part["id"] = id_of(node)
    kinds = [kind for kind in stated.get(TYPE, []) if words.is_a(str(kind), cls)]
    if len(kinds) > 1:
        said = " and ".join(short(str(kind)) for kind in kinds)
        raise BadInput([Problem(pointer([id_of(node)]), f"{id_of(node)} is of two kinds, {said}.", "Expected one kind, the narrowest.")])
    for kind in kinds:
        used.add((node, TYPE, kind))
        part["kind"] = kebab(short(str(kind))) if words.item_kinds(cls) else short(cls)
    properties = words.document_properties(cls)
    complete = []
    for iri in stated.get(COMPLETE, []):
        key = next((k for k, p in properties.items() if p.iri == iri and p.kind == "list"), None)
        if key is not None:
            used.add((node, COMPLETE, iri))
            complete.append(key)
    if any(p.kind == "list" for p in properties.values()):
        part["complete"] = sorted(complete)
    for key, prop in properties.items():
        values = stated.get(prop.iri, [])
        if not values:
            if key in complete:
                part[key] = []
            continue
        used.update((node, prop.iri, value) for value in values)
        read = _reader(graph, prop, used)
        part[key] = [read(v) for v in values] if prop.many or len(values) > 1 else read(values[0])
    return part


def _reader(graph: Graph, prop: Property, used: set[Triple]) -> Callable[[Term], Any]:
    if prop.nested:
        return lambda value: _document_of(graph, str(value), prop.range, used)
    if prop.range in vocabulary().codes:
        return lambda value: short(str(value))
    if prop.range.startswith(XSD):
        return lambda value: decimal_text(value) if isinstance(value, Decimal) else str(value) if isinstance(value, TextLiteral) else value
    return lambda value: id_of(str(value))
