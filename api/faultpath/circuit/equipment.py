"""What is inside equipment and in the earth, as joins: bonds, loads, electrodes with their conductors, piping and metal."""

from faultpath.base.outcomes import Gap
from faultpath.base.terms import COMPLETE, INST
from faultpath.book.quantities import Quantity
from faultpath.book.vocabulary import vocabulary
from faultpath.circuit.impedance import NONMAGNETIC, mutual_ohms, rod_ohms, soil_range
from faultpath.circuit.net import EARTH_NODE, Corner, Ohms, Way, neutral, node
from faultpath.circuit.net_builder import NetBuilder, book_value
from faultpath.document.installation import id_of


def add_bonds(plan: NetBuilder, equipment: str) -> None:
    """The bonds inside a piece of equipment; one between terminals of one node changes nothing."""
    if (equipment, COMPLETE, INST + "bond") not in plan.graph:
        plan.wiring.open_bonds[equipment] = Gap(equipment, INST + "bond")
    for bond in plan.graph.iris(equipment, INST + "bond"):
        start, end = (plan.terminal_node(plan.iri(bond, name)) for name in ("bondFrom", "bondTo"))
        if start is None or end is None:
            plan.wiring.left_out.append(f"The bond {id_of(bond)} does not say between which terminals it lies.")
        elif start != end:
            plan.add_joint(id_of(bond), bond, Way.BOND, (start, end))


def add_loads(plan: NetBuilder, equipment: str) -> None:
    """The loads of a piece of equipment, as far as they say between which lines they lie."""
    legs, phasors = plan.wiring.legs.get(equipment, []), plan.wiring.phasors
    for load in plan.graph.iris(equipment, INST + "load"):
        connection = plan.iri(load, "connection")
        leg = str(book_value(connection, "loadLeg") or (legs[0] if legs else ""))
        other = str(book_value(connection, "loadReturnLeg") or "")
        if not connection or leg not in legs or (other and other not in legs):
            why = "lies on a leg that does not arrive there" if connection else "does not say which lines it lies between"
            plan.wiring.left_out.append(f"The load {id_of(load)} {why}.")
            continue
        ends = node(equipment, leg), node(equipment, other) if other else neutral(equipment)
        ohms = _load_ohms(plan, load, abs(phasors[leg] - (phasors[other] if other else 0)))
        plan.add(id_of(load), load, Way.LOAD, ends, ohms, gaps=() if ohms else (Gap(load, INST + "loadWatts"),))


def _load_ohms(plan: NetBuilder, load: str, volts: float) -> Ohms | None:
    """A load as the impedance that draws its power or current at the nominal voltage; with both stated, lagging."""
    watts, amperes = plan.number(load, "loadWatts"), plan.number(load, "loadAmperes")
    if watts is None and amperes is None:
        return None
    size = volts / amperes if amperes else volts**2 / (watts or 1)
    factor = min(watts / (volts * amperes), 1.0) if watts and amperes else 1.0
    ohms = complex(size * factor, size * (1 - factor**2) ** 0.5)
    return lambda _: ohms


# Earth


def add_electrodes(plan: NetBuilder) -> None:
    """The electrodes with their resistance to earth, and the conductors to and between them."""
    for electrode in plan.graph.instances(INST + "Electrode"):
        name, here = id_of(electrode), node(electrode, "electrode")
        piping = plan.number(electrode, "pipingReturnOhms")
        if piping is not None:
            plan.add(f"{name} piping", electrode, Way.PIPING, (here, neutral(plan.wiring.source)), _fixed(piping))
        found = _electrode_ohms(plan, electrode)
        if found is not None:
            plan.add(f"{name} earth", electrode, Way.EARTH, (here, EARTH_NODE), found[0], assumed=found[1])
        elif piping is None:
            plan.wiring.left_out.append(f"The electrode {name} has no measured resistance, so no current is shown through it.")
    for conductor in plan.graph.instances(INST + "ElectrodeConductor"):
        start, end = (_point(plan, plan.iri(conductor, name)) for name in ("electrodeConductorFrom", "electrodeConductorTo"))
        if start is not None and end is not None and start != end:
            _add_electrode_conductor(plan, conductor, (start, end))


def _fixed(ohms: complex) -> Ohms:
    return lambda _: ohms


def _add_electrode_conductor(plan: NetBuilder, conductor: str, ends: tuple[str, str]) -> None:
    size, material = plan.iri(conductor, "size"), plan.iri(conductor, "material")
    feet = plan.number(conductor, "electrodeConductorLengthFeet")
    if size and material and feet:
        ohms, assumed = plan.wire_ohms(conductor, size, material, NONMAGNETIC, feet, 1)
        plan.add(id_of(conductor), conductor, Way.ELECTRODE_CONDUCTOR, ends, ohms, assumed=assumed)
    else:
        plan.add_joint(id_of(conductor), conductor, Way.ELECTRODE_CONDUCTOR, ends)


def _electrode_ohms(plan: NetBuilder, electrode: str) -> tuple[Ohms, tuple[str, ...]] | None:
    """Resistance to earth as measured; of a rod or pipe else from the soil, or as assumed; None for any other electrode."""
    measured = plan.number(electrode, "resistanceOhms")
    if measured is not None:
        return _fixed(measured), ()
    if not (plan.is_a(electrode, "Rod") or plan.is_a(electrode, "Pipe")):
        return None
    feet, inches = plan.number(electrode, "electrodeLengthFeet"), plan.number(electrode, "diameterInches")
    if feet is None or inches is None:
        return (lambda corner: corner["rod-resistance"]), ("rod-resistance",)
    length, diameter, name = feet, inches, "soil-resistivity"
    premises = plan.graph.instances(INST + "Installation")[0]
    resistivity, soil = plan.number(premises, "soilOhmMeters"), plan.iri(premises, "soil")
    span = soil_range(plan.edition, soil) if soil else None
    if span is not None:
        plan.known[name] = Quantity(name, *span, plan.known[name].unit, f"Resistivity of {vocabulary().labels[soil]}", plan.known[name].basis)
    spacing = plan.number(electrode, "spacingFeet")
    others = sum(1 for rod in plan.graph.instances(INST + "Rod") if rod != electrode and plan.number(rod, "spacingFeet"))

    def ohms(corner: Corner) -> complex:
        rho = corner[name] if resistivity is None else resistivity
        own = rod_ohms(rho, length_feet=length, diameter_inches=diameter)
        return own + (others * mutual_ohms(rho, length_feet=length, spacing_feet=spacing) if spacing and others else 0)

    return ohms, () if resistivity is not None else (name,)


def _point(plan: NetBuilder, thing: str) -> str | None:
    """The node of anything that metal is bonded to."""
    for cls, terminal in (("Electrode", "electrode"), ("MetalBody", "metal"), ("Equipment", "frame")):
        if plan.is_a(thing, cls):
            return node(thing, terminal)
    return plan.terminal_node(thing)


def add_metal_bodies(plan: NetBuilder) -> None:
    """Piping and structural metal, which join whatever they are bonded to; their own resistance is left aside."""
    for body in plan.graph.instances(INST + "MetalBody"):
        for number, thing in enumerate(plan.graph.iris(body, INST + "bondedTo"), 1):
            point = _point(plan, thing)
            if point is not None:
                plan.add_joint(f"{id_of(body)} bond {number}", body, Way.PIPING, (node(body, "metal"), point))
