"""The picture of the import graph in DEVELOPERS.md: run this file to draw it anew."""

from collections import Counter
from pathlib import Path

import grimp

DEVELOPERS = Path(__file__).resolve().parent.parent / "DEVELOPERS.md"
BEGIN, END = "<!-- imports: begin -->\n", "<!-- imports: end -->\n"
# From the ground up, as the first contract in pyproject.toml has them.
ROOMS = ("base", "book", "document", "derivation", "judging", "circuit", "planning", "answers", "present", "service", "http", "cli")


def imports() -> Counter[tuple[str, str]]:
    """How many imports lead from a module of one room to a module of another."""
    graph = grimp.build_graph("faultpath", cache_dir=None)
    found: Counter[tuple[str, str]] = Counter()
    for module in graph.modules:
        for imported in graph.find_modules_directly_imported_by(module):
            pair = _room(module), _room(imported)
            if pair[0] != pair[1] and set(pair) <= set(ROOMS):
                found[pair] += 1
    return found


def _room(module: str) -> str:
    return next(iter(module.split(".")[1:]), "")


def picture() -> str:
    """A row for each room, a column for each room that it may import, with the number of imports; no import leads up."""
    found = imports()
    columns = ROOMS[:-2]
    rows = [" | ".join(("imports of", *columns)), " | ".join(("---", *("---:" for _ in columns)))]
    for room in reversed(ROOMS):
        rows.append(" | ".join((room, *(str(found[room, column]) if found[room, column] else "·" if room != column else "" for column in columns))))
    return "\n".join(f"| {row} |" for row in rows) + "\n"


def arrows_up() -> list[tuple[str, str]]:
    """Imports that lead to a room further up, or from one adapter to the other."""
    order = {room: number for number, room in enumerate(ROOMS)} | {"cli": ROOMS.index("http")}
    return [pair for pair in imports() if order[pair[0]] <= order[pair[1]]]


def drawn(text: str) -> str:
    """The page with the picture of today."""
    before, rest = text.split(BEGIN)
    return before + BEGIN + picture() + END + rest.split(END)[1]


if __name__ == "__main__":
    DEVELOPERS.write_text(drawn(DEVELOPERS.read_text()))
