"""Answers on currents and voltages as plain text for people."""

from collections.abc import Sequence

from faultpath.answers.consequences import Assumed, Between, Carrying, Limit, unit_said
from faultpath.answers.fault_loop import FaultLoopAnswer
from faultpath.answers.fault_loop_text import Clearing, FaultLoop
from faultpath.answers.open_neutral import OpenNeutralAnswer
from faultpath.present.text.page import MARKS, Page, print_missing

_MARKS = {
    Clearing.OPENS: MARKS["holds"],
    Clearing.NO_DEVICE: MARKS["not_applicable"],
    Clearing.DOES_NOT_OPEN: MARKS["fails"],
    Clearing.MAY_NOT_OPEN: MARKS["undecided"],
    Clearing.NOT_KNOWN: MARKS["undecided"],
}


def print_fault_loop(page: Page, answer: FaultLoopAnswer) -> None:
    """A table of all loops, each with its path and what it waits for, then what was assumed."""
    _head(page, f"Fault loops of {answer.record.installation} under edition {answer.record.edition}", answer)
    rows = [(_MARKS[lo.clears], lo.about, _shown(lo.fault_amperes), str(lo.device_amperes or "-"), _seconds(lo), _shown(lo.touch_volts)) for lo in answer.loops]
    page.table(("", "Frame", "Fault A", "Device A", "Opens after s", "Touch V"), rows)
    for loop in answer.loops:
        page.line()
        page.line(f"{_MARKS[loop.clears]} {loop.about}")
        page.line(loop.says, 2)
        _print_ways(page, loop.returns)
        if loop.length_limit is not None:
            feet = "no length" if loop.length_limit.feet is None else f"{loop.length_limit.feet:,.0f} ft"
            page.line(f"{loop.length_limit.run}: {loop.length_limit.stated_feet:g} ft stated, {feet} by the criterion.", 2, 2)
        for left_out in loop.left_out:
            page.line(f"Not in the net: {left_out}", 2, 2)
        print_missing(page, loop.missing)
    page.line()
    criterion = "; ".join(f"{limit.meaning}: {limit.least:g}{unit_said(limit.unit)} ({limit.basis})" for limit in answer.criterion)
    page.line(f"Criterion of lengths: {criterion}.", 0, 2)
    _foot(page, answer.assumed, answer.limits, answer.model)


def print_open_neutral(page: Page, answer: OpenNeutralAnswer) -> None:
    """Each break with the voltages behind it, the neutral currents that divide already, then what was assumed."""
    _head(page, f"Open neutrals of {answer.record.installation} under edition {answer.record.edition}", answer)
    for opening in answer.openings:
        page.line()
        page.line(f"Neutral of {opening.about} open")
        page.line(opening.says, 2)
        rows = [(f"  {v.about}", f"{v.leg} to neutral", _shown(v.before_volts), _shown(v.after_volts), "") for v in opening.legs]
        rows += [(f"  {v.about}", "frame to earth", _shown(v.before_volts), _shown(v.after_volts), _shown(v.body_amperes)) for v in opening.frames]
        if rows:
            page.table(("  At", "Voltage", "Before V", "After V", "Through a body A"), rows)
        elif opening.by_split:
            split = ((f"  {100 * at.first_leg_share:.0f} %", *(_shown(volts) for volts in (*at.leg_volts, at.frame_volts))) for at in opening.by_split)
            page.table(("  Share of the load on leg 1", "Leg 1 V", "Leg 2 V", "Frame V"), split)
        _print_ways(page, opening.returns)
        print_missing(page, opening.missing)
    for division in answer.divisions:
        page.line()
        page.line(division.says, 0, 2)
        print_missing(page, division.missing)
    for left_out in answer.left_out:
        page.line(f"Not in the net: {left_out}", 0, 2)
    page.line()
    _foot(page, answer.assumed, answer.limits, answer.model)


def _head(page: Page, title: str, answer: FaultLoopAnswer | OpenNeutralAnswer) -> None:
    for text in (title, answer.caution, answer.safety):
        page.line(text)
    page.line()


def _foot(page: Page, assumed: Sequence[Assumed], limits: Sequence[Limit], model: str) -> None:
    for said, quantities in (("Assumed, because not stated:", assumed), ("Published limits:", limits)):
        if quantities:
            page.line(said)
        for found in quantities:
            page.line(f"- {found.meaning}: {_shown(found)}{unit_said(found.unit)} ({found.basis}).", 2, 2)
    page.line(model)


def _print_ways(page: Page, ways: Sequence[Carrying]) -> None:
    if ways:
        page.table(("  Way", "Kind", "A", "Share"), ((f"  {w.join}", w.way.value, _shown(w.amperes), _shown(w.share)) for w in ways))


def _shown(between: Between | Assumed | Limit | None) -> str:
    if between is None:
        return "-"
    low, high = f"{between.least:,.4g}", f"{between.most:,.4g}"
    return low if low == high else f"{low}..{high}"


def _seconds(loop: FaultLoop) -> str:
    if loop.opening is None:
        return "-"
    least, most = ("never" if seconds is None else f"{seconds:.3g}" for seconds in (loop.opening.least_seconds, loop.opening.most_seconds))
    return least if least == most else f"{least}..{most}"
