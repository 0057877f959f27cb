"""The numbers of the findings about a part, in rows."""

from faultpath.base.outcomes import Outcome
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.scene import Scene
from faultpath.present.diagrams.svg import Element

TAG = 26  # How much room a number takes.


def tags_height(scene: Scene, identifier: str, width: float) -> float:
    """The height that the numbers about a part take in a width."""
    count = len(scene.tags.get(identifier, ()))
    return TAG * -(-count // _a_row(width))


def draw_tags(scene: Scene, parent: Element, identifier: str, x: float, bottom: float, width: float) -> None:
    """The numbers about a part, in rows that end at a height."""
    a_row, top = _a_row(width), bottom - tags_height(scene, identifier, width)
    for index, tag in enumerate(scene.tags.get(identifier, ())):
        row, column = divmod(index, a_row)
        svg.tag_symbol(parent, x + 18 + TAG * column, top + 10 + TAG * row, tag.number, fails=tag.outcome is Outcome.FAILS)


def _a_row(width: float) -> int:
    return max(1, int((width - 10) // TAG))
