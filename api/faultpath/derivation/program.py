"""The derivations of the book: what they conclude, in which order they run, and the book's own facts that they look up."""

import re
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import count

from faultpath.base.terms import DERIVATIONS, INST, TABLES, TYPE
from faultpath.base.triples import Graph
from faultpath.book.loader import load_book
from faultpath.book.tables import rows_in_force, tables
from faultpath.derivation.algebra import Unsupported, read_where
from faultpath.derivation.join import ANYTHING, Join
from faultpath.derivation.patterns import Pattern, QueryBranch, read_query

_FOLDER = "ontology/derivations/"
_REFERENCE_PROPERTIES = ("circularMils", "fittingForServices", "metalReturn")
_counter = count(1)


@dataclass(frozen=True)
class Derivation:
    """One conclusion family in the text that an edition has in force.

    `after` are the families it reads; one that `repeats` reads its own conclusions and runs until nothing new follows.
    """

    key: str
    year: int
    says: str
    after: tuple[str, ...]
    repeats: bool
    arms: tuple[QueryBranch, ...]

    @property
    def iri(self) -> str:
        """The IRI of this dated text."""
        return f"{DERIVATIONS}{self.key}/{self.year}"

    @cached_property
    def alternatives(self) -> tuple["CompiledBranch", ...]:
        """Its alternatives, compiled."""
        return tuple(CompiledBranch(self.iri, number, arm) for number, arm in enumerate(self.arms))

    @cached_property
    def reads(self) -> tuple[str, ...]:
        """What any of its alternatives reads."""
        return tuple(sorted({name for alternative in self.alternatives for name in alternative.reads}))

    @cached_property
    def readers(self) -> dict[str, tuple["CompiledBranch", ...]]:
        """By name the alternatives that read it."""
        return {name: tuple(alternative for alternative in self.alternatives if name in alternative.reads) for name in self.reads}

    @property
    def conclusions(self) -> tuple[Pattern, ...]:
        """What it can conclude, each pattern once."""
        return tuple(dict.fromkeys(pattern for arm in self.arms for pattern in arm.conclusions))


class CompiledBranch:
    """One alternative of a derivation, compiled. Nothing changes for it while everything of the names in `reads` stays the same.

    Without a join the SPARQL engine answers, and it may read anything.
    """

    __slots__ = ("arm", "derivation", "join", "key", "needs", "reads")

    def __init__(self, derivation: str, number: int, arm: QueryBranch) -> None:
        self.derivation, self.arm, self.join = derivation, arm, joined(arm.select)
        self.key = (derivation, number)
        self.reads: tuple[str, ...] = tuple(sorted(self.join.reads)) if self.join else (ANYTHING,)
        self.needs: frozenset[str] = self.join.needs if self.join else frozenset()


def _read(path: str, text: str) -> Derivation:
    key, year = path.removeprefix(_FOLDER).removesuffix(".rq").split("/")
    comments = [line.lstrip("# ").rstrip() for line in text.splitlines() if line.startswith("#")]
    after = next((c.removeprefix("after:") for c in comments if c.startswith("after:")), "")
    return Derivation(
        key=key,
        year=int(year),
        says=" ".join(c for c in comments if not c.startswith("after:") and c != "repeats"),
        after=tuple(name.strip() for name in after.split(",") if name.strip()),
        repeats="repeats" in comments,
        arms=read_query(text),
    )


@cache
def all_derivations() -> tuple[Derivation, ...]:
    """Every dated text of every derivation, by key and year."""
    return tuple(_read(path, text) for path, text in sorted(load_book().files.items()) if path.startswith(_FOLDER))


@cache
def derivations(edition: int) -> tuple[Derivation, ...]:
    """The derivations in force in an edition, each after those it reads. Raises ValueError if they go round in a circle."""
    in_force = {d.key: d for d in all_derivations() if d.year <= edition}
    ordered: list[Derivation] = []
    while len(ordered) < len(in_force):
        done = {d.key for d in ordered}
        ready = [d for key, d in in_force.items() if key not in done and all(a in done for a in d.after if a in in_force)]
        if not ready:
            raise ValueError("derivations wait for one another: " + ", ".join(sorted(in_force.keys() - done)))
        ordered.extend(ready)
    return tuple(ordered)


@cache
def reference(edition: int) -> Graph:
    """The facts of the book that derivations look up: areas of sizes, metal wiring methods, classes of codes, table rows.

    Rows of tables of which no derivation reads a column stay outside: every installation would carry them. That a row is a row, nobody asks.
    """
    ontology = load_book().ontology
    facts = [t for t in ontology if t[1] in {INST + name for name in _REFERENCE_PROPERTIES}]
    queries = "".join(text for path, text in load_book().files.items() if path.startswith(_FOLDER))
    spoken = set(re.findall(r"\bcode:(\w+)", queries))
    read = tuple(TABLES + table.key + "/" for table in tables().values() if spoken.intersection(table.columns))
    return Graph([*facts, *(t for t in rows_in_force(edition) if t[0].startswith(read) and t[1] != TYPE)])


@cache
def reference_numbers(edition: int) -> dict[str, int]:
    """By predicate the number that stands for the book's facts in an edition, below 0 where an installation's are above."""
    return {predicate: _number_below(repr(table.by_subject)) for predicate, table in reference(edition).tables.items()}


@cache
def _number_below(_content: str) -> int:
    return -next(_counter)


@cache
def joined(query: str) -> Join | None:
    """The query of an alternative compiled; None where it is written in a way that only the SPARQL engine answers."""
    try:
        return Join(read_where(query))
    except Unsupported:
        return None
