"""Work on wiring runs: add, remove, replace, reroute, protect and cover."""

from typing import Literal

from pydantic import Field

from faultpath.base.terms import INST
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part
from faultpath.planning.site import Site, Unfit
from faultpath.planning.steps import Code, ConductorFacts, Facts, Identifier, Number, Said, Step, WholeNumber, facts, spoken

CableWord = Literal["four-wire", "three-wire", "two-hots-and-ground", "hot-neutral-and-ground"]
_IN_A_CABLE: dict[str, tuple[str, ...]] = {
    "four-wire": ("ungrounded", "grounded", "equipment-grounding"),
    "three-wire": ("ungrounded", "grounded"),
    "two-hots-and-ground": ("ungrounded", "equipment-grounding"),
    "hot-neutral-and-ground": ("ungrounded", "grounded", "equipment-grounding"),
}
_SPOKEN = {
    "four-wire": "four-wire wiring",
    "three-wire": "three-wire wiring",
    "two-hots-and-ground": "wiring of two hots and a ground",
    "hot-neutral-and-ground": "wiring of a hot, a neutral and a ground",
}


class _Grounding(Step):
    """What may be said of the grounding wire that new wiring brings."""

    ground_facts: Facts = Field({}, description="Further facts of its grounding wire, by the keys of the installation document.")
    ground_made_up: bool | None = Field(
        None,
        description="Whether its grounding wire is made up at both ends as it should be: in a panel on a bar bonded to the metal cabinet, or in a "
        "nonmetallic one joined to the ground of the supply; in a box joined with tails that reach the devices, and to a metal box by a screw of its own. "
        "Stated where nothing is stated yet, and no other wiring has a grounding wire that may end there.",
    )
    says: Said = None

    def make_up(self, site: Site, run: Part) -> None:
        """State how the grounding wire of a run ends, where it is the first to end there."""
        for end in (run["from"], run["to"]) if self.ground_made_up else ():
            part, cls, *_ = site.places()[end]
            others = [other for other in site.document["runs"] if other is not run and end in (other["from"], other["to"]) and other.get("method") != "cord"]
            if any("conductors" not in other or _grounds(other) for other in others):
                continue
            stated: Part = {}
            if vocabulary().is_a(cls, INST + "Panelboard"):
                nonmetallic = part.get("enclosure", {}).get("metal") is False
                stated = {"equipmentGroundsLandOn": "bar-joined-to-the-feeder-ground" if nonmetallic else "bar-bonded-to-the-cabinet"}
            elif vocabulary().is_a(cls, INST + "Outlet"):
                stated = {"groundsInBox": "joined-with-tails", "groundReachesDevices": True}
                if part.get("box", {}).get("metal"):
                    stated["boxGround"] = "by-a-screw-of-its-own"
            site.state(end, {key: value for key, value in stated.items() if key not in part})


class _Wiring(_Grounding):
    """What may be said of new wiring. A grounding wire without a size takes the one that the tables ask for."""

    method: Code.Method | None = Field(None, description="The wiring method.")
    conductors: CableWord | list[ConductorFacts] = Field(description="What is in it: a word for the usual cables, or the conductors one by one.")
    size: Code.Size | None = Field(None, description="Size of the circuit conductors, where a word names the cable.")
    neutral_size: Code.Size | None = Field(None, description="Size of the neutral, if it differs.")
    ground_size: Code.Size | None = Field(None, description="Size of the grounding wire; what the tables ask for if left out.")
    material: Code.Material | None = Field(None, description="Metal of all of them.")
    length_feet: Number | None = Field(None, description="Length of the run.")
    metal_serves_as_ground: bool | None = Field(None, description="Whether its metal qualifies as equipment grounding conductor.")
    service_bonded_fittings: bool | None = Field(None, description="Whether every end of the metal raceway is bonded as services need it.")
    neutral_sized_for_load: bool | None = Field(None, description="Whether the neutral carries the calculated neutral load.")

    def lay(self, site: Site, run: Part, old: Part) -> None:
        """Put the new conductors into a run; what is not said of size and metal is as it was."""
        run.update(facts(self, "method", "length_feet", "metal_serves_as_ground", "service_bonded_fittings", "neutral_sized_for_load"))
        if not isinstance(self.conductors, str):
            run["conductors"] = [c.model_dump(by_alias=True, exclude_none=True) for c in self.conductors]
            for ground in _grounds(run):
                ground.update(self.ground_facts)
            return
        was = {c["role"]: c for c in reversed(old.get("conductors", []))}
        hot = was.get("ungrounded", {})
        run["conductors"] = []
        for number, role in enumerate(_IN_A_CABLE[self.conductors], 1):
            wire: Part = {"id": f"{run['id']}/conductor-{number}", "role": role, "insulated": role != "equipment-grounding"}
            if role == "ungrounded" and self.conductors != "hot-neutral-and-ground":
                wire["count"] = 2
            size = {"grounded": self.neutral_size or self.size or was.get("grounded", hot).get("size"), "equipment-grounding": self.ground_size}
            size["ungrounded"] = self.size or hot.get("size")
            material = self.material or hot.get("material")
            wire |= {key: value for key, value in (("size", size[role]), ("material", material)) if value is not None}
            if role == "equipment-grounding":
                wire |= self.ground_facts
            run["conductors"].append(wire)
            if role == "equipment-grounding" and "size" not in wire:
                site.unsized[wire["id"]] = None


class AddRun(_Wiring):
    """Add a run: a feeder, a branch circuit, a cord. What it is to the code is derived."""

    work: Literal["add-run"]
    id: Identifier = Field(description="Id of the new run.")
    from_: Identifier = Field(description="Where it starts, on the supply end.")
    to: Identifier = Field(description="Where it ends, on the load end.")
    overcurrent_amperes: WholeNumber | None = Field(None, description="Rating of the overcurrent device at its supply end.")
    wires: WholeNumber | None = Field(None, description="Wires of a cord.")
    metal_path_beside: bool | None = Field(None, description="Whether a metal path joins the two buildings beside it.")
    ground_fault_protection_ahead: bool | None = Field(None, description="Whether ground-fault protection of equipment stands ahead.")

    def carry_out(self, site: Site) -> None:
        """Lay the run."""
        site.new_id("id", self.id)
        site.find("from", self.from_, "SupplyPoint")
        site.find("to", self.to, "Equipment")
        run: Part = {"id": self.id, "from": self.from_, "to": self.to, "work": "new"}
        run |= facts(self, "wires", "metal_path_beside", "ground_fault_protection_ahead")
        if self.overcurrent_amperes is not None:
            run["overcurrent"] = {"ratingAmperes": self.overcurrent_amperes}
        self.lay(site, run, {})
        self.make_up(site, site.add("runs", run))

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Run from {self.from_} to {self.to} {_cable(self)}."


class ReplaceRun(_Wiring):
    """Replace the wiring of a run between the same ends."""

    work: Literal["replace-run"]
    run: Identifier = Field(description="Id of the run.")

    def carry_out(self, site: Site) -> None:
        """Take the old wiring out and lay the new one."""
        run = site.work_on("run", self.run, "Run")
        old = dict(run)
        for key in (
            "installed",
            "conductors",
            "method",
            "listedFittings",
            "tradeSize",
            "flexibility",
            "stainlessSteel",
            "bondingStrip",
            "armor",
            "listedForGrounding",
            "serviceBondedFittings",
            "parallelSets",
            "wires",
        ):
            run.pop(key, None)
        run["work"] = "new"
        self.lay(site, run, old)
        site.renew(run, INST + "Run")
        for conductor in run["conductors"]:
            site.touched[conductor["id"]] = None
        self.make_up(site, run)

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Replace {self.run} by {_cable(self)}."


class RerouteRun(Step):
    """Let the wiring that is there start or end elsewhere, unextended; its overcurrent device goes along with its rating."""

    work: Literal["reroute-run"]
    run: Identifier = Field(description="Id of the run.")
    from_: Identifier | None = Field(None, description="Its new supply end.")
    to: Identifier | None = Field(None, description="Its new load end.")
    covering_in_supply_enclosure: Code.Covering | None = Field(None, description="What covers a bare neutral inside the enclosure that feeds it now.")

    def carry_out(self, site: Site) -> None:
        """Land the run elsewhere."""
        run = site.work_on("run", self.run, "Run")
        if self.to is not None:
            site.find("to", self.to, "Equipment")
            run["to"] = self.to
        if self.from_ is not None:
            site.find("from", self.from_, "SupplyPoint")
            if run["from"] == self.from_:
                raise Unfit("from", f"{self.run!r} starts at {self.from_!r} already.", "Expected another supply end.")
            run["from"] = self.from_
            for conductor in run.get("conductors", []):
                conductor.pop("coveringInSupplyEnclosure", None)
                if conductor["role"] == "grounded" and self.covering_in_supply_enclosure is not None:
                    conductor["coveringInSupplyEnclosure"] = self.covering_in_supply_enclosure

    def describe(self) -> str:
        """The work in one sentence."""
        ends = [f"start at {self.from_}"] if self.from_ else []
        ends += [f"end at {self.to}"] if self.to else []
        return f"Let {self.run} {' and '.join(ends)}, unextended."


class RemoveRun(Step):
    """Take a run out."""

    work: Literal["remove-run"]
    run: Identifier = Field(description="Id of the run.")

    def carry_out(self, site: Site) -> None:
        """Remove the run."""
        site.find("run", self.run, "Run")
        site.remove(self.run)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Remove {self.run}."


class AddConductor(_Grounding):
    """Pull another wire into the raceway of a run, or replace the one of its role there."""

    work: Literal["add-conductor"]
    run: Identifier = Field(description="Id of the run.")
    role: Code.Role = Field(description="What the conductor does.")
    size: Code.Size | None = Field(None, description="Wire size; for a grounding wire what the tables ask for if left out.")
    material: Code.Material | None = Field(None, description="Its metal; that of the hots if left out.")
    insulated: bool = Field(True, description="Whether it is insulated.")
    instead: bool = Field(False, description="Whether it takes the place of the conductor of this role.")
    run_facts: Facts = Field({}, description="What it changes of the run besides, by the keys of the installation document, null for what is not so any more.")

    def carry_out(self, site: Site) -> None:
        """Pull the wire in."""
        run = site.work_on("run", self.run, "Run")
        conductors = run.get("conductors", [])
        same = [c for c in conductors if c["role"] == self.role]
        if same and not self.instead:
            raise Unfit("role", f"{self.run!r} has such a conductor already.", 'Expected a role that no conductor of it has, or "instead": true.')
        hot: Part = next((c for c in conductors if c["role"] == "ungrounded"), {})
        wire: Part = {"id": same[0]["id"] if same else f"{self.run}/{self.role}", "role": self.role, "insulated": self.insulated}
        by_table = self.role in ("equipment-grounding", "supply-side-bonding")
        size = self.size or (same[0].get("size") if same else None) or (None if by_table else hot.get("size"))
        wire |= {key: value for key, value in (("size", size), ("material", self.material or hot.get("material"))) if value is not None}
        for old in same:
            site.remove(old["id"])
        if self.role == "equipment-grounding":
            wire |= self.ground_facts
            self.make_up(site, run)
        site.add("conductors", wire, run)
        site.state(self.run, self.run_facts)
        if by_table and size is None:
            site.unsized[wire["id"]] = None

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Pull {'an insulated' if self.insulated else 'a bare'} {spoken('ConductorRole', self.role)} into {self.run}."


class ReuseConductor(_Grounding):
    """Let a wire that is there serve as another conductor of its run, on other terminals at both ends."""

    work: Literal["reuse-conductor"]
    conductor: Identifier = Field(description="Id of the wire.")
    role: Code.Role = Field(description="What it does from now on.")

    def carry_out(self, site: Site) -> None:
        """Land it as what it is from now on."""
        site.work_on("conductor", self.conductor, "Conductor")
        grounds = self.role == "equipment-grounding"
        if grounds:
            self.make_up(site, site.owner(self.conductor))
        site.state(self.conductor, {"role": self.role, **(self.ground_facts if grounds else {})})

    def describe(self) -> str:
        """The work in one sentence."""
        return self.says or f"Let {self.conductor} serve as {spoken('ConductorRole', self.role)}."


class ReplaceOvercurrent(Step):
    """Protect a run by another overcurrent device."""

    work: Literal["replace-overcurrent"]
    run: Identifier = Field(description="Id of the run.")
    rating_amperes: WholeNumber = Field(description="Rating of the new device.")

    def carry_out(self, site: Site) -> None:
        """Change the device."""
        run = site.work_on("run", self.run, "Run")
        device = run.setdefault("overcurrent", {"id": f"{self.run}/overcurrent", "kind": "OvercurrentDevice"})
        device["ratingAmperes"] = self.rating_amperes
        site.touched[device["id"]] = None

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Protect {self.run} by a {self.rating_amperes} A device."


class CoverNeutral(Step):
    """Cover a bare neutral over its whole exposed length inside the enclosure that feeds it."""

    work: Literal["cover-neutral"]
    run: Identifier = Field(description="Id of the run.")
    covering: Code.Covering = Field("covered-with-listed-insulation", description="What it is covered with.")

    def carry_out(self, site: Site) -> None:
        """Cover it."""
        run = site.work_on("run", self.run, "Run")
        bare = [c for c in run.get("conductors", []) if c["role"] == "grounded" and c.get("insulated") is not True]
        if not bare:
            raise Unfit("run", f"{self.run!r} has no bare neutral.", "Expected a run whose neutral is bare.")
        for conductor in bare:
            conductor["coveringInSupplyEnclosure"] = self.covering
            site.touched[conductor["id"]] = None

    def describe(self) -> str:
        """The work in one sentence."""
        return f"Cover the bare neutral of {self.run} inside the enclosure that feeds it ({spoken('Covering', self.covering)})."


def _grounds(run: Part) -> list[Part]:
    return [conductor for conductor in run.get("conductors", []) if conductor["role"] == "equipment-grounding"]


def _cable(step: _Wiring) -> str:
    kind = _SPOKEN[step.conductors] if isinstance(step.conductors, str) else f"wiring of {len(step.conductors)} conductors"
    besides = ["its grounding wire made up at both ends"] if step.ground_made_up else []
    besides += ["its neutral sized for the calculated load"] if step.neutral_sized_for_load else []
    return f"new {kind}" + (f" in {step.method}" if step.method else "") + (f", with {' and '.join(besides)}" if besides else "")
