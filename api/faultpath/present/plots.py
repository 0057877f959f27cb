"""Answers on currents and voltages as charts: against the length of the last run, the split of the loads, and the opening time of a breaker."""

from faultpath.answers.consequences import Limit
from faultpath.answers.fault_loop import FaultLoopAnswer
from faultpath.answers.fault_loop_text import FaultLoop
from faultpath.answers.open_neutral import OpenNeutralAnswer
from faultpath.answers.open_neutral_text import NeutralOpening
from faultpath.circuit.protection import opening_time
from faultpath.present.charts import Chart, Series, svg

# The points of a breaker's band, in steps of its rating, and the longest time drawn.
_STEPS_PER_DECADE = 40
_LONGEST_SECONDS = 10_000.0


def plot_fault_loop(answer: FaultLoopAnswer) -> str:
    """Fault current and touch voltage against the length of the last run, for each loop that was worked out by length."""
    multiple, limit = answer.criterion[0].least, answer.limits[0]
    charts = []
    for loop in answer.loops:
        if not loop.by_length or loop.length_limit is None:
            continue
        feet = loop.length_limit.stated_feet
        stated = ((f"{feet:g} ft stated", feet, feet),)
        amperes = tuple((at.feet, at.fault_amperes.least, at.fault_amperes.most) for at in loop.by_length)
        volts = tuple((at.feet, at.touch_volts.least, at.touch_volts.most) for at in loop.by_length if at.touch_volts is not None)
        rating = ((f"{multiple:g} times {loop.device_amperes} A", multiple * loop.device_amperes),) if loop.device_amperes else ()
        across = f"length of {loop.length_limit.run}, ft"
        charts.append(Chart(f"{loop.about}: fault current", across, "A", (Series("fault current", amperes),), rating, stated))
        touched = ((f"{limit.least:g} V, {limit.basis}", limit.least),)
        charts.append(Chart(f"{loop.about}: voltage of the frame until the device opens", across, "V", (Series("touch voltage", volts),), touched, stated))
    title = f"Fault loops of {answer.record.installation}" if charts else f"No loop of {answer.record.installation} can be drawn by length: facts are missing"
    return svg(title, charts, f"{answer.safety} {answer.caution}")


def plot_open_neutral(answer: OpenNeutralAnswer) -> str:
    """Voltages behind an open neutral against the split of the loads, for each run with two legs or more."""
    charts = [split_chart(opening, answer.limits[0]) for opening in answer.openings if opening.by_split]
    title = f"Open neutrals of {answer.record.installation}" if charts else f"No neutral of {answer.record.installation} is shared by two legs"
    return svg(title, charts, f"{answer.safety} {answer.caution}")


def split_chart(opening: NeutralOpening, touch: Limit) -> Chart:
    """The voltages behind an open neutral that two legs share, by the split of the loads, beside the limit of touch voltage."""
    series = [
        Series(
            f"leg {number + 1} to neutral",
            tuple((100 * at.first_leg_share, at.leg_volts[number].least, at.leg_volts[number].most) for at in opening.by_split),
        )
        for number in range(len(opening.by_split[0].leg_volts))
    ]
    frame = tuple((100 * at.first_leg_share, at.frame_volts.least, at.frame_volts.most) for at in opening.by_split if at.frame_volts is not None)
    series += [Series("frame to earth", frame)] if frame else []
    title = f"Neutral of {opening.about} open, {opening.split_watts:,.0f} W of line-to-neutral load"
    limit = ((f"{touch.least:g} V, {touch.basis}", touch.least),)
    return Chart(title, "share of that load on leg 1, %", "V", tuple(series), limit)


def opening_chart(edition: int, loop: FaultLoop) -> Chart:
    """When the device ahead of a frame opens, by current, with the fault current of the frame. The loop has both."""
    rating, current = loop.device_amperes, loop.fault_amperes
    assert rating is not None
    assert current is not None
    points = []
    for step in range(2 * _STEPS_PER_DECADE + 1):
        amperes = rating * 10 ** (step / _STEPS_PER_DECADE)
        opens = opening_time(edition, amperes, rating)
        if opens.least_seconds is not None:
            slow = _LONGEST_SECONDS if opens.most_seconds is None else opens.most_seconds
            points.append((amperes, min(opens.least_seconds, _LONGEST_SECONDS), min(slow, _LONGEST_SECONDS)))
    title = f"When the {rating} A device ahead of {loop.about} opens"
    flow = (("fault current", current.least, current.most),)
    return Chart(title, "current, A", "seconds until it opens", (Series("generic breaker band", tuple(points)),), (), flow, logarithmic=True)
