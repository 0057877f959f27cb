"""Blocks of a picture: what takes a width and a height, can be drawn anywhere, and can be set beside or above others."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from faultpath.present.diagrams.svg import Element

GAP = 14


@dataclass(frozen=True)
class Block:
    """Something to draw: its size, where its conductors come in from above, and how to draw it with its corner at a point."""

    width: float
    height: float
    anchor: float
    draw: Callable[[Element, float, float], None]


@dataclass(frozen=True)
class Strip:
    """A horizontal piece of a box: its height, and how to draw it at a point in a given width."""

    height: float
    draw: Callable[[Element, float, float, float], None]


def flow(blocks: Sequence[Block], width: float, most: int) -> list[list[Block]]:
    """Blocks in rows that fit a width, at most so many a row, in order."""
    rows: list[list[Block]] = []
    used = 0.0
    for block in blocks:
        if not rows or used + GAP + block.width > width or len(rows[-1]) == most:
            rows.append([])
            used = -GAP
        rows[-1].append(block)
        used += GAP + block.width
    return rows


def row_width(row: Sequence[Block]) -> float:
    """The width of blocks side by side."""
    return sum(block.width for block in row) + GAP * max(0, len(row) - 1)


def row_height(row: Sequence[Block]) -> float:
    """The height of blocks side by side."""
    return max((block.height for block in row), default=0)


def draw_row(row: Sequence[Block], parent: Element, x: float, y: float) -> None:
    """Blocks side by side, their tops aligned."""
    for block in row:
        block.draw(parent, x, y)
        x += block.width + GAP


def stacked(blocks: Sequence[Block], gap: float) -> Block:
    """Blocks one above the other."""

    def draw(parent: Element, x: float, y: float) -> None:
        for block in blocks:
            block.draw(parent, x, y)
            y += block.height + gap

    height = sum(block.height for block in blocks) + gap * max(0, len(blocks) - 1)
    return Block(max((block.width for block in blocks), default=0), height, 0, draw)


def in_rows(blocks: Sequence[Block], width: float, most: int) -> list[Block]:
    """Blocks in rows that fit a width, at most so many a row, each row as one block."""
    return [Block(row_width(row), row_height(row), 0, partial(draw_row, row)) for row in flow(blocks, width, most)]
