"""The electrical net of an installation behind one source: what joins which terminals, with the impedance of each join.

A node is a terminal of equipment: one per leg, one for the grounded conductor, one for the frame with the equipment
grounding terminals that are joined to it. Earth is a node. What a document does not state is either a range (a quantity
of the book, noted as assumed) or a gap (noted with the join that waits for it); nothing is filled in silently.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import product
from typing import TypeAlias

from faultpath.base.outcomes import Gap
from faultpath.book.quantities import Quantity
from faultpath.circuit.solver import Branch

EARTH_NODE = "earth"
Corner: TypeAlias = Mapping[str, float]
Ohms: TypeAlias = Callable[[Corner], complex]
Gaps: TypeAlias = tuple[Gap, ...]
# Stands for an impedance that is not known where only the way of the current is asked.
_PLACEHOLDER = 1.0
# Quantities of a source that make it strong or weak together, and whether the greater value makes it weak.
_SOURCE_STRENGTH = {"available-fault-current": False, "source-reactance-to-resistance": False, "midpoint-winding-share": True}


class Way(StrEnum):
    """What a join is, in trade words."""

    SOURCE = "source"
    LEG = "ungrounded conductor"
    NEUTRAL = "neutral"
    GROUND = "equipment grounding conductor"
    RACEWAY = "metal of the run"
    BOND = "bond"
    PIPING = "piping"
    ELECTRODE_CONDUCTOR = "electrode conductor"
    EARTH = "earth"
    LOAD = "load"
    FAULT = "fault"
    PERSON = "person"


@dataclass(frozen=True)
class Connection:
    """A connection between two nodes, the part of the installation that makes it, and its impedance.

    `ohms` gives the impedance for chosen values of what is `assumed`; None while the facts of `gaps` are not stated.
    """

    name: str
    part: str
    way: Way
    start: str
    end: str
    ohms: Ohms | None
    volts: complex = 0
    assumed: tuple[str, ...] = ()
    gaps: Gaps = ()

    def branch(self, corner: Corner) -> Branch:
        """The branch of the net at a corner."""
        return Branch(self.name, self.start, self.end, _PLACEHOLDER if self.ohms is None else self.ohms(corner), self.volts)


@dataclass
class Net:
    """Everything that joins the terminals behind one source.

    `legs` gives the legs that arrive at each piece of equipment, `reached` the equipment that the source supplies with the
    runs that come in, `starts` where a run starts, `open_runs` and `open_bonds` what is not fully listed, `guessed_legs` conductors taken to be on the first
    leg that is free, `quantities` what is taken from the book, `left_out` sentences on what is not in the net, `work` what solving it
    has cost so far.
    """

    source: str
    phasors: dict[str, complex]
    joins: list[Connection] = field(default_factory=list)
    loads: list[Connection] = field(default_factory=list)
    legs: dict[str, list[str]] = field(default_factory=dict)
    reached: dict[str, list[str]] = field(default_factory=dict)
    starts: dict[str, str] = field(default_factory=dict)
    open_runs: dict[str, Gap] = field(default_factory=dict)
    open_bonds: dict[str, Gap] = field(default_factory=dict)
    guessed_legs: dict[str, Gap] = field(default_factory=dict)
    quantities: dict[str, Quantity] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)
    work: float = 0

    def chain(self, equipment: str) -> list[str]:
        """The equipment and the runs between it and the source, nearest first."""
        found: list[str] = []
        waiting = [equipment]
        while waiting:
            node = waiting.pop(0)
            if node in found:
                continue
            found.append(node)
            for run in self.reached.get(node, []):
                found.append(run)
                waiting.append(self.starts[run])
        return list(dict.fromkeys(node for node in found if node != self.source))

    def below(self, run: str) -> list[str]:
        """The equipment that is supplied through a run, in the order of supply."""
        passed = {run}
        found: list[str] = []
        for equipment, incoming in self.reached.items():
            if passed.intersection(incoming):
                found.append(equipment)
                passed.update(r for r, start in self.starts.items() if start == equipment)
        return found


def node(equipment: str, terminal: str) -> str:
    """The node of a terminal: a leg's IRI, `neutral` or `frame`."""
    return f"{equipment} {terminal}"


def frame(equipment: str) -> str:
    """The node of the frame and of the grounding terminals joined to it."""
    return node(equipment, "frame")


def neutral(equipment: str) -> str:
    """The node of the grounded-conductor terminals."""
    return node(equipment, "neutral")


def corners(used: Iterable[Quantity]) -> list[dict[str, float]]:
    """Every combination of the ends of the ranges; the strength of a source is one range. The weak end of each comes first."""
    ranges: dict[str, list[dict[str, float]]] = {}
    for quantity in used:
        weak, strong = (quantity.most, quantity.least) if quantity.name != "raceway-steel-conductivity" else (quantity.least, quantity.most)
        key = quantity.name
        if key in _SOURCE_STRENGTH:
            weak, strong = (quantity.most, quantity.least) if _SOURCE_STRENGTH[key] else (quantity.least, quantity.most)
            key = "source"
        for end, value in zip(ranges.setdefault(key, [{}, {}]), (weak, strong), strict=True):
            end[quantity.name] = value
    options = [ends if ends[0] != ends[1] else ends[:1] for ends in ranges.values()]
    return [{name: value for part in chosen for name, value in part.items()} for chosen in product(*options)]


def assumed_in(joins: Iterable[Connection], wiring: Net) -> Iterator[Quantity]:
    """The quantities that some joins take from the book, each once."""
    for name in dict.fromkeys(name for join in joins for name in join.assumed):
        yield wiring.quantities[name]
