"""What only the whole document shows: ids used twice, references that lead nowhere, keys on the wrong kind, supply loops."""

from collections.abc import Iterator
from typing import Any

from faultpath.base.problems import Problem
from faultpath.base.terms import INSTALLATION, short
from faultpath.book.hints import hint
from faultpath.book.vocabulary import Property, vocabulary

Part = dict[str, Any]
# Words of the ontology for what a document states once of all its parts.
ONE_BUILDING, NOTHING_PLANNED, SINGLE_SETS = "one-building", "nothing-planned", "single-sets-of-conductors"


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
    yield from _broken_conventions(document)
    yield from _miscounted_cords(document)
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
        if listed > run["wires"] or (listed < run["wires"] and "conductors" in run.get("complete", [])):
            found = f"{run['id']} has {run['wires']} wires, and its conductors come to {listed}."
            yield Problem(f"/runs/{index}/wires", found, f"Expected the same number here and in /runs/{index}/conductors, or one of them left out.")


def _bad_reference(at: str, reference: str, prop: Property, classes: dict[str, str]) -> Iterator[Problem]:
    words = vocabulary()
    if reference not in classes:
        fitting = [i for i, cls in classes.items() if words.is_a(cls, prop.range)]
        yield Problem(at, f"Nothing has the id {reference!r}.", f"Expected the id of a {words.labels[prop.range]}.", hint(reference, fitting))
    elif not words.is_a(classes[reference], prop.range):
        yield Problem(at, f"{reference!r} is a {words.labels[classes[reference]]}.", f"Expected the id of a {words.labels[prop.range]}.")


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
