"""Where everything of a scene stands: each part with what hangs below it, as blocks that fit a width.

Circuits hang below the box that feeds them, so many a row; further rows hang below a bar that says that the box
goes on. Electrodes hang from the terminal that they are connected to.
"""

from collections.abc import Sequence
from typing import NamedTuple

from faultpath.document.consistency import Part
from faultpath.document.installation import iri_of
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.blocks import GAP, Block, draw_row, flow, in_rows, row_height, row_width, stacked
from faultpath.present.diagrams.boxes import bonded_words, box_strips, conductor_lines, run_lines
from faultpath.present.diagrams.scene import Scene
from faultpath.present.diagrams.svg import INK, PAPER, QUIET, Element
from faultpath.present.diagrams.tags import draw_tags, tags_height

CELL, LANE = 132, 6
CONTINUED = 26
# How wide a box is that feeds one run.
CHAIN = 290


def placed(found: Scene, width: int, most: int) -> Block:
    """All parts of a scene, placed to fit a width with at most so many circuits a row."""
    return _Placing(found, width, most).whole()


class _Outline(NamedTuple):
    """The sides of the outline of a building."""

    left: float
    top: float
    right: float
    bottom: float


_DASHES = "10 4 2 4"


def _cut_out(parent: Element, outer: _Outline, inner: _Outline) -> None:
    """Lead the outline of a building round another one: a notch where that reaches its side or its bottom."""
    left, right = max(inner.left - 6, outer.left), min(inner.right + 6, outer.right)
    top, bottom = inner.top - 6, min(inner.bottom + 6, outer.bottom)
    for x1, y1, x2, y2, is_inside in (
        (left, top, right, top, True),
        (left, top, left, bottom, left > outer.left),
        (right, top, right, bottom, right < outer.right),
        (left, bottom, right, bottom, bottom < outer.bottom),
    ):
        if is_inside:
            svg.line(parent, x1, y1, x2, y2, QUIET, 1, _DASHES)
        else:  # where the outer outline was
            svg.line(parent, x1, y1, x2, y2, PAPER, 3)


class _Placing:
    """The placing of one scene for a width; each part is drawn once, and referred to where it is met again."""

    def __init__(self, found: Scene, width: int, most: int) -> None:
        self.scene = found
        self.width = width
        self.most = most
        self.placed: set[str] = set()
        self.around: list[_Outline] = []

    def whole(self) -> Block:
        heads = [part["id"] for part in self.scene.listed("sources")]
        blocks = [self.node(head) for head in heads]
        # What no source leads to stands for itself.
        fed = {run["to"] for run in self.scene.listed("runs")}
        for part in self.scene.listed("equipment"):
            if part["id"] not in self.placed and part["id"] not in fed:
                blocks.append(self.node(part["id"]))
        blocks += self.loose_electrodes()
        loose = self.loose_metal()
        return stacked([*in_rows(blocks, self.width, self.most), *([loose] if loose else [])], 24)

    def node(self, identifier: str) -> Block:
        """A source or equipment with all that hangs below it, inside the outline of its building where a building begins."""
        self.placed.add(identifier)
        runs = self.scene.outgoing(identifier)
        electrodes = [self.electrode(c, identifier) for c in self.scene.landing(identifier) if c["id"] not in self.placed]
        chain = self.run(runs[0], electrodes) if len(runs) == 1 else None
        beside = chain is not None and chain.width >= CHAIN + GAP + row_width(electrodes)
        children = [chain] if chain else [self.run(run) for run in runs]
        rows = flow([*children, *([] if beside else electrodes)], self.width, self.most)
        inner = max([CELL, *(row_width(row) for row in rows)])
        # A box that feeds one run need not be as wide as all that hangs below.
        across = min(inner, CHAIN) if len(rows) == 1 and len(rows[0]) == 1 else inner
        strips = box_strips(self.scene, identifier, across)
        box = sum(strip.height for strip in strips) + 12 + tags_height(self.scene, identifier, across)
        lead = 24 if self.begins_building(identifier) else 0
        height = lead + box + sum(row_height(row) for row in rows) + CONTINUED * max(0, len(rows) - 1)

        def draw(parent: Element, x: float, y: float) -> None:
            outlined = self.building(parent, identifier, x, y, inner, height)
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
            draw_tags(self.scene, g, identifier, x, y + box, across)
            if outlined:
                self.around.pop()

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
        tagged = tags_height(self.scene, run["id"], room)
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
            draw_tags(self.scene, g, run["id"], left - 6, y + length, room)

        return Block(max(child.width, CELL), length + child.height, 10, draw)

    def electrode(self, conductor: Part, here: str) -> Block:
        """An electrode conductor with what it leads to: an electrode or a joint, and what hangs on there."""
        far = self.scene.far_end(conductor, here)
        self.placed.add(conductor["id"])
        words = " ".join(filter(None, (str(conductor.get("size", "")).replace("-", " "), conductor.get("material"))))
        labels = [*svg.wrap(conductor["id"], CELL - 34, 10), *svg.wrap(words or "size not stated", CELL - 34, 10)]
        length = max(40, len(labels) * 13 + 14) + tags_height(self.scene, conductor["id"], CELL - 30)
        hangs = far in self.scene.classes and not self.scene.is_a(far, "Equipment")
        below = self.ground(far) if hangs and far not in self.placed else _reference(f"to {far}" + (", drawn before" if far in self.placed else ""))

        def draw(parent: Element, x: float, y: float) -> None:
            g = svg.group(parent, iri_of(conductor["id"]), f"{conductor['id']}: electrode conductor, {words}", "electrode-conductor")
            svg.line(g, x + 22, y, x + 22, y + length, svg.GROUND, 2.2)
            svg.text_lines(g, x + 32, y + 14, labels, 10, INK)
            draw_tags(self.scene, g, conductor["id"], x + 30, y + length, CELL - 30)
            below.draw(parent, x, y + length)

        return Block(CELL, length + below.height, 22, draw)

    def ground(self, identifier: str) -> Block:
        """The symbol and the words of an electrode, or of a joint of electrode conductors, with what hangs on there."""
        self.placed.add(identifier)
        further = [self.electrode(c, identifier) for c in self.scene.onward(identifier) if c["id"] not in self.placed]
        part, joint = self.scene.parts[identifier], self.scene.is_a(identifier, "ElectrodeJoint")
        labels = [*svg.wrap(part.get("title") or identifier, CELL - 8, 10), *svg.wrap(self.scene.kind(identifier), CELL - 8, 10)]
        height = 22 + len(labels) * 13 + 6 + tags_height(self.scene, identifier, CELL)
        chain = stacked(further, 4)

        def draw(parent: Element, x: float, y: float) -> None:
            g = svg.group(parent, iri_of(identifier), f"{identifier}: {self.scene.kind(identifier)}", "joint" if joint else "electrode")
            if joint:
                svg.add(g, "circle", cx=x + 22, cy=y + 4, r=4, fill=svg.GROUND)
            else:
                svg.earth_symbol(g, x + 22, y)
            svg.text_lines(g, x + 4, y + 28, labels, 10, INK)
            draw_tags(self.scene, g, identifier, x, y + height, CELL)
            if further:
                chain.draw(parent, x + 4, y + height)

        return Block(CELL, height + (chain.height if further else 0), 22, draw)

    def loose_electrodes(self) -> list[Block]:
        """Electrodes and joints that no conductor leads to from equipment."""
        listed = [*self.scene.listed("electrodes"), *self.scene.listed("electrodeJoints")]
        return [self.ground(part["id"]) for part in listed if part["id"] not in self.placed]

    def loose_metal(self) -> Block | None:
        """Piping and structural metal, each with where it is bonded."""
        bodies = self.scene.listed("metalBodies")
        if not bodies:
            return None

        def one(body: Part) -> Block:
            labels = [
                line
                for words in (body.get("title") or body["id"], self.scene.kind(body["id"]), f"bonded to: {bonded_words(body)}")
                for line in svg.wrap(words, CELL - 16, 10)
            ]

            high = len(labels) * 13 + 12 + tags_height(self.scene, body["id"], CELL)

            def draw(parent: Element, x: float, y: float) -> None:
                g = svg.group(parent, iri_of(body["id"]), f"{body['id']}: {self.scene.kind(body['id'])}", "metal-body")
                svg.add(g, "rect", x=x, y=y, width=CELL, height=high, rx=9, fill=PAPER, stroke=QUIET, stroke_width=1.2)
                svg.text_lines(g, x + 8, y + 17, labels, 10, INK)
                draw_tags(self.scene, g, body["id"], x, y + high, CELL)

            return Block(CELL, high + 12, 0, draw)

        return stacked(in_rows([one(body) for body in bodies], self.width, self.most), 10)

    def building(self, parent: Element, identifier: str, x: float, y: float, width: float, height: float) -> bool:
        """The dashed outline of a building, from the first equipment in it down, cut out of that of the building that feeds it."""
        if not self.begins_building(identifier):
            return False
        own = self.scene.parts[identifier]["building"]
        g = svg.group(parent, iri_of(own), f"building {own}", "building")
        outline = _Outline(x - 6, y + 2, x + width + 6, y + height + 8)
        if self.around:
            _cut_out(g, self.around[-1], outline)
        size = {"width": outline.right - outline.left, "height": outline.bottom - outline.top}
        svg.add(g, "rect", x=outline.left, y=outline.top, **size, rx=2, fill="none", stroke=QUIET, stroke_width=1, stroke_dasharray=_DASHES)
        svg.text(g, x + width + 2, y + 14, f"building: {own}", 10, QUIET, anchor="end")
        draw_tags(self.scene, g, own, x - 8, y + 29, width)
        self.around.append(outline)
        return True

    def begins_building(self, identifier: str) -> bool:
        """Whether equipment is the first of its building, where there are several."""
        own = self.scene.parts[identifier].get("building")
        feeding = [self.scene.parts[run["from"]].get("building") for run in self.scene.incoming(identifier)]
        return own is not None and own not in feeding and len(self.scene.listed("buildings")) > 1


def _reference(words: str) -> Block:
    """A part that is drawn elsewhere, as an arrow with its name."""
    lines = svg.wrap(words, CELL - 24, 10)

    def draw(parent: Element, x: float, y: float) -> None:
        svg.add(parent, "path", d=f"M{svg.number(x + 10)} {svg.number(y)}v8m-4 -5l4 6l4 -6", fill="none", stroke=QUIET, stroke_width=1.4)
        svg.text_lines(parent, x + 20, y + 11, lines, 10, QUIET)

    return Block(CELL, 18 + 13 * len(lines), 10, draw)
