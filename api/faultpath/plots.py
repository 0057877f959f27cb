"""Answers on currents and voltages as charts: against the length of the last run, against the split of the loads."""

from faultpath.answers.fault_loop import FaultLoopAnswer
from faultpath.answers.open_neutral import OpenNeutralAnswer
from faultpath.charts import Chart, Series, svg


def plot_fault_loop(answer: FaultLoopAnswer) -> str:
    """Fault current and touch voltage against the length of the last run, for each loop that was worked out by length."""
    multiple, limit = answer.criterion[0].least, answer.limits[0]
    charts = []
    for loop in answer.loops:
        if not loop.by_length or loop.length_limit is None:
            continue
        stated = ((f"{loop.length_limit.stated_feet:g} ft stated", loop.length_limit.stated_feet),)
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
    charts = []
    for opening in answer.openings:
        if not opening.by_split:
            continue
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
        charts.append(
            Chart(
                title,
                "share of that load on leg 1, %",
                "V",
                tuple(series),
                ((f"{answer.limits[0].least:g} V, {answer.limits[0].basis}", answer.limits[0].least),),
            )
        )
    title = f"Open neutrals of {answer.record.installation}" if charts else f"No neutral of {answer.record.installation} is shared by two legs"
    return svg(title, charts, f"{answer.safety} {answer.caution}")
