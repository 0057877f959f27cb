"""SVG by hand: elements with numbers written one way, text wrapped by an estimate of its width, and symbols of the trade.

The symbols follow IEEE 315 and IEC 60617: an earth electrode as three shortening lines, a source as a sine in a circle, a meter as a letter
in a circle, a circuit breaker as an arc over its contacts.
"""

from collections.abc import Sequence
from xml.etree import ElementTree

INK, QUIET, PAPER = "#1c1c1c", "#5a5a5a", "#ffffff"
FAILS, UNDECIDED, GROUND = "#a3001f", "#6b4a00", "#1e5f2e"
FONT = "system-ui, 'DejaVu Sans', Arial, Helvetica, sans-serif"
# Width of a character over the font size: a little more than the widest of the usual faces needs on average.
_WIDTH = 0.58
Element = ElementTree.Element


def number(value: float) -> str:
    """A coordinate: at most one decimal, no sign of zero."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def add(parent: Element, tag: str, **attributes: str | float) -> Element:
    """An element with its attributes; underscores stand for hyphens."""
    shown = {key.rstrip("_").replace("_", "-"): value if isinstance(value, str) else number(value) for key, value in attributes.items()}
    return ElementTree.SubElement(parent, tag, shown)


def group(parent: Element, iri: str, title: str, kind: str) -> Element:
    """The group of one node, with its IRI and a title for who points at it."""
    found = add(parent, "g", class_=kind, data_iri=iri)
    add(found, "title").text = title
    return found


def line(parent: Element, x1: float, y1: float, x2: float, y2: float, stroke: str = INK, width: float = 1.5, dash: str = "") -> None:
    """A straight line."""
    found = add(parent, "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width)
    if dash:
        found.set("stroke-dasharray", dash)


def text(parent: Element, x: float, y: float, words: str, size: float = 11, fill: str = INK, weight: str = "", anchor: str = "") -> None:
    """One line of text; `y` is its baseline."""
    found = add(parent, "text", x=x, y=y, font_size=size, fill=fill)
    if weight:
        found.set("font-weight", weight)
    if anchor:
        found.set("text-anchor", anchor)
    found.text = words


def wrap(words: str, width: float, size: float = 11) -> list[str]:
    """Words broken into lines that fit a width; a word that does not fit breaks after a hyphen, or anywhere."""
    most = max(3, int(width / (size * _WIDTH)))
    lines: list[str] = []
    for word in words.split():
        while len(word) > most:
            cut = word.rfind("-", 0, most) + 1 or most
            lines.append(word[:cut])
            word = word[cut:]
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and len(joined) <= most and not lines[-1].endswith("-"):
            lines[-1] = joined
        elif lines and lines[-1].endswith("-") and len(lines[-1] + word) <= most:
            lines[-1] += word
        else:
            lines.append(word)
    return lines


def text_lines(parent: Element, x: float, y: float, lines: Sequence[str], size: float = 11, fill: str = INK, weight: str = "") -> float:
    """Lines of text one under the other; returns the baseline that the next would have."""
    for words in lines:
        text(parent, x, y, words, size, fill, weight)
        y += size * 1.3
    return y


# Symbols


def source_symbol(parent: Element, x: float, y: float) -> None:
    """A source: a sine in a circle, centred."""
    add(parent, "circle", cx=x, cy=y, r=16, fill=PAPER, stroke=INK, stroke_width=1.8)
    add(parent, "path", d=f"M{number(x - 9)} {number(y)}q4.5 -10 9 0t9 0", fill="none", stroke=INK, stroke_width=1.5)


def meter_symbol(parent: Element, x: float, y: float) -> None:
    """A meter: a letter in a circle, centred."""
    add(parent, "circle", cx=x, cy=y, r=10, fill=PAPER, stroke=INK, stroke_width=1.5)
    text(parent, x, y + 4, "M", 11, weight="bold", anchor="middle")


def breaker_symbol(parent: Element, x: float, y: float) -> None:
    """A circuit breaker in a vertical line, 20 high from `y`."""
    for contact in (y + 3, y + 17):
        add(parent, "circle", cx=x, cy=contact, r=2, fill=PAPER, stroke=INK, stroke_width=1.2)
    add(parent, "path", d=f"M{number(x)} {number(y + 3)}q9 7 0 14", fill="none", stroke=INK, stroke_width=1.5)


def earth_symbol(parent: Element, x: float, y: float) -> None:
    """An earth electrode, the line coming in from above at `y`."""
    for step, half in enumerate((12, 8, 4)):
        line(parent, x - half, y + 5 * step, x + half, y + 5 * step, GROUND, 1.8)


def cross(parent: Element, x: float, y: float) -> None:
    """A strike over what should not be there."""
    line(parent, x - 6, y - 6, x + 6, y + 6, FAILS, 2.2)
    line(parent, x - 6, y + 6, x + 6, y - 6, FAILS, 2.2)


def bond(parent: Element, x: float, top: float, bottom: float, *, wrong: bool, decided: bool) -> None:
    """A link between two bars: solid with a full square, struck through where it should not be, broken with an open square where nothing is decided."""
    middle = (top + bottom) / 2
    if wrong or decided:
        stroke = FAILS if wrong else GROUND
        line(parent, x, top, x, bottom, stroke, 2.4)
        add(parent, "rect", x=x - 4, y=middle - 4, width=8, height=8, fill=stroke)
    else:
        line(parent, x, top, x, bottom, UNDECIDED, 1.8, "3 2")
        add(parent, "rect", x=x - 4, y=middle - 4, width=8, height=8, fill=PAPER, stroke=UNDECIDED, stroke_width=1.5)
    if wrong:
        cross(parent, x, middle)


def tag_symbol(parent: Element, x: float, y: float, number_: int, *, fails: bool) -> None:
    """The number of a finding: on a dark square standing on its corner if it fails, in a dashed ring with a question mark if it is undecided."""
    if fails:
        add(parent, "path", d=f"M{number(x)} {number(y - 11)}l11 11l-11 11l-11 -11z", fill=FAILS)
        text(parent, x, y + 4, str(number_), 10, PAPER, "bold", "middle")
    else:
        add(parent, "circle", cx=x, cy=y, r=10, fill=PAPER, stroke=UNDECIDED, stroke_width=1.5, stroke_dasharray="3 2")
        text(parent, x, y + 4, f"{number_}?", 9, UNDECIDED, "bold", "middle")


# Conductors, told apart by their line as well as by their colour: ungrounded solid and heavy, grounded hollow, equipment grounding
# dashed, missing dotted, a run whose conductors nobody listed dash and dot.


def conductor(parent: Element, x: float, y1: float, y2: float, role: str) -> None:
    """One conductor, drawn downwards."""
    if role == "ungrounded":
        line(parent, x, y1, x, y2, INK, 2)
    elif role == "grounded":
        line(parent, x - 1.3, y1, x - 1.3, y2, QUIET, 0.9)
        line(parent, x + 1.3, y1, x + 1.3, y2, QUIET, 0.9)
    elif role == "missing":
        line(parent, x, y1, x, y2, FAILS, 2, "1.5 4")
    elif role == "unlisted":
        line(parent, x, y1, x, y2, QUIET, 1.4, "9 3 2 3")
    else:
        line(parent, x, y1, x, y2, GROUND, 1.8, "7 3")
