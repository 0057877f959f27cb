"""The document while work is carried out on it: a copy of the normal form in which parts are found, added and taken away."""

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from faultpath.base.problems import nearest
from faultpath.base.terms import INST, INSTALLATION
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import EXISTING, NOTHING_PLANNED, ONE_BUILDING, Part, class_of, parts
from faultpath.document.installation import Installation, plain_part


class Unfit(Exception):
    """A step that does not fit the document: at which of its keys, what was found, what was expected, and how to mend it."""

    def __init__(self, key: str, found: str, expected: str, close: str | None = None) -> None:
        super().__init__(f"{found} {expected}")
        self.key, self.found, self.expected, self.close = key, found, expected, close


class Location(NamedTuple):
    """A part, its class, and the list or object that it is written in."""

    part: Part
    cls: str
    owner: Part | None
    key: str


class Site:
    """A document under work. `touched` are the ids of the parts that work was done on, `unsized` those to be sized by the tables."""

    def __init__(self, installation: Installation) -> None:
        self.document: Part = copied({key: value for key, value in installation.document.items() if key != "@context"})
        self.touched: dict[str, None] = {}
        self.unsized: dict[str, None] = {}
        self._places: dict[str, Location] | None = None

    # Finding

    def places(self) -> dict[str, Location]:
        """Every part by its id."""
        if self._places is None:
            self._places = {}
            self._note(self.document, INSTALLATION, None, "")
        return self._places

    def find(self, key: str, identifier: str, *kinds: str) -> Part:
        """The part with an id, of one of some classes. Raises Unfit at the key of the step that names it."""
        place = self.places().get(identifier)
        words = vocabulary()
        wanted = [INST + kind for kind in kinds]
        named = " or ".join(words.labels[cls] for cls in wanted) or "part"
        if place is None:
            fitting = [i for i, p in self.places().items() if not wanted or any(words.is_a(p.cls, cls) for cls in wanted)]
            raise Unfit(key, f"Nothing has the id {identifier!r}.", f"Expected the id of a {named}" + _among(fitting), nearest(identifier, fitting))
        if wanted and not any(words.is_a(place.cls, cls) for cls in wanted):
            fitting = [i for i, p in self.places().items() if any(words.is_a(p.cls, cls) for cls in wanted)]
            raise Unfit(key, f"{identifier!r} is a {words.labels[place.cls]}.", f"Expected the id of a {named}" + _among(fitting))
        return place.part

    def work_on(self, key: str, identifier: str, *kinds: str) -> Part:
        """The same for the part that the work is done on."""
        found = self.find(key, identifier, *kinds)
        self.touched[identifier] = None
        return found

    def owner(self, identifier: str) -> Part:
        """The part that a part is written in."""
        owner = self.places()[identifier].owner
        return self.document if owner is None else owner

    def runs(self, start: str | None = None, end: str | None = None) -> list[Part]:
        """The runs that start or end at equipment or a source."""
        return [run for run in self.document.get("runs", []) if start in (None, run["from"]) and end in (None, run["to"])]

    def _note(self, part: Part, cls: str, owner: Part | None, key: str) -> None:
        """Note the place of a part and of what is written inside it, once places were asked for."""
        if self._places is not None:
            self._places[part["id"]] = Location(part, class_of(part, cls), owner, key)
            for prop, _, inner in parts(part, cls):
                self._note(inner, prop.range, part, prop.key)

    def _forget(self, part: Part, cls: str) -> None:
        if self._places is not None:
            self._places.pop(part["id"], None)
            for prop, _, inner in parts(part, cls):
                self._forget(inner, prop.range)

    # Changing

    def new_id(self, key: str, identifier: str) -> str:
        """An id that nothing has yet. Raises Unfit."""
        if identifier in self.places():
            raise Unfit(key, f"The id {identifier!r} is taken.", "Expected an id that nothing has yet.")
        return identifier

    def list_of(self, key: str, name: str, owner: Part | None) -> str:
        """The key of a list of parts that a part has. Raises Unfit."""
        cls = INSTALLATION if owner is None else self.places()[owner["id"]].cls
        lists = [k for k, prop in vocabulary().document_properties(cls).items() if prop.nested and prop.many]
        if name not in lists:
            raise Unfit(key, f"There is no list {name!r} here.", "Expected one of: " + ", ".join(lists) + ".", nearest(name, lists))
        return name

    def forget_places(self) -> None:
        """Look parts up anew: the document was changed, or parts were given other ids."""
        self._places = None

    def add(self, list_key: str, part: Part, owner: Part | None = None) -> Part:
        """Write a new part into a list of the document, or of a part of it; plain JSON conventions hold for what is new."""
        holder = self.document if owner is None else owner
        cls = INSTALLATION if owner is None else self.places()[owner["id"]].cls
        written = plain_part(part, vocabulary().document_properties(cls)[list_key].range)
        holder.setdefault(list_key, []).append(written)
        self._note(written, vocabulary().document_properties(cls)[list_key].range, holder, list_key)
        self.touched[written["id"]] = None
        return written

    def spell_out(self, convention: str) -> None:
        """State of each part what a convention of the document says of all, and let the convention go: planned work is about to break it."""
        said = self.document.get("conventions", [])
        if convention not in said:
            return
        said = self.document["conventions"] = [word for word in said if word != convention]
        if convention == ONE_BUILDING:
            for item in self.document.get("equipment", []):
                item.setdefault("building", self.document["buildings"][0]["id"])
        elif convention == NOTHING_PLANNED and EXISTING not in said:
            said.append(EXISTING)

    def state(self, identifier: str, stated: Part) -> None:
        """State facts of a part by key, None for what is not known any more; a list that is stated is complete."""
        part, cls, *_ = self.places()[identifier]
        for key, value in stated.items():
            if value is None:
                part.pop(key, None)
            elif isinstance(value, dict) and isinstance(part.get(key), dict):
                part[key] = {**part[key], **value}
                self.touched[part[key]["id"]] = None
            else:
                part[key] = copied(value)
        if any(isinstance(value, dict | list) for value in stated.values()):
            listed = [key for key, value in stated.items() if isinstance(value, list)]
            complete = part.get("complete")
            self.renew(part, cls)
            if complete is not None:
                part["complete"] = sorted({*complete, *listed} & set(part["complete"]) | set(complete))
        elif None in stated.values():
            self._places = None

    def renew(self, part: Part, cls: str) -> None:
        """Write out the conventions of a part of which much was replaced."""
        part.pop("complete", None)
        plain_part(part, cls)
        self._places = None

    def remove(self, identifier: str) -> None:
        """Take a part out of the list or object that it is written in."""
        part, cls, owner, key = self.places()[identifier]
        if owner is None:
            raise Unfit("", "The whole installation cannot be removed.", "Expected a part of it.")
        if isinstance(owner[key], list):
            owner[key] = [other for other in owner[key] if other is not part]
        else:
            del owner[key]
        self.touched[identifier] = None
        self._forget(part, cls)

    def leave(self, terminals: Iterable[str]) -> None:
        """Forget terminals that were listed only because something landed on them, if nothing does any more."""
        for terminal in terminals:
            place = self.places().get(terminal)
            if place is not None and place.key == "terminals" and set(place.part) <= {"id", "kind"} and not any(self.references(terminal)):
                self.remove(terminal)

    def references(self, identifier: str) -> Iterator[tuple[str, str]]:
        """Who refers to an id: the part and the key."""
        words = vocabulary()
        for place in self.places().values():
            properties = words.document_properties(place.cls)
            for key, value in place.part.items():
                refers = value == identifier or (isinstance(value, list) and identifier in value)
                if refers and key in properties and words.is_reference(properties[key]):
                    yield place.part["id"], key


def copied(value: Any) -> Any:
    """A copy of JSON data, all the way down."""
    if isinstance(value, dict):
        return {key: copied(inner) for key, inner in value.items()}
    return [copied(inner) for inner in value] if isinstance(value, list) else value


def _among(identifiers: list[str]) -> str:
    if not identifiers:
        return "; there is none."
    shown = ", ".join(identifiers[:8]) + (", …" if len(identifiers) > 8 else "")
    return f", one of: {shown}."
