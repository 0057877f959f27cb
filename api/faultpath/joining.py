"""From the graph of an installation to the wiring behind one of its sources, part by part."""

from collections.abc import Iterator
from functools import cache

from faultpath.graph import Graph
from faultpath.impedance import ALUMINUM_RACEWAY, NONMAGNETIC, STEEL, mutual_ohms, raceway_ohms, rod_ohms, run_ohms, soil_range, source_ohms, transformer_ohms
from faultpath.installation import id_of
from faultpath.outcome import Gap
from faultpath.quantities import Quantity, quantities
from faultpath.shelf import shelf
from faultpath.tables import rows_with
from faultpath.terms import COMPLETE, INST, TYPE, short
from faultpath.vocabulary import vocabulary
from faultpath.wiring import EARTH_NODE, Corner, Join, Ohms, Way, Wiring, frame, neutral, node

_ROD_OR_PIPE = tuple(INST + name for name in ("Rod", "Pipe"))
_WAYS = {INST + "grounded": Way.NEUTRAL, INST + "equipment-grounding": Way.GROUND, INST + "supply-side-bonding": Way.GROUND}
_LOAD_NEUTRAL = ""


def wiring_behind(graph: Graph, edition: int, source: str) -> Wiring:
    """The wiring of what a source supplies, disconnects closed and every other source off. Takes a derived graph."""
    return _Joining(graph, edition, source).wiring


@cache
def _system_phasors(edition: int, system: str) -> dict[str, complex]:
    """The voltage of each leg of a system against its neutral, by the leg's IRI."""
    import cmath
    import math

    rows = rows_with(edition, "suppliedSystem", "suppliedLeg")
    found = {str(r["suppliedLeg"]): cmath.rect(float(str(r["voltsToGround"])), math.radians(float(str(r["angleDegrees"])))) for r in rows if r["suppliedSystem"] == system}
    return dict(sorted(found.items()))


@cache
def _book_value(subject: str, property_iri: str) -> object:
    return shelf().ontology.value(subject, property_iri)


class _Joining:
    """One pass over the graph that fills a wiring."""

    def __init__(self, graph: Graph, edition: int, source: str) -> None:
        self.graph = graph
        self.edition = edition
        system = graph.text(source, INST + "system")
        self.wiring = Wiring(source, _system_phasors(edition, system) if system else {})
        self.known = dict(quantities(edition))
        self._names: dict[str, int] = {}
        self._owners = {terminal: e for e in graph.instances(INST + "Equipment") for terminal in graph.iris(e, INST + "terminal")}
        self._reach()
        self._source()
        for equipment, runs in self.wiring.reached.items():
            for run in runs:
                self._run(run, equipment)
            self._bonds(equipment)
            self._loads(equipment)
        self._electrodes()
        self._metal_bodies()

    # What is there

    def _number(self, subject: str, name: str) -> float | None:
        value = self.graph.value(subject, INST + name)
        return None if value is None else float(str(value))

    def _join(self, name: str, part: str, way: Way, start: str, end: str, ohms: Ohms | None, *, volts: complex = 0, assumed: tuple[str, ...] = (), gaps: tuple[Gap, ...] = ()) -> Join:
        number = self._names[name] = self._names.get(name, 0) + 1
        for quantity in assumed:
            self.wiring.quantities[quantity] = self.known[quantity]
        return Join(name if number == 1 else f"{name} {number}", part, way, start, end, ohms, volts, assumed, gaps)

    def _reach(self) -> None:
        """The equipment in the order of supply, with the runs that come in."""
        outgoing: dict[str, list[str]] = {}
        incoming: dict[str, list[str]] = {}
        for run in self.graph.instances(INST + "Run"):
            outgoing.setdefault(self.graph.text(run, INST + "from"), []).append(run)
        waiting, seen = [self.wiring.source], set[str]()
        while waiting:
            here = waiting.pop()
            for run in outgoing.get(here, []):
                end = self.graph.text(run, INST + "to")
                self.wiring.starts[run] = here
                incoming.setdefault(end, []).append(run)
                if end not in seen:
                    seen.add(end)
                    waiting.append(end)
        # A piece of equipment comes after everything that its runs start at.
        placed = {self.wiring.source}
        left = list(incoming)
        while left:
            ready = [e for e in left if all(self.wiring.starts[run] in placed for run in incoming[e])]
            for equipment in ready:
                self.wiring.reached[equipment] = incoming[equipment]
            placed.update(ready)
            left = [e for e in left if e not in placed]

    def _source(self) -> None:
        source, legs = self.wiring.source, list(self.wiring.phasors)
        self.wiring.legs[source] = legs
        ohms, assumed, gaps = self._source_ohms()
        for leg, volts in self.wiring.phasors.items():
            name = f"{id_of(source)} {short(leg)}"
            self.wiring.joins.append(self._join(name, source, Way.SOURCE, neutral(source), node(source, leg), ohms, volts=volts, assumed=assumed, gaps=gaps))
        stated = self._number(source, "sourceEarthOhms")
        utility = (source, TYPE, INST + "Utility") in self.graph
        if stated is not None:
            self.wiring.joins.append(self._join(f"{id_of(source)} earth", source, Way.EARTH, neutral(source), EARTH_NODE, lambda _: stated))
        elif utility:
            name, least = "source-earth-resistance", self.known["no-length-resistance"].least
            self.wiring.joins.append(
                self._join(f"{id_of(source)} earth", source, Way.EARTH, neutral(source), EARTH_NODE, lambda corner: max(corner[name], least), assumed=(name,))
            )

    def _source_ohms(self) -> tuple[Ohms | None, tuple[str, ...], tuple[Gap, ...]]:
        """The impedance in each leg of the source, what it assumes, and what it waits for."""
        source = self.wiring.source
        volts = abs(next(iter(self.wiring.phasors.values()), 0j))
        ratio = self._number(source, "reactanceToResistance")
        assumed = () if ratio is not None else ("source-reactance-to-resistance",)

        def of(corner: Corner) -> float:
            return corner["source-reactance-to-resistance"] if ratio is None else ratio

        amperes = self._number(source, "availableFaultCurrentAmperes")
        rating, percent = self._number(source, "transformerKilovoltamperes"), self._number(source, "transformerImpedancePercent")
        if amperes is not None:
            return (lambda corner: source_ohms(volts, amperes, of(corner))), assumed, ()
        if rating is not None and percent is not None:
            kva, per_cent, legs = rating, percent, len(self.wiring.phasors)
            if legs == 2:
                # Half the winding between the legs stands in each; to the midpoint it is somewhat less.
                name = "midpoint-winding-share"
                return (lambda corner: corner[name] * transformer_ohms(2 * volts, kva, per_cent, of(corner)) / 2), (*assumed, name), ()
            line = volts if legs == 1 else volts * 3**0.5
            return (lambda corner: transformer_ohms(line, kva, per_cent, of(corner))), assumed, ()
        if (source, TYPE, INST + "Utility") in self.graph:
            name = "available-fault-current"
            return (lambda corner: source_ohms(volts, corner[name], of(corner))), (*assumed, name), ()
        return None, assumed, (Gap(source, INST + "availableFaultCurrentAmperes"),)

    @property
    def _stated_at_service(self) -> bool:
        """Whether the source's impedance is that up to the service, the drop included."""
        source = self.wiring.source
        by_transformer = all(self._number(source, name) is not None for name in ("transformerKilovoltamperes", "transformerImpedancePercent"))
        return self._number(source, "availableFaultCurrentAmperes") is not None or not by_transformer

    # Runs

    def _run(self, run: str, end: str) -> None:
        start = self.wiring.starts[run]
        arriving = self.wiring.legs.get(start, [])
        conductors = self.graph.iris(run, INST + "conductor")
        complete = (run, COMPLETE, INST + "conductor") in self.graph
        legs = self.wiring.legs.setdefault(end, [])
        if not conductors and not complete:
            self._unlisted(run, start, end, arriving, legs)
        elif not complete:
            self.wiring.open_runs[run] = Gap(run, INST + "conductor")
        used: list[str] = []
        for conductor in conductors:
            way = _WAYS.get(self.graph.text(conductor, INST + "role"), Way.LEG)
            count = int(self._number(conductor, "count") or 1)
            ohms, assumed, gaps = self._conductor_ohms(run, conductor, way, start)
            if way is Way.LEG:
                for leg in self._legs_of(conductor, count, arriving, used):
                    used.append(leg)
                    legs += [leg] if leg not in legs else []
                    ends = node(start, leg), node(end, leg)
                    self.wiring.joins.append(self._join(f"{id_of(run)} {short(leg)}", run, way, *ends, ohms, assumed=assumed, gaps=gaps))
            else:
                terminal = neutral if way is Way.NEUTRAL else frame
                shared = ohms if ohms is None or count == 1 else _divided(ohms, count)
                name = f"{id_of(run)} {'neutral' if way is Way.NEUTRAL else 'ground'}"
                self.wiring.joins.append(self._join(name, run, way, self._start_of(start, terminal), terminal(end), shared, assumed=assumed, gaps=gaps))
        legs.sort()
        self._metal(run, start, end)

    def _start_of(self, start: str, terminal: object) -> str:
        """At a source the frame is one with the neutral."""
        return neutral(start) if start == self.wiring.source or terminal is neutral else frame(start)

    def _legs_of(self, conductor: str, count: int, arriving: list[str], used: list[str]) -> Iterator[str]:
        first = self.graph.text(conductor, INST + "leg")
        free = [leg for leg in arriving if leg not in used and leg >= first]
        if not first and count < len(arriving) and len(self.wiring.phasors) > 1:
            self.wiring.notes.append(f"The leg of {id_of(conductor)} is not stated; {short(free[0]) if free else 'none'} is taken.")
        yield from free[:count]

    def _conductor_ohms(self, run: str, conductor: str, way: Way, start: str) -> tuple[Ohms | None, tuple[str, ...], tuple[Gap, ...]]:
        feet = self._number(run, "lengthFeet")
        if start == self.wiring.source and self._stated_at_service and (way is Way.LEG or feet is None):
            # The drop is part of the fault current that is stated for the service.
            name = "no-length-resistance"
            return (lambda corner: corner[name]), (name,), ()
        size, material = self.graph.text(conductor, INST + "size"), self.graph.text(conductor, INST + "material")
        sets = self._number(run, "parallelSets")
        wanted = ((size, conductor, "size"), (material, conductor, "material"), (feet, run, "lengthFeet"), (sets, run, "parallelSets"))
        gaps = tuple(Gap(subject, INST + name) for value, subject, name in wanted if not value)
        if gaps or feet is None or sets is None:
            return None, (), gaps
        return (*self._wire_ohms(run, size, material, self._raceway(run), feet, sets), ())

    def _wire_ohms(self, run: str, size: str, material: str, raceway: str, feet: float, sets: float) -> tuple[Ohms, tuple[str, ...]]:
        coefficient = float(str(_book_value(material, INST + "temperatureCoefficientPerKelvin")))
        celsius = self._number(run, "conductorTemperatureCelsius")
        edition, name = self.edition, "conductor-temperature"

        def ohms(corner: Corner) -> complex:
            warm = corner[name] if celsius is None else celsius
            return run_ohms(edition, size, material, raceway, feet=feet, coefficient=coefficient, celsius=warm) / sets

        return ohms, ((name,) if celsius is None else ())

    def _raceway(self, run: str) -> str:
        stated, method = self.graph.text(run, INST + "racewayMetal"), self.graph.text(run, INST + "method")
        if stated == INST + "aluminum-raceway":
            return ALUMINUM_RACEWAY
        return STEEL if stated or _book_value(method, INST + "usuallyOfSteel") else NONMAGNETIC

    def _unlisted(self, run: str, start: str, end: str, arriving: list[str], legs: list[str]) -> None:
        """A run whose conductors nobody listed: of a cord the number of wires tells what they are, of anything else nothing."""
        gap = Gap(run, INST + "conductor")
        self.wiring.open_runs[run] = gap
        wires = self._number(run, "wires") or self._number(run, "cordWires")
        if wires is None:
            return
        grounds = self.graph.value(run, INST + "cordCarriesGround") is True
        carrying = int(wires) - (1 if grounds else 0)
        fed = arriving[: max(carrying - 1, 1)]
        legs += [leg for leg in fed if leg not in legs]
        waits = (gap, *(() if self._number(run, "lengthFeet") else (Gap(run, INST + "lengthFeet"),)))
        found = [(f"{short(leg)}", Way.LEG, node(start, leg), node(end, leg)) for leg in fed]
        found += [("neutral", Way.NEUTRAL, neutral(start), neutral(end))] if carrying > len(fed) else []
        found += [("ground", Way.GROUND, frame(start), frame(end))] if grounds else []
        self.wiring.joins += [self._join(f"{id_of(run)} {name}", run, way, one, other, None, gaps=waits) for name, way, one, other in found]

    def _metal(self, run: str, start: str, end: str) -> None:
        """The raceway, armor or sheath of a run, where it serves as equipment grounding conductor."""
        method = self.graph.text(run, INST + "method")
        settled = _book_value(method, INST + "metalReturn")
        if not (settled is True or (settled is None and self.graph.value(run, INST + "metalServesAsGround") is True)):
            return
        measured, feet = self._number(run, "metalPathOhms"), self._number(run, "lengthFeet")
        trade = self.graph.text(run, INST + "racewayTradeSize")
        name, quantity = f"{id_of(run)} metal", "raceway-steel-conductivity"
        ends = self._start_of(start, frame), frame(end)
        if measured is not None:
            self.wiring.joins.append(self._join(name, run, Way.RACEWAY, *ends, lambda _: measured))
            return
        computed = raceway_ohms(self.edition, method, trade, feet) if feet is not None and self._raceway(run) == STEEL else None
        if computed is not None:
            poorer, poorest = computed[1], self.known[quantity].least
            self.wiring.joins.append(self._join(name, run, Way.RACEWAY, *ends, lambda corner: poorer * poorest / corner[quantity], assumed=(quantity,)))
            return
        if any(j.part == run and j.way is Way.GROUND for j in self.wiring.joins):
            self.wiring.left_out.append(f"The metal of {id_of(run)} returns current beside its equipment grounding conductor; its resistance is not given.")
            return
        listed = any(row["racewayMethod"] == method for row in rows_with(self.edition, "racewayMethod", "betterSteelOhms")) and self._raceway(run) == STEEL
        wanted = (("racewayTradeSize", trade), ("lengthFeet", feet)) if listed else (("metalPathOhms", None),)
        gaps = tuple(Gap(run, INST + key) for key, value in wanted if not value)
        self.wiring.joins.append(self._join(name, run, Way.RACEWAY, *ends, None, gaps=gaps))

    # Inside equipment

    def _terminal_node(self, terminal: str) -> str | None:
        owner = self._owners.get(terminal)
        if owner is None:
            return None
        kinds = {str(kind) for kind in self.graph.values(terminal, TYPE)}
        return neutral(owner) if INST + "GroundedConductorTerminal" in kinds else frame(owner)

    def _joint(self, name: str, part: str, way: Way, start: str, end: str) -> None:
        quantity = "joint-resistance"
        self.wiring.joins.append(self._join(name, part, way, start, end, lambda corner: corner[quantity], assumed=(quantity,)))

    def _bonds(self, equipment: str) -> None:
        if (equipment, COMPLETE, INST + "bond") not in self.graph:
            self.wiring.open_bonds[equipment] = Gap(equipment, INST + "bond")
        for bond in self.graph.iris(equipment, INST + "bond"):
            ends = [self._terminal_node(self.graph.text(bond, INST + name)) for name in ("bondFrom", "bondTo")]
            if ends[0] and ends[1] and ends[0] != ends[1]:
                self._joint(id_of(bond), bond, Way.BOND, ends[0], ends[1])
            elif None in ends:
                self.wiring.left_out.append(f"The bond {id_of(bond)} does not say between which terminals it lies.")

    def _loads(self, equipment: str) -> None:
        legs, volts = self.wiring.legs.get(equipment, []), self.wiring.phasors
        for load in self.graph.iris(equipment, INST + "load"):
            connection = self.graph.text(load, INST + "connection")
            leg = str(_book_value(connection, INST + "loadLeg") or (legs[0] if legs else ""))
            other = str(_book_value(connection, INST + "loadReturnLeg") or _LOAD_NEUTRAL)
            name = f"{id_of(load)}"
            if not connection or leg not in legs or (other and other not in legs):
                why = "does not say which lines it lies between" if not connection else "lies on a leg that does not arrive there"
                self.wiring.left_out.append(f"The load {name} {why}.")
                continue
            end = node(equipment, other) if other else neutral(equipment)
            across = abs(volts[leg] - (volts[other] if other else 0))
            ohms = self._load_ohms(load, across)
            gaps = () if ohms is not None else (Gap(load, INST + "loadWatts"),)
            self.wiring.loads.append(self._join(name, load, Way.LOAD, node(equipment, leg), end, ohms, gaps=gaps))

    def _load_ohms(self, load: str, volts: float) -> Ohms | None:
        """A load as the impedance that draws its power or current at the nominal voltage; with both, lagging."""
        watts, amperes = self._number(load, "loadWatts"), self._number(load, "loadAmperes")
        if watts is None and amperes is None:
            return None
        size = volts / amperes if amperes else volts**2 / (watts or 1)
        factor = min((watts or volts * size) / (volts * amperes), 1.0) if watts and amperes else 1.0
        ohms = complex(size * factor, size * (1 - factor**2) ** 0.5)
        return lambda _: ohms

    # Earth and metal

    def _electrodes(self) -> None:
        for electrode in self.graph.instances(INST + "Electrode"):
            name, here = id_of(electrode), node(electrode, "electrode")
            piping = self._number(electrode, "pipingReturnOhms")
            if piping is not None:
                self.wiring.joins.append(self._join(f"{name} piping", electrode, Way.PIPING, here, neutral(self.wiring.source), lambda _, ohms=piping: ohms))
            found = self._electrode_ohms(electrode)
            if found is None:
                self.wiring.left_out.append(f"The electrode {name} has no measured resistance, so no current is shown through it.")
            else:
                self.wiring.joins.append(self._join(f"{name} earth", electrode, Way.EARTH, here, EARTH_NODE, found[0], assumed=found[1]))
        for conductor in self.graph.instances(INST + "ElectrodeConductor"):
            ends = [self._point(self.graph.text(conductor, INST + name)) for name in ("electrodeConductorFrom", "electrodeConductorTo")]
            if ends[0] and ends[1] and ends[0] != ends[1]:
                self._electrode_conductor(conductor, ends[0], ends[1])

    def _electrode_conductor(self, conductor: str, start: str, end: str) -> None:
        size, material = self.graph.text(conductor, INST + "size"), self.graph.text(conductor, INST + "material")
        feet = self._number(conductor, "electrodeConductorLengthFeet")
        if size and material and feet:
            ohms, assumed = self._wire_ohms(conductor, size, material, NONMAGNETIC, feet, 1)
            self.wiring.joins.append(self._join(id_of(conductor), conductor, Way.ELECTRODE_CONDUCTOR, start, end, ohms, assumed=assumed))
        else:
            self._joint(id_of(conductor), conductor, Way.ELECTRODE_CONDUCTOR, start, end)

    def _electrode_ohms(self, electrode: str) -> tuple[Ohms, tuple[str, ...]] | None:
        """Resistance to earth as measured, of a rod or pipe else from the soil, of a rod else as assumed; None for others."""
        measured = self._number(electrode, "resistanceOhms")
        if measured is not None:
            return (lambda _: measured), ()
        feet, inches = self._number(electrode, "electrodeLengthFeet"), self._number(electrode, "diameterInches")
        kinds = {str(kind) for kind in self.graph.values(electrode, TYPE)}
        if not kinds.intersection(_ROD_OR_PIPE):
            return None
        if feet is None or inches is None:
            return (lambda corner: corner["rod-resistance"]), ("rod-resistance",)
        premises = self.graph.instances(INST + "Installation")[0]
        resistivity, soil = self._number(premises, "soilOhmMeters"), self.graph.text(premises, INST + "soil")
        spacing, others = self._number(electrode, "spacingFeet"), len(self.graph.instances(INST + "Rod")) - 1
        name = "soil-resistivity"
        span = soil_range(self.edition, soil) if soil else None
        if span is not None:
            meaning = f"Resistivity of the soil, {vocabulary().labels[soil]}"
            self.known[name] = Quantity(name, *span, self.known[name].unit, meaning, self.known[name].basis)

        def ohms(corner: Corner) -> complex:
            rho = corner[name] if resistivity is None else resistivity
            own = rod_ohms(rho, length_feet=feet, diameter_inches=inches)
            return own + (others * mutual_ohms(rho, length_feet=feet, spacing_feet=spacing) if spacing and others > 0 else 0)

        return ohms, (() if resistivity is not None else (name,))

    def _point(self, thing: str) -> str | None:
        """The node of anything that metal is bonded to."""
        if not thing:
            return None
        kinds = {str(kind) for kind in self.graph.values(thing, TYPE)}
        if INST + "Electrode" in kinds:
            return node(thing, "electrode")
        if INST + "MetalBody" in kinds:
            return node(thing, "metal")
        return frame(thing) if INST + "Equipment" in kinds else self._terminal_node(thing)

    def _metal_bodies(self) -> None:
        for body in self.graph.instances(INST + "MetalBody"):
            for number, point in enumerate(self.graph.iris(body, INST + "bondedTo"), 1):
                end = self._point(point)
                if end is not None:
                    self._joint(f"{id_of(body)} bond {number}", body, Way.BOND if number == 1 else Way.PIPING, node(body, "metal"), end)


def _divided(ohms: Ohms, count: int) -> Ohms:
    return lambda corner: ohms(corner) / count
