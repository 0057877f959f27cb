"""Small invented installations whose currents can be worked out by hand."""

from typing import Any

Part = dict[str, Any]
# So strong that the source hardly counts, as the worked nets have it.
STIFF = 10_000_000


def conductors(size: str, ground: str | None = None, *, legs: int = 1, neutral: bool = True, material: str = "copper") -> list[Part]:
    found: list[Part] = [{"role": "ungrounded", "count": legs, "size": size, "material": material, "insulated": True}]
    found += [{"role": "grounded", "size": size, "material": material, "insulated": True}] if neutral else []
    found += [{"role": "equipment-grounding", "size": ground, "material": material, "insulated": False}] if ground else []
    return found


def service(**source: Any) -> Part:
    """A utility, its drop, and a panel that is the service equipment, its neutral bonded, with one measured rod."""
    supply = {"id": "utility", "kind": "utility", "system": "120/240V-single-phase-3-wire", "availableFaultCurrentAmperes": STIFF, "reactanceToResistance": 1}
    return {
        "id": "invented",
        "conventions": ["existing-unless-stated", "grounds-with-their-circuits", "one-building", "single-sets-of-conductors"],
        "sources": [{**supply, "sourceEarthOhms": 5, **source}],
        "equipment": [
            {
                "id": "panel",
                "kind": "panelboard",
                "enclosure": {"metal": True},
                "disconnect": {"ratingAmperes": 100, "designation": "service-disconnect", "listingMark": "suitable-for-use-as-service-equipment"},
                "bonds": [{"id": "jumper", "kind": "main-bonding-jumper", "from": "grounded-bar", "to": "frame"}],
            }
        ],
        "runs": [{"id": "drop", "from": "utility", "to": "panel", "conductors": conductors("2/0 AWG", legs=2, material="aluminum")}],
        "electrodes": [{"id": "rod", "kind": "rod", "resistanceOhms": 25}],
        "electrodeConductors": [{"id": "gec", "from": "rod", "to": "panel/grounded-bar", "size": "6 AWG", "material": "copper"}],
    }


def with_circuit(house: Part, name: str, feet: float, wires: list[Part], *, amperes: int = 20, load: Part | None = None, **run: Any) -> Part:
    """The house with a branch circuit `NAME-cable` from its panel to an appliance `NAME`."""
    bonds: list[Part] = []
    appliance = {"id": name, "kind": "other-appliance", "bonds": bonds, **(load or {})}
    cable = {
        "id": f"{name}-cable",
        "from": "panel",
        "to": name,
        "method": "NM",
        "lengthFeet": feet,
        "overcurrent": {"ratingAmperes": amperes},
        "conductors": wires,
    }
    return {**house, "equipment": [*house["equipment"], appliance], "runs": [*house["runs"], {**cable, "conductorTemperatureCelsius": 75, **run}]}
