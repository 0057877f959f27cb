"""Unknown facts of a document, and every answer that a person could give to one: what the property of monotone findings is tried on.

A fact is unknown where an attribute or a note is not stated, and where a list is not said to be complete. A list that is open can be found
complete as it stands or to have one more member, of any kind that fits. What a convention of the document states is known.
"""

import copy
import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from faultpath.base.terms import CODE_WORD, COMPLETE, INST, INSTALLATION, XSD, short
from faultpath.base.triples import Graph
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.document.consistency import class_of, walk
from faultpath.document.installation import iri_of
from generated import PLAUSIBLE, SERVICE_SIZES, STRUCTURE, Part, properties_of

# What a person says once for the whole document or of the law, not of a part; and what titles a part.
NOT_ASKED = {"title", "place", "conventions", "terminals", "@context"}
BARS = ("grounded-bar", "grounding-bar", "frame")


@dataclass(frozen=True)
class Answer:
    """One answer: where the part stands, the key, what is stated there, and whether the list is complete with it."""

    at: str
    key: str
    value: Any
    closes: bool = False

    def given(self, document: Part) -> Part:
        """The document with the answer in it."""
        filled = copy.deepcopy(document)
        part: Any = filled
        for step in self.at.split("/")[1:]:
            part = part[int(step)] if isinstance(part, list) else part[step]
        part[self.key] = [*part.get(self.key, []), *self.value] if isinstance(self.value, list) else copy.deepcopy(self.value)
        if self.closes:
            part["complete"] = sorted({*part["complete"], self.key})
        return filled


def unknown_facts(document: Part, derived: Graph) -> Iterator[tuple[str, str, list[Answer]]]:
    """Every unknown fact of a normal form, by its place and key, with the answers to it; `derived` is what follows from the form."""
    words = vocabulary()
    known_by = {prop.settled_by[0][0].property: iri for iri, prop in words.properties.items() if len(prop.settled_by) == 1 and len(prop.settled_by[0]) == 1}
    places = list(walk(document))
    classes = {part["id"]: class_of(part, cls) for _, cls, part in places}
    for at, cls, part in places:
        for key, prop in properties_of(part, cls).items():
            node = iri_of(part["id"])
            if key in NOT_ASKED or (key in part and prop.kind != "list") or (prop.kind == "list" and key in part["complete"]):
                continue
            if (node, COMPLETE, prop.iri) in derived or (prop.iri in known_by and derived.values(node, known_by[prop.iri])):
                continue
            if prop.exists_if and part.get(short(prop.exists_if)) is False:
                continue
            answers = [Answer(at, key, value) for value in _values(prop, part, classes)]
            if prop.many:
                given = part.get(key, [])
                more = [value for answer in answers if (value := answer.value) not in given]
                answers = [Answer(at, key, [value], closes) for value in more for closes in ((True, False) if prop.kind == "list" else (False,))]
                answers += [Answer(at, key, [], True)] if prop.kind == "list" else []
            if answers:
                yield at, key, answers


def _values(prop: Property, part: Part, classes: dict[str, str]) -> list[Any]:
    words = vocabulary()
    if prop.nested:
        return list(_parts(prop, part, classes))
    if prop.range == XSD + "boolean":
        return [True, False]
    if prop.range == XSD + "integer":
        return list(dict.fromkeys(PLAUSIBLE.get(short(prop.iri), (1, 2, 3, 4))))
    if prop.range == XSD + "decimal":
        return [0.5, 2, 8, 20, 25, 60]
    if prop.range == XSD + "string":
        return []
    if prop.range == INST + "Size":
        return list(SERVICE_SIZES)
    if words.is_a(prop.range, CODE_WORD):
        return sorted(words.codes[prop.range])
    fitting = [identifier for identifier, cls in classes.items() if words.is_a(cls, prop.range) and identifier != part["id"]]
    if words.is_a(INST + "Terminal", prop.range):
        own = words.is_a(class_of(part, part["kind"]), INST + "Bond")
        owners = [part["id"].rpartition("/")[0]] if own else [i for i, cls in classes.items() if words.is_a(cls, INST + "Equipment")]
        fitting += list(BARS) if own else [f"{owner}/{bar}" for owner in owners for bar in BARS]
    return list(dict.fromkeys(fitting))


def _parts(prop: Property, owner: Part, classes: dict[str, str]) -> Iterator[Part]:
    """New parts of every kind, with the facts that none may lack; a bond also as the one that joins the neutral to the case."""
    words = vocabulary()
    lists = bool(words.list_keys(prop.range))
    name = f"{owner['id']}-{prop.key}-new".replace("/", "-")
    for kind in sorted(words.item_kinds(prop.range)) or [""]:
        new: Part = {**({"id": name} if prop.many else {}), **({"kind": kind} if kind else {}), **({"complete": []} if lists else {})}
        needed = [key for key, inner in properties_of(new, prop.range).items() if inner.required]
        if not needed:
            yield new
        if prop.range == INST + "Bond":
            yield {**new, "from": "grounded-bar", "to": "frame"}
        if prop.range == INST + "Conductor":
            for role in sorted(words.codes[INST + "ConductorRole"]):
                yield {**new, "role": role}
        if needed == ["from", "to"]:
            yield from _between(new, prop.range, classes)


def _between(new: Part, cls: str, classes: dict[str, str]) -> Iterator[Part]:
    """A run between any two parts, or an electrode conductor from any electrode."""
    words = vocabulary()

    def of(kind: str) -> list[str]:
        return [identifier for identifier, found in classes.items() if words.is_a(found, INST + kind)]

    if cls == INST + "Run":
        ends = ((start, end) for start in (*of("Source"), *of("Equipment")) for end in of("Equipment") if start != end)
    else:
        landings = [f"{owner}/{bar}" for owner in of("DistributionEquipment") for bar in BARS]
        ends = ((electrode, end) for electrode in of("Electrode") for end in (*landings, *of("Electrode")) if electrode != end)
    yield from ({**new, "from": start, "to": end} for start, end in ends)


def forgotten(document: Part, chooser: random.Random, share: float) -> Part:
    """A normal form that knows less: facts and completeness are left out at random; members that others may refer to stay."""

    def less(part: Part, cls: str) -> Part:
        kept: Part = {}
        properties = properties_of(part, cls)
        for key, value in part.items():
            prop = properties.get(key)
            if key == "complete":
                value = [name for name in value if chooser.random() >= share]
            elif prop is not None:
                stays = prop.required or key in STRUCTURE or key in NOT_ASKED or (prop.nested and prop.kind == "list")
                if not stays and chooser.random() < share:
                    continue
                if prop.nested:
                    value = [less(inner, prop.range) for inner in value] if isinstance(value, list) else less(value, prop.range)
            kept[key] = value
        if "complete" in kept:
            kept["complete"] = [key for key in kept["complete"] if key in kept]
        return kept

    return less(document, INSTALLATION)
