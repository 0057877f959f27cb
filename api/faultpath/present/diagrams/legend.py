"""What stands beside or below a drawing: the legend, and the list of what the numbers stand for."""

from collections.abc import Sequence

from faultpath.base.outcomes import Outcome
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.blocks import GAP, Block, in_rows, stacked
from faultpath.present.diagrams.scene import Scene
from faultpath.present.diagrams.svg import INK, PAPER, Element

_CONDUCTORS = (
    ("ungrounded", "ungrounded"),
    ("grounded", "grounded (neutral)"),
    ("equipment-grounding", "equipment grounding"),
    ("unlisted", "conductors not listed"),
    ("missing", "required, not there"),
)
_BONDS = {"bond": "bond", "open": "bond that cannot be decided", "wrong": "bond that should not be here"}


def legend(width: float) -> Block:
    """What the lines, the marks and the outlines mean."""
    entries = [*_CONDUCTORS, *_BONDS.items(), ("fails", "fails"), ("undecided", "cannot be decided"), ("new", "heavy outline: new or replaced")]

    def entry(kind: str, words: str) -> Block:
        def draw(parent: Element, x: float, y: float) -> None:
            if kind in ("fails", "undecided"):
                svg.tag_symbol(parent, x + 10, y + 8, 1, fails=kind == "fails")
            elif kind in _BONDS:
                svg.bond(parent, x + 10, y, y + 16, wrong=kind == "wrong", decided=kind != "open")
            elif kind == "new":
                svg.add(parent, "rect", x=x, y=y + 1, width=20, height=13, fill=PAPER, stroke=INK, stroke_width=2.6)
            else:
                svg.conductor(parent, x + 10, y - 2, y + 18, kind)
            svg.text(parent, x + 26, y + 12, words, 10)

        return Block(34 + len(words) * 6, 24, 0, draw)

    return stacked(in_rows([entry(*known) for known in entries], width, len(entries)), 2)


def list_of_findings(found: Scene, width: float) -> Block:
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
    return stacked(in_rows(blocks, width + 1, columns), 6)
