"""The same diagram as a text outline, for screen readers and terminals: the supply from each source down, with the findings on each part."""

from collections.abc import Iterator

from faultpath.base.outcomes import Outcome
from faultpath.document.consistency import Part
from faultpath.present.diagrams.boxes import bonded_words, run_lines, work_word
from faultpath.present.diagrams.scene import Scene

_NO_WRAP = 10_000.0


def outline(found: Scene) -> str:
    """The outline, two spaces a level."""
    seen: set[str] = set()
    lines = [f"{found.title}, edition {found.edition}"]
    fed = {run["to"] for run in found.listed("runs")}
    heads = [*found.listed("sources"), *(part for part in found.listed("equipment") if part["id"] not in fed)]
    for head in heads:
        lines += _node(found, head["id"], 0, seen)
    for part in (*found.listed("electrodes"), *found.listed("electrodeJoints")):
        if part["id"] not in seen:
            lines += [f"{part['id']}: {found.kind(part['id'])}{_tags(found, part['id'])}", *_onward(found, part["id"], 1, seen)]
    for body in found.listed("metalBodies"):
        lines.append(f"{body['id']}: {found.kind(body['id'])}, bonded to: {bonded_words(body)}{_tags(found, body['id'])}")
    lines += [f"{building['id']}: {found.kind(building['id'])}{_tags(found, building['id'])}" for building in found.listed("buildings")]
    return "\n".join(lines) + "\n"


def _node(found: Scene, identifier: str, depth: int, seen: set[str]) -> Iterator[str]:
    part, space = found.parts[identifier], "  " * depth
    if identifier in seen:
        yield f"{space}{identifier}, told above"
        return
    seen.add(identifier)
    said = [found.kind(identifier), found.roles.get(identifier, ""), part.get("location", ""), work_word(part)]
    yield f"{space}{identifier}: {', '.join(word for word in said if word)}{_tags(found, identifier)}"
    for bond in part.get("bonds", []):
        ends = " to ".join(str(bond.get(end, "not known")).rpartition("/")[2] for end in ("from", "to"))
        yield f"{space}  {bond['id']}: {found.kind(bond['id'])}, {ends}{f', {verdict}' if (verdict := found.verdict(bond['id'])) else ''}"
    for conductor in found.landing(identifier):
        if conductor["id"] not in seen:
            yield from _electrode(found, conductor, identifier, depth + 1, seen)
    for run in found.outgoing(identifier):
        lacking = ", no equipment grounding conductor" if run["id"] in found.missing else ""
        words = [word for word in run_lines(found, run, _NO_WRAP) if word != "no equipment grounding conductor"]
        yield f"{space}  by {run['id']}: {', '.join(word for word in words if word != run['id'])}{lacking}{_tags(found, run['id'])}"
        yield from _node(found, run["to"], depth + 2, seen)


def _electrode(found: Scene, conductor: Part, here: str, depth: int, seen: set[str]) -> Iterator[str]:
    seen.add(conductor["id"])
    far = found.far_end(conductor, here)
    size = " ".join(filter(None, (str(conductor.get("size", "size not stated")).replace("-", " "), conductor.get("material"))))
    kind = f": {found.kind(far)}" if far in found.classes else ""
    yield f"{'  ' * depth}by {conductor['id']}, {size}, to {far}{kind}{_tags(found, conductor['id'])}{'' if far in seen else _tags(found, far)}"
    yield from _onward(found, far, depth + 1, seen)


def _onward(found: Scene, here: str, depth: int, seen: set[str]) -> Iterator[str]:
    """What hangs on at an electrode or a joint; equipment tells of itself."""
    if here in found.classes and not found.is_a(here, "Equipment"):
        seen.add(here)
        for conductor in found.onward(here):
            if conductor["id"] not in seen:
                yield from _electrode(found, conductor, here, depth, seen)


def _tags(found: Scene, identifier: str) -> str:
    said = [f"{tag.number} {'fails' if tag.outcome is Outcome.FAILS else 'cannot be decided'}" for tag in found.tags.get(identifier, ())]
    return f" [{'; '.join(said)}]" if said else ""
