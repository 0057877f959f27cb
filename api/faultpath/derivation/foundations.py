"""What a dated text rests on in an edition beside its own conditions: the derivations behind the facts it walks, and the tables they look up."""

import re
from collections.abc import Iterator
from functools import cache

from faultpath.base.terms import CODE, DERIVED_BY, TABLES
from faultpath.book.loader import load_book
from faultpath.book.rules import DatedText, Leaf, text_conditions
from faultpath.book.tables import tables
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.program import Derivation, derivations


@cache
def foundations(text: DatedText, edition: int) -> dict[str, tuple[str, str]]:
    """By the IRI of each derivation family and table: the IRI of what is in force of it in an edition, and what that says."""
    in_force = {derivation.key: derivation for derivation in derivations(edition)}
    found: dict[str, tuple[str, str]] = {}
    waiting, seen = list(_facts(text)), set[str]()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        family = in_force.get(load_book().ontology.text(name, DERIVED_BY).rsplit("/", 1)[-1])
        if family is not None and family.key not in found:
            found[family.key] = family.iri, _first_sentence(family.says)
            waiting.extend(_read(family))
            found.update(_tables(family, edition))
    return found


def _facts(text: DatedText) -> Iterator[str]:
    yield text.target
    for condition in text_conditions(text):
        if isinstance(condition, Leaf):
            yield from (step.property for step in condition.path)
            yield from (str(argument) for argument in condition.arguments if str(argument) in vocabulary().properties)


def _read(family: Derivation) -> Iterator[str]:
    return (name for arm in family.arms for name in arm.reads)


def _tables(family: Derivation, edition: int) -> Iterator[tuple[str, tuple[str, str]]]:
    """The tables whose rows a derivation looks up: the one that it names, else each with a column that it reads."""
    for arm in family.arms:
        for key, table in tables().items():
            year = table.year_in_force(edition)
            named = [name for name in arm.reads if name.startswith(TABLES)]
            columns = {column["propertyUrl"] for column in table.columns.values()}
            if year is not None and (TABLES + key in named if named else any(name.startswith(CODE) and name in columns for name in arm.reads)):
                yield key, (f"{TABLES}{key}/{year}", f"Table: {table.metadata['dc:title']}.")


def _first_sentence(says: str) -> str:
    """What a dated text says first: the change, where it changes something."""
    return re.split(r"(?<=\.) ", says, maxsplit=1)[0]
