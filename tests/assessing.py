"""What several tests ask of the book's cases: each judged once in each edition, and of that only what the tests look at kept."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from faultpath.base.outcomes import Assessment, Outcome
from faultpath.base.terms import NODE, short
from faultpath.base.triples import Graph
from faultpath.book.cases import Case, cases
from faultpath.book.loader import book_root
from faultpath.book.rules import editions
from faultpath.derivation.program import derivations, reference
from faultpath.derivation.run import derive
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law
from faultpath.judging.judge import JudgingCache, judge, missing_facts, targets


@dataclass(frozen=True)
class Judged:
    """A case in an edition: the text in force and its outcome, every condition met with its outcome, the leaves that fail by IRI,
    and the local names of the facts that people are asked for.
    """

    text: str
    outcome: Outcome
    conditions: frozenset[tuple[str, Outcome]]
    failing: frozenset[str]
    asked: frozenset[str]


@cache
def written(path: str) -> dict[str, Any]:
    """A case as its file has it."""
    found: dict[str, Any] = json.loads((book_root() / path).read_text())
    return found


@cache
def by_path() -> dict[str, Case]:
    return {case.path: case for case in cases()}


@cache
def alike(edition: int) -> int:
    """The oldest edition from which the same follows: the same derivations over the same tables."""
    return next(e for e in editions() if derivations(e) == derivations(edition) and reference(e) == reference(edition))


def law(case: Case, edition: int) -> Law:
    return Law(edition, (case.place,) if case.place else (), frozenset(case.practices))


@lru_cache(maxsize=8)
def derived(path: str, edition: int) -> Graph:
    return derive(read_document(by_path()[path].installation).graph, edition).graph


def below(assessment: Assessment) -> Iterator[Assessment]:
    yield assessment
    for part in assessment.parts:
        yield from below(part)


@cache
def judged(path: str, edition: int) -> Judged:
    """The judgement of a case's rule on the node that the case is about."""
    case = by_path()[path]
    text = law(case, edition).book[case.rule].text_in(edition)
    assert text is not None, f"{case.rule} does not cite {edition}"
    graph = derived(path, alike(edition))
    node = NODE + case.about
    assert node in targets(graph, text), f"{case.about} is no {short(text.target)}"
    bench = JudgingCache(graph)
    judgement = judge(bench, text, node)
    leaves = [leaf for part in judgement.parts() for leaf in part.leaves()]
    gaps = [gap for leaf in leaves if leaf.outcome is Outcome.UNDECIDED for gap in leaf.gaps]
    return Judged(
        text=text.iri,
        outcome=judgement.outcome,
        conditions=frozenset((a.condition, a.outcome) for part in judgement.parts() for a in below(part)),
        failing=frozenset(leaf.condition for leaf in leaves if leaf.outcome is Outcome.FAILS),
        asked=frozenset(short(fact.property) for gap in gaps for fact in missing_facts(bench, gap)),
    )
