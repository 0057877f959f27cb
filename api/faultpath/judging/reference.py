"""The reference engine: pySHACL on the same shapes and the same derived graph, to hold the judge to its word."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

import pyoxigraph as ox

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import SH
from faultpath.base.triples import Graph, serialize
from faultpath.book.loader import load_book
from faultpath.book.rules import as_shapes
from faultpath.judging.assessment import Assessed


@dataclass(frozen=True, order=True)
class Difference:
    """A text and node on which the judge and the reference engine do not agree."""

    text: str
    node: str
    judge: str
    reference: str


def _rdflib(graph: Graph) -> Any:
    """A parsed rdflib graph; engines are handed parsed graphs, never a client's string."""
    from rdflib import Graph as RdflibGraph  # slow to import and needed only beside the judge

    return RdflibGraph().parse(data=serialize(graph, ox.RdfFormat.N_TRIPLES), format="nt")


@cache
def _shapes(texts: frozenset[str]) -> Any:
    return _rdflib(as_shapes(sorted(texts)))


def failing_pairs(graph: Graph, texts: Collection[str]) -> frozenset[tuple[str, str]]:
    """The (text, node) pairs that pySHACL reports as violations of dated texts, named by IRI."""
    shapes = _shapes(frozenset(texts))
    from pyshacl import validate
    from rdflib import URIRef

    _, report, _ = validate(_rdflib(graph), shacl_graph=shapes, inference="none", meta_shacl=False, advanced=False, js=False)
    results = report.subjects(URIRef(SH + "focusNode"))
    found = ((str(report.value(r, URIRef(SH + "focusNode"))), str(report.value(r, URIRef(SH + "sourceShape")))) for r in results)
    return attributed(found, texts)


def attributed(violations: Iterable[tuple[str, str]], texts: Collection[str]) -> frozenset[tuple[str, str]]:
    """The (text, node) pairs that violations, as focus node and source shape, stand for: an engine may name a direct part of a text."""
    pairs: set[tuple[str, str]] = set()
    for node, shape in violations:
        pairs.update((text, node) for text in ([shape] if shape in texts else texts) if text == shape or _reaches(text, shape))
    return frozenset(pairs)


@cache
def _reaches(text: str, shape: str) -> bool:
    """Whether a text states a condition directly, so that a violation of it is a violation of the text."""
    stated = load_book().shapes.properties(text)
    return any(shape in stated.get(SH + name, []) for name in ("property", "node"))


def differences(assessed: Assessed) -> tuple[Difference, ...]:
    """Where the judge decided and pySHACL disagrees."""
    return disagreements(assessed, failing_pairs(assessed.derived.graph, {text.iri for text in assessed.texts()}))


def disagreements(assessed: Assessed, failing: Collection[tuple[str, str]]) -> tuple[Difference, ...]:
    """Where the judge decided and an engine, by its failing (text, node) pairs, does not agree.

    What the judge left undecided a two-valued engine cannot confirm.
    """
    found = []
    for _, judgement in assessed.judgements:
        if judgement.outcome is Outcome.UNDECIDED:
            continue
        fails = (judgement.text.iri, judgement.about) in failing
        if fails != (judgement.outcome is Outcome.FAILS):
            found.append(Difference(judgement.text.iri, judgement.about, judgement.outcome.value, "fails" if fails else "conforms"))
    return tuple(sorted(found))
