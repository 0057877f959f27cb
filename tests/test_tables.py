"""The numbers of the printed tables against physics and against values written down here from other sources."""

import re
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

import pytest

from faultpath.base.terms import CODE, INST, TABLES
from faultpath.book.loader import load_book
from faultpath.book.tables import Table, rows_in_force, tables
from faultpath.book.vocabulary import vocabulary

TABLES_OF_THE_BOOK = tables()
DATED = [pytest.param(table, year, id=f"{table.key}/{year}") for table in TABLES_OF_THE_BOOK.values() for year in table.dated]
SIZES = {word: int(load_book().ontology.text(iri, INST + "circularMils")) for word, iri in vocabulary().codes[INST + "Size"].items()}

# NFPA 70, Table 250.122, copper column, the same from the 1990s on; written from the trade's pocket references, not from the book.
COPPER_GROUNDS = (
    "15:14 20:12 60:10 100:8 200:6 300:4 400:3 500:2 600:1 800:1/0 1000:2/0 1200:3/0 1600:4/0 2000:250 2500:350 3000:400 4000:500 5000:700 6000:800"
)
# NFPA 70, Table 250.66, by the largest copper service conductor: the copper electrode conductor; same kind of source.
COPPER_ELECTRODE_CONDUCTORS = "2:8 1/0:6 3/0:4 350:2 600:1/0 1100:2/0"
# The same by the largest aluminum service conductor. The row of 1/0 AWG is read "1/0 or smaller": copies with "1 or smaller" leave that size in no row.
ALUMINUM_ELECTRODE_CONDUCTORS = "1/0:8 3/0:6 250:4 500:2 900:1/0 1750:2/0"


def gauge(word: str) -> int:
    """The gauge number of an AWG size: 1/0 is 0, 2/0 is -1, and so on."""
    number = word.removesuffix("-AWG")
    return 1 - int(number[0]) if number.endswith("/0") else int(number)


def astm_circular_mils(number: int) -> int:
    """The area of a solid wire of a gauge: ASTM B258 gives d = 0.005 * 92 ** ((36 - n) / 39) inch.

    The diameter is tabulated to a tenth of a mil, and areas to three figures below 10,000 circular mils and four above.
    """
    mils = Decimal(5 * 92 ** ((36 - number) / 39)).quantize(Decimal("0.1"), ROUND_HALF_UP)
    area = mils * mils
    figures = 3 if area < 10_000 else 4
    return int(area.quantize(Decimal(1).scaleb(area.adjusted() - figures + 1), ROUND_HALF_UP))


AWG = [word for word in SIZES if word.endswith("-AWG")]
KCMIL = [word for word in SIZES if word.endswith("-kcmil")]


def test_every_size_is_of_one_of_the_two_kinds():
    assert len(AWG) > 14
    assert len(KCMIL) > 14
    assert set(AWG) | set(KCMIL) == set(SIZES)


@pytest.mark.parametrize("word", AWG)
def test_awg_area_follows_the_formula(word: str):
    assert SIZES[word] == astm_circular_mils(gauge(word))


@pytest.mark.parametrize("word", AWG)
def test_a_wrong_figure_of_an_area_is_caught(word: str):
    """Change any figure that is not rounded away: the formula no longer gives it."""
    area = str(SIZES[word])
    for place in range(len(area.rstrip("0"))):
        for figure in "0123456789":
            mutant = area[:place] + figure + area[place + 1 :]
            assert (int(mutant) == astm_circular_mils(gauge(word))) == (mutant == area)


@pytest.mark.parametrize("word", KCMIL)
def test_kcmil_area_is_its_name(word: str):
    assert SIZES[word] == 1000 * int(word.removesuffix("-kcmil"))


@pytest.mark.parametrize("word", SIZES)
def test_the_definition_of_a_size_says_its_area(word: str):
    definition = load_book().ontology.text(vocabulary().codes[INST + "Size"][word], "http://www.w3.org/2004/02/skos/core#definition")
    assert f"{SIZES[word]:,} circular mils" in definition


# Rows


def test_there_are_tables():
    assert DATED


def limits(table: Table, year: int) -> list[list[int]]:
    """The columns that say up to where a row goes, without the open last row."""
    rows = table.dated[year]
    return [[int(row[name]) for row in rows if row[name]] for name in rows[0] if "NotOver" in name or name.startswith("notOver")]


def size_columns(table: Table, year: int) -> list[list[int]]:
    rows = table.dated[year]
    return [[SIZES[row[name]] for row in rows if row[name]] for name in rows[0] if name.endswith("Size")]


@pytest.mark.parametrize(("table", "year"), DATED)
def test_rows_rise(table: Table, year: int):
    """A larger supply or device never takes a smaller conductor; limits rise strictly, and only the last row may be open."""
    for column in limits(table, year):
        assert column == sorted(set(column))
        assert len(column) >= len(table.dated[year]) - 1
    if limits(table, year) and size_columns(table, year):
        for column in size_columns(table, year):
            assert column == sorted(column)
        assert all(earlier < later for earlier, later in pairwise(size_columns(table, year)[0]))


@pytest.mark.parametrize(("table", "year"), DATED)
def test_rows_begin_where_the_one_before_ends(table: Table, year: int):
    """What we added to the printed table, so that a look-up needs no comparison of rows: no gap and no overlap."""
    rows = table.dated[year]
    bounds = [(re.sub("[nN]otO", lambda m: "o" if m[0] == "notO" else "O", name), name) for name in rows[0] if "otOver" in name]
    for over, not_over in bounds:
        assert rows[0][over] == "0"
        assert [row[over] for row in rows[1:]] == [row[not_over] for row in rows[:-1]]


@pytest.mark.parametrize(("table", "year"), DATED)
def test_aluminum_is_never_smaller_than_copper(table: Table, year: int):
    for row in table.dated[year]:
        if row.get("copperSize") and row.get("aluminumSize"):
            assert SIZES[row["aluminumSize"]] > SIZES[row["copperSize"]]
        if row.get("copperNotOverCircularMils"):
            assert int(row["aluminumNotOverCircularMils"]) > int(row["copperNotOverCircularMils"])


@pytest.mark.parametrize(("table", "year"), DATED)
def test_limits_in_circular_mils_are_areas_of_sizes(table: Table, year: int):
    """The printed rows are named by sizes; 1100 kcmil bounds a row and is no size of the list."""
    areas = {*SIZES.values(), 1_100_000}
    for row in table.dated[year]:
        for name, value in row.items():
            if name.endswith("CircularMils") and value:
                assert int(value) in areas or (value, row) == ("0", table.dated[year][0])


def spelled(size: str) -> str:
    return f"{size}-kcmil" if size.isdigit() and int(size) >= 250 else f"{size}-AWG"


@pytest.mark.parametrize("year", TABLES_OF_THE_BOOK["equipment-grounding-conductor-sizes"].dated)
def test_copper_equipment_grounds(year: int):
    written = [tuple(pair.split(":")) for pair in COPPER_GROUNDS.split()]
    rows = TABLES_OF_THE_BOOK["equipment-grounding-conductor-sizes"].dated[year]
    assert [(row["notOverAmperes"], row["copperSize"]) for row in rows] == [(amperes, spelled(size)) for amperes, size in written]


@pytest.mark.parametrize("key", ["grounding-electrode-conductor-sizes", "supply-side-jumper-sizes"])
def test_copper_by_the_copper_supply(key: str):
    """The grounded conductor and the jumpers of the supply side start from the same rows; their last row is a proportion."""
    written = [tuple(pair.split(":")) for pair in COPPER_ELECTRODE_CONDUCTORS.split()]
    areas = {**SIZES, "1100-kcmil": 1_100_000}
    for rows in TABLES_OF_THE_BOOK[key].dated.values():
        found = [(row["copperNotOverCircularMils"], row["copperSize"]) for row in rows]
        assert found[:-1] == [(str(areas[spelled(supply)]), spelled(size)) for supply, size in written]
        assert found[-1] == ("", "3/0-AWG" if key.startswith("grounding") else "")


@pytest.mark.parametrize("key", ["grounding-electrode-conductor-sizes", "supply-side-jumper-sizes"])
def test_copper_by_the_aluminum_supply(key: str):
    written = [tuple(pair.split(":")) for pair in ALUMINUM_ELECTRODE_CONDUCTORS.split()]
    areas = {**SIZES, "1750-kcmil": 1_750_000}
    for rows in TABLES_OF_THE_BOOK[key].dated.values():
        found = [(row["aluminumNotOverCircularMils"], row["copperSize"]) for row in rows]
        assert found[:-1] == [(str(areas[spelled(supply)]), spelled(size)) for supply, size in written]


@pytest.mark.parametrize("key", ["grounding-electrode-conductor-sizes", "supply-side-jumper-sizes"])
def test_aluminum_supplies_of_a_row_end_two_sizes_up_while_copper_ends_in_a_gauge(key: str):
    """The pattern across columns: 2 AWG and 1/0, 1/0 and 3/0. A row that broke it would leave a size that no row names."""
    by_area = {str(mils): gauge(word) for word, mils in SIZES.items() if word in AWG}
    for rows in TABLES_OF_THE_BOOK[key].dated.values():
        ends = [(by_area.get(row["copperNotOverCircularMils"]), by_area.get(row["aluminumNotOverCircularMils"])) for row in rows]
        gauges = [(copper, aluminum) for copper, aluminum in ends if copper is not None and aluminum is not None]
        assert len(gauges) == 2
        assert all(copper - aluminum == 2 for copper, aluminum in gauges)


@pytest.mark.parametrize("key", ["grounding-electrode-conductor-sizes", "supply-side-jumper-sizes", "grounding-electrode-conductor-ceilings"])
def test_aluminum_is_two_gauges_up(key: str):
    """In these tables aluminum takes the size two gauge numbers larger: 8 and 6, 1/0 and 3/0. 250 kcmil stands where 5/0 would."""
    numbers = {**{word: gauge(word) for word in AWG}, "250-kcmil": -4}
    pairs = [(row["copperSize"], row["aluminumSize"]) for rows in TABLES_OF_THE_BOOK[key].dated.values() for row in rows]
    stated = [(copper, aluminum) for copper, aluminum in pairs if copper and aluminum]
    assert stated
    assert [numbers[copper] - numbers[aluminum] for copper, aluminum in stated] == [2] * len(stated)


@pytest.mark.parametrize("year", TABLES_OF_THE_BOOK["equipment-grounding-conductor-sizes"].dated)
def test_aluminum_grounds_conduct_as_well_as_copper_ones(year: int):
    """Aluminum of 61 % conductivity (IACS, EC grade) replaces copper at 1.6 times the area; the table keeps to about that."""
    for row in TABLES_OF_THE_BOOK["equipment-grounding-conductor-sizes"].dated[year]:
        assert 1.45 < SIZES[row["aluminumSize"]] / SIZES[row["copperSize"]] < 1.8


def test_ceilings():
    """IAEI and NECA articles on electrode conductors: 6 AWG copper to a rod, 4 AWG to a footing, no ceiling for a water pipe."""
    for rows in TABLES_OF_THE_BOOK["grounding-electrode-conductor-ceilings"].dated.values():
        assert {row["electrodeKind"]: row["copperSize"] for row in rows} == {"RodPipeOrPlate": "6-AWG", "ConcreteEncasedElectrode": "4-AWG"}


# Metadata (CSVW: https://www.w3.org/TR/tabular-metadata/)


@pytest.mark.parametrize(("table", "year"), DATED)
def test_metadata_names_every_column(table: Table, year: int):
    columns = table.metadata["tableSchema"]["columns"]
    assert [column["name"] for column in columns] == list(table.dated[year][0])
    for column in columns:
        assert column["titles"]
        assert column["datatype"] in ("integer", "decimal", "string")
        assert column["propertyUrl"] == CODE + column["name"]


@pytest.mark.parametrize("table", TABLES_OF_THE_BOOK.values(), ids=lambda table: table.key)
def test_metadata_says_what_the_table_is(table: Table):
    assert {"dc:title", "dc:description", "dc:license", "dc:source", CODE + "sections", CODE + "standing"} <= table.metadata.keys()
    assert table.metadata[CODE + "standing"] in ("verified", "partly", "memory")
    assert all(re.fullmatch(r"\d{4}", edition) for edition in table.metadata[CODE + "sections"])


@pytest.mark.parametrize(("table", "year"), DATED)
def test_cells_are_of_their_kind(table: Table, year: int):
    for column in table.metadata["tableSchema"]["columns"]:
        for row in table.dated[year]:
            value = row[column["name"]]
            if column["datatype"] == "integer" and value:
                assert re.fullmatch(r"0|[1-9]\d*", value)
            if column["datatype"] == "decimal" and value:
                assert re.fullmatch(r"(?:0|[1-9]\d*)(?:\.\d+)?", value)
            if column["name"].endswith("Size") and value:
                assert value in SIZES
            if column["name"] == "electrodeKind":
                assert INST + value in vocabulary().superclasses


@pytest.mark.parametrize("table", TABLES_OF_THE_BOOK.values(), ids=lambda table: table.key)
def test_rows_in_force_are_the_newest_that_are_not_newer(table: Table):
    for year in table.dated:
        rows = {str(s) for s, p, o in rows_in_force(year) if p == CODE + "inTable" and o == TABLES + table.key}
        assert rows == {table.row_iri(year, number) for number in range(1, len(table.dated[year]) + 1)}
    assert table.year_in_force(min(table.dated) - 1) is None


@pytest.mark.parametrize("table", TABLES_OF_THE_BOOK.values(), ids=lambda table: table.key)
def test_a_later_file_differs_from_the_one_before(table: Table):
    dated = list(table.dated.values())
    assert all(earlier != later for earlier, later in pairwise(dated))
