"""Currents and voltages on paper: what findings would mean if a conductor touched a frame or a neutral opened, each with a chart where one tells more."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from faultpath.answers.consequences import Assumed, Between, Limit, said, unit_said
from faultpath.answers.fault_loop_text import Clearing, FaultLoop
from faultpath.answers.figures import Figures, FrameFigure, NeutralFigure
from faultpath.answers.open_neutral_text import NeutralOpening
from faultpath.answers.reasons import MissingFact
from faultpath.circuit.protection import opening_time
from faultpath.present.charts import small_svg
from faultpath.present.plots import opening_chart, split_chart

_CLEARS = {
    Clearing.OPENS: "opens",
    Clearing.MAY_NOT_OPEN: "may not open",
    Clearing.DOES_NOT_OPEN: "does not open",
    Clearing.NO_DEVICE: "none on the premises",
    Clearing.NOT_KNOWN: "",
}


@dataclass(frozen=True)
class FaultShown:
    """A fault at one frame; what is empty cannot be told."""

    about: str
    current: str
    device: str
    touch: str
    says: str
    missing: tuple[MissingFact, ...]
    numbers: tuple[int, ...]
    chart: Markup | None
    chart_says: str


@dataclass(frozen=True)
class NeutralShown:
    """An open neutral; `rows` are the voltages by the share of the load on the first leg, under the names of `columns`."""

    about: str
    says: tuple[str, ...]
    missing: tuple[MissingFact, ...]
    numbers: tuple[int, ...]
    chart: Markup | None
    chart_says: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Figured:
    """The figures as the report shows them."""

    figures: Figures
    faults: tuple[FaultShown, ...]
    neutrals: tuple[NeutralShown, ...]

    @property
    def assumed(self) -> list[tuple[str, str, str]]:
        """What was assumed: its meaning, its range, where that is from."""
        return [_ranged(one) for one in self.figures.assumed]

    @property
    def limits(self) -> list[tuple[str, str, str]]:
        """Published limits, likewise."""
        return [_ranged(one) for one in self.figures.limits]

    @property
    def asked(self) -> tuple[MissingFact, ...]:
        """The facts that the figures wait for."""
        waiting = [fact for fault in self.faults for fact in fault.missing] + [fact for neutral in self.neutrals for fact in neutral.missing]
        return tuple(dict.fromkeys(waiting))


def figured(found: Figures, numbers: Mapping[tuple[str, str], int], edition: int) -> Figured | None:
    """Figures under the numbers of their findings; None where no finding is about anything that would have some."""
    if not (found.frames or found.neutrals or found.not_given):
        return None
    return Figured(
        found,
        tuple(_fault(figure, numbers, edition) for figure in found.frames),
        tuple(_neutral(figure, numbers, found) for figure in found.neutrals),
    )


def _ranged(one: Assumed | Limit) -> tuple[str, str, str]:
    ends = dict.fromkeys(f"{end:,.4g}" for end in (one.least, one.most))
    return one.meaning, f"{' to '.join(ends)}{unit_said(one.unit)}", one.basis


def _numbers(findings: Iterable[tuple[str, str]], numbers: Mapping[tuple[str, str], int]) -> tuple[int, ...]:
    return tuple(sorted({numbers[finding] for finding in findings}))


def _fault(figure: FrameFigure, numbers: Mapping[tuple[str, str], int], edition: int) -> FaultShown:
    loop = figure.loop
    chart = opening_chart(edition, loop) if _is_slow(edition, loop) else None
    current, device, touch = cells(loop)
    return FaultShown(
        about=loop.about,
        current=current,
        device=device,
        touch=touch,
        says=loop.says,
        missing=tuple(loop.missing),
        numbers=_numbers(figure.findings, numbers),
        chart=None if chart is None else Markup(small_svg(chart)),
        chart_says=f"{chart.title}: where the fault current meets the band." if chart else "",
    )


def cells(loop: FaultLoop) -> tuple[str, str, str]:
    """Current, device and voltage of a frame in a few words each; empty where they cannot be told."""
    return _told(loop.fault_amperes, "A"), _device(loop), _told(loop.touch_volts, "V")


def _is_slow(edition: int, loop: FaultLoop) -> bool:
    """Whether the device may take longer than its magnetic trip: then where the current lies on its curve tells more than a sentence."""
    if loop.device_amperes is None or loop.fault_amperes is None or loop.opening is None or loop.fault_amperes.least <= 0:
        return False
    at_once = opening_time(edition, 1e3 * loop.device_amperes, loop.device_amperes).most_seconds
    return loop.opening.most_seconds is None or at_once is None or loop.opening.most_seconds > at_once


def _device(loop: FaultLoop) -> str:
    if loop.clears is Clearing.OPENS and loop.opening is not None:
        least, most = loop.opening.least_seconds or 0.0, loop.opening.most_seconds or 0.0
        return f"{loop.device_amperes} A, opens after {said(Between(least=least, most=most), 's')}"
    return f"{loop.device_amperes} A, {_CLEARS[loop.clears]}" if loop.device_amperes else _CLEARS[loop.clears]


def _told(between: Between | None, unit: str) -> str:
    return "" if between is None else said(between, unit)


def _neutral(figure: NeutralFigure, numbers: Mapping[tuple[str, str], int], found: Figures) -> NeutralShown:
    opening, division = figure.opening, figure.division
    chart = split_chart(opening, found.limits[0]) if opening.by_split else None
    missing = dict.fromkeys((*opening.missing, *(division.missing if division else ())))
    return NeutralShown(
        about=opening.about,
        says=(opening.says, *([division.says] if division else [])),
        missing=tuple(missing),
        numbers=_numbers(figure.findings, numbers),
        chart=None if chart is None else Markup(small_svg(chart)),
        chart_says=chart.title if chart else "",
        columns=tuple(series.name for series in chart.series) if chart else (),
        rows=_rows(opening),
    )


def _rows(opening: NeutralOpening) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found = []
    for at in opening.by_split:
        frame = [] if at.frame_volts is None else [at.frame_volts]
        found.append((f"{at.first_leg_share:.0%}", tuple(said(volts, "V") for volts in (*at.leg_volts, *frame))))
    return tuple(found)
