"""Derivations are solved by our own join; here the SPARQL engine is asked the same and must answer the same."""

from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultpath.base.terms import CODE_WORD, TYPE
from faultpath.base.triples import Graph, Term, TextLiteral, is_literal
from faultpath.book.rules import editions
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.algebra import Unsupported, read_where
from faultpath.derivation.index import Index
from faultpath.derivation.join import Join
from faultpath.derivation.patterns import QueryBranch
from faultpath.derivation.program import all_derivations, derivations, joined, reference
from faultpath.derivation.run import derive, solutions_by_engine
from faultpath.document.installation import read_document
from generated import installations

EITHER = st.booleans().flatmap(lambda complete: installations(complete=complete))


def exact(term: Term) -> tuple[str, str]:
    """A term with its kind: Python takes 1, 1.0 and true for equal."""
    if not is_literal(term):
        return ("iri", str(term))
    return (type(term).__name__, str(term.normalize() if isinstance(term, Decimal) else term))


def counted(solutions: Any) -> Counter[frozenset[tuple[str, tuple[str, str]]]]:
    return Counter(dict.fromkeys((frozenset((name, exact(value)) for name, value in s.items()) for s in solutions), 1))


def by_join(join: Join, index: Index) -> list[dict[str, Term]]:
    return [{n: v for n, v in zip(join.names, values, strict=True) if v is not None} for values in join.solutions(index)]


@given(EITHER, st.sampled_from(editions()))
@settings(max_examples=40)
def test_every_alternative_has_the_solutions_that_the_engine_finds(document: dict[str, Any], edition: int) -> None:
    graph, facts = derive(read_document(document).graph, edition).graph, reference(edition)
    index = Index(facts, graph)
    for derivation in derivations(edition):
        for arm in derivation.arms:
            join = joined(arm.select)
            assert join is not None
            assert counted(by_join(join, index)) == counted(solutions_by_engine(arm, (graph, facts))), (derivation.key, arm.select)


def test_every_derivation_of_the_book_is_written_so_that_it_can_be_joined() -> None:
    """An alternative that cannot is still answered, by the engine, and a hundred times slower."""
    assert [d.iri for d in all_derivations() if any(joined(arm.select) is None for arm in d.arms)] == []


def test_no_predicate_is_both_of_the_book_and_of_installations() -> None:
    words = vocabulary()
    stated = {iri for iri, prop in words.properties.items() if not (prop.derived_by or words.is_a(prop.domain, CODE_WORD))}
    for edition in editions():
        concluded = {str(predicate) for derivation in derivations(edition) for _, predicate, _ in derivation.conclusions}
        assert reference(edition).tables.keys().isdisjoint(concluded | stated | {TYPE})


DATA = Graph(
    [
        ("urn:a", "urn:p", "urn:b"),
        ("urn:a", "urn:p", "urn:c"),
        ("urn:b", "urn:p", "urn:c"),
        ("urn:a", "urn:n", 1),
        ("urn:b", "urn:n", True),
        ("urn:c", "urn:n", Decimal("1.5")),
        ("urn:c", "urn:t", TextLiteral("urn:b")),
        ("urn:d", "urn:n", 8),
        ("urn:b", "urn:q", "urn:a"),
    ]
)
QUERIES = [
    "?x <urn:n> 1",
    "?x <urn:n> true",
    "?x <urn:p> ?y . ?y <urn:n> ?n FILTER(?n > 1)",
    "?x <urn:p> ?y FILTER NOT EXISTS { ?y <urn:p> ?z }",
    "?x <urn:p> ?y FILTER NOT EXISTS { ?x <urn:p> ?z FILTER(?z != ?y) }",
    "?x <urn:p> ?y FILTER NOT EXISTS { ?x <urn:p> ?z . FILTER NOT EXISTS { ?z <urn:q> ?y } }",
    "?x <urn:n> ?n OPTIONAL { ?x <urn:q> ?q } FILTER(!BOUND(?q) || ?q = <urn:a>)",
    "?x <urn:n> ?n OPTIONAL { ?x <urn:p> ?q FILTER(?q = <urn:c>) } BIND(IF(BOUND(?q), ?q, ?x) AS ?r)",
    "?x <urn:n> ?n . BIND(?n / 4 AS ?quarter) BIND(CEIL(?n / 4) AS ?up)",
    "?x <urn:n> ?n . ?y <urn:n> ?m . BIND(?n + ?m AS ?sum) FILTER(?n <= ?m)",
    "?x <urn:n> ?n FILTER(?n IN (1, 8))",
    "?x <urn:n> ?n FILTER(?n NOT IN (1, 8))",
    "?x <urn:n> ?n FILTER(?n = <urn:a> || ?n < 2)",
    "?x <urn:p> ?y . VALUES (?y ?word) { (<urn:b> <urn:one>) (<urn:c> <urn:two>) (<urn:a> <urn:three>) }",
    "?x <urn:t> ?y . ?z <urn:p> ?y",
    "?x <urn:p> ?y . ?z <urn:p> ?y . FILTER(STR(?x) < STR(?z))",
    "?x <urn:p> ?y . BIND(?y AS ?z) ?z <urn:p> ?w",
    "?x <urn:p> ?y . BIND(IF(?y = <urn:b>, <urn:n>, <urn:q>) AS ?which) ?y ?which ?value",
    "?x <urn:n> ?n FILTER EXISTS { ?x <urn:p> ?y }",
]


@pytest.mark.parametrize("where", QUERIES)
def test_small_queries(where: str) -> None:
    query = f"SELECT DISTINCT * WHERE {{ {where} }}"
    arm = QueryBranch(query, (), (), frozenset())
    assert counted(by_join(Join(read_where(query)), Index(DATA))) == counted(solutions_by_engine(arm, (DATA,)))


@pytest.mark.parametrize(
    "where", ["?x <urn:p>/<urn:p> ?y", "?x ?p ?y", "?x <urn:p> ?x", "?x <urn:p> ?y MINUS { ?y <urn:p> ?z }", "{ ?x <urn:p> ?y } UNION { ?y <urn:p> ?x }"]
)
def test_what_is_outside_the_plain_style_is_left_to_the_engine(where: str) -> None:
    with pytest.raises(Unsupported):
        Join(read_where(f"SELECT DISTINCT * WHERE {{ {where} }}"))
