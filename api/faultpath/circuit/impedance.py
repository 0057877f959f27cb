"""Impedances at 60 Hz in ohms: conductors and raceways from the printed tables, sources from their data, rods from the soil."""

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from faultpath.base.terms import INST
from faultpath.base.triples import Term
from faultpath.book.tables import rows_with

TABLE_FEET = 1_000
TABLE_CELSIUS = 75.0
RACEWAY_CELSIUS = 20.0
METERS_PER_FOOT = 0.3048
METERS_PER_INCH = 0.0254
# A raceway by the columns of the alternating-current table that are for it.
NONMAGNETIC, ALUMINUM_RACEWAY, STEEL = "Pvc", "AluminumRaceway", "Steel"
_COPPER = INST + "copper"


def at_temperature(ohms: float, coefficient: float, celsius: float) -> float:
    """A table resistance at another temperature: R2 = R1 (1 + a (T2 - 75)), by the note of the conductor table."""
    return ohms * (1 + coefficient * (celsius - TABLE_CELSIUS))


@cache
def conductor_ohms(edition: int, size: str, material: str, raceway: str) -> complex:
    """Resistance at 75 degrees Celsius and reactance of 1000 ft of one conductor, from its IRIs and the raceway around it.

    The direct-current table has more digits, the alternating-current one skin and proximity effect: the latter is taken
    where it differs by more than its own rounding. A size that the latter passes over takes its reactance, and the ratio
    of its resistances, from the next smaller one printed. Stranded conductors, the worse, are taken. Raises LookupError.
    """
    metal = "copper" if material == _COPPER else "aluminum"
    direct = _direct_ohms(edition, size, metal)
    rows = {str(row["wireSize"]): row for row in rows_with(edition, "wireSize", "reactanceSteelOhms")}
    areas = _areas(edition)
    printed = [s for s in rows if areas[s] <= areas[size] and f"{metal}{raceway}Ohms" in rows[s]]
    nearest = max(printed, key=areas.__getitem__) if printed else min(rows, key=areas.__getitem__)
    row = rows[nearest]
    reactance = row["reactanceSteelOhms" if raceway == STEEL else "reactanceNonmagneticOhms"]
    alternating = row.get(f"{metal}{raceway}Ohms")
    resistance = direct
    if isinstance(alternating, Decimal):
        listed = _direct_ohms(edition, nearest, metal)
        if Decimal(str(listed)).quantize(alternating, ROUND_HALF_UP) < alternating:
            resistance = direct * float(alternating) / listed
    return complex(resistance, _number(reactance))


def _direct_ohms(edition: int, size: str, metal: str) -> float:
    column = "uncoatedCopperOhms" if metal == "copper" else "aluminumOhms"
    found = [_number(row[column]) for row in rows_with(edition, "wireSize", column) if row["wireSize"] == size]
    if not found:
        raise LookupError(f"{size} is no size of the conductor table")
    return max(found)


@cache
def _areas(edition: int) -> dict[str, float]:
    return {str(row["wireSize"]): _number(row["areaCircularMils"]) for row in rows_with(edition, "wireSize", "areaCircularMils")}


def run_ohms(edition: int, size: str, material: str, raceway: str, *, feet: float, coefficient: float, celsius: float) -> complex:
    """Impedance of one conductor of a run of so many feet at a temperature."""
    per_table = conductor_ohms(edition, size, material, raceway)
    return complex(at_temperature(per_table.real, coefficient, celsius), per_table.imag) * feet / TABLE_FEET


def raceway_ohms(edition: int, method: str, trade_size: str, feet: float) -> tuple[float, float] | None:
    """Resistance of a steel raceway as equipment grounding conductor, with better and with poorer steel; None if not printed.

    To direct current: what the skin effect of the wall and joints add is not in it.
    """
    for row in rows_with(edition, "racewayMethod", "betterSteelOhms"):
        if row["racewayMethod"] == method and row["tradeDesignation"] == trade_size:
            return _number(row["betterSteelOhms"]) * feet / TABLE_FEET, _number(row["poorerSteelOhms"]) * feet / TABLE_FEET
    return None


# Sources


def of_magnitude(ohms: float, reactance_to_resistance: float) -> complex:
    """An impedance from its magnitude and the ratio of reactance to resistance."""
    resistance = ohms / math.hypot(1, reactance_to_resistance)
    return complex(resistance, resistance * reactance_to_resistance)


def source_ohms(volts_to_ground: float, fault_amperes: float, reactance_to_resistance: float) -> complex:
    """What stands in each leg so that a fault from leg to neutral at the service draws the available fault current."""
    return of_magnitude(volts_to_ground / fault_amperes, reactance_to_resistance)


def transformer_ohms(volts: float, kilovoltamperes: float, percent: float, reactance_to_resistance: float) -> complex:
    """Impedance of a winding of so many volts from the nameplate: percent of volts squared over the rating."""
    return of_magnitude(percent / 100 * volts**2 / (kilovoltamperes * 1_000), reactance_to_resistance)


# Earth


def rod_ohms(ohm_meters: float, *, length_feet: float, diameter_inches: float) -> float:
    """Resistance of one vertical rod in uniform soil: rho / (2 pi L) (ln(8 L / d) - 1), H. B. Dwight's formula for short rods.

    An estimate: only a measurement proves a resistance. The length is that in the soil.
    """
    length, diameter = length_feet * METERS_PER_FOOT, diameter_inches * METERS_PER_INCH
    return ohm_meters / (2 * math.pi * length) * (math.log(8 * length / diameter) - 1)


def mutual_ohms(ohm_meters: float, *, length_feet: float, spacing_feet: float) -> float:
    """By how much another rod of the same length and current, so many feet away, raises the resistance of a rod.

    The mean potential that one rod puts along the other, so that a pair has half of (own + mutual). Same uniform soil.
    """
    length, spacing = length_feet * METERS_PER_FOOT, spacing_feet * METERS_PER_FOOT
    reach = math.hypot(2 * length, spacing)
    shape = math.log((2 * length + reach) / spacing) - math.sqrt(1 + (spacing / (2 * length)) ** 2) + spacing / (2 * length)
    return ohm_meters / (2 * math.pi * length) * shape


@cache
def soil_range(edition: int, soil: str) -> tuple[float, float] | None:
    """Least and greatest resistivity met in a class of soil, in ohm-meters."""
    for row in rows_with(edition, "soilClass", "averageOhmMeters"):
        if row["soilClass"] == soil:
            return _number(row["leastOhmMeters"]), _number(row["mostOhmMeters"])
    return None


def _number(term: Term) -> float:
    return float(str(term))
