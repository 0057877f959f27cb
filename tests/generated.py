"""Invented installations for the property tests, drawn by Hypothesis, with their words taken from the ontology.

What kinds of part there are, which properties each kind has and which words those may take is read from the vocabulary,
so a new term is drawn as soon as the ontology has it. Only the skeleton (a supply path, circuits, electrodes) is ours.
"""

from typing import Any

from hypothesis import strategies as st

from faultpath.base.terms import CODE_WORD, INST, INSTALLATION, XSD, short
from faultpath.book.vocabulary import Property, vocabulary

Part = dict[str, Any]
Draw = st.DrawFn

# Whole numbers that a person could meet on site, by the name of the property; any other takes a small one.
PLAUSIBLE: dict[str, tuple[int, ...]] = {
    "frameOnNeutralEndedYear": (1996, 1998, 2001),
    "regroundedNeutralEndedYear": (2008, 2010, 2012),
    "installed": (1955, 1978, 1995, 1997, 2001, 2007, 2009, 2015),
    "availableFaultCurrentAmperes": (8000, 10000, 22000),
    "shortCircuitRatingAmperes": (10000, 22000, 65000),
    "ratingAmperes": (60, 100, 200, 400),
    "overcurrentRatingAmperes": (15, 20, 30, 40, 60, 100),
    "parallelSets": (1, 1, 1, 2),
    "count": (1, 2),
}
SERVICE_SIZES = ("10-AWG", "8-AWG", "6-AWG", "4-AWG", "2-AWG", "1/0-AWG", "4/0-AWG", "500-kcmil")
STRUCTURE = ("sources", "equipment", "buildings", "electrodes")  # others refer to their members, so these lists are never dropped


def properties_of(part: Part, cls: str) -> dict[str, Property]:
    """The properties that a part of this kind may state, by key."""
    words = vocabulary()
    kind = words.kinds.get(part.get("kind", ""), cls)
    return {key: prop for key, prop in words.document_properties(cls).items() if words.is_a(kind, prop.domain)}


def is_reference(prop: Property) -> bool:
    """Whether the document names the value by its id."""
    return not (prop.nested or prop.range.startswith(XSD) or vocabulary().is_a(prop.range, CODE_WORD))


def chance(draw: Draw, percent: int) -> bool:
    """True in about so many draws of a hundred; shrinks to False."""
    return draw(st.integers(0, 99)) >= 100 - percent


def kind_of(draw: Draw, cls: str) -> str:
    return draw(st.sampled_from(sorted(vocabulary().item_kinds(INST + cls))))


def word(draw: Draw, prop: Property) -> Any:
    """A value of a property that is a number, a truth value, a text or a code word."""
    if prop.range == XSD + "boolean":
        return draw(st.booleans())
    if prop.range == XSD + "integer":
        return draw(st.sampled_from(PLAUSIBLE.get(short(prop.iri), (1, 2, 3, 4))))
    if prop.range == XSD + "decimal":
        return draw(st.sampled_from((0.5, 0.625, 2, 8, 20, 25, 60)))
    if prop.range == XSD + "string":
        return draw(st.sampled_from(("us-nc", "plain words", 'ümlaut, "quoted"')))
    if prop.range == INST + "Size":
        return draw(st.sampled_from(SERVICE_SIZES)) if chance(draw, 90) else draw(st.sampled_from(sorted(vocabulary().codes[prop.range])))
    return draw(st.sampled_from(sorted(vocabulary().codes[prop.range])))


def fill(draw: Draw, part: Part, cls: str) -> Part:
    """State every attribute that the kind offers and that is not stated yet, and give every list."""
    for key, prop in properties_of(part, cls).items():
        if key in part or (is_reference(prop) and prop.kind != "list") or (prop.kind == "note" and (prop.nested or not chance(draw, 20))):
            continue
        if prop.exists_if and part.get(short(prop.exists_if)) is False:
            continue  # there is none to describe
        if prop.kind == "list":
            part[key] = []
        elif prop.nested:
            part[key] = fill(draw, {}, prop.range)
        else:
            part[key] = word(draw, prop)
    return part


# The skeleton


def equipment(draw: Draw, name: str, kind: str, building: str, main: bool | None = None) -> Part:
    """Equipment with bonds; `main` says whether it holds a disconnect, where its kind can."""
    part: Part = {"id": name, "kind": kind, "building": building, "bonds": []}
    for number in range(draw(st.sampled_from((0, 1, 1, 2)))):
        bond = {"id": f"{name}-bond-{number}", "kind": kind_of(draw, "Bond"), "from": terminal(draw), "to": terminal(draw)}
        lists: Part = {key: [] for key, prop in properties_of(bond, INST + "Bond").items() if prop.kind == "list"}
        part["bonds"].append(fill(draw, {**bond, **lists}, INST + "Bond"))
    offered = properties_of(part, INST + "Equipment")
    if "disconnect" in offered:
        part["hasDisconnect"] = main if main is not None else draw(st.booleans())
        if part["hasDisconnect"]:
            part["disconnect"] = fill(draw, {"id": f"{name}-main"}, offered["disconnect"].range)
            return fill(draw, part, INST + "Equipment")
    return fill(draw, part, INST + "Equipment")


def terminal(draw: Draw) -> str:
    """Bonds mostly join the neutral bar and the case. A terminal named only by its kind has nothing to state about it."""
    if chance(draw, 60):
        return draw(st.sampled_from(("grounded-bar", "frame")))
    kinds = sorted(vocabulary().item_kinds(INST + "Terminal"))
    return draw(st.sampled_from([kind for kind in kinds if not any(p.kind == "attribute" for p in properties_of({"kind": kind}, INST + "Terminal").values())]))


def run(draw: Draw, name: str, start: str, end: str, grounding: bool | None = None, **stated: Any) -> Part:
    """A wiring run with its conductors. Work that is new or replaces was not put in before the editions that close allowances."""
    part: Part = {"id": name, "from": start, "to": end, **stated, "conductors": []}
    roles = [
        "ungrounded",
        *(["grounded"] if chance(draw, 85) else []),
        *(["equipment-grounding"] if (grounding if grounding is not None else chance(draw, 50)) else []),
    ]
    roles += [draw(st.sampled_from(sorted(vocabulary().codes[INST + "ConductorRole"])))] if grounding is None and chance(draw, 10) else []
    material, size = draw(st.sampled_from(("copper", "aluminum"))), draw(st.sampled_from(SERVICE_SIZES))
    for number, role in enumerate(roles):
        conductor: Part = {"id": f"{name}-wire-{number}", "role": role, "pickUpAt": end}
        if chance(draw, 70):
            conductor |= {"material": material, "size": size}
        part["conductors"].append(fill(draw, conductor, INST + "Conductor"))
    fill(draw, part, INST + "Run")
    if part.get("work") in ("new", "replacement"):
        part["installed"] = 2015
    return part


def circuit(draw: Draw, number: int, origin: str, building: str) -> tuple[list[Part], list[Part]]:
    """A branch circuit to an appliance: by receptacle and cord, by junction box, or direct."""
    load = equipment(draw, f"load-{number}", draw(st.sampled_from(("range", "clothes-dryer", kind_of(draw, "Appliance")))), building)
    way = draw(st.sampled_from(("direct", "receptacle", "junction-box")))
    if way == "direct":
        return [load], [run(draw, f"circuit-{number}", origin, load["id"])]
    outlet = equipment(draw, f"outlet-{number}", way, building)
    cable = run(draw, f"circuit-{number}", origin, outlet["id"])
    if way == "junction-box":
        return [outlet, load], [cable, run(draw, f"whip-{number}", outlet["id"], load["id"])]
    outlet["poles"] = draw(st.sampled_from((2, 3)))
    outlet["wires"] = outlet["poles"] + draw(st.sampled_from((0, 1)))
    wires = draw(st.sampled_from((3, 4)))
    grounds = outlet["wires"] > outlet["poles"] and wires >= outlet["wires"]
    return [outlet, load], [cable, run(draw, f"cord-{number}", outlet["id"], load["id"], grounds, method="cord", wires=wires)]


@st.composite
def installations(draw: Draw, complete: bool = True) -> Part:
    """A well-formed installation document; `complete` states every attribute and list, otherwise random facts are dropped."""
    source = fill(draw, {"id": "supply", "kind": "utility" if chance(draw, 85) else kind_of(draw, "Source")}, INST + "Source")
    chain = [k for k in (draw(st.sampled_from((None, "meter-enclosure", "meter-disconnect"))),) if k]
    chain += draw(st.lists(st.just("enclosed-disconnect"), max_size=2))
    chain += [kind_of(draw, "DistributionEquipment")] if chance(draw, 10) else []
    parts, runs, previous = [], [], "supply"
    for number, kind in enumerate(chain):
        parts.append(equipment(draw, f"ahead-{number}", kind, "house", True if kind == "enclosed-disconnect" else None))
        runs.append(run(draw, f"line-{number}", previous, f"ahead-{number}"))
        previous = f"ahead-{number}"
    parts.append(equipment(draw, "panel", "panelboard", "house"))
    runs.append(run(draw, "line-panel", previous, "panel"))
    panels = ["panel"]
    buildings = [fill(draw, {"id": name}, INST + "Building") for name in ("house", "garage")]
    if chance(draw, 50):
        place = draw(st.sampled_from(("house", "garage")))
        parts.append(equipment(draw, "subpanel", "panelboard", place))
        runs.append(run(draw, "line-subpanel", "panel", "subpanel"))
        panels.append("subpanel")
    for number in range(draw(st.integers(1, 3))):
        more, wiring = circuit(draw, number, draw(st.sampled_from(panels)), "house")
        parts += more
        runs += wiring
    document: Part = {
        "id": "invented-house",
        "sources": [source],
        "buildings": buildings,
        "equipment": parts,
        "runs": runs,
        "electrodes": [electrode(draw, n) for n in range(draw(st.integers(0, 3)))],
        "metalBodies": [fill(draw, {"id": f"metal-{n}", "kind": kind_of(draw, "MetalBody")}, INST + "MetalBody") for n in range(draw(st.integers(0, 2)))],
    }
    grounds = {building["id"]: building["newFoundationTouchesEarth"] for building in buildings if building["work"] in ("new", "replacement")}
    for bar in document["electrodes"]:
        if "touchesEarth" in bar:  # and its foundation, where that is all new, does as well or does not either
            bar["touchesEarth"] = grounds.get(bar["building"], bar["touchesEarth"])
    stands = {part["id"]: part["building"] for part in parts}
    for wiring in runs:
        if wiring["from"] in stands and stands[wiring["from"]] == stands[wiring["to"]]:
            wiring["metalPathBeside"] = False  # a path between buildings
    for cord in document["runs"]:
        if "conductors" in cord and "wires" in cord:  # a cord with as many wires as are listed
            cord["wires"] = max(sum(conductor.get("count", 1) for conductor in cord["conductors"]), 1)
            agree(cord, next((part for part in parts if part["id"] == cord["from"] and part["kind"] == "receptacle"), None))
    document["electrodeConductors"] = [electrode_conductor(draw, document, number) for number in range(len(document["electrodes"]))]
    fill(draw, document, INSTALLATION)
    document.pop("place", None)  # only a key of the places of the book may stand there
    refer(draw, document)
    return document if complete else forget(draw, document)


def agree(cord: Part, outlet: Part | None) -> None:
    """A cord with a grounding wire has two others; one with a wire for the grounding contact of its receptacle has a grounding wire."""
    grounded = any(conductor["role"] == "equipment-grounding" for conductor in cord["conductors"])
    if outlet and grounded and cord["wires"] < 3:
        cord["conductors"][0]["count"] = cord["conductors"][0].get("count", 1) + 3 - cord["wires"]
        cord["wires"] = 3
    if outlet and not grounded and cord["wires"] >= outlet["wires"]:
        outlet["wires"] = outlet["poles"]


def electrode(draw: Draw, number: int) -> Part:
    """An electrode at one of the two buildings."""
    part = {"id": f"electrode-{number}", "kind": kind_of(draw, "Electrode"), "building": draw(st.sampled_from(("house", "garage")))}
    return fill(draw, part, INST + "Electrode")


def electrode_conductor(draw: Draw, document: Part, number: int) -> Part:
    """From an electrode to a terminal, or on to the electrode before it."""
    ends = [f"{part['id']}/{bar}" for part in document["equipment"][:4] for bar in ("grounded-bar", "grounding-bar")]
    other = f"electrode-{number - 1}" if number and chance(draw, 40) else draw(st.sampled_from(ends))
    ends = [f"electrode-{number}", other]
    if chance(draw, 30):
        ends.reverse()
    return fill(draw, {"id": f"electrode-wire-{number}", "from": ends[0], "to": ends[1]}, INST + "ElectrodeConductor")


def refer(draw: Draw, document: Part) -> None:
    """State the references that the skeleton left open, to any part of the right class."""
    words = vocabulary()
    tops = {key: prop for key, prop in words.document_properties(INSTALLATION).items() if prop.nested}
    ids = {part["id"]: words.kinds.get(part["kind"], tops[key].range) for key in STRUCTURE for part in document[key] if "kind" in part}
    for key, top in tops.items():
        for part in document.get(key, []):
            for name, prop in properties_of(part, top.range).items():
                fitting = [identifier for identifier, cls in ids.items() if words.is_a(cls, prop.range)]
                if not is_reference(prop) or name in part or (prop.kind != "list" and not fitting):
                    continue
                chosen = draw(st.lists(st.sampled_from(fitting), max_size=2, unique=True)) if fitting else []
                part[name] = chosen if prop.kind == "list" else draw(st.sampled_from(fitting))


def forget(draw: Draw, document: Part) -> Part:
    """The document with random facts left out: attributes, lists, and the word that a list is complete."""
    percent = draw(st.sampled_from((3, 10, 30)))

    def less(part: Part, cls: str) -> Part:
        kept: Part = {}
        properties = properties_of(part, cls)
        closed = []
        for key, value in part.items():
            prop = properties.get(key)
            if prop is not None and not prop.required and key not in STRUCTURE and chance(draw, percent):
                continue
            if prop is not None and prop.nested:
                value = [less(v, prop.range) for v in value] if isinstance(value, list) else less(value, prop.range)
            if prop is not None and prop.kind == "list" and not chance(draw, percent):
                closed.append(key)
            kept[key] = value
        if any(prop.kind == "list" for prop in properties.values()):
            kept["complete"] = closed
        return kept

    return less(document, INSTALLATION)
