"""The JSON-LD context of the installation document, made from the ontology."""

from functools import cache
from typing import Any

from faultpath.base.terms import CODE_WORD, COMPLETE, INST, INSTALLATION, NODE, XSD
from faultpath.book.vocabulary import Property, vocabulary


@cache
def context() -> dict[str, Any]:
    """The published context. Keys that mean different things in different parts are scoped to their part."""
    words = vocabulary()
    kinds = {word: cls for word, cls in words.kinds.items() if any(word in words.item_kinds(c) for c in words.superclasses[cls])}
    return {
        "@context": {
            "@version": 1.1,
            "@base": NODE,
            "@vocab": INST,
            "id": "@id",
            "kind": "@type",
            "complete": {"@id": COMPLETE, "@type": "@vocab"},
            **kinds,
            **_keys(INSTALLATION),
        }
    }


def _keys(cls: str) -> dict[str, Any]:
    return {key: _definition(prop) for key, prop in vocabulary().document_properties(cls).items()}


def _definition(prop: Property) -> dict[str, Any]:
    if prop.range.startswith(XSD):
        return {"@id": prop.iri, "@type": prop.range}
    if prop.nested:
        return {"@id": prop.iri, "@type": "@id", "@context": _keys(prop.range)}
    return {"@id": prop.iri, "@type": "@vocab" if vocabulary().is_a(prop.range, CODE_WORD) else "@id"}
