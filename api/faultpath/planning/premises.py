"""Work on the premises: buildings, equipment, generators, appliances, receptacles, and any fact that has no step of its own."""

from typing import Literal

from pydantic import Field

from faultpath.base.terms import INST
from faultpath.document.consistency import ONE_BUILDING, Part
from faultpath.planning.disconnects import InsertDisconnect
from faultpath.planning.site import Site, Unfit
from faultpath.planning.steps import FURTHER_FACTS, Code, Facts, Identifier, Said, Step, WholeNumber, facts


class AddBuilding(Step):
    """Add a building or structure."""

    work: Literal["add-building"]
    id: Identifier = Field(description="Id of the new building.")
    title: str | None = Field(None, description="A short name for people.", max_length=200)

    def carry_out(self, site: Site) -> None:
        """Add it. What stood in the one building by a convention of the document is stated to stand there first."""
        site.new_id("id", self.id)
        site.spell_out(ONE_BUILDING)
        site.add("buildings", {"id": self.id, **facts(self, "title")})

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Add the building {self.id}."


class AddEquipment(Step):
    """Add a panel, a receptacle, an appliance or any other equipment."""

    work: Literal["add-equipment"]
    id: Identifier = Field(description="Id of the new equipment.")
    kind: str = Field(description="The word for its kind.", max_length=100)
    building: Identifier | None = Field(None, description="The building it stands in; the only one there is if left out.")
    facts: Facts = Field({}, description=FURTHER_FACTS)

    def carry_out(self, site: Site) -> None:
        """Set it."""
        site.new_id("id", self.id)
        part: Part = {"id": self.id, "kind": self.kind, "work": "new", **self.facts}
        buildings = site.document.get("buildings", [])
        building = self.building or (buildings[0]["id"] if len(buildings) == 1 and "buildings" in site.document["complete"] else None)
        if self.building is not None:
            site.find("building", self.building, "Building")
        site.add("equipment", part | ({"building": building} if building else {}))

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Set {self.id} ({self.kind.replace('-', ' ')})."


class AddGenerator(Step):
    """Add a generator, with transfer equipment set into a run; the wiring between the two is a run of its own, to be added."""

    work: Literal["add-generator"]
    id: Identifier = Field(description="Id of the new source.")
    kind: Code.Source = Field("generator", description="What kind of source it is.")
    system: Code.System | None = Field(None, description="The system that it supplies.")
    transfer: Identifier = Field(description="Id of the new transfer equipment.")
    between: tuple[Identifier, Identifier] = Field(description="The two ends of the run that the transfer equipment is set into.")
    facts: Facts = Field({}, description="Further facts of the source, by the keys of the installation document.")
    transfer_facts: Facts = Field({}, description="Further facts of the transfer equipment, by the keys of the installation document.")

    def carry_out(self, site: Site) -> None:
        """Set both."""
        site.new_id("id", self.id)
        site.new_id("transfer", self.transfer)
        inserted = {"work": "insert-disconnect", "id": self.transfer, "between": self.between, "kind": "transfer-equipment"}
        InsertDisconnect.model_validate(inserted).carry_out(site)
        part = site.work_on("transfer", self.transfer)
        part.pop("disconnect", None)
        part.pop("hasDisconnect", None)
        part.update(self.transfer_facts)
        site.renew(part, INST + "Equipment")
        site.add("sources", {"id": self.id, **facts(self, "kind", "system"), **self.facts})

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Add {self.id} with {self.transfer} between {self.between[0]} and {self.between[1]}."


class ReplaceAppliance(Step):
    """Replace an appliance; what is not stated of the new one is not known."""

    work: Literal["replace-appliance"]
    appliance: Identifier = Field(description="Id of the appliance.")
    kind: Code.Appliance | None = Field(None, description="What kind the new one is; the same if left out.")
    furnished_receptacles: Code.FurnishedReceptacles | None = Field(None, description="Receptacles built into it.")
    frame_on_neutral: bool | None = Field(None, description="Whether the strap between neutral terminal and frame is closed.")
    facts: Facts = Field({}, description=FURTHER_FACTS)
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Put the new one where the old one was."""
        part = site.work_on("appliance", self.appliance, "Appliance")
        strap = {"id": f"{self.appliance}-strap", "kind": "strap", "from": "grounded-terminal", "to": "frame"}
        bonds: Part = {} if self.frame_on_neutral is None else {"bonds": [strap] if self.frame_on_neutral else []}
        kept: Part = {key: part[key] for key in ("id", "kind", "title", "building", "location") if key in part}
        part.clear()
        part.update({**kept, "work": "replacement", **facts(self, "kind", "furnished_receptacles"), **bonds, **self.facts})
        site.renew(part, INST + "Equipment")

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Replace {self.appliance}."


class ReplaceReceptacle(Step):
    """Replace a receptacle in its box."""

    work: Literal["replace-receptacle"]
    receptacle: Identifier = Field(description="Id of the receptacle.")
    poles: WholeNumber | None = Field(None, description="Contacts that carry current; as they were if left out.")
    wires: WholeNumber | None = Field(None, description="Contacts in all; one more than the poles with a grounding contact.")
    facts: Facts = Field({}, description=FURTHER_FACTS)
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Put the new one in."""
        site.work_on("receptacle", self.receptacle, "Receptacle")
        site.state(self.receptacle, {"work": "replacement", **facts(self, "poles", "wires"), **self.facts})

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Replace {self.receptacle}" + (f" by one with {self.wires} contacts." if self.wires else ".")


class AlterPart(Step):
    """Change stated facts of a part, where no other step says it: by key of the document, null for what is not known any more."""

    work: Literal["alter-part"]
    part: Identifier = Field(description="Id of the part.")
    facts: Facts = Field(description="The facts that are different, by the keys of the installation document.", min_length=1)
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Change the facts."""
        site.work_on("part", self.part)
        for key in self.facts.keys() & {"id", "kind"}:
            raise Unfit(f"facts/{key}", f"The {key} of a part stays.", "Expected other facts; remove the part and add another.")
        site.state(self.part, self.facts)

    def describe(self) -> str:
        """The work in one sentence."""
        said = ", ".join(f"{key} {value if not isinstance(value, dict | list) else 'as stated'}" for key, value in self.facts.items())
        return self.says or f"Change {self.part}: {said}."


class AddPart(Step):
    """Add a part to a list of the document, or of a part of it, where no other step says it."""

    work: Literal["add-part"]
    to: Identifier | None = Field(None, description="The part whose list it is; the whole installation if left out.")
    list: str = Field(description="Key of the list.", max_length=100)
    part: Facts = Field(description="The part as the installation document writes it, with an id.")
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Add it."""
        owner = site.find("to", self.to) if self.to is not None else None
        prop = site.list_of("list", self.list, owner)
        if not isinstance(self.part.get("id"), str):
            raise Unfit("part", "The part has no id.", "Expected an id that nothing has yet.")
        site.new_id("part/id", self.part["id"])
        site.add(prop, dict(self.part), owner)

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Add {self.part.get('id')} to {self.list}."


class RemovePart(Step):
    """Take any part out that nothing refers to."""

    work: Literal["remove-part"]
    part: Identifier = Field(description="Id of the part.")
    says: Said = None

    def carry_out(self, site: Site) -> None:
        """Remove it."""
        site.find("part", self.part)
        for who, key in site.references(self.part):
            raise Unfit("part", f"{who!r} refers to {self.part!r} ({key}).", "Expected nothing to refer to it; change or remove that first.")
        site.remove(self.part)

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Remove {self.part}."
