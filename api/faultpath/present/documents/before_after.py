"""Planned work on paper: the installation before and after it, side by side, and every finding that changes with what in the work did it."""

from dataclasses import dataclass
from xml.etree import ElementTree

from markupsafe import Markup

from faultpath.answers.consequences import SAFETY
from faultpath.answers.fault_loop_text import FaultLoop
from faultpath.answers.figures import changed_figures
from faultpath.answers.what_if import ChangedFinding, WhatIfAnswer
from faultpath.judging.assessment import Assessed
from faultpath.present.diagrams.one_line import PHONE, SHEET, beside
from faultpath.present.diagrams.outline import outline
from faultpath.present.diagrams.scene import scene
from faultpath.present.documents.figure_tables import cells
from faultpath.present.documents.paper import render


@dataclass(frozen=True)
class Change:
    """A finding that is another one after the work."""

    found: ChangedFinding
    label: str
    requires: str

    @property
    def says(self) -> str:
        """The finding without the name of the part."""
        return self.found.says.removeprefix(f"{self.found.about}: ")


def picture(before: Assessed, after: Assessed, width: int = SHEET) -> str:
    """Both states as one SVG document."""
    return beside(scene(before), scene(after), width)


def work_html(before: Assessed, after: Assessed, answer: WhatIfAnswer, *, on_site: bool = False) -> str:
    """The report on planned work as one HTML document that needs nothing else."""
    groups = (
        ("starts-failing", "Starts to fail", answer.starts_failing),
        ("becomes-undecided", "Can no longer be decided", answer.becomes_undecided),
        ("stops-failing", "No longer fails", answer.stops_failing),
    )
    scenes = (scene(before), scene(after))
    pictures = {name: Markup(beside(*scenes, width, listed=False).strip()) for name, width in (("sheet", SHEET), ("phone", PHONE))}
    return render(
        "what-if.html",
        answer=answer,
        title=scenes[0].title,
        verdict=verdict(answer),
        groups=[(key, title, [_change(found, after) for found in listed]) for key, title, listed in groups],
        pictures=pictures,
        is_wide=_is_wide(pictures["sheet"]),
        faults=[(one.about, [("before", _cells(one.before)), ("after", _cells(one.after))]) for one in changed_figures(before, after)],
        safety=SAFETY,
        numbered=(("Before", scenes[0].all_tags()), ("After", scenes[1].all_tags())),
        outline=f"Before\n{outline(scenes[0])}\nAfter\n{outline(scenes[1])}",
        on_site=on_site,
    )


def _cells(loop: FaultLoop | None) -> tuple[str, str, str] | None:
    return None if loop is None else cells(loop)


def _is_wide(drawn: str) -> bool:
    root = ElementTree.fromstring(drawn)
    return float(root.get("width", "0")) > float(root.get("height", "0"))


def _change(found: ChangedFinding, after: Assessed) -> Change:
    rule = after.law.book[found.rule]
    return Change(found, rule.label, rule.requires)


def verdict(answer: WhatIfAnswer) -> str:
    """What the work does in a sentence that cannot be read as fine where it is not."""
    starts, opens = len(answer.starts_failing), len(answer.becomes_undecided)
    told = []
    if starts:
        told.append(f"{starts} {'starts' if starts == 1 else 'start'} to fail")
    if opens:
        told.append(f"{opens} can no longer be decided")
    said = " and ".join(told).capitalize() + "." if told else "The work makes nothing fail that held before."
    left = []
    if answer.after.fails:
        left.append(f"{answer.after.fails} {'fails' if answer.after.fails == 1 else 'fail'}")
    if answer.after.undecided:
        left.append(f"{answer.after.undecided} cannot be decided")
    return said + (f" After it {' and '.join(left)}." if left else " After it nothing that was judged fails.")
