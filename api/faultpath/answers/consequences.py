"""What the answers on currents and voltages share: ranges, what they assume, the joins that carry current, cautions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import Field

from faultpath.answers.reasons import MissingFact, missing_fact
from faultpath.answers.record import Answer
from faultpath.base.outcomes import Gap
from faultpath.base.problems import BadInput, Problem
from faultpath.base.terms import INST
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity, quantities
from faultpath.circuit.net import EARTH_NODE, Connection, Corner, Net, Way, assumed_in, corners
from faultpath.circuit.solver import Branch, Solution, TooLarge, solve
from faultpath.document.installation import id_of
from faultpath.judging.judge import JudgingCache, missing_facts

SAFETY = (
    "A small number here makes nothing safe to touch. Never make a fault or lift a neutral, a bond or an electrode conductor to try it: "
    "full voltage can stand across the gap. De-energise, lock out, verify; qualified persons only."
)
NEGLIGIBLE = 1e-3
_TRACE = 1e-9
# Steps of elimination that a question may cost, and what a branch costs beside them: some ten seconds.
MOST_WORK = 2e10
_WORK_PER_BRANCH = 15_000
_FIGURES = 5
_NOTHING = 1e-9


class Between(Answer):
    """A value as a range; the ends are equal where nothing had to be assumed."""

    least: float = Field(description="Least value over everything that is assumed.")
    most: float = Field(description="Greatest value over everything that is assumed.")


class Assumed(Answer):
    """A quantity that nobody stated, with the range that was tried."""

    quantity: str = Field(description="Name of the quantity.")
    meaning: str = Field(description="What it is.")
    least: float = Field(description="Least value tried.")
    most: float = Field(description="Greatest value tried.")
    unit: str = Field(description="QUDT unit.")
    basis: str = Field(description="Where the range is from.")


class Limit(Answer):
    """A published limit or threshold that the numbers are set beside; the code of the book sets none of them."""

    quantity: str = Field(description="Name of the limit.")
    meaning: str = Field(description="What it limits.")
    least: float = Field(description="Lower value.")
    most: float = Field(description="Upper value; equal to the lower where there is one.")
    unit: str = Field(description="QUDT unit.")
    basis: str = Field(description="The standard that publishes it.")


class Carrying(Answer):
    """A join that carries current, and its share of the whole."""

    part: str = Field(description="Id of the part of the installation that makes the join.")
    join: str = Field(description="Name of the join.")
    way: Way = Field(description="What kind of join it is.")
    amperes: Between | None = Field(description="Current in it, in amperes; null while not known.")
    share: Between | None = Field(description="Its current over the whole; shares of ways side by side add up to 1 or, out of phase, a little more.")


def limit(quantity: Quantity) -> Limit:
    """A quantity of the book as a limit."""
    return Limit(**_shown(quantity))


def limits(edition: int, *names: str) -> list[Limit]:
    """Published limits by name."""
    return [limit(quantities(edition)[name]) for name in names]


def _shown(quantity: Quantity) -> dict[str, Any]:
    return {
        "quantity": quantity.name,
        "meaning": quantity.meaning,
        "least": quantity.least,
        "most": quantity.most,
        "unit": quantity.unit,
        "basis": quantity.basis,
    }


def assumptions(used: Iterable[Quantity]) -> list[Assumed]:
    """What was assumed, each quantity once, without those that change nothing."""
    return [Assumed(**_shown(quantity)) for quantity in {q.name: q for q in used if q.name != "no-length-resistance"}.values()]


def rounded(number: float) -> float:
    """To five significant figures: more than the tables have, few enough to be the same on every machine. What is left of nought by rounding is nought."""
    return 0.0 if abs(number) < _NOTHING else float(f"{number:.{_FIGURES}g}")


def span(values: Iterable[float]) -> Between:
    """The range of some values."""
    found = [rounded(value) for value in values]
    return Between(least=min(found), most=max(found))


def said(between: Between, unit: str) -> str:
    """A range in words: `303 A` or `250 to 303 A`."""
    low, high = f"{between.least:,.3g}", f"{between.most:,.3g}"
    if max(between.most, between.least) >= 1_000:
        low, high = f"{between.least:,.0f}", f"{between.most:,.0f}"
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def unit_said(code: str) -> str:
    """A QUDT unit as people write it, with the space before it."""
    return {"UNITLESS": "", "OHM": " ohm", "DEG_C": " degrees Celsius", "OHM-M": " ohm-meters", "SEC": " s"}.get(code, f" {code}")


def asked(graph: Graph, gaps: Iterable[Gap]) -> list[MissingFact]:
    """Gaps as questions, derived facts traced to what people state, each once."""
    bench = JudgingCache(graph)
    return [missing_fact(gap) for gap in dict.fromkeys(fact for gap in gaps for fact in missing_facts(bench, gap))]


@dataclass(frozen=True)
class Solved:
    """A net at every corner of what is assumed in it, with the joins that it is made of."""

    joins: tuple[Connection, ...]
    solutions: tuple[Solution, ...]
    at: tuple[Corner, ...]
    assumed: tuple[Quantity, ...]

    def amperes(self, join: Connection) -> list[float]:
        """The current of a join at each corner; none in one that was left out."""
        return [abs(solution.amperes.get(join.name, 0j)) for solution in self.solutions]

    def volts(self, node: str, other: str) -> list[float]:
        """The voltage between two nodes at each corner; empty where nothing fixes it."""
        found = [solution.between(node, other) for solution in self.solutions]
        return [abs(volts) for volts in found if volts is not None]


def solve_corners(wiring: Net, joins: Sequence[Connection], *, carrying_only: bool = False) -> Solved:
    """Solve a net at every corner of the quantities that matter in it. Raises BadInput for one that is too large.

    `carrying_only` leaves out what carries no current, with the nodes that only it reaches.
    """
    used = {quantity.name: quantity for quantity in assumed_in(joins, wiring)}
    middle = {name: (quantity.least + quantity.most) / 2 for name, quantity in used.items()}
    first = solve_at(wiring, joins, middle)
    whole = max((abs(amperes) for amperes in first.amperes.values()), default=0.0)
    carrying = [join for join in joins if abs(first.amperes[join.name]) > _TRACE * whole]
    matter = tuple(assumed_in(carrying, wiring))
    fixed = {name: value for name, value in middle.items() if name not in {quantity.name for quantity in matter}}
    at = tuple({**fixed, **corner} for corner in corners(matter))
    joins = carrying if carrying_only else joins
    return Solved(tuple(joins), tuple(solve_at(wiring, joins, corner) for corner in at), at, matter)


def solve_at(wiring: Net, joins: Sequence[Connection], corner: Corner) -> Solution:
    """Solve a net at one corner. Raises BadInput for one that is too large, and once a question costs too much."""
    branches: list[Branch] = [join.branch(corner) for join in joins]
    try:
        solution = solve(branches, EARTH_NODE)
    except TooLarge as large:
        problem = Problem("/installation", f"Too many conductors lie side by side: {large}.", "Expected fewer parallel ways, or one building at a time.")
        raise BadInput([problem], kind="too-large", status=413) from large
    wiring.work += solution.unknowns**3 + _WORK_PER_BRANCH * len(branches)
    if wiring.work > MOST_WORK:
        raise BadInput([Problem("/about", "All of it takes too long to work out at once.", "Expected ids of fewer parts.")], kind="too-large", status=413)
    return solution


def carrying(solved: Solved, joins: Iterable[Connection], wholes: Sequence[float]) -> list[Carrying]:
    """The joins that carry more than a thousandth of the whole, the greatest first."""
    found: list[tuple[float, Carrying]] = []
    for join in joins:
        amperes = solved.amperes(join)
        shares = [one / whole if whole else 0.0 for one, whole in zip(amperes, wholes, strict=True)]
        if max(shares, default=0.0) >= NEGLIGIBLE:
            shown = Carrying(part=id_of(join.part), join=join.name, way=join.way, amperes=span(amperes), share=span(shares))
            found.append((-rounded(max(amperes)), shown))
    return [shown for _, shown in sorted(found, key=lambda pair: (pair[0], pair[1].join))]


def waiting_for(solved: Solved) -> list[Gap]:
    """The facts that joins on the current's way wait for."""
    whole = max((max(solved.amperes(join)) for join in solved.joins), default=0.0)
    return [gap for join in solved.joins if join.ohms is None and max(solved.amperes(join)) > _TRACE * whole for gap in join.gaps]


def is_metal(graph: Graph, equipment: str) -> bool:
    """Whether equipment may have metal that can be touched; only a case or a box that is stated to be of something else has none."""
    cases = [*graph.iris(equipment, INST + "enclosure"), *graph.iris(equipment, INST + "box")]
    return not any(graph.value(case, INST + "metal") is False for case in cases)


def sources_of(graph: Graph, nodes: Iterable[str]) -> list[str]:
    """The sources upstream of some equipment, in the order of the graph."""
    incoming: dict[str, list[str]] = {}
    for run in graph.instances(INST + "Run"):
        incoming.setdefault(graph.text(run, INST + "to"), []).append(graph.text(run, INST + "from"))
    seen = set[str]()
    waiting = list(nodes)
    while waiting:
        node = waiting.pop()
        if node not in seen:
            seen.add(node)
            waiting.extend(incoming.get(node, []))
    return [source for source in graph.instances(INST + "Source") if source in seen]
