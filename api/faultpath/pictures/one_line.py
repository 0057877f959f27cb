"""The one-line diagram at conductor level: sources at the top, equipment as boxes with their bars, every conductor of a run drawn.

Circuits hang below the box that feeds them, twelve a row on a sheet and two on a phone; further rows hang below a bar that says that the box
goes on. Electrodes hang from the terminal that they are connected to.
"""

from collections.abc import Sequence
from functools import partial
from xml.etree import ElementTree

from faultpath.assessment import Assessed
from faultpath.consistency import Part
from faultpath.installation import iri_of
from faultpath.outcome import Outcome
from faultpath.pictures import svg
from faultpath.pictures.blocks import GAP, Block, draw_row, flow, row_height, row_width, stacked
from faultpath.pictures.boxes import box_strips, conductor_lines, run_lines
from faultpath.pictures.scene import Scene, scene
from faultpath.pictures.svg import INK, PAPER, QUIET, Element

CELL, LANE = 132, 6
SHEET, PHONE = 1760, 330
ROW = {SHEET: 12, PHONE: 2}
MARGIN, CONTINUED = 16, 26
# How wide a box is that feeds one run, and how much room a number takes.
CHAIN, TAG = 290, 26
# A drawing narrower than the first has its legend and findings beside it, in a column as wide as the second.
_ASIDE, _COLUMN = 700, 440


class _Plan:
    """The placing of one scene for a width; each part is drawn once, and referred to where it is met again."""

    def __init__(self, found: Scene, width: int) -> None:
        self.scene = found
        self.width = width
        self.placed: set[str] = set()

    def whole(self) -> Block:
        heads = [part["id"] for part in self.scene.listed("sources")]
        blocks = [self.node(head) for head in heads]
        # What no source leads to stands for itself.
        fed = {run["to"] for run in self.scene.listed("runs")}
        for part in self.scene.listed("equipment"):
            if part["id"] not in self.placed and part["id"] not in fed:
                blocks.append(self.node(part["id"]))
        rows = flow(blocks, self.width, ROW[self.width])
        lines = [Block(row_width(row), row_height(row), 0, partial(draw_row, row)) for row in rows]
        loose = self.loose_metal()
        return stacked([*lines, *([loose] if loose else [])], 24)

    def node(self, identifier: str) -> Block:
        """A source or equipment with all that hangs below it, inside the outline of its building where a building begins."""
        self.placed.add(identifier)
        runs = self.scene.outgoing(identifier)
        electrodes = [self.electrode(conductor, identifier) for conductor in self.landing(identifier)]
        chain = self.run(runs[0], electrodes) if len(runs) == 1 else None
        beside = chain is not None and chain.width >= CHAIN + GAP + row_width(electrodes)
        children = [chain] if chain else [self.run(run) for run in runs]
        rows = flow([*children, *([] if beside else electrodes)], self.width, ROW[self.width])
        inner = max([CELL, *(row_width(row) for row in rows)])
        # A box that feeds one run need not be as wide as all that hangs below.
        across = min(inner, CHAIN) if len(rows) == 1 and len(rows[0]) == 1 else inner
        strips = box_strips(self.scene, identifier, across)
        box = sum(strip.height for strip in strips) + 12 + self.tag_height(identifier, across)
        lead = 24 if self.begins_building(identifier) else 0
        height = lead + box + sum(row_height(row) for row in rows) + CONTINUED * max(0, len(rows) - 1)

        def draw(parent: Element, x: float, y: float) -> None:
            self.building(parent, identifier, x, y, inner, height)
            y += lead
            name = self.scene.parts[identifier].get("title") or identifier
            g = svg.group(parent, iri_of(identifier), f"{name}: {self.scene.kind(identifier)}", "equipment")
            new = self.scene.parts[identifier].get("work") in ("new", "replacement")
            svg.add(g, "rect", x=x, y=y, width=across, height=box, rx=3, fill=PAPER, stroke=INK, stroke_width=2.6 if new else 1.3)
            at = y + 8
            for strip in strips:
                strip.draw(g, x, at, across)
                at += strip.height
            below = y + box
            for index, row in enumerate(rows):
                if index:
                    svg.add(g, "rect", x=x, y=below, width=row_width(row), height=CONTINUED - 8, rx=3, fill=PAPER, stroke=INK, stroke_width=1)
                    svg.text(g, x + 6, below + 13, f"{identifier}, continued", 10, QUIET)
                    below += CONTINUED - 8
                draw_row(row, parent, x, below)
                below += row_height(row) + (8 if index + 1 < len(rows) else 0)
            self.tags(g, identifier, x, y + box, across)

        return Block(inner, height, 22, draw)

    def run(self, run: Part, electrodes: Sequence[Block] = ()) -> Block:
        """A run with what it leads to; what is drawn elsewhere is only named. Where there is room, electrodes hang beside it."""
        target = run["to"]
        seen = target in self.placed
        child = _reference(f"to {target}, drawn above") if seen else self.node(target)
        lanes = conductor_lines(self.scene, run)
        room = min(max(child.width, CELL), CHAIN) - 20 - LANE * len(lanes)
        labels = run_lines(self.scene, run, room - 14)
        beside = bool(electrodes) and child.width >= CHAIN + GAP + row_width(electrodes)
        over = 22 if "overcurrent" in run else 0
        length: float = max(46, len(labels) * 13 + 14) + over
        tagged = self.tag_height(run["id"], room)
        length = max(length + tagged, row_height(electrodes) + GAP if beside else 0)

        def draw(parent: Element, x: float, y: float) -> None:
            child.draw(parent, x, y + length)
            if beside:
                draw_row(electrodes, parent, x + CHAIN + GAP, y)
            if beside:
                reach = x + CHAIN + GAP + row_width(electrodes[:-1]) + 22 + (GAP if len(electrodes) > 1 else 0)
                svg.line(parent, x + CHAIN, y - 10, reach, y - 10, svg.GROUND, 2.2)
                for index in range(len(electrodes)):
                    at = x + CHAIN + GAP + 22 + index * (CELL + GAP)
                    svg.line(parent, at, y - 10, at, y, svg.GROUND, 2.2)
            g = svg.group(parent, iri_of(run["id"]), f"{run['id']}: {', '.join(labels)}", "run")
            for index, role in enumerate(lanes):
                lane = x + 10 + index * LANE
                svg.conductor(g, lane, y + (over if role == "ungrounded" else 0), y + length, role)
                if over and role == "ungrounded":
                    svg.breaker_symbol(g, lane, y)
            left = x + 20 + LANE * len(lanes)
            svg.text_lines(g, left, y + over + 14, labels, 10, INK)
            self.tags(g, run["id"], left - 6, y + length, room)

        return Block(max(child.width, CELL), length + child.height, 10, draw)

    def landing(self, identifier: str) -> list[Part]:
        """The electrode conductors that land on a terminal of equipment, from wherever they start."""
        ends = ((c, {c["from"], c["to"]}) for c in self.scene.listed("electrodeConductors"))
        return [c for c, both in ends if any(self.scene.owner.get(end.rpartition("/")[0] or end) == identifier for end in both)]

    def electrode(self, conductor: Part, identifier: str) -> Block:
        """An electrode below its conductor, and what further conductors lead on to."""
        ends = [conductor["from"], conductor["to"]]
        far = next((end for end in ends if end != identifier and end in self.scene.parts and self.scene.is_a(end, "Electrode")), None)
        self.placed.add(conductor["id"])
        words = " ".join(filter(None, (str(conductor.get("size", "")).replace("-", " "), conductor.get("material"))))
        labels = [*svg.wrap(conductor["id"], CELL - 34, 10), *svg.wrap(words or "size not stated", CELL - 34, 10)]
        length = max(40, len(labels) * 13 + 14) + self.tag_height(conductor["id"], CELL - 30)
        below = self.ground(far) if far and far not in self.placed else _reference(f"to {far or '/'.join(ends)}" + (", drawn before" if far else ""))

        def draw(parent: Element, x: float, y: float) -> None:
            g = svg.group(parent, iri_of(conductor["id"]), f"{conductor['id']}: electrode conductor, {words}", "electrode-conductor")
            svg.line(g, x + 22, y, x + 22, y + length, svg.GROUND, 2.2)
            svg.text_lines(g, x + 32, y + 14, labels, 10, INK)
            self.tags(g, conductor["id"], x + 30, y + length, CELL - 30)
            below.draw(parent, x, y + length)

        return Block(CELL, length + below.height, 22, draw)

    def ground(self, electrode: str) -> Block:
        """The symbol and the words of an electrode, with what hangs on by a jumper."""
        self.placed.add(electrode)
        onward = [c for c in self.scene.listed("electrodeConductors") if electrode in (c["from"], c["to"]) and c["id"] not in self.placed]
        further = [self.electrode(c, electrode) for c in onward]
        part = self.scene.parts[electrode]
        labels = [*svg.wrap(part.get("title") or electrode, CELL - 8, 10), *svg.wrap(self.scene.kind(electrode), CELL - 8, 10)]
        height = 22 + len(labels) * 13 + 6 + self.tag_height(electrode, CELL)
        chain = stacked(further, 4)

        def draw(parent: Element, x: float, y: float) -> None:
            g = svg.group(parent, iri_of(electrode), f"{electrode}: {self.scene.kind(electrode)}", "electrode")
            svg.earth_symbol(g, x + 22, y)
            svg.text_lines(g, x + 4, y + 28, labels, 10, INK)
            self.tags(g, electrode, x, y + height, CELL)
            if further:
                chain.draw(parent, x + 4, y + height)

        return Block(CELL, height + (chain.height if further else 0), 22, draw)

    def loose_metal(self) -> Block | None:
        """Piping and structural metal, each with where it is bonded."""
        bodies = self.scene.listed("metalBodies")
        if not bodies:
            return None

        def one(body: Part) -> Block:
            known = "bondedTo" in body.get("complete", []) or body.get("bondedTo")
            bonded = ", ".join(body.get("bondedTo", [])) or ("nothing" if known else "not known")
            labels = [
                line
                for words in (body.get("title") or body["id"], self.scene.kind(body["id"]), f"bonded to: {bonded}")
                for line in svg.wrap(words, CELL - 16, 10)
            ]

            high = len(labels) * 13 + 12 + self.tag_height(body["id"], CELL)

            def draw(parent: Element, x: float, y: float) -> None:
                g = svg.group(parent, iri_of(body["id"]), f"{body['id']}: {self.scene.kind(body['id'])}", "metal-body")
                svg.add(g, "rect", x=x, y=y, width=CELL, height=high, rx=9, fill=PAPER, stroke=QUIET, stroke_width=1.2)
                svg.text_lines(g, x + 8, y + 17, labels, 10, INK)
                self.tags(g, body["id"], x, y + high, CELL)

            return Block(CELL, high + 12, 0, draw)

        rows = flow([one(body) for body in bodies], self.width, ROW[self.width])
        return stacked([Block(row_width(row), row_height(row), 0, partial(draw_row, row)) for row in rows], 10)

    def building(self, parent: Element, identifier: str, x: float, y: float, width: float, height: float) -> None:
        """The dashed outline of a building, from the first equipment in it down."""
        if not self.begins_building(identifier):
            return
        own = self.scene.parts[identifier]["building"]
        g = svg.group(parent, iri_of(own), f"building {own}", "building")
        svg.add(g, "rect", x=x - 6, y=y + 2, width=width + 12, height=height + 6, rx=2, fill="none", stroke=QUIET, stroke_width=1, stroke_dasharray="10 4 2 4")
        svg.text(g, x + width + 2, y + 14, f"building: {own}", 10, QUIET, anchor="end")
        self.tags(g, own, x - 8, y + 29, width)

    def begins_building(self, identifier: str) -> bool:
        """Whether equipment is the first of its building, where there are several."""
        own = self.scene.parts[identifier].get("building")
        feeding = [self.scene.parts[run["from"]].get("building") for run in self.scene.incoming(identifier)]
        return own is not None and own not in feeding and len(self.scene.listed("buildings")) > 1

    def tag_height(self, identifier: str, width: float) -> float:
        """The height that the numbers of the findings about a part take in a width."""
        count = len(self.scene.tags.get(identifier, ()))
        return TAG * -(-count // _tags_a_row(width))

    def tags(self, parent: Element, identifier: str, x: float, bottom: float, width: float) -> None:
        """The numbers of the findings about a part, in rows that end at a height."""
        a_row, top = _tags_a_row(width), bottom - self.tag_height(identifier, width)
        for index, tag in enumerate(self.scene.tags.get(identifier, ())):
            row, column = divmod(index, a_row)
            svg.tag_symbol(parent, x + 18 + TAG * column, top + 10 + TAG * row, tag.number, fails=tag.outcome is Outcome.FAILS)


def _tags_a_row(width: float) -> int:
    return max(1, int((width - 10) // TAG))


def _reference(words: str) -> Block:
    """A part that is drawn elsewhere, as an arrow with its name."""
    lines = svg.wrap(words, CELL - 24, 10)

    def draw(parent: Element, x: float, y: float) -> None:
        svg.add(parent, "path", d=f"M{svg.number(x + 10)} {svg.number(y)}v8m-4 -5l4 6l4 -6", fill="none", stroke=QUIET, stroke_width=1.4)
        svg.text_lines(parent, x + 20, y + 11, lines, 10, QUIET)

    return Block(CELL, 18 + 13 * len(lines), 10, draw)


# The sheet


def one_line(assessed: Assessed, width: int = SHEET) -> str:
    """The diagram as an SVG document: the same bytes for the same installation, law and book."""
    return written(sheet(scene(assessed), width))


def sheet(found: Scene, width: int = SHEET, *, listed: bool = True) -> Element:
    """The drawing with its title, its legend and its list of findings, as an SVG element; without the list where findings are told beside it."""
    body = _Plan(found, width).whole()
    aside = listed and width == SHEET and body.width < _ASIDE
    wide = body.width + 3 * MARGIN + _COLUMN if aside else max(body.width, PHONE - 2 * MARGIN)
    legend = _legend(_COLUMN if aside else wide)
    findings = _findings(found, _COLUMN if aside else wide) if listed else stacked([], 0)
    title = svg.wrap(found.title, wide, 15)
    top = MARGIN + 18 * len(title) + 30
    words = legend.height + 16 + findings.height
    height = top + (max(body.height, words) if aside else body.height + 24 + words) + MARGIN
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {svg.number(wide + 2 * MARGIN)} {svg.number(height)}"})
    root.set("width", svg.number(wide + 2 * MARGIN))
    root.set("height", svg.number(height))
    root.set("role", "img")
    root.set("font-family", svg.FONT)
    svg.add(root, "title").text = f"One-line diagram of {found.title}, edition {found.edition}"
    svg.add(root, "rect", x=0, y=0, width=wide + 2 * MARGIN, height=height, fill=PAPER)
    at = svg.text_lines(root, MARGIN, MARGIN + 14, title, 15, INK, "bold")
    svg.text(root, MARGIN, at, f"One-line diagram, edition {found.edition}", 11, QUIET)
    body.draw(root, MARGIN, top)
    x, y = (2 * MARGIN + body.width + MARGIN, top) if aside else (MARGIN, top + body.height + 24)
    legend.draw(root, x, y)
    findings.draw(root, x, y + legend.height + 16)
    return root


def written(root: Element) -> str:
    """An SVG element as a document."""
    return ElementTree.tostring(root, encoding="unicode") + "\n"


def beside(before: Scene, after: Scene, width: int = SHEET, *, listed: bool = True) -> str:
    """Two drawings side by side, or one below the other on a phone: before and after the work."""
    sheets = [sheet(found, width, listed=listed) for found in (before, after)]
    sizes = [(float(s.get("width", "0")), float(s.get("height", "0"))) for s in sheets]
    phone = width == PHONE
    wide = max(w for w, _ in sizes) if phone else sum(w for w, _ in sizes)
    high = sum(h for _, h in sizes) + 48 if phone else max(h for _, h in sizes) + 24
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {svg.number(wide)} {svg.number(high)}"})
    root.set("width", svg.number(wide))
    root.set("height", svg.number(high))
    root.set("role", "img")
    root.set("font-family", svg.FONT)
    svg.add(root, "title").text = f"{before.title}, before and after the work"
    svg.add(root, "rect", x=0, y=0, width=wide, height=high, fill=PAPER)
    x, y = 0.0, 0.0
    for word, drawn, (w, h) in zip(("Before", "After"), sheets, sizes, strict=True):
        svg.text(root, x + MARGIN, y + 17, word, 14, INK, "bold")
        drawn.set("x", svg.number(x))
        drawn.set("y", svg.number(y + 22))
        root.append(drawn)
        x, y = (0.0, y + h + 24) if phone else (x + w, 0.0)
    return written(root)


_LEGEND = (
    ("ungrounded", "ungrounded"),
    ("grounded", "grounded (neutral)"),
    ("equipment-grounding", "equipment grounding"),
    ("unlisted", "conductors not listed"),
    ("missing", "required, not there"),
)


def _legend(width: float) -> Block:
    entries = [*_LEGEND, ("fails", "fails"), ("undecided", "cannot be decided"), ("new", "heavy outline: new or replaced")]

    def entry(kind: str, words: str) -> Block:
        def draw(parent: Element, x: float, y: float) -> None:
            if kind in ("fails", "undecided"):
                svg.tag_symbol(parent, x + 10, y + 8, 1, fails=kind == "fails")
            elif kind == "new":
                svg.add(parent, "rect", x=x, y=y + 1, width=20, height=13, fill=PAPER, stroke=INK, stroke_width=2.6)
            else:
                svg.conductor(parent, x + 10, y - 2, y + 18, kind)
            svg.text(parent, x + 26, y + 12, words, 10)

        return Block(34 + len(words) * 6, 24, 0, draw)

    rows = flow([entry(*known) for known in entries], width, len(entries))
    return stacked([Block(row_width(row), row_height(row), 0, partial(draw_row, row)) for row in rows], 2)


def _findings(found: Scene, width: float) -> Block:
    """The list of what the numbers stand for, in columns where there is room."""
    columns = max(1, int(width // 420))
    each = (width - GAP * (columns - 1)) / columns

    def entry(tag_lines: Sequence[str], number: int, fails: bool) -> Block:
        def draw(parent: Element, x: float, y: float) -> None:
            svg.tag_symbol(parent, x + 11, y + 11, number, fails=fails)
            svg.text(parent, x + 28, y + 11, tag_lines[0], 11, INK, "bold")
            svg.text_lines(parent, x + 28, y + 25, tag_lines[1:], 10, INK)

        return Block(each, max(28, 14 + 13 * len(tag_lines)), 0, draw)

    blocks = []
    for tag in found.all_tags():
        fails = tag.outcome is Outcome.FAILS
        head = f"{tag.about}: {'fails' if fails else 'cannot be decided'}"
        lines = [*svg.wrap(head, each - 34, 11)[:1], *svg.wrap(f"{tag.says} ({tag.citation})", each - 34, 10)]
        blocks.append(entry(lines, tag.number, fails))
    rows = flow(blocks, width + 1, columns)
    return stacked([Block(row_width(row), row_height(row), 0, partial(draw_row, row)) for row in rows], 6)
