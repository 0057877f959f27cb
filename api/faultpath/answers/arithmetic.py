"""The arithmetic behind a derived value: what it follows from, step by step, with the table rows that were entered."""

from collections.abc import Iterator

from pydantic import Field

from faultpath.answers.findings import shown
from faultpath.answers.record import Answer
from faultpath.base.terms import INST, MATERIAL, SIZE, TABLES, short
from faultpath.base.triples import Term, Triple, is_literal
from faultpath.book.tables import Table, tables
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.derivation.program import all_derivations
from faultpath.derivation.run import Derived
from faultpath.document.installation import id_of


class TableRowUsed(Answer):
    """A row of a printed table that was entered."""

    table: str = Field(description="Key of the table, GET /v1/tables/{key}.")
    since: str = Field(description="The edition from which this row is printed.")
    row: int = Field(description="Number of the row, from one.")
    cells: dict[str, str] = Field(description="The row by column.")


class ArithmeticStep(Answer):
    """One step of the arithmetic: what was concluded of what, and from which values."""

    says: str = Field(description="What the step does.")
    of: str = Field(description="Id of the part that it is concluded of.")
    what: str = Field(description="What is concluded, in trade words.")
    value: str
    unit: str | None = Field(description="The unit of the value; null for a word or a size.")
    given: list[str] = Field(description="The values that it rests on, with their units.")


def chain_of(derived: Derived, triple: Triple) -> list[Triple]:
    """A derived triple and all that it follows from, each after what it rests on."""
    found: dict[Triple, None] = {}
    entered: set[Triple] = set()

    def follow(this: Triple) -> None:
        if this in entered:
            return
        entered.add(this)
        reason = derived.because.get(this)
        if reason is not None:
            for premise in reason.premises:
                follow(premise)
        found[this] = None

    follow(triple)
    return list(found)


def rows_of(chain: list[Triple]) -> Iterator[TableRowUsed]:
    """The table rows in a chain, each once."""
    nodes = dict.fromkeys(str(term) for triple in chain for term in (triple[0], triple[2]) if not is_literal(term) and str(term).startswith(TABLES))
    for node in nodes:
        path, _, number = node.removeprefix(TABLES).partition("#row-")
        key, _, year = path.rpartition("/")
        table = tables().get(key)
        if table is not None and number:
            yield TableRowUsed(table=key, since=year, row=int(number), cells=_cells(table, int(year), int(number)))


def _cells(table: Table, year: int, number: int) -> dict[str, str]:
    return {name: value.replace("-", " ") for name, value in table.dated[year][number - 1].items() if value}


def steps_of(derived: Derived, chain: list[Triple]) -> Iterator[ArithmeticStep]:
    """The derived values of a chain: quantities, sizes and metals; what only says how things hang together is left out."""
    says = {d.iri: d.says for d in all_derivations()}
    for triple in chain:
        reason = derived.because.get(triple)
        if reason is None or not _is_value(triple):
            continue
        stated = vocabulary().properties[triple[1]]
        yield ArithmeticStep(
            says=says.get(reason.derivation, ""),
            of=id_of(triple[0]),
            what=stated.label,
            value=_value(triple[2]),
            unit=_unit(stated),
            given=list(dict.fromkeys(_told(premise) for premise in reason.premises if _is_value(premise) or _is_cell(premise))),
        )


def _is_value(triple: Triple) -> bool:
    stated = vocabulary().properties.get(triple[1])
    if stated is None:
        return False
    return (is_literal(triple[2]) and not isinstance(triple[2], bool)) or stated.range in (
        vocabulary().properties[SIZE].range,
        vocabulary().properties[MATERIAL].range,
    )


def _is_cell(triple: Triple) -> bool:
    return triple[0].startswith(TABLES) and triple[1] not in vocabulary().properties


def _told(triple: Triple) -> str:
    """A premise as people read it."""
    stated = vocabulary().properties.get(triple[1])
    if stated is None:
        return f"{short(triple[1])} of the row: {_value(triple[2])}"
    unit = _unit(stated)
    return f"{stated.label} of {_value(triple[0])}: {_value(triple[2])}{f' {unit}' if unit else ''}"


def _value(term: Term) -> str:
    """A term as people read it: a size without its hyphen, a part of the document by its id."""
    return shown(term).replace("-", " ") if not is_literal(term) and str(term).startswith(INST) else shown(term)


def _unit(stated: Property) -> str | None:
    if stated.unit:
        return None if short(stated.unit) == "NUM" else short(stated.unit)
    return "circular mils" if stated.iri.endswith("CircularMils") else None
