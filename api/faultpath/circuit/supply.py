"""From the graph of an installation to the wiring behind one of its sources: the source, and every run that it supplies."""

import cmath
import math
from collections.abc import Iterator
from functools import cache

from faultpath.base.outcomes import Gap
from faultpath.base.terms import COMPLETE, INST, short
from faultpath.base.triples import Graph
from faultpath.book.tables import rows_with
from faultpath.circuit.equipment import add_bonds, add_electrodes, add_loads, add_metal_bodies
from faultpath.circuit.impedance import raceway_ohms, source_ohms, transformer_ohms
from faultpath.circuit.net import EARTH_NODE, Corner, Gaps, Net, Ohms, Way, frame, neutral, node
from faultpath.circuit.net_builder import NetBuilder, book_value
from faultpath.document.installation import id_of

_WAYS = {INST + "grounded": Way.NEUTRAL, INST + "equipment-grounding": Way.GROUND, INST + "supply-side-bonding": Way.GROUND}
_RATIO, _STEEL, _SKIN, _NO_LENGTH = "source-reactance-to-resistance", "raceway-steel-conductivity", "raceway-steel-skin-effect", "no-length-resistance"


def wiring_behind(graph: Graph, edition: int, source: str) -> Net:
    """The wiring of what a source supplies, disconnects closed and every other source off. Takes a derived graph."""
    system = graph.text(source, INST + "system")
    plan = NetBuilder(graph, edition, Net(source, _phasors(edition, system) if system else {}))
    wiring = plan.wiring
    _reach(plan)
    _add_source(plan)
    for equipment, runs in wiring.reached.items():
        for run in runs:
            _add_run(plan, run, equipment)
        add_bonds(plan, equipment)
        add_loads(plan, equipment)
    add_electrodes(plan)
    add_metal_bodies(plan)
    return wiring


@cache
def _phasors(edition: int, system: str) -> dict[str, complex]:
    """The voltage of each leg of a system against its neutral, by the leg's IRI."""
    rows = [row for row in rows_with(edition, "suppliedSystem", "suppliedLeg") if row["suppliedSystem"] == system]
    polar = {str(row["suppliedLeg"]): (float(str(row["voltsToGround"])), math.radians(float(str(row["angleDegrees"])))) for row in rows}
    return {leg: cmath.rect(*polar[leg]) for leg in sorted(polar)}


def _reach(plan: NetBuilder) -> None:
    """The equipment that the source supplies, each after everything that its runs start at."""
    outgoing: dict[str, list[str]] = {}
    for run in plan.graph.instances(INST + "Run"):
        outgoing.setdefault(plan.iri(run, "from"), []).append(run)
    incoming: dict[str, list[str]] = {}
    waiting, seen = [plan.wiring.source], {plan.wiring.source}
    while waiting:
        here = waiting.pop(0)
        for run in outgoing.get(here, []):
            end = plan.iri(run, "to")
            plan.wiring.starts[run] = here
            incoming.setdefault(end, []).append(run)
            if end not in seen:
                seen.add(end)
                waiting.append(end)
    # The document is free of supply loops, so counting down the runs that a thing still waits for ends.
    open_runs = {end: len(runs) for end, runs in incoming.items()}
    ready = [plan.wiring.source]
    while ready:
        for run in outgoing.get(ready.pop(0), []):
            end = plan.iri(run, "to")
            open_runs[end] -= 1
            if open_runs[end] == 0:
                plan.wiring.reached[end] = incoming[end]
                ready.append(end)


# The source


def _add_source(plan: NetBuilder) -> None:
    source, wiring = plan.wiring.source, plan.wiring
    wiring.legs[source] = list(wiring.phasors)
    ohms, assumed, gaps = _source_ohms(plan)
    for leg, volts in wiring.phasors.items():
        ends = neutral(source), node(source, leg)
        plan.add(f"{id_of(source)} {short(leg)}", source, Way.SOURCE, ends, ohms, volts=volts, assumed=assumed, gaps=gaps)
    stated, name, least = plan.number(source, "sourceEarthOhms"), "source-earth-resistance", plan.known[_NO_LENGTH].least
    ends = neutral(source), EARTH_NODE
    if stated is not None:
        plan.add(f"{id_of(source)} earth", source, Way.EARTH, ends, lambda _: stated)
    elif plan.is_a(source, "Utility"):
        plan.add(f"{id_of(source)} earth", source, Way.EARTH, ends, lambda corner: max(corner[name], least), assumed=(name,))


def _source_ohms(plan: NetBuilder) -> tuple[Ohms | None, tuple[str, ...], Gaps]:
    """The impedance in each leg of the source, what it assumes, and what it waits for."""
    source, legs = plan.wiring.source, len(plan.wiring.phasors)
    volts = abs(next(iter(plan.wiring.phasors.values()), 0j))
    ratio = plan.number(source, "reactanceToResistance")
    assumed = () if ratio is not None else (_RATIO,)

    def of(corner: Corner) -> float:
        return corner[_RATIO] if ratio is None else ratio

    amperes = plan.number(source, "availableFaultCurrentAmperes")
    if amperes is not None:
        return (lambda corner: source_ohms(volts, amperes, of(corner))), assumed, ()
    rating, percent = plan.number(source, "transformerKilovoltamperes"), plan.number(source, "transformerImpedancePercent")
    if rating is not None and percent is not None:
        if legs == 2:
            # Half the winding between the legs stands in each; to the midpoint it is somewhat less.
            name = "midpoint-winding-share"
            return (lambda corner: corner[name] * transformer_ohms(2 * volts, rating, percent, of(corner)) / 2), (*assumed, name), ()
        across = volts if legs < 2 else volts * math.sqrt(3)
        return (lambda corner: transformer_ohms(across, rating, percent, of(corner))), assumed, ()
    if plan.is_a(source, "Utility"):
        name = "available-fault-current"
        return (lambda corner: source_ohms(volts, corner[name], of(corner))), (*assumed, name), ()
    return None, assumed, (Gap(source, INST + "availableFaultCurrentAmperes"),)


def _reaches_service(plan: NetBuilder) -> bool:
    """Whether the source's impedance is that up to the service, so that the drop is part of it."""
    names = ("transformerKilovoltamperes", "transformerImpedancePercent")
    nameplate = all(plan.number(plan.wiring.source, name) is not None for name in names)
    return plan.number(plan.wiring.source, "availableFaultCurrentAmperes") is not None or not nameplate


# Runs


def _add_run(plan: NetBuilder, run: str, end: str) -> None:
    wiring, start = plan.wiring, plan.wiring.starts[run]
    wiring.legs.setdefault(end, [])
    conductors = plan.graph.iris(run, INST + "conductor")
    if (run, COMPLETE, INST + "conductor") not in plan.graph:
        wiring.open_runs[run] = Gap(run, INST + "conductor")
        if not conductors:
            _add_unlisted(plan, run, end)
    used: list[str] = []
    for conductor in conductors:
        way = _WAYS.get(plan.iri(conductor, "role"), Way.LEG)
        count = int(plan.number(conductor, "count") or 1)
        ohms, assumed, gaps = _conductor_ohms(plan, run, conductor, way)
        if way is Way.LEG:
            for leg in _legs_of(plan, conductor, count, wiring.legs.get(start, []), used):
                used.append(leg)
                plan.add(f"{id_of(run)} {short(leg)}", run, way, (node(start, leg), node(end, leg)), ohms, assumed=assumed, gaps=gaps)
        else:
            shared = ohms if ohms is None or count == 1 else _divided(ohms, count)
            name = f"{id_of(run)} {'neutral' if way is Way.NEUTRAL else 'ground'}"
            plan.add(name, run, way, _ends(plan, start, end, way), shared, assumed=assumed, gaps=gaps)
    wiring.legs[end] = sorted({*wiring.legs[end], *used})
    _add_metal(plan, run, end)


def _divided(ohms: Ohms, count: int) -> Ohms:
    return lambda corner: ohms(corner) / count


def _ends(plan: NetBuilder, start: str, end: str, way: Way) -> tuple[str, str]:
    """Where a neutral or a ground lies; at a source the frame is one with the neutral."""
    terminal = neutral if way is Way.NEUTRAL else frame
    return neutral(start) if start == plan.wiring.source else terminal(start), terminal(end)


def _legs_of(plan: NetBuilder, conductor: str, count: int, arriving: list[str], used: list[str]) -> Iterator[str]:
    first = plan.iri(conductor, "leg")
    free = [leg for leg in arriving if leg not in used and leg >= first]
    if not first and 0 < count < len(free):
        plan.wiring.guessed_legs[conductor] = Gap(conductor, INST + "leg")
    yield from free[:count]


def _conductor_ohms(plan: NetBuilder, run: str, conductor: str, way: Way) -> tuple[Ohms | None, tuple[str, ...], Gaps]:
    feet, sets = plan.number(run, "lengthFeet"), plan.number(run, "parallelSets")
    if plan.wiring.starts[run] == plan.wiring.source and _reaches_service(plan) and (way is Way.LEG or feet is None):
        return (lambda corner: corner[_NO_LENGTH]), (_NO_LENGTH,), ()
    size, material = plan.iri(conductor, "size"), plan.iri(conductor, "material")
    stated = ((size, conductor, "size"), (material, conductor, "material"), (feet, run, "lengthFeet"), (sets, run, "parallelSets"))
    gaps = tuple(Gap(subject, INST + name) for value, subject, name in stated if not value)
    if gaps or feet is None or sets is None:
        return None, (), gaps
    return (*plan.wire_ohms(run, size, material, plan.raceway(run), feet, sets), ())


def _add_unlisted(plan: NetBuilder, run: str, end: str) -> None:
    """A run whose conductors nobody listed: of a cord the number of wires tells what they are, of anything else nothing."""
    wires, start = plan.number(run, "cordWires"), plan.wiring.starts[run]
    if wires is None:
        return
    grounds = plan.graph.value(run, INST + "cordCarriesGround") is True
    carrying = int(wires) - (1 if grounds else 0)
    fed = plan.wiring.legs.get(start, [])[: max(carrying - 1, 1)]
    plan.wiring.legs[end] = sorted({*plan.wiring.legs[end], *fed})
    gaps = (Gap(run, INST + "conductor"), *(() if plan.number(run, "lengthFeet") else (Gap(run, INST + "lengthFeet"),)))
    for leg in fed:
        plan.add(f"{id_of(run)} {short(leg)}", run, Way.LEG, (node(start, leg), node(end, leg)), None, gaps=gaps)
    ways = [Way.NEUTRAL] * (carrying > len(fed)) + [Way.GROUND] * grounds
    for way in ways:
        name = f"{id_of(run)} {'neutral' if way is Way.NEUTRAL else 'ground'}"
        plan.add(name, run, way, _ends(plan, start, end, way), None, gaps=gaps)


def _add_metal(plan: NetBuilder, run: str, end: str) -> None:
    """The raceway, armor or sheath of a run, where it serves as equipment grounding conductor."""
    method = plan.iri(run, "method")
    settled = book_value(method, "metalReturn")
    if not (settled is True or (settled is None and plan.graph.value(run, INST + "methodServesAsGround") is True)):
        return
    name, ends = f"{id_of(run)} metal", _ends(plan, plan.wiring.starts[run], end, Way.RACEWAY)
    measured, feet, trade = plan.number(run, "metalPathOhms"), plan.number(run, "lengthFeet"), plan.iri(run, "racewayTradeSize")
    if measured is not None:
        plan.add(name, run, Way.RACEWAY, ends, lambda _: measured)
        return
    printed = plan.is_steel(run) and any(row["racewayMethod"] == method for row in rows_with(plan.edition, "racewayMethod", "betterSteelOhms"))
    computed = raceway_ohms(plan.edition, method, trade, feet) if printed and trade and feet is not None else None
    if computed is not None:
        poorest = computed[1] * plan.known[_STEEL].least
        plan.add(name, run, Way.RACEWAY, ends, lambda corner: poorest / corner[_STEEL] * corner[_SKIN], assumed=(_STEEL, _SKIN))
    elif any(join.part == run and join.way is Way.GROUND for join in plan.wiring.joins):
        plan.wiring.left_out.append(f"The metal of {id_of(run)} helps its equipment grounding conductor; its resistance is not given.")
    else:
        wanted = (("racewayTradeSize", trade), ("lengthFeet", feet)) if printed else (("metalPathOhms", None),)
        plan.add(name, run, Way.RACEWAY, ends, None, gaps=tuple(Gap(run, INST + key) for key, value in wanted if not value))
