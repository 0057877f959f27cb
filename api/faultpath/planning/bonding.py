"""Work on bonds, electrodes, their conductors and metal bodies."""

from typing import Literal

from pydantic import Field

from faultpath.planning.site import Site, Unfit
from faultpath.planning.steps import FURTHER_FACTS, Code, Facts, Identifier, Number, Said, Step, facts

_TERMINAL_WORDS = "as grounded-bar, grounding-bar, frame"


class AddBond(Step):
    """Fit a bond inside equipment."""

    work: Literal["add-bond"]
    id: Identifier = Field(description="Id of the new bond.")
    in_: Identifier = Field(description="The equipment that it is fitted in.")
    kind: Code.Bond = Field(description="What it is fitted as.")
    from_: str = Field(description=f"The terminal at one end, by the word for its kind, {_TERMINAL_WORDS}, or by its id.", max_length=600)
    to: str = Field(description="The terminal at the other end.", max_length=600)
    form: Code.BondForm | None = Field(None, description="What it is made of.")
    size: Code.Size | None = Field(None, description="Wire size.")
    material: Code.Material | None = Field(None, description="Its metal.")
    facts: Facts = Field({}, description=FURTHER_FACTS)
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Fit it."""
        owner = site.work_on("in", self.in_, "Equipment")
        site.new_id("id", self.id)
        site.add("bonds", {"id": self.id, **facts(self, "kind", "from", "to", "form", "size", "material"), **self.facts}, owner)

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Join {self.from_} and {self.to} in {self.in_} ({self.kind.replace('-', ' ')})."


class RemoveBond(Step):
    """Take a bond out."""

    work: Literal["remove-bond"]
    bond: Identifier = Field(description="Id of the bond.")

    def carry_out(self, site: Site) -> None:
        """Remove it."""
        bond = site.work_on("bond", self.bond, "Bond")
        site.touched[site.owner(self.bond)["id"]] = None
        site.remove(self.bond)
        site.leave(bond[end] for end in ("from", "to") if end in bond)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Remove {self.bond}."


class MoveBond(Step):
    """Land a bond on other terminals of the same equipment."""

    work: Literal["move-bond"]
    bond: Identifier = Field(description="Id of the bond.")
    from_: str | None = Field(None, description="The terminal at one end; as it is if left out.", max_length=600)
    to: str | None = Field(None, description="The terminal at the other end; as it is if left out.", max_length=600)

    def carry_out(self, site: Site) -> None:
        """Move it."""
        bond = site.work_on("bond", self.bond, "Bond")
        old = [bond[end] for end in ("from", "to") if end in bond]
        bond.update(facts(self, "from", "to"))
        site.leave(old)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Move {self.bond}{_ends(self.from_, self.to)}."


class AddElectrode(Step):
    """Add a grounding electrode."""

    work: Literal["add-electrode"]
    id: Identifier = Field(description="Id of the new electrode.")
    kind: Code.Electrode = Field(description="What kind it is.")
    building: Identifier | None = Field(None, description="The building whose electrode it is.")
    length_feet: Number | None = Field(None, description="Feet of it in the earth or concrete.")
    diameter_inches: Number | None = Field(None, description="Its diameter.")
    resistance_ohms: Number | None = Field(None, description="Its measured resistance.")
    ring_size: Code.Size | None = Field(None, description="Wire size of a ground ring.")

    def carry_out(self, site: Site) -> None:
        """Add it."""
        site.new_id("id", self.id)
        if self.building is not None:
            site.find("building", self.building, "Building")
        site.add("electrodes", {"id": self.id, **facts(self, "kind", "building", "length_feet", "diameter_inches", "resistance_ohms", "ring_size")})

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Add {self.id} ({self.kind.replace('-', ' ')})."


class AddElectrodeConductor(Step):
    """Run a conductor from an electrode to a terminal, or between two electrodes; without a size it takes the tables'."""

    work: Literal["add-electrode-conductor"]
    id: Identifier = Field(description="Id of the new conductor.")
    from_: Identifier = Field(description="The electrode or terminal at one end.")
    to: Identifier = Field(description="The electrode or terminal at the other end, as panel/grounded-bar.")
    size: Code.Size | None = Field(None, description="Wire size.")
    material: Code.Material = Field("copper", description="Its metal.")

    def carry_out(self, site: Site) -> None:
        """Run it."""
        site.new_id("id", self.id)
        for key, end in (("from", self.from_), ("to", self.to)):
            _landing(site, key, end)
        site.add("electrodeConductors", {"id": self.id, **facts(self, "from", "to", "size", "material")})
        if self.size is None:
            site.unsized[self.id] = None

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Run an electrode conductor from {self.from_} to {self.to}."


class MoveElectrodeConductor(Step):
    """Land an electrode conductor elsewhere."""

    work: Literal["move-electrode-conductor"]
    conductor: Identifier = Field(description="Id of the electrode conductor.")
    from_: Identifier | None = Field(None, description="The electrode or terminal at one end; as it is if left out.")
    to: Identifier | None = Field(None, description="The electrode or terminal at the other end; as it is if left out.")

    def carry_out(self, site: Site) -> None:
        """Move it; of two ends that are not named apart, the one that is no electrode moves."""
        conductor = site.work_on("conductor", self.conductor, "ElectrodeConductor")
        old = [conductor["from"], conductor["to"]]
        # Where one end alone is named and an electrode stands there, the other end is the one that lands elsewhere.
        turned = self.from_ is None and self.to is not None and any(electrode["id"] == conductor["to"] for electrode in site.document.get("electrodes", []))
        for key, end in (("from", self.from_), ("to", self.to)):
            if end is not None:
                _landing(site, key, end)
                conductor["from" if turned else key] = end
        if conductor["from"] == conductor["to"]:
            raise Unfit("to", "Both ends would be at the same point.", "Expected two different points.")
        site.leave(old)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Move {self.conductor}{_ends(self.from_, self.to)}."


class ReplaceElectrodeConductor(Step):
    """Replace an electrode conductor between the same ends; without a size it takes the tables'."""

    work: Literal["replace-electrode-conductor"]
    conductor: Identifier = Field(description="Id of the electrode conductor.")
    size: Code.Size | None = Field(None, description="Wire size; what the tables ask for if left out.")
    material: Code.Material | None = Field(None, description="Its metal; as it was if left out.")

    def carry_out(self, site: Site) -> None:
        """Replace it."""
        conductor = site.work_on("conductor", self.conductor, "ElectrodeConductor")
        conductor.pop("size", None)
        conductor.update(facts(self, "size", "material"))
        if self.size is None:
            site.unsized[self.conductor] = None

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Replace {self.conductor} by a conductor of " + (f"{self.size.replace('-', ' ')}." if self.size else "the size that the tables ask for.")


class RemoveElectrodeConductor(Step):
    """Take an electrode conductor out."""

    work: Literal["remove-electrode-conductor"]
    conductor: Identifier = Field(description="Id of the electrode conductor.")

    def carry_out(self, site: Site) -> None:
        """Remove it."""
        conductor = site.work_on("conductor", self.conductor, "ElectrodeConductor")
        site.remove(self.conductor)
        site.leave([conductor["from"], conductor["to"]])

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Remove {self.conductor}."


class BondMetalBody(Step):
    """Bond piping or structural metal to a terminal or an electrode."""

    work: Literal["bond-metal-body"]
    body: Identifier = Field(description="Id of the metal body.")
    to: Identifier = Field(description="The terminal or electrode.")

    def carry_out(self, site: Site) -> None:
        """Bond it."""
        body = site.work_on("body", self.body, "MetalBody")
        _landing(site, "to", self.to)
        if self.to in body.get("bondedTo", []):
            raise Unfit("to", f"{self.body!r} is bonded to {self.to!r} already.", "Expected another point.")
        body.setdefault("bondedTo", []).append(self.to)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Bond {self.body} to {self.to}."


def _landing(site: Site, key: str, end: str) -> None:
    """An electrode or a terminal; a terminal may be named by its equipment and the word for its kind without being listed."""
    owner, slash, _ = end.rpartition("/")
    if end not in site.places() and slash and owner in site.places():
        site.find(key, owner, "Equipment")
    else:
        site.find(key, end, "GroundingPoint")


def _ends(start: str | None, end: str | None) -> str:
    return (f" from {start}" if start else "") + (f" to {end}" if end else "")
