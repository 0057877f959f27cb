"""Work on disconnecting means: insert, remove, replace, redesignate, mark, and what their listing says."""

from typing import Literal

from pydantic import Field

from faultpath.base.terms import INST
from faultpath.document.consistency import Part
from faultpath.planning.site import Site, Unfit, copied
from faultpath.planning.steps import FURTHER_FACTS, Code, Facts, Identifier, Number, Step, WholeNumber, facts, spoken

_MEANS = ("rating_amperes", "designation", "listing_mark", "marking", "marking_format", "short_circuit_rating_amperes")
_PLACED = ("location", "readily_accessible", "within_sight_of_dwelling")


class _Means(Step):
    """What may be said of a new disconnecting means; what is left out is not known."""

    rating_amperes: WholeNumber | None = Field(None, description="Ampere rating of the disconnecting means.")
    designation: Code.Designation | None = Field(None, description="What it is declared to be.")
    listing_mark: Code.ListingMark | None = Field(None, description="What the manufacturer's mark says about service use.")
    marking: Code.Marking | None = Field(None, description="The words of the label put on in the field.")
    marking_format: Code.MarkingFormat | None = Field(None, description="Place, colours and letter height of the label.")
    short_circuit_rating_amperes: WholeNumber | None = Field(None, description="The fault current it is rated for.")
    location: Code.Location | None = Field(None, description="Whether it stands indoors or outdoors.")
    readily_accessible: bool | None = Field(None, description="Whether it can be reached quickly.")
    within_sight_of_dwelling: bool | None = Field(None, description="Whether it is on or within sight of the dwelling.")
    metal_enclosure: bool | None = Field(None, description="Whether its enclosure is metal.")
    main_bonding_jumper: bool | None = Field(None, description="Whether the screw that joins neutral bar and case is fitted; then no other bond is in it.")
    facts: Facts = Field({}, description=FURTHER_FACTS)

    def equipment(self, identifier: str, kind: str, work: str) -> Part:
        """The equipment that holds the new means."""
        part: Part = {"id": identifier, "kind": kind, "work": work, **facts(self, *_PLACED), "disconnect": facts(self, *_MEANS)}
        if self.metal_enclosure is not None:
            part["enclosure"] = {"metal": self.metal_enclosure}
        if self.main_bonding_jumper is not None:
            screw = {"id": f"{identifier}-jumper", "kind": "main-bonding-jumper", "form": "screw", "from": "grounded-bar", "to": "frame"}
            part["bonds"] = [screw] if self.main_bonding_jumper else []
        return {**part, **self.facts}


class InsertDisconnect(_Means):
    """Insert a disconnect into a run: the wiring up to it is new and like what was there, the wiring past it is what was there."""

    work: Literal["insert-disconnect"]
    id: Identifier = Field(description="Id of the new disconnect.")
    between: tuple[Identifier, Identifier] = Field(description="The two ends of the run, the supply end first.")
    kind: Code.DisconnectingEquipment = Field("enclosed-disconnect", description="What kind of equipment it is.")
    building: Identifier | None = Field(None, description="The building it stands on; that of the load end if left out.")
    length_feet: Number | None = Field(None, description="Length of the new wiring up to it.")

    def carry_out(self, site: Site) -> None:
        """Set the equipment and part the run."""
        start, end = self.between
        site.new_id("id", self.id)
        run = _run_between(site, start, end)
        part = self.equipment(self.id, self.kind, "new")
        building = self.building or site.find("between/1", end).get("building")
        if building is not None:
            part["building"] = building
        site.add("equipment", part)
        names = site.new_id("id", f"{start}-to-{self.id}"), site.new_id("id", f"{self.id}-to-{end}")
        site.touched[run["id"]] = None
        supply = {**copied(run), "id": names[0], "to": self.id, "work": "new"}
        for key in ("installed", "lengthFeet"):
            supply.pop(key, None)
        if self.length_feet is not None:
            supply["lengthFeet"] = str(self.length_feet)
        supply["conductors"] = [{**c, "id": f"{names[0]}/conductor-{n}"} for n, c in enumerate(supply.get("conductors", []), 1)]
        if "overcurrent" in supply:
            supply["overcurrent"]["id"] = f"{names[0]}/overcurrent"
        if not supply["conductors"]:
            del supply["conductors"]
        complete = supply.pop("complete")
        place = site.document["runs"].index(run)
        for conductor in run.get("conductors", []):
            if conductor["id"].startswith(f"{run['id']}/"):
                conductor["id"] = names[1] + conductor["id"].removeprefix(run["id"])
            conductor.pop("coveringInSupplyEnclosure", None)  # another enclosure feeds it now
        run.update({"id": names[1], "from": self.id})
        run.pop("overcurrent", None)
        site.add("runs", supply)["complete"] = complete
        listed = site.document["runs"]
        listed.insert(place, listed.pop())
        site.touched[names[1]] = None
        site.forget_places()

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Insert {self.id} between {self.between[0]} and {self.between[1]}{_as(self.designation)}."


class RemoveDisconnect(Step):
    """Take a disconnect out; the run past it goes on to where the run up to it started."""

    work: Literal["remove-disconnect"]
    disconnect: Identifier = Field(description="Id of the equipment.")

    def carry_out(self, site: Site) -> None:
        """Join the two runs and take the equipment away."""
        site.find("disconnect", self.disconnect, "DisconnectingEquipment")
        before, past = site.runs(end=self.disconnect), site.runs(start=self.disconnect)
        if len(before) != 1 or len(past) != 1:
            found = f"{len(before)} runs end at {self.disconnect!r} and {len(past)} start there."
            raise Unfit("disconnect", found, "Expected one of each; reroute or remove the others first.")
        own = {i for i, place in site.places().items() if i.startswith(f"{self.disconnect}/") or place.owner is site.places()[self.disconnect].part}
        for identifier in sorted(own):
            for who, key in site.references(identifier):
                if who not in own:
                    raise Unfit("disconnect", f"{who!r} lands on {identifier!r} ({key}).", "Expected nothing to land there; move it first.")
        past[0]["from"] = before[0]["from"]
        site.touched[past[0]["id"]] = None
        if "overcurrent" in before[0] and "overcurrent" not in past[0]:
            past[0]["overcurrent"] = {**before[0]["overcurrent"], "id": f"{past[0]['id']}/overcurrent"}
        site.remove(before[0]["id"])
        site.remove(self.disconnect)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Take {self.disconnect} out and join the wiring on both sides of it."


class ReplaceDisconnect(_Means):
    """Replace the unit or its disconnecting means in place; what is not stated of the new one is not known."""

    work: Literal["replace-disconnect"]
    disconnect: Identifier = Field(description="Id of the equipment.")

    def carry_out(self, site: Site) -> None:
        """Put the new unit where the old one was."""
        part = site.work_on("disconnect", self.disconnect, "DisconnectingEquipment")
        new = self.equipment(self.disconnect, part["kind"], "replacement")
        kept: Part = {key: part[key] for key in ("title", "building", *("location", "readilyAccessible", "withinSightOfDwelling")) if key in part}
        part.clear()
        part.update({**kept, **new})
        site.renew(part, INST + "Equipment")

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Replace {self.disconnect}{_as(self.designation)}."


class RedesignateDisconnect(Step):
    """Declare a disconnect to be something else, with the label to match."""

    work: Literal["redesignate-disconnect"]
    disconnect: Identifier = Field(description="Id of the equipment.")
    designation: Code.Designation = Field(description="What it is declared to be from now on.")
    marking: Code.Marking | None = Field(None, description="The words of the new label; the old label stays if left out.")
    marking_format: Code.MarkingFormat | None = Field(None, description="Place, colours and letter height of the new label.")

    def carry_out(self, site: Site) -> None:
        """Change the designation, and the label if a new one is given."""
        _means(site, self.disconnect).update(facts(self, "designation", "marking", "marking_format"))

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Designate {self.disconnect}{_as(self.designation)}{', and label it' + _label(self.marking) if self.marking else ''}."


class MarkEquipment(Step):
    """Put another label on a disconnect."""

    work: Literal["mark-equipment"]
    equipment: Identifier = Field(description="Id of the equipment.")
    marking: Code.Marking | None = Field(None, description="The words of the label; as they are if left out.")
    marking_format: Code.MarkingFormat | None = Field(None, description="Place, colours and letter height; as they are if left out.")

    def carry_out(self, site: Site) -> None:
        """Change the label."""
        _means(site, self.equipment, "equipment").update(facts(self, "marking", "marking_format"))

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Put a new label on {self.equipment}{_label(self.marking)}."


class ChangeListing(Step):
    """Use a unit with another listing mark in the same place, otherwise alike."""

    work: Literal["change-listing"]
    equipment: Identifier = Field(description="Id of the equipment.")
    listing_mark: Code.ListingMark = Field(description="What the manufacturer's mark of the new unit says.")

    def carry_out(self, site: Site) -> None:
        """Change the mark."""
        _means(site, self.equipment, "equipment").update(facts(self, "listing_mark"))
        site.work_on("equipment", self.equipment)["work"] = "replacement"

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Use a unit at {self.equipment} whose mark says: {spoken('ListingMark', self.listing_mark)}."


def _run_between(site: Site, start: str, end: str) -> Part:
    site.find("between/0", start, "SupplyPoint")
    site.find("between/1", end, "Equipment")
    runs = site.runs(start, end)
    if len(runs) != 1:
        pairs = ", ".join(f"{run['from']} to {run['to']}" for run in site.document.get("runs", [])[:8])
        raise Unfit("between", f"{len(runs)} runs lead from {start!r} to {end!r}.", f"Expected the two ends of one run: {pairs}.")
    return runs[0]


def _means(site: Site, identifier: str, key: str = "disconnect") -> Part:
    part = site.work_on(key, identifier, "DisconnectingEquipment")
    if "disconnect" not in part:
        raise Unfit(key, f"{identifier!r} holds no disconnecting means that is described.", "Expected one; describe it first, or insert one.")
    site.touched[part["disconnect"]["id"]] = None
    found: Part = part["disconnect"]
    return found


def _as(designation: str | None) -> str:
    return f" as {spoken('Designation', designation)}" if designation else ""


def _label(marking: str | None) -> str:
    return f": {spoken('Marking', marking).removeprefix('marked as ')}" if marking else ""
