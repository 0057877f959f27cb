"""The neutral of one run opened, and the neutral current of a run that divides, worked out from the wiring and its loads."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from faultpath.answers.consequences import NEGLIGIBLE, Carrying, Solved, asked, carrying, is_metal, rounded, solve_at, solve_corners, span
from faultpath.answers.open_neutral_text import Division, FrameRise, LegVoltage, NeutralOpening, SplitVoltage, division_sentence, opening_sentences
from faultpath.base.outcomes import Gap
from faultpath.base.terms import COMPLETE, INST, TYPE, short
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity, quantities, value
from faultpath.circuit.net import EARTH_NODE, Connection, Net, Ohms, Way, frame, neutral, node
from faultpath.document.installation import id_of

_STRAY = (Way.GROUND, Way.RACEWAY, Way.PIPING, Way.ELECTRODE_CONDUCTOR, Way.EARTH)
_UNSTATED = "unstated-conductor-resistance"
SPLITS = tuple(number / 10 for number in range(1, 10))
_FELT_VOLTS = 1.0
# Below this a body changes the voltage that it touches too little to solve the net again with it.
_STIFF_VOLTS = 10.0
_TRACE_AMPERES = 1e-6
# What strays through the earth beside any sound neutral is less than this share of its current.
_DIVIDES = 0.01


class Breaking:
    """The wiring behind one source with its loads, whole and with one neutral open."""

    def __init__(self, graph: Graph, edition: int, wiring: Net) -> None:
        self.graph, self.edition, self.wiring = graph, edition, wiring
        wiring.quantities.setdefault(_UNSTATED, quantities(edition)[_UNSTATED])
        self.joins = [_ranged(join) for join in wiring.joins]
        self.loads = [load for load in wiring.loads if load.ohms is not None]
        self.whole = solve_corners(wiring, (*self.joins, *self.loads))

    @property
    def neutrals(self) -> list[str]:
        """The runs with a neutral, in the order of supply."""
        return list(dict.fromkeys(join.part for join in self.joins if join.way is Way.NEUTRAL))

    def opening(self, run: str, used: dict[str, Quantity]) -> NeutralOpening:
        """What follows when the neutral of a run opens; what that assumed is added to `used`."""
        wiring, below = self.wiring, self.wiring.below(run)
        left = [join for join in self.joins if not (join.part == run and join.way is Way.NEUTRAL)]
        loads = [load for load in self.loads if any(load.start.startswith(f"{equipment} ") for equipment in below)]
        leaning = any(load.end == neutral(equipment) for load in loads for equipment in below)
        after = solve_corners(wiring, (*left, *self.loads))
        before = Solved(
            self.whole.joins, tuple(solve_at(wiring, self.whole.joins, {**self.whole.at[0], **corner}) for corner in after.at), after.at, after.assumed
        )
        splits, watts = self._by_split(below, left, loads, used)
        opening = NeutralOpening(
            about=id_of(run),
            source=id_of(wiring.source),
            says="",
            legs=self._legs(below, loads, before, after) if leaning else [],
            frames=self._frames(before, after) if leaning else [],
            returns=self._returns(run, before, after) if leaning else [],
            by_split=splits,
            split_watts=watts,
            missing=asked(self.graph, self._gaps(run, below)),
        )
        if leaning:
            used.update({quantity.name: quantity for quantity in after.assumed})
        return opening.model_copy(update={"says": " ".join(opening_sentences(opening))})

    def _legs(self, below: Sequence[str], loads: Sequence[Connection], before: Solved, after: Solved) -> list[LegVoltage]:
        found = []
        for equipment in below:
            lines = [line for load in loads for line in (load.start, load.end)]
            for leg in self.wiring.legs.get(equipment, []):
                line = node(equipment, leg)
                pair = line, neutral(equipment)
                old, new = before.volts(*pair), after.volts(*pair)
                if line in lines and old and new:
                    found.append(LegVoltage(about=id_of(equipment), leg=short(leg), before_volts=span(old), after_volts=span(new)))
        return found

    def _frames(self, before: Solved, after: Solved) -> list[FrameRise]:
        found = []
        for equipment in self.wiring.reached:
            old, new = before.volts(frame(equipment), EARTH_NODE), after.volts(frame(equipment), EARTH_NODE)
            if old and new and max(*old, *new) >= _FELT_VOLTS and is_metal(self.graph, equipment):
                body = span(self._body_amperes(equipment, after, new))
                found.append(FrameRise(about=id_of(equipment), before_volts=span(old), after_volts=span(new), body_amperes=body))
        return found

    def _body_amperes(self, equipment: str, after: Solved, volts: Sequence[float]) -> list[float]:
        ohms = value(self.edition, "body-resistance")
        if max(volts) < _STIFF_VOLTS:
            return [one / ohms for one in volts]
        person = Connection("person", equipment, Way.PERSON, frame(equipment), EARTH_NODE, lambda _: ohms)
        return [abs(solve_at(self.wiring, (*after.joins, person), corner).amperes[person.name]) for corner in after.at]

    def _returns(self, run: str, before: Solved, after: Solved) -> list[Carrying]:
        wholes = _unbalance(before, self.joins, run)
        return carrying(after, (join for join in after.joins if join.way in (*_STRAY, Way.NEUTRAL) and _grows(join, before, after)), wholes)

    def _gaps(self, run: str, below: Sequence[str]) -> list[Gap]:
        """Loads that nobody stated at the ends of the wiring, loads without a size, and legs that were taken for granted."""
        ends = [e for e in below if e not in self.wiring.starts.values() and (e, TYPE, INST + "DistributionEquipment") not in self.graph]
        unstated = [e for e in ends if not self.graph.values(e, INST + "load") and (e, COMPLETE, INST + "load") not in self.graph]
        sizeless = [gap for load in self.wiring.loads for gap in load.gaps if any(load.start.startswith(f"{e} ") for e in below)]
        runs = {run, *(r for e in below for r in self.wiring.reached[e])}
        guessed = [gap for conductor, gap in self.wiring.guessed_legs.items() if any(conductor in self.graph.iris(r, INST + "conductor") for r in runs)]
        return [*(Gap(e, INST + "load") for e in unstated), *sizeless, *guessed]

    # By split

    def _by_split(
        self, below: Sequence[str], left: Sequence[Connection], loads: Sequence[Connection], used: dict[str, Quantity]
    ) -> tuple[list[SplitVoltage], float | None]:
        """The voltages behind the break with the stated power, or else an assumed one, split between the first two legs."""
        end = below[0] if below else ""
        legs = self.wiring.legs.get(end, [])[:2]
        if len(legs) < 2:
            return [], None
        watts = sum(self._watts(load) for load in loads)
        if not watts:
            used["split-load"] = quantities(self.edition)["split-load"]
            watts = used["split-load"].least
        joins = [*left, *(load for load in self.loads if load not in loads)]
        return [self._split(share, watts, end, legs, joins, used) for share in SPLITS], rounded(watts)

    def _watts(self, load: Connection) -> float:
        """Nominal power of a load between a leg and the neutral; nothing for one between two legs."""
        leg = load.start.rsplit(" ", 1)[1]
        if load.ohms is None or not load.end.endswith(" neutral"):
            return 0.0
        return abs(self.wiring.phasors[leg]) ** 2 * (1 / load.ohms({})).real

    def _split(self, share: float, watts: float, end: str, legs: Sequence[str], joins: Sequence[Connection], used: dict[str, Quantity]) -> SplitVoltage:
        lumps = []
        for leg, part in zip(legs, (share, 1 - share), strict=True):
            ohms = abs(self.wiring.phasors[leg]) ** 2 / (watts * part)
            lumps.append(Connection(f"split {short(leg)}", end, Way.LOAD, node(end, leg), neutral(end), _fixed(ohms)))
        solved = solve_corners(self.wiring, [*joins, *lumps])
        used.update({quantity.name: quantity for quantity in solved.assumed})
        volts = solved.volts(frame(end), EARTH_NODE)
        return SplitVoltage(
            first_leg_share=share,
            leg_volts=[span(solved.volts(node(end, leg), neutral(end))) for leg in legs],
            frame_volts=span(volts) if volts else None,
        )

    # Divided

    def division(self, run: str, used: dict[str, Quantity]) -> Division | None:
        """How the neutral current of a run divides; None where it comes back by the neutral alone."""
        wholes = _unbalance(self.whole, self.joins, run)
        mine = [join for join in self.joins if join.part == run and join.way in (Way.NEUTRAL, Way.GROUND, Way.RACEWAY)]
        elsewhere = [join for join in self.joins if join.way in (Way.PIPING, Way.EARTH)]
        neutrals = [join for join in mine if join.way is Way.NEUTRAL]
        carried = [sum(self.whole.amperes(join)[n] for join in neutrals) for n in range(len(wholes))]
        if max(wholes) < _TRACE_AMPERES or all(abs(whole - one) <= _DIVIDES * whole for whole, one in zip(wholes, carried, strict=True)):
            return None
        waiting = [gap for join in self.wiring.joins if join.part == run and join.ohms is None for gap in join.gaps]
        used.update({quantity.name: quantity for quantity in self.whole.assumed})
        division = Division(
            about=id_of(run),
            source=id_of(self.wiring.source),
            says="",
            unbalance_amperes=span(wholes),
            ways=[] if waiting else carrying(self.whole, [*mine, *elsewhere], wholes),
            missing=asked(self.graph, waiting),
        )
        return division.model_copy(update={"says": division_sentence(division)})


def _ranged(join: Connection) -> Connection:
    """A conductor of unknown impedance as one of a small range: beside loads it hardly matters."""
    return join if join.ohms is not None else replace(join, ohms=lambda corner: corner[_UNSTATED], assumed=(_UNSTATED,))


def _fixed(ohms: float) -> Ohms:
    return lambda _: ohms


def _unbalance(solved: Solved, joins: Iterable[Connection], run: str) -> list[float]:
    """What the legs of a run leave over for its neutral at each corner, in amperes."""
    legs = [join.name for join in joins if join.part == run and join.way is Way.LEG]
    return [abs(sum(solution.amperes[name] for name in legs)) for solution in solved.solutions]


def _grows(join: Connection, before: Solved, after: Solved) -> bool:
    """Whether a join carries more than before the break."""
    return max(after.amperes(join)) > (1 + NEGLIGIBLE) * max(before.amperes(join))
