"""Which size each grounding and bonding conductor must have: the table row, the arithmetic, the metals to choose from, and whether it is there.

Sizes are concluded by the derivations of the book; here they are read, with what each step rests on. Another metal, and every possible value
of a fact that nobody stated, is tried by stating it and deriving again.
"""

import copy
from collections.abc import Collection, Iterator
from decimal import Decimal
from functools import cache

from pydantic import Field

from faultpath.answers.findings import known_nodes, shown
from faultpath.answers.reasons import MissingFact, missing_fact
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.assessment import Assessed, Law, assess
from faultpath.consistency import Part, walk
from faultpath.derive import Derived, all_derivations, derive
from faultpath.graph import Graph, Term, Triple, is_literal
from faultpath.installation import Installation, id_of, iri_of, read_document
from faultpath.judge import Bench, missing_facts
from faultpath.outcome import Gap
from faultpath.tables import Table, tables
from faultpath.terms import AREA, CIRCULAR_MILS, COUNT, INST, MATERIAL, NODE, REQUIRED_AREA, REQUIRED_SIZE, SIZE, TABLES, WIRE, XSD, short
from faultpath.vocabulary import Property, types_of, vocabulary


class Sized(Answer):
    """A wire size in a metal."""

    material: str
    size: str = Field(description="Wire size, as documents write it.")
    circular_mils: int | None = Field(description="Its area in circular mils.")


class TableRowUsed(Answer):
    """A row of a printed table that was entered."""

    table: str = Field(description="Key of the table, GET /v1/tables/{key}.")
    since: str = Field(description="The edition from which this row is printed.")
    row: int = Field(description="Number of the row, from one.")
    cells: dict[str, str] = Field(description="The row by column.")


class Step(Answer):
    """One step of the arithmetic: what was concluded of what, and from which values."""

    says: str = Field(description="What the step does.")
    of: str = Field(description="Id of the part that it is concluded of.")
    what: str = Field(description="What is concluded, in trade words.")
    value: str
    unit: str | None
    given: list[str] = Field(description="The values that it rests on, with their units.")


class RuleUsed(Answer):
    """A rule that judges the size."""

    rule: str
    section: str
    standing: str
    outcome: str


class PossibleSize(Answer):
    """The size if a fact that nobody stated had a value."""

    value: str = Field(description="The value tried, as documents write it.")
    required: str | None = Field(description="The size then; null where more has to be known.")


class Possible(Answer):
    """The sizes for each possible value of a missing fact."""

    about: str
    fact: str
    ask: str
    sizes: list[PossibleSize] = Field(description="Runs of values that give the same size are told by their last.")


class Sizing(Answer):
    """The required size of one conductor."""

    about: str = Field(description="Id of the conductor, jumper or electrode conductor; of the run where the conductor is not there.")
    conductor: str = Field(description="What it is, in trade words.")
    within: str | None = Field(description="Id of the run or equipment that it is part of.")
    required: Sized | None = Field(description="The least size in the metal that is there; null while it cannot be told.")
    alternatives: list[Sized] = Field(description="The least size in each metal.")
    installed: Sized | None = Field(description="What is there; null where its size or metal is not stated.")
    will_do: bool | None = Field(description="Whether what is there is large enough; null while it cannot be told.")
    rows: list[TableRowUsed]
    steps: list[Step] = Field(description="The arithmetic, each step after those that it rests on.")
    rules: list[RuleUsed] = Field(description="The rules of the edition that judge the size.")
    missing: list[MissingFact]
    possible: list[Possible] = Field(description="For each missing fact, the sizes for each value that it can have.")


class SizingAnswer(Answer):
    """The required sizes."""

    record: Record
    caution: str
    sizes: list[Sizing]


def answer_sizing(installation: Installation, law: Law, about: Collection[str] = (), *, possible: bool = True) -> SizingAnswer:
    """The size of each conductor that the book sizes, or of those asked about: by their id or that of what they are part of. Raises BadInput.

    Trying every possible value of a missing fact takes long in a large installation; without `possible` it is left out.
    """
    wanted = known_nodes(installation, about)
    assessed = assess(installation, law)
    metals = {metal: derive(_in_metal(installation, metal).graph, law.edition) for metal in _metals()}
    owners = _owners(installation.document)
    sizes = [
        _sizing(assessed, metals, node, owners, possible=possible)
        for node in assessed.derived.graph.instances(WIRE)
        if _is_sized(assessed.derived, assessed.bench, node) and (not wanted or node in wanted or iri_of(owners.get(id_of(node), "")) in wanted)
    ]
    return SizingAnswer(record=new_record(installation, law), caution=CAUTION, sizes=sizes)


def _metals() -> dict[str, str]:
    return vocabulary().codes[vocabulary().properties[MATERIAL].range]


def _owners(document: Part) -> dict[str, str]:
    """The id of the part that each part is written inside of, the installation itself left out."""
    found: dict[str, str] = {}
    at: dict[str, str] = {}
    for pointer, _, part in walk(document):
        at[pointer] = part["id"]
        above = pointer.rpartition("/")[0]
        while above and above not in at:
            above = above.rpartition("/")[0]
        if above:
            found[part["id"]] = at[above]
    return found


def _is_sized(derived: Derived, bench: Bench, node: str) -> bool:
    """Whether the book sizes the wire, or would if more were known."""
    if derived.graph.value(node, REQUIRED_AREA) is not None:
        return True
    member = vocabulary().properties[REQUIRED_AREA].domain in types_of(derived.graph, node)
    return member and any(gap.property != REQUIRED_AREA for gap in missing_facts(bench, Gap(node, REQUIRED_AREA)))


def _in_metal(installation: Installation, metal: str) -> Installation:
    """The installation with every wire in one metal, except those that carry current: they stay what they are."""
    document = copy.deepcopy(installation.document)
    carrying = vocabulary().properties[INST + "role"].key
    for _, cls, part in walk(document):
        if vocabulary().is_a(cls, WIRE) and part.get(carrying) not in ("ungrounded", "grounded"):
            part[vocabulary().properties[MATERIAL].key] = metal
    return read_document(document, defaults=False)


def _sizing(assessed: Assessed, metals: dict[str, Derived], node: str, owners: dict[str, str], *, possible: bool) -> Sizing:
    derived, graph = assessed.derived, assessed.derived.graph
    required = graph.value(node, REQUIRED_SIZE)
    gaps = () if required is not None else missing_facts(assessed.bench, Gap(node, REQUIRED_AREA))
    alternatives = [sized for metal, other in metals.items() if (sized := _sized(other.graph, metal, other.graph.value(node, REQUIRED_SIZE))) is not None]
    material = graph.value(node, MATERIAL)
    there, needed = graph.value(node, AREA), graph.value(node, REQUIRED_AREA)
    chain = _chain(derived, (node, REQUIRED_SIZE, required)) if required is not None else []
    return Sizing(
        about=id_of(node),
        conductor=_kind(graph, node),
        within=owners.get(id_of(node)),
        required=_sized(graph, short(str(material)), required) if material is not None else None,
        alternatives=alternatives,
        installed=_sized(graph, short(str(material)), graph.value(node, SIZE)) if material is not None else None,
        will_do=int(str(there)) >= int(str(needed)) if there is not None and needed is not None else None,
        rows=list(_rows(chain)),
        steps=list(_steps(derived, chain)),
        rules=list(_rules(assessed, node)),
        missing=[missing_fact(gap) for gap in gaps],
        possible=[found for gap in gaps if (found := _possible(assessed, node, gap)) is not None] if possible else [],
    )


def _kind(graph: Graph, node: str) -> str:
    """The narrowest class of a node, in trade words."""
    words = vocabulary()
    classes = types_of(graph, node)
    narrowest = [cls for cls in classes if not any(cls != other and words.is_a(other, cls) for other in classes)]
    return words.labels[min(narrowest)].removesuffix(" of a run")


def _sized(graph: Graph, material: str, size: Term | None) -> Sized | None:
    if size is None:
        return None
    area = _areas().get(str(size)) or graph.value(str(size), CIRCULAR_MILS)
    return Sized(material=material, size=short(str(size)).replace("-", " "), circular_mils=None if area is None else int(str(area)))


@cache
def _areas() -> dict[str, int]:
    from faultpath.shelf import shelf

    return {subject: int(str(value)) for subject, predicate, value in shelf().ontology if predicate == CIRCULAR_MILS}


# The arithmetic


def _chain(derived: Derived, triple: Triple) -> list[Triple]:
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


def _rows(chain: list[Triple]) -> Iterator[TableRowUsed]:
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


def _steps(derived: Derived, chain: list[Triple]) -> Iterator[Step]:
    """The derived values of a chain: quantities, sizes and metals; what only says how things hang together is left out."""
    says = {d.iri: d.says for d in all_derivations()}
    for triple in chain:
        reason = derived.because.get(triple)
        if reason is None or not _is_value(triple):
            continue
        stated = vocabulary().properties[triple[1]]
        yield Step(
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
    return f"{stated.label} of {id_of(triple[0]) if triple[0].startswith(NODE) else _value(triple[0])}: {_value(triple[2])}{f' {unit}' if unit else ''}"


def _value(term: Term) -> str:
    return shown(term).replace("-", " ") if not is_literal(term) else shown(term)


def _unit(stated: Property) -> str | None:
    if stated.unit and stated.unit != COUNT:
        return short(stated.unit)
    return "circular mils" if stated.iri.endswith("CircularMils") else None


def _rules(assessed: Assessed, node: str) -> Iterator[RuleUsed]:
    """The rules whose judgement of the wire rests on its required area."""
    for rule, judgement in assessed.judgements:
        if judgement.about == node and any(subject == node and predicate == REQUIRED_AREA for subject, predicate, _ in judgement.evidence()):
            citation = rule.citations[assessed.law.edition]
            yield RuleUsed(rule=rule.key, section=citation.section, standing=citation.standing, outcome=judgement.outcome.value)


# What is not known


def _possible(assessed: Assessed, node: str, gap: Gap) -> Possible | None:
    """The sizes for each value that a missing fact can have; None where its values cannot be listed."""
    stated = vocabulary().properties[gap.property]
    values = list(_values(stated))
    owner = next((part for _, _, part in walk(assessed.installation.document) if iri_of(part["id"]) == gap.node), None)
    if not values or owner is None:
        return None
    sizes: list[PossibleSize] = []
    for value in values:
        document = copy.deepcopy(assessed.installation.document)
        part = next(part for _, _, part in walk(document) if part["id"] == owner["id"])
        part[stated.key] = value
        size = derive(read_document(document, defaults=False).graph, assessed.law.edition).graph.value(node, REQUIRED_SIZE)
        found = PossibleSize(value=str(value).replace("-", " "), required=None if size is None else short(str(size)).replace("-", " "))
        if sizes and sizes[-1].required == found.required and stated.range.startswith(XSD):
            sizes.pop()
        sizes.append(found)
    fact = missing_fact(gap)
    return Possible(about=fact.about, fact=fact.fact, ask=fact.ask, sizes=sizes)


def _values(stated: Property) -> Iterator[str | int | bool]:
    """The values that a property can have: code words, true and false, or the limits that tables of its unit print."""
    if stated.range in vocabulary().codes:
        yield from vocabulary().codes[stated.range]
    elif stated.range == XSD + "boolean":
        yield from (True, False)
    elif stated.unit and stated.range in (XSD + "integer", XSD + "decimal"):
        limits = {Decimal(row[name]) for table, name in _limits(short(stated.unit)) for rows in table.dated.values() for row in rows if row[name]}
        yield from (int(limit) for limit in sorted(limits))


def _limits(unit: str) -> Iterator[tuple[Table, str]]:
    """The columns of the tables whose numbers are upper limits in a unit."""
    for table in tables().values():
        for column in table.metadata["tableSchema"]["columns"]:
            if column["name"].startswith("notOver") and any(key.endswith("#unit") and value == unit for key, value in column.items()):
                yield table, column["name"]
