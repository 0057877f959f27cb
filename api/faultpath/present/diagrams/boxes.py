"""What stands inside a box and beside a run: names, kind and part played, the disconnect, the bars and the bonds between them."""

from collections.abc import Sequence

from faultpath.base.terms import INST
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part
from faultpath.document.installation import iri_of
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.blocks import Strip
from faultpath.present.diagrams.scene import Scene
from faultpath.present.diagrams.svg import FAILS, GROUND, INK, PAPER, QUIET, UNDECIDED, Element

_ROWS = (("GroundedConductorTerminal", "neutral"), ("EquipmentGroundingTerminal", "ground"), ("Frame", "case"))
_ROW_HEIGHT, _LABEL_WIDTH = 20, 46


def box_strips(scene: Scene, identifier: str, width: float) -> list[Strip]:
    """The strips of a box, from the top down."""
    part = scene.parts[identifier]
    strips = [_words(svg.wrap(part.get("title") or identifier, width - 20, 12), 12, INK, "bold")]
    said = [scene.kind(identifier), scene.roles.get(identifier, ""), part.get("location", ""), work_word(part)]
    strips.append(_words(svg.wrap(", ".join(word for word in said if word), width - 20, 10), 10, QUIET))
    if scene.is_a(identifier, "Source"):
        return [_symbol(svg.source_symbol, 36), *strips, _words(svg.wrap(_code("System", part.get("system")), width - 20, 10), 10, QUIET)]
    if scene.is_a(identifier, "MeterEnclosure") or scene.is_a(identifier, "MeterDisconnect"):
        strips.append(_symbol(svg.meter_symbol, 26))
    if "disconnect" in part:
        strips.append(_disconnect(part["disconnect"], width))
    bars = _bars(scene, part)
    return [*strips, *([bars] if bars else [])]


def work_word(part: Part) -> str:
    """The work planned on a part; nothing for one that stays as it is."""
    return "" if part.get("work") in (None, "existing") else str(part["work"])


def _code(cls: str, word: str | None) -> str:
    """A code word as people read it."""
    return vocabulary().labels[vocabulary().codes[INST + cls][word]] if word else ""


def _words(lines: Sequence[str], size: float, fill: str, weight: str = "") -> Strip:
    def draw(parent: Element, x: float, y: float, _: float) -> None:
        svg.text_lines(parent, x + 10, y + size, lines, size, fill, weight)

    return Strip(len(lines) * size * 1.3 + (2 if lines else 0), draw)


def _symbol(symbol: object, height: float) -> Strip:
    def draw(parent: Element, x: float, y: float, _: float) -> None:
        symbol(parent, x + 28, y + height / 2 - 1)  # type: ignore[operator]

    return Strip(height, draw)


def _disconnect(disconnect: Part, width: float) -> Strip:
    rating = f"{disconnect['ratingAmperes']} A" if "ratingAmperes" in disconnect else "rating not stated"
    designation = _code("Designation", disconnect.get("designation")) or "designation not stated"
    lines = svg.wrap(f"{rating}, {designation}", width - 44, 10)

    def draw(parent: Element, x: float, y: float, _: float) -> None:
        svg.breaker_symbol(parent, x + 20, y + 2)
        svg.text_lines(parent, x + 36, y + 13, lines, 10, INK)

    return Strip(max(26, len(lines) * 13 + 6), draw)


def _bars(scene: Scene, part: Part) -> Strip | None:
    """The bars and the case as lines, and every bond as a link between two of them; a wrong one is struck."""
    kinds = {t["id"]: scene.classes[t["id"]] for t in part.get("terminals", [])}
    rows: list[tuple[str, list[str]]] = []
    for cls, label in _ROWS:
        terminals = [i for i in kinds if vocabulary().is_a(kinds[i], INST + cls)]
        if terminals:
            rows.append((label, terminals))
    if not rows:
        return None
    level = {terminal: index for index, (_, terminals) in enumerate(rows) for terminal in terminals}
    bonds = [bond for bond in part.get("bonds", []) if bond.get("from") in level and bond.get("to") in level]

    def draw(parent: Element, x: float, y: float, width: float) -> None:
        left, right = x + 10 + _LABEL_WIDTH, x + min(width, 320) - 12
        for index, (label, _) in enumerate(rows):
            at = y + 12 + index * _ROW_HEIGHT
            svg.text(parent, x + 10, at + 3.5, label, 10, QUIET)
            if label == "neutral":
                svg.add(parent, "rect", x=left, y=at - 3, width=right - left, height=6, fill=PAPER, stroke=QUIET, stroke_width=1.2)
            elif label == "ground":
                svg.line(parent, left, at, right, at, GROUND, 5)
            else:
                svg.line(parent, left, at, right, at, INK, 1.4, "2 2")
        for index, bond in enumerate(bonds):
            spot = left + 16 + index * 26
            top, bottom = sorted((level[bond["from"]], level[bond["to"]]))
            verdict = scene.verdict(bond["id"])
            g = svg.group(parent, iri_of(bond["id"]), f"{bond['id']}: {scene.kind(bond['id'])}" + (f", {verdict}" if verdict else ""), "bond")
            svg.bond(g, spot, y + 12 + top * _ROW_HEIGHT, y + 12 + bottom * _ROW_HEIGHT, wrong=bond["id"] in scene.wrong, decided=bond["id"] not in scene.open)
        at = y + 12 + len(rows) * _ROW_HEIGHT
        for bond in bonds:
            for words in svg.wrap(_bond_words(scene, bond), width - 20, 10):
                svg.text(parent, x + 10, at, words, 10, FAILS if bond["id"] in scene.wrong else UNDECIDED if bond["id"] in scene.open else QUIET)
                at += 13

    room = sum(len(svg.wrap(_bond_words(scene, bond), 112, 10)) for bond in bonds)
    return Strip(len(rows) * _ROW_HEIGHT + 13 * room + 4, draw)


def _bond_words(scene: Scene, bond: Part) -> str:
    verdict = scene.verdict(bond["id"])
    return scene.kind(bond["id"]) + (f" ({verdict})" if verdict else "")


def bonded_words(body: Part) -> str:
    """What a metal body is bonded to; that it is bonded to nothing only where the document says that this is all."""
    return ", ".join(body.get("bondedTo", [])) or ("nothing" if "bondedTo" in body.get("complete", []) else "not known")


def conductor_lines(scene: Scene, run: Part) -> list[str]:
    """The role of each line to draw for a run, the one that is missing included; a run whose conductors nobody listed has none."""
    lanes = [c["role"] for c in run.get("conductors", []) for _ in range(c.get("count", 1))]
    lanes += ["missing"] if run["id"] in scene.missing else []
    return lanes or ["unlisted"]


def run_lines(scene: Scene, run: Part, width: float) -> list[str]:
    """What stands beside a run: its device, name, method, part played and sizes."""
    over = run.get("overcurrent")
    device = f"{over['ratingAmperes']} A" if over and "ratingAmperes" in over else ""
    method = _code("WiringMethod", run.get("method")) or "method not stated"
    length = f"{run['lengthFeet']} ft" if "lengthFeet" in run else ""
    sizes: dict[str, None] = {}
    for conductor in run.get("conductors", []):
        size = str(conductor.get("size", "size not stated")).replace("-", " ")
        bare = " bare" if conductor.get("insulated") is False else ""
        sizes[f"{_ROLE[conductor['role']]}{size}{bare} {_METAL.get(conductor.get('material', ''), '')}".strip()] = None
    said = [device, run["id"], ", ".join(w for w in (method, length) if w), scene.roles.get(run["id"], ""), work_word(run), *sizes]
    if run["id"] in scene.missing:
        said.append("no equipment grounding conductor")
    return [line for words in said if words for line in svg.wrap(words, max(width, 60), 10)]


_ROLE = {"ungrounded": "", "grounded": "neutral ", "equipment-grounding": "ground ", "supply-side-bonding": "bonding jumper "}
_METAL = {"copper": "Cu", "aluminum": "Al", "copper-clad-aluminum": "CCA"}
