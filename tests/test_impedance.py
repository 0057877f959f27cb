"""Tables 8 and 9 of Chapter 9 against physics that does not come from them, and impedances, rods and sources against published examples.

diameter   d = 0.005 in * 92 ** ((36 - n) / 39)                         ASTM B258
copper     10.371 ohm-cmil/ft at 20 C (100 % IACS), aluminum 61 % of its conductivity
warmth     R = R20 (1 + a20 (T - 20)), a20 = 0.00393 copper, 0.00403 aluminum; 2 % for the lay of strands
"""

import math
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

import pytest

from faultpath.base.terms import INST
from faultpath.book.loader import load_book
from faultpath.book.tables import rows_with
from faultpath.circuit.impedance import (
    ALUMINUM_RACEWAY,
    METERS_PER_FOOT,
    NONMAGNETIC,
    STEEL,
    at_temperature,
    conductor_ohms,
    mutual_ohms,
    raceway_ohms,
    rod_ohms,
    run_ohms,
    soil_range,
    source_ohms,
    transformer_ohms,
)

EDITION = 2020
Row = dict[str, Any]
TABLE_8: list[Row] = [dict(row) for row in rows_with(EDITION, "wireSize", "uncoatedCopperOhms")]
TABLE_9: list[Row] = [dict(row) for row in rows_with(EDITION, "wireSize", "reactanceSteelOhms")]
COPPER, ALUMINUM = INST + "copper", INST + "aluminum"
IACS, WARM_COPPER, WARM_ALUMINUM, LAY = 10.371, 1 + 0.00393 * 55, 1 + 0.00403 * 55, 1.02


def circular_mils(size: str) -> float:
    number, _, unit = size.removeprefix(INST).rpartition("-")
    if unit == "kcmil":
        return 1000.0 * int(number)
    gauge = 1 - int(number[0]) if number.endswith("/0") else int(number)
    return float((5 * 92 ** ((36 - gauge) / 39)) ** 2)


def tinned(row: Row) -> float:
    """Conductivity of tinned copper by the classes of ASTM B33, by the diameter of the single wire."""
    strand = row.get("strandDiameterInches", row["overallDiameterInches"])
    return 0.9716 if float(strand) > 0.103 else 0.9616 if float(strand) > 0.0201 else 0.9415


def strand_layers(strands: int) -> float:
    """Overall diameter over that of a strand."""
    return {1: 1, 7: 3, 19: 5, 37: 7, 61: 9, 91: 11, 127: 13}[strands]


def resistance(row: Row, per_mil: float) -> float:
    return 1000 * per_mil / circular_mils(row["wireSize"]) * (LAY if row["strands"] > 1 else 1)


# Each column with its value by physics and how far the printed one may be off: its own rounding, or a little more.
PHYSICS: dict[str, tuple[Callable[[Row], float], float]] = {
    "areaCircularMils": (lambda row: circular_mils(row["wireSize"]), 0.003),
    "uncoatedCopperOhms": (lambda row: resistance(row, IACS * WARM_COPPER), 0.006),
    "coatedCopperOhms": (lambda row: resistance(row, IACS * WARM_COPPER) / tinned(row), 0.006),
    "aluminumOhms": (lambda row: resistance(row, IACS / 0.61 * WARM_ALUMINUM), 0.005),
    "strandDiameterInches": (lambda row: math.sqrt(circular_mils(row["wireSize"]) / row["strands"]) / 1000, 0.02),
    "overallDiameterInches": (lambda row: math.sqrt(circular_mils(row["wireSize"]) / row["strands"]) / 1000 * strand_layers(row["strands"]), 0.012),
    "overallAreaSquareInches": (lambda row: math.pi / 4 * float(row["overallDiameterInches"]) ** 2, 0.003),
}


def off(row: Row, column: str) -> bool:
    """Whether a cell is further from physics than its rounding and the tolerance explain."""
    by_physics, tolerance = PHYSICS[column]
    printed = row[column]
    half = 0.5 * 10 ** -(len(str(printed).partition(".")[2])) if "." in str(printed) else 0.5
    expected = by_physics(row)
    least = 1.4 * half if column == "overallAreaSquareInches" else 0.0
    return abs(float(printed) - expected) > max(tolerance * expected, least) + 1e-12


@pytest.mark.parametrize("column", PHYSICS)
def test_table_8_follows_from_physics(column: str):
    assert [row["wireSize"] for row in TABLE_8 if column in row and off(row, column)] == []


def test_aluminum_over_copper_is_the_same_in_every_row():
    """The sharpest check of one row: 1.647, whatever the size."""
    for row in TABLE_8:
        assert float(row["aluminumOhms"]) / float(row["uncoatedCopperOhms"]) == pytest.approx(WARM_ALUMINUM / WARM_COPPER / 0.61, rel=0.005)


def test_table_9_effective_impedance_follows_from_its_parts():
    """Ze = R cos + X sin at a power factor of 0.85, the note of the table; one- and two-digit cells round by up to 5.5 %."""
    sine = math.sin(math.acos(0.85))
    cells = 0
    for row in TABLE_9:
        for metal in ("Copper", "Aluminum"):
            for raceway in ("Pvc", "AluminumRaceway", "Steel"):
                effective = row.get(f"effective{metal}{raceway}Ohms")
                if effective is not None:
                    reactance = row["reactanceSteelOhms" if raceway == "Steel" else "reactanceNonmagneticOhms"]
                    expected = 0.85 * float(row[f"{metal.lower()}{raceway}Ohms"]) + sine * float(reactance)
                    assert float(effective) == pytest.approx(expected, rel=0.055), (row["wireSize"], metal, raceway)
                    cells += 1
    assert cells == 123


def test_table_9_resistance_is_that_of_table_8_where_there_is_no_skin_effect():
    direct = {row["wireSize"]: row for row in TABLE_8}
    for row in TABLE_9:
        for metal in ("copper", "aluminum"):
            found = row.get(f"{metal}PvcOhms")
            if found is not None and circular_mils(row["wireSize"]) <= 300_000:
                column = "uncoatedCopperOhms" if metal == "copper" else "aluminumOhms"
                assert float(found) == pytest.approx(float(direct[row["wireSize"]][column]), rel=0.04)


def test_table_9_reactance_falls_with_size_and_is_a_quarter_more_in_steel():
    steel = [float(row["reactanceSteelOhms"]) for row in TABLE_9]
    assert all(float(row["reactanceSteelOhms"]) / float(row["reactanceNonmagneticOhms"]) == pytest.approx(1.25, abs=0.035) for row in TABLE_9)
    assert all(later <= earlier * 1.035 for earlier, later in pairwise(steel))


# Would a typing error be seen?


def mutants(cell: str) -> Iterator[str]:
    """Every figure by every other, neighbours swapped, the point shifted."""
    for place, figure in enumerate(cell):
        if figure.isdigit():
            yield from (cell[:place] + other + cell[place + 1 :] for other in "0123456789" if other != figure)
        if place + 1 < len(cell) and cell[place + 1].isdigit() and figure.isdigit() and cell[place + 1] != figure:
            yield cell[:place] + cell[place + 1] + figure + cell[place + 2 :]
    if "." in cell:
        yield cell.replace("0.", "0.0", 1) if cell.startswith("0.") else str(float(cell) / 10)


@pytest.mark.parametrize(
    ("column", "share"),
    [("uncoatedCopperOhms", 0.9), ("coatedCopperOhms", 0.85), ("aluminumOhms", 0.9), ("strandDiameterInches", 0.9), ("overallDiameterInches", 0.8)],
)
def test_a_typing_error_would_be_seen(column: str, share: float):
    """What escapes is a change in the last figure, within the rounding; areas are checked to the mil in test_tables."""
    tried = caught = 0
    for row in TABLE_8:
        if column in row:
            for mutant in mutants(str(row[column])):
                if float(mutant) != float(row[column]):
                    tried += 1
                    caught += off({**row, column: mutant}, column)
    assert tried > 500
    assert caught / tried >= share, f"{caught} of {tried}"


@pytest.mark.parametrize("share", [0.8])
def test_a_typing_error_in_table_9_would_be_seen(share: float):
    sine = math.sin(math.acos(0.85))
    tried = caught = 0
    for row in TABLE_9:
        for metal, raceway in ((m, r) for m in ("Copper", "Aluminum") for r in ("Pvc", "AluminumRaceway", "Steel") if f"effective{m}{r}Ohms" in row):
            reactance = float(row["reactanceSteelOhms" if raceway == "Steel" else "reactanceNonmagneticOhms"])
            for mutant in mutants(str(row[f"{metal.lower()}{raceway}Ohms"])):
                expected = 0.85 * float(mutant) + sine * reactance
                tried += 1
                caught += abs(float(row[f"effective{metal}{raceway}Ohms"]) - expected) > 0.055 * expected
    assert caught / tried >= share, f"{caught} of {tried}"


# Conductors


def size(word: str) -> str:
    return INST + word


@pytest.mark.parametrize(
    ("word", "material", "raceway", "expected"),
    [
        ("12-AWG", COPPER, NONMAGNETIC, 1.98 + 0.054j),
        ("12-AWG", COPPER, STEEL, 1.98 + 0.068j),
        ("1/0-AWG", ALUMINUM, NONMAGNETIC, 0.201 + 0.044j),
        ("500-kcmil", COPPER, NONMAGNETIC, 0.027 + 0.039j),
        ("500-kcmil", COPPER, ALUMINUM_RACEWAY, 0.032 + 0.039j),
        ("18-AWG", COPPER, NONMAGNETIC, 7.95 + 0.058j),
    ],
)
def test_direct_current_digits_unless_alternating_current_differs(word: str, material: str, raceway: str, expected: complex):
    assert conductor_ohms(EDITION, size(word), material, raceway) == pytest.approx(expected, rel=1e-9)


def test_a_size_that_table_9_passes_over_lies_between_its_neighbours():
    """Within the two figures that table 9 prints."""
    for material in (COPPER, ALUMINUM):
        for raceway in (NONMAGNETIC, ALUMINUM_RACEWAY, STEEL):
            sizes = sorted({row["wireSize"] for row in TABLE_8}, key=circular_mils)
            ohms = [conductor_ohms(EDITION, word, material, raceway).real for word in sizes]
            assert all(later < 1.03 * earlier for earlier, later in pairwise(ohms))


def test_temperature_by_the_note_of_table_8():
    """R2 = R1 (1 + a (T2 - 75)); cold wires give 22 % more current: a factor of 0.822 at 20 C."""
    assert at_temperature(1, 0.00323, 20) == pytest.approx(0.8224, abs=5e-5)
    for material, a20 in ((COPPER, 0.00393), (ALUMINUM, 0.00403)):
        coefficient = float(str(load_book().ontology.value(material, INST + "temperatureCoefficientPerKelvin")))
        assert coefficient == pytest.approx(a20 / (1 + 55 * a20), abs=1e-5)
    cold = run_ohms(EDITION, size("12-AWG"), COPPER, NONMAGNETIC, feet=100, coefficient=0.00323, celsius=20)
    assert cold == pytest.approx(0.16283 + 0.0054j, abs=1e-5)


def test_a_size_that_is_in_no_table_is_an_error_and_not_a_guess():
    with pytest.raises(LookupError):
        conductor_ohms(EDITION, size("1200-kcmil"), COPPER, NONMAGNETIC)


def test_steel_raceway_is_the_resistance_of_its_wall():
    """1/2 in. EMT, 0.706 in. outside, 0.622 in. inside: area over the resistivity of copper through 12 % and 10 %."""
    mils = (706**2 - 622**2) * 1.0
    found = raceway_ohms(EDITION, size("EMT"), size("1/2-inch"), 1000)
    assert found is not None
    assert found == pytest.approx([1000 * IACS / mils / 0.12, 1000 * IACS / mils / 0.10], rel=2e-3)
    assert raceway_ohms(EDITION, size("PVC"), size("1/2-inch"), 1000) is None


# Sources and earth


def test_a_source_gives_its_available_fault_current():
    ohms = source_ohms(120, 10_000, 3)
    assert abs(120 / ohms) == pytest.approx(10_000)
    assert ohms.imag / ohms.real == pytest.approx(3)
    # 25 kVA, 240 V, 2 %: 25,000 / 240 / 0.02 = 5,208 A between the legs.
    assert abs(240 / transformer_ohms(240, 25, 2, 1.5)) == pytest.approx(5208.3, abs=0.1)


@pytest.mark.parametrize(
    ("inches", "feet", "ohm_meters", "ohms", "within"),
    [
        (0.75, 10, 100, 32, 0.3),  # MIL-HDBK-419A, volume II, 1.2.2.2: 32 ohm
        (0.625, 8, 100, 39.9, 0.05),
        (0.625, 10, 100, 33.1, 0.05),
        (0.625, 5, 158, 93.1, 0.1),
    ],
)
def test_one_rod(inches: float, feet: float, ohm_meters: float, ohms: float, within: float):
    assert rod_ohms(ohm_meters, length_feet=feet, diameter_inches=inches) == pytest.approx(ohms, abs=within)


def test_length_matters_more_than_diameter():
    thin, thick = (rod_ohms(100, length_feet=8, diameter_inches=d) for d in (0.5, 0.625))
    assert thin / thick == pytest.approx(1.037, abs=0.001)


@pytest.mark.parametrize("spacing", [6, 8, 10, 16])
def test_two_rods_are_worse_than_half_of_one_by_integration(spacing: float):
    """The mean potential that a line of current puts along a parallel one and its image, summed piece by piece."""
    length, apart, pieces = 8 * METERS_PER_FOOT, spacing * METERS_PER_FOOT, 400
    middles = [(n + 0.5) * length / pieces for n in range(pieces)]
    summed = sum(1 / math.hypot(z - y, apart) + 1 / math.hypot(z + y, apart) for z in middles for y in middles) / pieces**2
    by_pieces = 100 / (4 * math.pi) * summed
    assert mutual_ohms(100, length_feet=8, spacing_feet=spacing) == pytest.approx(by_pieces, rel=1e-4)
    own = rod_ohms(100, length_feet=8, diameter_inches=0.625)
    assert own / 2 < (own + mutual_ohms(100, length_feet=8, spacing_feet=spacing)) / 2 < own


def test_soil_classes():
    assert soil_range(EDITION, INST + "clay-or-loam") == (3.4, 163)
    assert soil_range(EDITION, "nothing") is None
