"""Printed tables as triples: CSV rows read by their CSVW metadata, in the dated file that an edition has in force."""

import csv
import io
import json
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from faultpath.base.terms import CODE, TABLES, TYPE
from faultpath.base.triples import Term, TextLiteral, Triple
from faultpath.book.loader import load_book


@dataclass(frozen=True)
class Table:
    """One table of the book: its CSVW description and its dated rows, oldest first, each row by column name."""

    key: str
    metadata: dict[str, Any]
    dated: dict[int, list[dict[str, str]]]

    @property
    def columns(self) -> dict[str, dict[str, Any]]:
        """The description of each column by its name."""
        return {column["name"]: column for column in self.metadata["tableSchema"]["columns"]}

    def year_in_force(self, edition: int) -> int | None:
        """The year of the rows in force in an edition, None before the oldest."""
        years = [year for year in self.dated if year <= edition]
        return max(years) if years else None

    def row_iri(self, year: int, number: int) -> str:
        """The IRI of a row, counted from one."""
        return f"{TABLES}{self.key}/{year}#row-{number}"


@cache
def tables() -> dict[str, Table]:
    """Every table of the book by its key."""
    found: dict[str, Table] = {}
    for name, text in load_book().files.items():
        if name.startswith("shapes/tables/") and name.endswith("/table.json"):
            folder = name.removesuffix("/table.json")
            dated = {
                int(path.removeprefix(folder + "/").removesuffix(".csv")): list(csv.DictReader(io.StringIO(rows)))
                for path, rows in load_book().files.items()
                if path.startswith(folder + "/") and path.endswith(".csv")
            }
            key = folder.rsplit("/", 1)[-1]
            found[key] = Table(key, json.loads(text), dict(sorted(dated.items())))
    return found


def rows_in_force(edition: int) -> list[Triple]:
    """The rows of every table as an edition prints them, as triples."""
    triples: list[Triple] = []
    for table in tables().values():
        year = table.year_in_force(edition)
        if year is None:
            continue
        columns = table.metadata["tableSchema"]["columns"]
        for number, row in enumerate(table.dated[year], 1):
            node = table.row_iri(year, number)
            triples.append((node, TYPE, CODE + "Row"))
            triples.append((node, CODE + "inTable", TABLES + table.key))
            triples.extend((node, c["propertyUrl"], _cell(c, row[c["name"]])) for c in columns if row[c["name"]] != "")
    return triples


def _cell(column: dict[str, Any], value: str) -> Term:
    if "valueUrl" in column:
        return str(column["valueUrl"]).replace("{+" + column["name"] + "}", value)
    kind = column.get("datatype")
    return int(value) if kind == "integer" else Decimal(value) if kind == "decimal" else TextLiteral(value)


@cache
def rows_with(edition: int, *columns: str) -> tuple[dict[str, Term], ...]:
    """The rows that an edition has in force of the one table with all these columns, each by column name.

    A code word stands as its IRI, an empty cell is left out. Raises LookupError unless exactly one table has the columns.
    """
    fitting = [t for t in tables().values() if t.columns.keys() >= set(columns)]
    if len(fitting) != 1:
        raise LookupError(f"{len(fitting)} tables have the columns {', '.join(columns)}")
    table = fitting[0]
    year = table.year_in_force(edition)
    return tuple({name: _cell(c, row[name]) for name, c in table.columns.items() if row[name] != ""} for row in table.dated[year or min(table.dated)])
