"""The named quantities of the book: what is assumed where nothing is stated, criteria, opening points, limits for people."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from faultpath.book.tables import rows_with


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity by its name, as a range whose ends are equal where it is one value.

    `unit` is its QUDT unit, `meaning` what it is, `basis` where it is from.
    """

    name: str
    least: float
    most: float
    unit: str
    meaning: str
    basis: str


@cache
def quantities(edition: int) -> dict[str, Quantity]:
    """The quantities in force in an edition by name."""
    rows = rows_with(edition, "quantityName", "quantityLeast", "quantityMost")
    return {str(row["quantityName"]): _quantity(row) for row in rows}


def _quantity(row: Mapping[str, object]) -> Quantity:
    return Quantity(
        name=str(row["quantityName"]),
        least=float(str(row["quantityLeast"])),
        most=float(str(row["quantityMost"])),
        unit=str(row["quantityUnit"]),
        meaning=str(row["quantityMeaning"]),
        basis=str(row["quantityBasis"]),
    )


def value(edition: int, name: str) -> float:
    """A quantity that is one value."""
    return quantities(edition)[name].least
