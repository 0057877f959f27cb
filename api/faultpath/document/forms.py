"""Questions about one size without a house: each form of the book is a small installation with a few facts to fill in.

shapes/forms/<conductor>.json   what it asks about, its fields and where they go, and the installation to fill in
"""

import copy
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from faultpath.base.terms import INST
from faultpath.book.loader import load_book
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.document.consistency import Part, walk

_FOLDER = "shapes/forms/"


@dataclass(frozen=True)
class Field:
    """A fact to fill in: the key that a request uses, the property that it states, and the words that it may take if these are few."""

    key: str
    states: Property | None
    words: tuple[str, ...]
    at: tuple[str, ...]


@dataclass(frozen=True)
class Form:
    """A form: which conductor it sizes, in trade words, and its fields. `about` is the id of the conductor in its installation."""

    key: str
    says: str
    about: str
    fields: dict[str, Field]
    document: Part

    def filled(self, values: Mapping[str, Any]) -> Part:
        """The installation with values in their places; what is left out stays unknown."""
        document = copy.deepcopy(self.document)
        for key, value in values.items():
            for pointer in self.fields[key].at:
                above, _, last = pointer.rpartition("/")
                at: Any = document
                for step in above.strip("/").split("/"):
                    at = at[int(step)] if isinstance(at, list) else at[step]
                at[last] = value
        return document

    def field_at(self, pointer: str) -> str | None:
        """The field that a JSON Pointer into the installation belongs to."""
        return next((field.key for field in self.fields.values() if any(pointer == at or pointer.startswith(at + "/") for at in field.at)), None)


@cache
def forms() -> dict[str, Form]:
    """Every form of the book by key."""
    found = {}
    for path, text in load_book().files.items():
        if path.startswith(_FOLDER):
            key, form = path.removeprefix(_FOLDER).removesuffix(".json"), json.loads(text)
            found[key] = Form(key, form["says"], form["about"], {f.key: f for f in _fields(form)}, form["document"])
    return found


def _fields(form: dict[str, Any]) -> Iterator[Field]:
    classes = {pointer: cls for pointer, cls, _ in walk(form["document"])}
    for key, pointers in form["fields"].items():
        above, _, last = pointers[0].rpartition("/")
        if last == "kind":
            yield Field(key, None, tuple(vocabulary().item_kinds(classes[above])), tuple(pointers))
            continue
        states = vocabulary().document_properties(classes[above])[last]
        few = states.range in vocabulary().codes and states.range != INST + "Size"
        yield Field(key, states, tuple(vocabulary().codes[states.range]) if few else (), tuple(pointers))
