"""What a size waits for: the facts that nobody stated, and the size for each value that they can have."""

import copy
from collections.abc import Collection, Iterable, Iterator
from decimal import Decimal
from functools import cache

from pydantic import Field

from faultpath.answers.reasons import missing_fact
from faultpath.answers.record import Answer
from faultpath.base.outcomes import Gap, Outcome
from faultpath.base.terms import DERIVED_BY, INST, REQUIRED_AREA, REQUIRED_SIZE, SIZE, WIRE, XSD, short
from faultpath.base.triples import Graph, Term
from faultpath.book.loader import load_book
from faultpath.book.tables import Table, tables
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.derivation.run import derive
from faultpath.document.consistency import walk
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Assessed
from faultpath.judging.judge import missing_facts

# Triples that are read and derived again to try values, all values together: some seconds.
MOST_TRIED = 60_000
ROLE, UNGROUNDED = INST + "role", INST + "ungrounded"


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


def with_sizes(installation: Installation) -> Installation | None:
    """The installation with some size on every wire whose size is not stated, to learn what else the required size waits for; None if none lacks."""
    document, size = copy.deepcopy(installation.document), vocabulary().properties[SIZE]
    role = vocabulary().properties[ROLE].key
    lacking = [p for _, cls, p in walk(document) if vocabulary().is_a(cls, WIRE) and size.key not in p and p.get(role) != short(UNGROUNDED)]
    for part in lacking:
        part[size.key] = next(iter(vocabulary().codes[size.range]))
    return read_document(document, defaults=False) if lacking else None


def gaps_of(assessed: Assessed, node: str) -> tuple[Gap, ...]:
    """The stated facts that would give the size: those that the rules about it wait for, else those that any size would."""
    waiting = [
        gap
        for _, judgement in assessed.judgements
        if judgement.about == node and judgement.outcome is Outcome.UNDECIDED
        for part in judgement.parts()
        for leaf in part.leaves()
        for gap in leaf.gaps
        if gap.node == node and gap.property in sizing_properties()
    ]
    facts = dict.fromkeys(fact for gap in waiting for fact in missing_facts(assessed.bench, gap))
    return tuple(facts) or missing_facts(assessed.bench, Gap(node, REQUIRED_AREA))


@cache
def sizing_properties() -> frozenset[str]:
    """The properties that the derivations of required sizes conclude."""
    ontology = load_book().ontology
    families = set(ontology.iris(REQUIRED_AREA, DERIVED_BY))
    return frozenset(subject for subject, predicate, family in ontology if predicate == DERIVED_BY and family in families)


class Trials:
    """An installation with each possible value of facts that nobody stated, one at a time; each derived once.

    Values that would take more than `most` triples read and derived again are not tried at all: `not_tried` says so.
    """

    def __init__(self, assessed: Assessed, gaps: Collection[Gap], most: int) -> None:
        self.assessed = assessed
        self.values = {gap: _values_of(gap) for gap in dict.fromkeys(gaps)}
        self.derived: dict[Gap, list[Graph]] = {}
        triples, count = len(assessed.installation.graph), sum(len(values) for values in self.values.values())
        self.not_tried = None
        if triples * count > most:
            self.not_tried = (
                f"What size each missing fact would give was not tried: {count:,} values in an installation of {triples:,} triples take too long. "
                "Ask about fewer conductors."
            )

    def possible(self, node: str, gaps: Iterable[Gap]) -> list[Possible]:
        """The sizes of a wire for each value of some facts; a fact whose values cannot be listed is passed over."""
        return [] if self.not_tried else [self._possible(node, gap) for gap in gaps if self._tried(gap)]

    def _possible(self, node: str, gap: Gap) -> Possible:
        sizes: list[PossibleSize] = []
        for value, graph in zip(self.values[gap], self._tried(gap), strict=True):
            size = graph.value(node, REQUIRED_SIZE)
            found = PossibleSize(value=str(value).replace("-", " "), required=None if size is None else short(str(size)).replace("-", " "))
            if sizes and sizes[-1].required == found.required and vocabulary().properties[gap.property].range.startswith(XSD):
                sizes.pop()
            sizes.append(found)
        fact = missing_fact(gap)
        return Possible(about=fact.about, fact=fact.fact, ask=fact.ask, sizes=sizes)

    def _tried(self, gap: Gap) -> list[Graph]:
        """What follows from each value of a fact."""
        if gap not in self.derived:
            self.derived[gap] = list(self._derive(gap))
        return self.derived[gap]

    def _derive(self, gap: Gap) -> Iterator[Graph]:
        stated = vocabulary().properties[gap.property]
        if not self.assessed.installation.graph.properties(gap.node):
            return
        for value in self.values[gap]:
            graph = self.assessed.installation.graph.copy()
            graph.add((gap.node, gap.property, _term(stated, value)))
            yield derive(graph, self.assessed.law.edition, self.assessed.derived.memory).graph


def _term(stated: Property, value: str | int | bool) -> Term:
    """A value as a graph holds it."""
    codes = vocabulary().codes.get(stated.range)
    return codes[str(value)] if codes else Decimal(value) if stated.range == XSD + "decimal" else value


def _values_of(gap: Gap) -> list[str | int | bool]:
    stated = vocabulary().properties[gap.property]
    return [] if stated.derived_by else list(_values(stated))


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
