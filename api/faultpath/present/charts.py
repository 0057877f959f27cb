"""Line charts as SVG, the same bytes for the same numbers: no clock, no random ids, no fonts of its own."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

_TICKS = 6
_LINE = 18
# Told apart without colour vision too: the lines differ by their dashes as well.
_COLOURS = ("#0b5394", "#b45f06", "#38761d", "#741b47", "#444444", "#0b7285")
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 4", "1 3")
_LEVEL, _POSITION = "#990000", "#666666"


@dataclass(frozen=True)
class Layout:
    """Width and height of a chart and the margins of its plot, in pixels; the names of the lines stand beside the plot or below it."""

    width: int
    height: int
    left: int
    right: int
    top: int
    bottom: int
    is_named_below: bool = False


SHEET = Layout(720, 380, 72, 168, 44, 56)
# Fits a phone and a column of a page without being scaled down.
SMALL = Layout(340, 210, 66, 24, 20, 46, is_named_below=True)


@dataclass(frozen=True)
class Series:
    """A line, or a band where its least and greatest values differ: points are (x, least, most) in rising x."""

    name: str
    points: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Chart:
    """One chart. `levels` are horizontal lines with their names, `positions` vertical ones, or bands from a least to a greatest x.

    On `logarithmic` scales every value is above nought.
    """

    title: str
    across: str
    up: str
    series: tuple[Series, ...]
    levels: tuple[tuple[str, float], ...] = ()
    positions: tuple[tuple[str, float, float], ...] = ()
    logarithmic: bool = False


@dataclass(frozen=True)
class _Scale:
    """Ticks of an axis, and how far along it a value lies, from 0 to 1."""

    ticks: tuple[float, ...]
    along: Callable[[float], float]


def svg(title: str, charts: Sequence[Chart], note: str) -> str:
    """The charts one below the other in one SVG document, with a note at the foot."""
    lines = list(_wrapped(note))
    height = max(len(charts), 1) * SHEET.height + 20 + 16 * len(lines)
    parts = [*_opening(title, SHEET.width, height)]
    for number, chart in enumerate(charts):
        parts += [f'<g transform="translate(0 {number * SHEET.height})">']
        parts += [_text(SHEET.left, 26, chart.title, size=14), *_chart(chart, SHEET), "</g>"]
    if not charts:
        parts.append(_text(SHEET.width / 2, SHEET.height / 2, title, anchor="middle"))
    parts += [_text(12, height - 16 * (len(lines) - number) + 4, line, size=11) for number, line in enumerate(lines)]
    return "\n".join([*parts, "</svg>"]) + "\n"


def small_svg(chart: Chart) -> str:
    """One small chart to stand in a page, which gives its title in words as well."""
    height = SMALL.height + 8 + _LINE * (len(chart.series) + len(chart.levels))
    return "\n".join([*_opening(chart.title, SMALL.width, height), *_chart(chart, SMALL), "</svg>"])


def _opening(title: str, width: int, height: int) -> Iterator[str]:
    yield f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img"'
    yield ' font-family="sans-serif" font-size="12">'
    yield f"<title>{escape(title)}</title>"
    yield f'<rect width="{width}" height="{height}" fill="#ffffff"/>'


def _wrapped(note: str) -> Iterator[str]:
    line = ""
    for word in note.split():
        if len(line) + len(word) > 112:
            yield line
            line = ""
        line = f"{line} {word}".strip()
    if line:
        yield line


def _chart(chart: Chart, layout: Layout) -> Iterator[str]:
    xs = [x for series in chart.series for x, _, _ in series.points] + [x for _, *ends in chart.positions for x in ends]
    ys = [y for series in chart.series for _, low, high in series.points for y in (low, high)] + [y for _, y in chart.levels]
    scale = _decades if chart.logarithmic else _even
    across, up = scale(xs), scale(ys)
    left, right, top, bottom = layout.left, layout.width - layout.right, layout.top, layout.height - layout.bottom

    def at(x: float, y: float) -> tuple[float, float]:
        return left + across.along(x) * (right - left), bottom - up.along(y) * (bottom - top)

    for tick in across.ticks:
        x = at(tick, up.ticks[0])[0]
        yield _line((x, top), (x, bottom), "#eeeeee")
        yield _text(x, bottom + 18, _number(tick), anchor="middle")
    for tick in up.ticks:
        y = at(across.ticks[0], tick)[1]
        yield _line((left, y), (right, y), "#dddddd")
        yield _text(left - 8, y + 4, _number(tick), anchor="end")
    yield _text((left + right) / 2, bottom + 42, chart.across, anchor="middle")
    yield f'<text transform="translate(16 {(top + bottom) / 2:.1f}) rotate(-90)" text-anchor="middle">{escape(chart.up)}</text>'
    for name, level in chart.levels:
        y = at(across.ticks[0], level)[1]
        yield _line((left, y), (right, y), _LEVEL, "6 4")
        if not layout.is_named_below:
            yield _text(right - 4, y - 4, name, size=11, anchor="end")
    for name, least, most in chart.positions:
        ends = [at(x, up.ticks[0])[0] for x in (least, most)]
        if least != most:
            yield f'<rect x="{ends[0]:.1f}" y="{top}" width="{ends[1] - ends[0]:.1f}" height="{bottom - top}" fill="{_POSITION}" fill-opacity="0.2"/>'
        for x in ends if least != most else ends[:1]:
            yield _line((x, top), (x, bottom), _POSITION, "3 3")
        is_late = layout.is_named_below and ends[0] > (left + right) / 2
        yield _text(ends[1] if is_late else ends[0] + 4, top - 4, name, size=11, anchor="end" if is_late else "start")
    for number, series in enumerate(chart.series):
        colour, dash = _COLOURS[number % len(_COLOURS)], _DASHES[number % len(_DASHES)]
        lower, upper = [at(x, low) for x, low, _ in series.points], [at(x, high) for x, _, high in series.points]
        if lower != upper:
            yield f'<polygon points="{_points([*upper, *lower[::-1]])}" fill="{colour}" fill-opacity="0.15"/>'
        for edge in (lower, upper) if lower != upper else (lower,):
            yield f'<polyline points="{_points(edge)}" fill="none" stroke="{colour}" stroke-width="1.5" stroke-dasharray="{dash}"/>'
        yield from _name(layout, number, series.name, colour, dash)
    for number, (name, _) in enumerate(chart.levels, len(chart.series)):
        if layout.is_named_below:
            yield from _name(layout, number, name, _LEVEL, "6 4")


def _name(layout: Layout, number: int, name: str, colour: str, dash: str) -> Iterator[str]:
    """A line of the legend."""
    x, y = (layout.left, layout.height + 12) if layout.is_named_below else (layout.width - layout.right + 8, layout.top + 8)
    yield _line((x, y + _LINE * number), (x + 26, y + _LINE * number), colour, dash)
    yield _text(x + 32, y + _LINE * number + 4, name, size=11)


def _even(values: Sequence[float]) -> _Scale:
    """An axis from nought to a round number above the values."""
    most = max(values, default=1)
    step = _step(most)
    count = max(ceil(most / step * 0.999999), 1)
    return _Scale(tuple(number * step for number in range(count + 1)), lambda value: value / (count * step))


def _decades(values: Sequence[float]) -> _Scale:
    """An axis of whole powers of ten around the values."""
    low = floor(log10(min(values)) + 1e-9)
    high = max(ceil(log10(max(values)) - 1e-9), low + 1)
    return _Scale(tuple(10.0**power for power in range(low, high + 1)), lambda value: (log10(value) - low) / (high - low))


def _step(most: float) -> float:
    """A round distance between ticks that gives about as many as wanted."""
    if most <= 0:
        return 1.0
    power = 10.0 ** floor(log10(most / _TICKS))
    return next(step * power for step in (1, 2, 2.5, 5, 10) if step * power * _TICKS >= most * 0.999999)


def _number(value: float) -> str:
    return f"{value:.10g}" if value < 1_000 else f"{value:,.0f}"


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _line(start: tuple[float, float], end: tuple[float, float], colour: str, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}" stroke="{colour}"{dashed}/>'


def _text(x: float, y: float, text: str, *, size: int = 12, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}">{escape(text)}</text>'
