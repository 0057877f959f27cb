"""The one-line diagram at conductor level: sources at the top, equipment as boxes with their bars, every conductor of a run drawn.

One sheet for one installation, with its title, its legend and its findings; two of them for planned work.
"""

from xml.etree import ElementTree

from faultpath.judging.assessment import Assessed
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.blocks import stacked
from faultpath.present.diagrams.legend import legend, list_of_findings
from faultpath.present.diagrams.placing import placed
from faultpath.present.diagrams.scene import Scene, scene
from faultpath.present.diagrams.svg import INK, PAPER, QUIET, Element

SHEET, PHONE = 1760, 330
# How many circuits stand in a row.
ROW = {SHEET: 12, PHONE: 2}
MARGIN = 16
# A drawing narrower than the first has its legend and findings beside it, in a column as wide as the second.
_ASIDE, _COLUMN = 700, 440


def one_line(assessed: Assessed, width: int = SHEET) -> str:
    """The diagram as an SVG document: the same bytes for the same installation, law and book."""
    return written(sheet(scene(assessed), width))


def sheet(found: Scene, width: int = SHEET, *, listed: bool = True) -> Element:
    """The drawing with its title, its legend and its list of findings, as an SVG element; without the list where findings are told beside it."""
    body = placed(found, width, ROW[width])
    aside = listed and width == SHEET and body.width < _ASIDE
    wide = body.width + 3 * MARGIN + _COLUMN if aside else max(body.width, PHONE - 2 * MARGIN)
    key = legend(_COLUMN if aside else wide)
    findings = list_of_findings(found, _COLUMN if aside else wide) if listed else stacked([], 0)
    title = svg.wrap(found.title, wide, 15)
    top = MARGIN + 18 * len(title) + 30
    words = key.height + 16 + findings.height
    height = top + (max(body.height, words) if aside else body.height + 24 + words) + MARGIN
    root = _paper(wide + 2 * MARGIN, height, f"One-line diagram of {found.title}, edition {found.edition}")
    at = svg.text_lines(root, MARGIN, MARGIN + 14, title, 15, INK, "bold")
    svg.text(root, MARGIN, at, f"One-line diagram, edition {found.edition}", 11, QUIET)
    body.draw(root, MARGIN, top)
    x, y = (2 * MARGIN + body.width + MARGIN, top) if aside else (MARGIN, top + body.height + 24)
    key.draw(root, x, y)
    findings.draw(root, x, y + key.height + 16)
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
    root = _paper(wide, high, f"{before.title}, before and after the work")
    x, y = 0.0, 0.0
    for word, drawn, (w, h) in zip(("Before", "After"), sheets, sizes, strict=True):
        svg.text(root, x + MARGIN, y + 17, word, 14, INK, "bold")
        drawn.set("x", svg.number(x))
        drawn.set("y", svg.number(y + 22))
        root.append(drawn)
        x, y = (0.0, y + h + 24) if phone else (x + w, 0.0)
    return written(root)


def _paper(width: float, height: float, title: str) -> Element:
    """An empty sheet of a size, with the title that a screen reader says."""
    wide, high = svg.number(width), svg.number(height)
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {wide} {high}", "width": wide, "height": high})
    root.set("role", "img")
    root.set("font-family", svg.FONT)
    svg.add(root, "title").text = title
    svg.add(root, "rect", x=0, y=0, width=width, height=height, fill=PAPER)
    return root
