"""A wiring in the making: reads the facts of parts from the graph and adds joins, noting what each assumes and waits for."""

from functools import cache

from faultpath.base.terms import INST, TYPE
from faultpath.base.triples import Graph, Term
from faultpath.book.loader import load_book
from faultpath.book.quantities import quantities
from faultpath.circuit.impedance import ALUMINUM_RACEWAY, NONMAGNETIC, STEEL, run_ohms
from faultpath.circuit.net import Connection, Corner, Gaps, Net, Ohms, Way, frame, neutral


@cache
def book_value(subject: str, name: str) -> Term | None:
    """What the ontology itself says of a code word: `name` is the local name of the property."""
    return load_book().ontology.value(subject, INST + name)


class NetBuilder:
    """The wiring behind one source while it is put together."""

    def __init__(self, graph: Graph, edition: int, wiring: Net) -> None:
        self.graph = graph
        self.edition = edition
        self.wiring = wiring
        self.known = dict(quantities(edition))
        self._names: dict[str, int] = {}
        self._owners = {terminal: e for e in graph.instances(INST + "Equipment") for terminal in graph.iris(e, INST + "terminal")}

    def iri(self, subject: str, name: str) -> str:
        """The value of a property as an IRI, empty where it is not stated."""
        return self.graph.text(subject, INST + name)

    def number(self, subject: str, name: str) -> float | None:
        """The value of a property as a number, None where it is not stated."""
        value = self.graph.value(subject, INST + name)
        return None if value is None else float(str(value))

    def is_a(self, subject: str, cls: str) -> bool:
        """Whether a part is of a class, named locally."""
        return (subject, TYPE, INST + cls) in self.graph

    def add(
        self,
        name: str,
        part: str,
        way: Way,
        ends: tuple[str, str],
        ohms: Ohms | None,
        *,
        volts: complex = 0,
        assumed: tuple[str, ...] = (),
        gaps: Gaps = (),
    ) -> None:
        """Add a join from one node to another; of a load to the loads."""
        number = self._names[name] = self._names.get(name, 0) + 1
        self.wiring.quantities.update({quantity: self.known[quantity] for quantity in assumed})
        joins = self.wiring.loads if way is Way.LOAD else self.wiring.joins
        joins.append(Connection(name if number == 1 else f"{name} {number}", part, way, *ends, ohms, volts, assumed, gaps))

    def add_joint(self, name: str, part: str, way: Way, ends: tuple[str, str]) -> None:
        """Add a join that is as short as a screw."""
        quantity = "joint-resistance"
        self.add(name, part, way, ends, lambda corner: corner[quantity], assumed=(quantity,))

    def is_steel(self, run: str) -> bool:
        """Whether steel surrounds the conductors of a run: as stated, else as is usual for the method."""
        stated = self.iri(run, "racewayMetal")
        return stated == INST + "steel" if stated else bool(book_value(self.iri(run, "method"), "usuallyOfSteel"))

    def raceway(self, run: str) -> str:
        """What surrounds the conductors of a run, as the alternating-current table tells raceways apart."""
        if self.iri(run, "racewayMetal") == INST + "aluminum-raceway":
            return ALUMINUM_RACEWAY
        return STEEL if self.is_steel(run) else NONMAGNETIC

    def wire_ohms(self, run: str, size: str, material: str, raceway: str, feet: float, sets: float) -> tuple[Ohms, tuple[str, ...]]:
        """The impedance of so many like wires side by side, and what it assumes; `run` states the temperature if anybody does."""
        coefficient = float(str(book_value(material, "temperatureCoefficientPerKelvin")))
        celsius = self.number(run, "conductorTemperatureCelsius")
        edition, name = self.edition, "conductor-temperature"

        def ohms(corner: Corner) -> complex:
            warm = corner[name] if celsius is None else celsius
            return run_ohms(edition, size, material, raceway, feet=feet, coefficient=coefficient, celsius=warm) / sets

        return ohms, ((name,) if celsius is None else ())

    def terminal_node(self, terminal: str) -> str | None:
        """The node that a terminal belongs to, None for one of no equipment."""
        owner = self._owners.get(terminal)
        if owner is None:
            return None
        kinds = {str(kind) for kind in self.graph.values(terminal, TYPE)}
        return neutral(owner) if INST + "GroundedConductorTerminal" in kinds else frame(owner)
