"""What only the whole document shows: ids used twice, references that lead nowhere, keys on the wrong kind, supply loops,
and a summary that its details deny."""

from collections.abc import Iterator
from typing import Any

from faultpath.base.problems import Problem, nearest
from faultpath.base.terms import INST, INSTALLATION, short
from faultpath.book.hints import hint
from faultpath.book.loader import load_book
from faultpath.book.places import places
from faultpath.book.vocabulary import Property, vocabulary

Part = dict[str, Any]
# Words of the ontology for what a document states once of all its parts.
ONE_BUILDING, NOTHING_PLANNED, SINGLE_SETS = "one-building", "nothing-planned", "single-sets-of-conductors"
EXISTING = "existing-unless-stated"


def parts(part: Part, cls: str) -> Iterator[tuple[Property, str, Part]]:
    """The parts written inside a part, each with the property and the key path that leads to it."""
    for key, prop in vocabulary().nested_properties(cls).items():
        value = part.get(key)
        if isinstance(value, list):
            for index, item in enumerate(value):
                yield prop, f"{key}/{index}", item
        elif isinstance(value, dict):
            yield prop, key, value


def walk(document: Part) -> Iterator[tuple[str, str, Part]]:
    """Every part with its JSON Pointer and the class that its place gives it."""

    def inside(part: Part, cls: str, at: str) -> Iterator[tuple[str, str, Part]]:
        yield at, cls, part
        for prop, key, inner in parts(part, cls):
            yield from inside(inner, prop.range, f"{at}/{key}")

    return inside(document, INSTALLATION, "")


def class_of(part: Part, cls: str) -> str:
    """The class that a part's kind says, its place giving the class otherwise."""
    return vocabulary().kinds.get(part["kind"], cls) if part["kind"] != short(cls) else cls


def misfits(document: Part) -> Iterator[Problem]:
    """Every way in which the parts of a normal form do not fit together."""
    words = vocabulary()
    classes: dict[str, str] = {}
    written = list(walk(document))
    for at, cls, part in written:
        if part["id"] in classes:
            yield Problem(f"{at}/id", f"The id {part['id']!r} is used twice.", "Expected every id to be used once.")
        classes.setdefault(part["id"], class_of(part, cls))
    for at, cls, part in written:
        kind, properties = class_of(part, cls), words.document_properties(cls)
        for key in part:
            prop = properties.get(key)
            if prop is None:
                continue
            if not words.is_a(kind, prop.domain):
                yield Problem(
                    f"{at}/{key}",
                    f"A {words.labels[kind]} has no {key!r}.",
                    f"Expected {key!r} only on {words.labels[prop.domain]}.",
                    hint(key, [k for k, p in properties.items() if words.is_a(kind, p.domain)]),
                )
            elif words.is_reference(prop):
                given = part[key] if isinstance(part[key], list) else [part[key]]
                for reference in given:
                    yield from _bad_reference(f"{at}/{key}", reference, prop, classes)
    if document.get("place", "") not in ("", *places()):
        expected = "Expected a key of GET /v1/places, such as the ISO 3166-2 code of a state in small letters."
        yield Problem("/place", f"No place has the key {document['place'][:80]!r}.", expected, nearest(document["place"], places()))
    yield from _broken_conventions(document)
    yield from _miscounted_cords(document)
    yield from _misread_cords(document)
    yield from _paths_within_a_building(document)
    for at, cls, part in written:
        yield from _described_though_missing(at, part, class_of(part, cls))
        if cls == INST + "Run":
            yield from _raceway_contradictions(at, part)
    yield from _contact_contradictions(document)
    yield from _supply_loops(document)


def _broken_conventions(document: Part) -> Iterator[Problem]:
    """Where a part says otherwise than a convention that leaves no exception."""
    said = document.get("conventions", [])
    if ONE_BUILDING in said and len(document.get("buildings", [])) != 1:
        found = f"The conventions say {ONE_BUILDING!r}, and {len(document['buildings'])} buildings are listed."
        yield Problem("/buildings", found, "Expected one, or the convention left out and the building of each piece of equipment stated.")
    if NOTHING_PLANNED in said:
        for key in ("runs", "equipment"):
            for index, part in enumerate(document.get(key, [])):
                if part.get("work", "existing") != "existing":
                    found = f"The conventions say {NOTHING_PLANNED!r}, and the work on {part['id']} is {part['work']}."
                    yield Problem(f"/{key}/{index}/work", found, "Expected existing, or the convention left out.", "existing-unless-stated")


def _miscounted_cords(document: Part) -> Iterator[Problem]:
    """Where a cord says one number of wires and lists another: both are judged by, so they have to agree."""
    for index, run in enumerate(document.get("runs", [])):
        if "wires" not in run or "conductors" not in run:
            continue
        listed = sum(conductor.get("count", 1) for conductor in run["conductors"])
        # How many conductors an entry without a count stands for is not always said.
        counted = "conductors" in run.get("complete", []) and all("count" in conductor or conductor["role"] != "ungrounded" for conductor in run["conductors"])
        if listed > run["wires"] or (listed < run["wires"] and counted):
            found = f"{run['id']} has {run['wires']} wires, and its conductors come to {listed}."
            yield Problem(f"/runs/{index}/wires", found, f"Expected the same number here and in /runs/{index}/conductors, or one of them left out.")


def _misread_cords(document: Part) -> Iterator[Problem]:
    """Where the list of a cord and the contacts of its receptacle say two things of the equipment grounding conductor."""
    contacts = {item["id"]: item for item in document.get("equipment", []) if item["kind"] == "receptacle"}
    for index, run in enumerate(document.get("runs", [])):
        outlet, listed = contacts.get(run["from"], {}), run.get("conductors", [])
        total, grounded = sum(conductor.get("count", 1) for conductor in listed), any(conductor["role"] == "equipment-grounding" for conductor in listed)
        wires, slots = run.get("wires", total), outlet.get("wires", 0)
        if outlet and grounded and run.get("wires", 3) <= 2:
            found = f"{run['id']} has {wires} wires and lists an equipment grounding conductor, which leaves one to carry current."
            yield Problem(f"/runs/{index}/conductors", found, "Expected three wires or more, or no equipment grounding conductor.")
        elif "conductors" in run.get("complete", []) and not grounded and slots > outlet.get("poles", slots) and wires >= slots:
            found = f"{run['id']} has a wire for every contact of {outlet['id']}, also for the grounding one, and lists no equipment grounding conductor."
            expected = f"Expected one among /runs/{index}/conductors, fewer wires, or other contacts of the receptacle."
            yield Problem(f"/runs/{index}/conductors", found, expected)


def _paths_within_a_building(document: Part) -> Iterator[Problem]:
    """Where a metal path between two buildings is stated beside a run that stays in one."""
    only = document["buildings"][0]["id"] if ONE_BUILDING in document.get("conventions", []) and document.get("buildings") else None
    place = {item["id"]: item.get("building", only) for item in document.get("equipment", [])}
    for index, run in enumerate(document.get("runs", [])):
        here, there = place.get(run["from"]), place.get(run["to"])
        if run.get("metalPathBeside") and here is not None and here == there:
            found = f"Both ends of {run['id']} are in {here}, and a metal path between two buildings is stated beside it."
            expected = "Expected false, or piping among metalBodies that is bondedTo the equipment at both ends."
            yield Problem(f"/runs/{index}/metalPathBeside", found, expected)


def _bad_reference(at: str, reference: str, prop: Property, classes: dict[str, str]) -> Iterator[Problem]:
    words = vocabulary()
    if reference not in classes:
        fitting = [i for i, cls in classes.items() if words.is_a(cls, prop.range)]
        yield Problem(
            at,
            f"Nothing has the id {reference!r}.",
            f"Expected the id of a {words.labels[prop.range]}.",
            hint(reference, fitting) or nearest(reference, fitting),
        )
    elif not words.is_a(classes[reference], prop.range):
        yield Problem(at, f"{reference!r} is a {words.labels[classes[reference]]}.", f"Expected the id of a {words.labels[prop.range]}.")


def _described_though_missing(at: str, part: Part, cls: str) -> Iterator[Problem]:
    """What is described of a thing that is said not to be there."""
    for key, prop in vocabulary().document_properties(cls).items():
        said = vocabulary().properties[prop.exists_if].key if prop.exists_if else ""
        if key in part and part.get(said) is False:
            expected = f"Expected {said!r} to be true, or {key!r} left out."
            yield Problem(f"{at}/{key}", f"It is described, and {at}/{said} says that there is none.", expected)


def _raceway_contradictions(at: str, run: Part) -> Iterator[Problem]:
    """A metal raceway that is said to be bonded at every end, or not to be, while its ends are described otherwise."""
    said, ends = run.get("serviceBondedFittings"), run.get("racewayEnds", [])
    bonds = [_bonds_for_services(end) for end in ends]
    if said is True and False in bonds:
        index = bonds.index(False)
        found = f"It says that every end of {run['id']!r} is bonded, and {ends[index]['id']!r} is not, as {at}/racewayEnds/{index} describes it."
    elif said is False and "racewayEnds" in run["complete"] and len(bonds) > 1 and all(bonds):
        found = f"It says that an end of {run['id']!r} is not bonded, and all are, as {at}/racewayEnds describes them."
    else:
        return
    yield Problem(f"{at}/serviceBondedFittings", found, "Expected the raceway as a whole and its ends to say the same; leave one of them out.")


def _bonds_for_services(end: Part) -> bool | None:
    """Whether the end of a raceway bonds it as services need it, None where its description leaves that open."""
    jumper, opening = end.get("bondingJumper"), end.get("opening")
    suits = load_book().ontology.value(INST + end["fitting"], INST + "fittingForServices") if "fitting" in end else None
    if jumper or (suits and opening == "opening-of-its-size"):
        return True
    return False if jumper is False and (suits is False or opening == "rings-or-washers-left") else None


def _contact_contradictions(document: Part) -> Iterator[Problem]:
    """Electrodes in concrete of which it is said otherwise than of the foundation that holds them whether the earth is touched."""
    buildings = {part["id"]: (index, part) for index, part in enumerate(document.get("buildings", []))}
    for number, electrode in enumerate(document.get("electrodes", [])):
        index, building = buildings.get(electrode.get("building"), (0, {}))
        said, of_all = electrode.get("touchesEarth"), building.get("newFoundationTouchesEarth")
        if building.get("work") in ("new", "replacement") and None not in (said, of_all) and said != of_all:
            found = f"It says the opposite of /buildings/{index}/newFoundationTouchesEarth, and the foundation of {building['id']!r} is all new."
            yield Problem(f"/electrodes/{number}/touchesEarth", found, "Expected both to say the same, or one of them left out.")


def _supply_loops(document: Part) -> Iterator[Problem]:
    """A supply path that returns to where it started: the first run of each loop, in document order."""
    onward: dict[str, list[tuple[int, str]]] = {}
    for index, run in enumerate(document.get("runs", [])):
        onward.setdefault(run["from"], []).append((index, run["to"]))
    done: set[str] = set()
    for start in list(onward):
        trail: list[tuple[str, Iterator[tuple[int, str]]]] = [(start, iter(onward.get(start, [])))]
        on_trail = {start}
        while trail:
            node, edges = trail[-1]
            index, target = next(edges, (-1, ""))
            if index < 0:
                done.add(node)
                on_trail.discard(node)
                trail.pop()
            elif target in on_trail:
                yield Problem(
                    f"/runs/{index}/to", f"The supply path returns to {target!r}.", "Expected runs to lead from a source towards the loads, without a loop."
                )
                return
            elif target not in done:
                on_trail.add(target)
                trail.append((target, iter(onward.get(target, []))))
