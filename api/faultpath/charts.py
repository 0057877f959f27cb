"""Line charts as SVG, the same bytes for the same numbers: no clock, no random ids, no fonts of its own."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

WIDTH, HEIGHT = 720, 380
_LEFT, _RIGHT, _TOP, _BOTTOM = 72, 168, 44, 56
_TICKS = 6
# Told apart without colour vision too: the lines differ by their dashes as well.
_COLOURS = ("#0b5394", "#b45f06", "#38761d", "#741b47", "#444444", "#0b7285")
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 4", "1 3")


@dataclass(frozen=True)
class Series:
    """A line, or a band where its least and greatest values differ: points are (x, least, most) in rising x."""

    name: str
    points: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Chart:
    """One chart. `levels` are horizontal lines and `positions` vertical ones, each with its name."""

    title: str
    across: str
    up: str
    series: tuple[Series, ...]
    levels: tuple[tuple[str, float], ...] = ()
    positions: tuple[tuple[str, float], ...] = ()


def svg(title: str, charts: Sequence[Chart], note: str) -> str:
    """The charts one below the other in one SVG document, with a note at the foot."""
    lines = list(_wrapped(note))
    height = max(len(charts), 1) * HEIGHT + 20 + 16 * len(lines)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" width="{WIDTH}" height="{height}" role="img"',
        ' font-family="sans-serif" font-size="12">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
    ]
    for number, chart in enumerate(charts):
        parts += [f'<g transform="translate(0 {number * HEIGHT})">', *_chart(chart), "</g>"]
    if not charts:
        parts.append(_text(WIDTH / 2, HEIGHT / 2, title, anchor="middle"))
    parts += [_text(12, height - 16 * (len(lines) - number) + 4, line, size=11) for number, line in enumerate(lines)]
    return "\n".join([*parts, "</svg>"]) + "\n"


def _wrapped(note: str) -> Iterator[str]:
    line = ""
    for word in note.split():
        if len(line) + len(word) > 112:
            yield line
            line = ""
        line = f"{line} {word}".strip()
    if line:
        yield line


def _chart(chart: Chart) -> Iterator[str]:
    xs = [x for series in chart.series for x, _, _ in series.points] + [x for _, x in chart.positions]
    ys = [y for series in chart.series for _, low, high in series.points for y in (low, high)] + [y for _, y in chart.levels]
    step_across, step_up = _step(max(xs, default=1)), _step(max(ys, default=1))
    right, top = (max(ceil(max(values, default=1) / step * 0.999999), 1) * step for values, step in ((xs, step_across), (ys, step_up)))
    plot_width, plot_height = WIDTH - _LEFT - _RIGHT, HEIGHT - _TOP - _BOTTOM

    def at(x: float, y: float) -> tuple[float, float]:
        return _LEFT + x / right * plot_width, HEIGHT - _BOTTOM - y / top * plot_height

    yield _text(_LEFT, 26, chart.title, size=14)
    for tick in range(round(right / step_across) + 1):
        x = at(tick * step_across, 0)[0]
        yield _line((x, _TOP), (x, HEIGHT - _BOTTOM), "#eeeeee")
        yield _text(x, HEIGHT - _BOTTOM + 18, _number(tick * step_across), anchor="middle")
    for tick in range(round(top / step_up) + 1):
        y = at(0, tick * step_up)[1]
        yield _line((_LEFT, y), (WIDTH - _RIGHT, y), "#dddddd")
        yield _text(_LEFT - 8, y + 4, _number(tick * step_up), anchor="end")
    yield _text(_LEFT + plot_width / 2, HEIGHT - 14, chart.across, anchor="middle")
    yield f'<text transform="translate(16 {_TOP + plot_height / 2:.1f}) rotate(-90)" text-anchor="middle">{escape(chart.up)}</text>'
    for name, level in chart.levels:
        y = at(0, level)[1]
        yield _line((_LEFT, y), (WIDTH - _RIGHT, y), "#990000", "6 4")
        yield _text(WIDTH - _RIGHT - 4, y - 4, name, size=11, anchor="end")
    for name, position in chart.positions:
        x = at(position, 0)[0]
        yield _line((x, _TOP), (x, HEIGHT - _BOTTOM), "#666666", "3 3")
        yield _text(x + 4, _TOP - 4, name, size=11)
    for number, series in enumerate(chart.series):
        colour, dash = _COLOURS[number % len(_COLOURS)], _DASHES[number % len(_DASHES)]
        lower, upper = [at(x, low) for x, low, _ in series.points], [at(x, high) for x, _, high in series.points]
        if lower != upper:
            yield f'<polygon points="{_points([*upper, *lower[::-1]])}" fill="{colour}" fill-opacity="0.15"/>'
        for edge in (lower, upper) if lower != upper else (lower,):
            yield f'<polyline points="{_points(edge)}" fill="none" stroke="{colour}" stroke-width="1.5" stroke-dasharray="{dash}"/>'
        y = _TOP + 8 + 18 * number
        yield _line((WIDTH - _RIGHT + 8, y), (WIDTH - _RIGHT + 34, y), colour, dash)
        yield _text(WIDTH - _RIGHT + 40, y + 4, series.name, size=11)


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
