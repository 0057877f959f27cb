"""The loop of one frame behind one source, worked out from the wiring."""

from collections.abc import Sequence
from dataclasses import replace

from faultpath.answers.consequences import Between, Carrying, Solved, asked, carrying, rounded, solve_at, solve_corners, span, waiting_for
from faultpath.answers.fault_loop_text import AtLength, Clearing, EarthAlone, FaultLoop, Interrupter, LengthLimit, Opening, sentences
from faultpath.answers.reasons import MissingFact
from faultpath.base.outcomes import Gap
from faultpath.base.terms import INST, short
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity, quantities, value
from faultpath.book.tables import rows_with
from faultpath.circuit.net import EARTH_NODE, Connection, Net, Ohms, Way, frame, neutral, node
from faultpath.circuit.protection import opening_time
from faultpath.document.installation import id_of

RETURNING = (Way.NEUTRAL, Way.GROUND, Way.RACEWAY, Way.BOND, Way.PIPING, Way.ELECTRODE_CONDUCTOR, Way.EARTH)
_FAULT = "fault"
_HALVINGS = 40
_TRACE = 1e-9
LENGTHS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0)
_SHORTEST, _LONGEST = 1e-6, 1e4


def nothing_known(equipment: str, says: str, missing: list[MissingFact], **known: object) -> FaultLoop:
    """A loop of which no current can be told."""
    stated = {
        "about": id_of(equipment),
        "clears": Clearing.NOT_KNOWN,
        "says": says,
        "missing": missing,
        "path": [],
        "returns": [],
        "by_length": [],
        "left_out": [],
    }
    return FaultLoop.model_validate({**dict.fromkeys(FaultLoop.model_fields), **stated, **known})


class Loop:
    """The loop of one frame behind one source.

    `criterion` are the multiple and the arc voltage of length limits; `by_length` asks for other lengths of the last run.
    """

    def __init__(self, graph: Graph, edition: int, wiring: Net, equipment: str, criterion: Sequence[Quantity], by_length: bool) -> None:
        self.graph, self.edition, self.wiring, self.equipment = graph, edition, wiring, equipment
        self.criterion, self.by_length = criterion, by_length
        self.name, self.frame = id_of(equipment), frame(equipment)
        self.chain = wiring.chain(equipment)
        self.known = {"source": id_of(wiring.source), "left_out": wiring.left_out}

    def answer(self, used: dict[str, Quantity]) -> FaultLoop:
        """The answer; what it assumed is added to `used`."""
        legs = self.wiring.legs.get(self.equipment, [])
        if not legs:
            return self._without_leg()
        self.leg = legs[0]
        fault = Connection(_FAULT, self.equipment, Way.FAULT, node(self.equipment, self.leg), self.frame, lambda _: 0)
        solved = solve_corners(self.wiring, (*self.wiring.joins, fault))
        path = self._path(solved)
        earthed = max(solved.amperes(fault)) > 0
        open_lists = [] if path else [gap for part, gap in {**self.wiring.open_runs, **self.wiring.open_bonds}.items() if part in self.chain]
        needed = waiting_for(solved)
        if needed or open_lists:
            ways = ", ".join(join.name for join in path)
            says = f"A metal path leads back through {ways}. " if path else f"No metal path back is known for {self.name}. "
            missing = asked(self.graph, [*open_lists, *needed])
            ids = ", ".join(dict.fromkeys(fact.about for fact in missing))
            says += f"How much current flows cannot be told before more is known of {ids}."
            steps = [Carrying(part=id_of(j.part), join=j.name, way=j.way, amperes=None, share=None) for j in path]
            return nothing_known(self.equipment, says, missing, leg=short(self.leg), metallic_path=True if path else None, path=steps, **self.known)
        used.update({quantity.name: quantity for quantity in solved.assumed})
        return self._solved(solved, fault, path, earthed, used)

    def _without_leg(self) -> FaultLoop:
        gaps = [gap for run, gap in self.wiring.open_runs.items() if run in self.chain]
        if not self.wiring.phasors:
            gaps = [] if self.graph.value(self.wiring.source, INST + "system") else [Gap(self.wiring.source, INST + "system")]
            says = f"The source {id_of(self.wiring.source)} has no leg whose voltage to ground is known."
        else:
            says = f"No ungrounded conductor is known to reach {self.name}."
        return nothing_known(self.equipment, says, asked(self.graph, gaps), **self.known)

    def _path(self, solved: Solved) -> list[Connection]:
        """The best metal path from the frame to the source's neutral: the fewest ohms, the earth not counted."""
        ways = [join for join in self.wiring.joins if join.way in RETURNING and join.way is not Way.EARTH]
        corner = solved.at[0]
        weights = {
            join.name: abs(join.branch({**corner, **{q: self.wiring.quantities[q].most for q in join.assumed if q not in corner}}).ohms) for join in ways
        }
        best: dict[str, tuple[float, list[Connection]]] = {self.frame: (0.0, [])}
        waiting = dict(best)
        while waiting:
            here = min(waiting, key=lambda n: waiting[n][0])
            so_far, steps = waiting.pop(here)
            if here == neutral(self.wiring.source):
                return steps
            for join in ways:
                if here in (join.start, join.end):
                    there = join.end if here == join.start else join.start
                    cost = so_far + weights[join.name]
                    if there not in best or cost < best[there][0]:
                        best[there] = waiting[there] = (cost, [*steps, join])
        return []

    def _solved(self, solved: Solved, fault: Connection, path: list[Connection], earthed: bool, used: dict[str, Quantity]) -> FaultLoop:
        amperes = solved.amperes(fault)
        current = span(amperes)
        volts = abs(self.wiring.phasors[self.leg])
        returning = carrying(solved, (join for join in self.wiring.joins if join.way in RETURNING), amperes)
        touch = self._touch(solved)
        rating, no_device, device_gaps = self._device()
        clears, opening = self._clearing(current, rating, no_device)
        interrupter = self._interrupter(solved)
        alone = self._earth_alone(rating, no_device, used)
        body = value(self.edition, "body-resistance")
        shares = {c.join: c for c in carrying(solved, path, amperes)}
        loop = FaultLoop(
            about=self.name,
            source=id_of(self.wiring.source),
            leg=short(self.leg),
            clears=clears,
            says="",
            metallic_path=bool(path),
            path=[shares[join.name] for join in path if join.name in shares],
            returns=returning,
            fault_amperes=current,
            loop_ohms=span(volts / one for one in amperes) if earthed and all(amperes) else None,
            device_amperes=rating,
            multiple=span(one / rating for one in amperes) if rating else None,
            opening=opening,
            touch_volts=touch,
            body_amperes=None if touch is None else Between(least=rounded(touch.least / body), most=rounded(touch.most / body)),
            disconnection_seconds=self._disconnection(volts),
            interrupter=interrupter,
            earth_alone=alone,
            length_limit=self._length_limit(solved, amperes, rating) if path else None,
            by_length=self._by_length(solved) if self.by_length and path else [],
            missing=asked(self.graph, device_gaps),
            left_out=self.wiring.left_out,
        )
        return loop.model_copy(update={"says": " ".join(sentences(loop))})

    def _touch(self, solved: Solved) -> Between | None:
        """Between the frame and earth, and between it and the metal nearest the source, whichever is more at each corner."""
        frames = [frame(part) for part in reversed(self.chain) if part not in self.wiring.starts and part != self.equipment]
        metal = next((there for there in (*frames, neutral(self.wiring.source)) if solved.volts(self.frame, there)), None)
        found = [values for other in (EARTH_NODE, metal) if other is not None and (values := solved.volts(self.frame, other))]
        return span(max(at_corner) for at_corner in zip(*found, strict=True)) if found else None

    def _device(self) -> tuple[int | None, bool, list[Gap]]:
        """The rating of the overcurrent device ahead, whether there is none on the premises, and what would tell."""
        waiting: list[Gap] = []
        for run in (part for part in self.chain if part in self.wiring.starts):
            rating = self.graph.value(run, INST + "protectiveRatingAmperes")
            if rating is None:
                disconnect = self.graph.text(self.wiring.starts[run], INST + "disconnect")
                rating = self.graph.value(disconnect, INST + "ratingAmperes") if disconnect else None
            if rating is not None:
                return int(str(rating)), False, []
            if self.graph.value(run, INST + "runSide") == INST + "supply-side":
                return None, not waiting, waiting
            waiting.append(Gap(run, INST + "protectiveRatingAmperes"))
        return None, not waiting, waiting

    def _clearing(self, current: Between, rating: int | None, no_device: bool) -> tuple[Clearing, Opening | None]:
        if rating is None:
            return (Clearing.NO_DEVICE if no_device else Clearing.NOT_KNOWN), None
        slow, fast = opening_time(self.edition, current.least, rating).most_seconds, opening_time(self.edition, current.most, rating).least_seconds
        opening = Opening(least_seconds=None if fast is None else rounded(fast), most_seconds=None if slow is None else rounded(slow))
        if slow is not None:
            return Clearing.OPENS, opening
        return (Clearing.DOES_NOT_OPEN if fast is None else Clearing.MAY_NOT_OPEN), opening

    def _watched_run(self) -> str | None:
        """The nearest run ahead that a ground-fault circuit interrupter protects."""
        for run in (part for part in self.chain if part in self.wiring.starts):
            device = self.graph.text(run, INST + "overcurrent")
            if device and self.graph.value(device, INST + "groundFaultCircuitInterrupter") is True:
                return run
        return None

    def _opens_an_interrupter(self, missing: Between) -> bool | None:
        """Whether a current that is missing opens an interrupter; None between the two limits of its class."""
        limit = quantities(self.edition)["interrupter-current"]
        return True if missing.least >= limit.most else False if missing.most <= limit.least else None

    def _interrupter(self, solved: Solved) -> Interrupter | None:
        run = self._watched_run()
        if run is None:
            return None
        watched = [join.name for join in self.wiring.joins if join.part == run and join.way in (Way.LEG, Way.NEUTRAL)]
        missing = span(abs(sum(solution.amperes[name] for name in watched)) for solution in solved.solutions)
        return Interrupter(run=id_of(run), missing_amperes=missing, opens=self._opens_an_interrupter(missing))

    def _earth_alone(self, rating: int | None, no_device: bool, used: dict[str, Quantity]) -> EarthAlone | None:
        """The leg touches a frame that has nothing but a rod of its own."""
        name = "rod-resistance"
        quantity = self.wiring.quantities.setdefault(name, quantities(self.edition)[name])
        lone = node(self.equipment, "frame with a rod alone")
        rod = Connection("rod alone", self.equipment, Way.EARTH, lone, EARTH_NODE, lambda corner: corner[name], assumed=(name,))
        fault = Connection(_FAULT, self.equipment, Way.FAULT, node(self.equipment, self.leg), lone, lambda _: 0)
        solved = solve_corners(self.wiring, (*(join for join in self.wiring.joins if join.ohms is not None), rod, fault), carrying_only=True)
        amperes = span(solved.amperes(fault))
        if amperes.most == 0:
            return None
        used[name] = quantity
        return EarthAlone(
            amperes=amperes,
            touch_volts=span(solved.volts(lone, EARTH_NODE)),
            opens=self._clearing(amperes, rating, no_device)[0],
            interrupter_opens=self._opens_an_interrupter(amperes) if self._watched_run() else None,
        )

    def _disconnection(self, volts: float) -> float | None:
        for row in rows_with(self.edition, "aboveVolts", "disconnectionSeconds"):
            if float(str(row["aboveVolts"])) < round(volts) <= float(str(row["upToVolts"])):
                return float(str(row["disconnectionSeconds"]))
        return None

    def _last_run(self) -> tuple[str, float] | tuple[None, float]:
        """The run that comes in and its length in feet; none where that is not stated."""
        run = next((part for part in self.chain if part in self.wiring.starts), None)
        feet = self.graph.value(run, INST + "lengthFeet") if run else None
        return (None, 0.0) if run is None or feet is None else (run, float(str(feet)))

    def _by_length(self, solved: Solved) -> list[AtLength]:
        run, stated = self._last_run()
        if run is None:
            return []
        found = []
        for factor in LENGTHS:
            joins = tuple(stretched(solved.joins, run, factor))
            longer = replace(solved, joins=joins, solutions=tuple(solve_at(self.wiring, joins, corner) for corner in solved.at))
            amperes = span(abs(solution.amperes[_FAULT]) for solution in longer.solutions)
            found.append(AtLength(feet=rounded(factor * stated), fault_amperes=amperes, touch_volts=self._touch(longer)))
        return found

    def _length_limit(self, solved: Solved, amperes: Sequence[float], rating: int | None) -> LengthLimit | None:
        """The length of the last run at which the least fault current just meets the criterion, found by halving."""
        run, stated = self._last_run()
        if rating is None or run is None:
            return None
        volts = abs(self.wiring.phasors[self.leg])
        needed = self.criterion[0].least * rating * volts / max(volts - self.criterion[1].least, 1e-9)
        corner = solved.at[min(range(len(amperes)), key=amperes.__getitem__)]

        # Only what carries current decides the current, whatever the length.
        core = [join for join in solved.joins if max(solved.amperes(join)) > _TRACE * max(amperes)]

        def enough(factor: float) -> bool:
            return abs(solve_at(self.wiring, stretched(core, run, factor), corner).amperes[_FAULT]) >= needed

        if not enough(_SHORTEST):
            return LengthLimit(run=id_of(run), feet=None, stated_feet=stated, met=False)
        low, high = _SHORTEST, _LONGEST
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if enough(middle) else (low, middle)
        return LengthLimit(run=id_of(run), feet=rounded(low * stated), stated_feet=stated, met=low >= 1)


def stretched(joins: Sequence[Connection], run: str, factor: float) -> list[Connection]:
    """The joins with those of a run so many times as long."""

    def longer(ohms: Ohms) -> Ohms:
        return lambda corner: ohms(corner) * factor

    return [replace(join, ohms=longer(join.ohms)) if join.part == run and join.ohms is not None else join for join in joins]
