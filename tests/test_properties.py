"""What must be true of every judgement, whatever the installation: it rests on its evidence, more knowledge never turns it
round, and neither the order of triples nor the names of nodes matter. Drawn by Hypothesis.
"""

import random
import re
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import COMPLETE, DERIVATIONS, NODE, TYPE, short
from faultpath.base.triples import Graph, Term, TextLiteral, Triple
from faultpath.book.loader import load_book
from faultpath.book.rules import rules
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.run import Derived, derive
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.judging.judge import JudgingCache, judge, missing_facts, targets
from generated import installations

DECIDED = (Outcome.HOLDS, Outcome.FAILS, Outcome.NOT_APPLICABLE)
EITHER = st.booleans().flatmap(lambda complete: installations(complete=complete))
EDITIONS = st.sampled_from(sorted({edition for rule in rules().values() for edition in rule.citations}))


def outcomes(graph: Graph, edition: int) -> dict[tuple[str, str], Outcome]:
    """The outcome of every text in force on every node, derived anew from an asserted graph."""
    bench = JudgingCache(derive(graph, edition).graph)
    texts = [text for rule in rules().values() if (text := rule.text_in(edition)) is not None]
    return {(text.iri, node): judge(bench, text, node).outcome for text in texts for node in targets(bench.graph, text)}


@given(EITHER, EDITIONS)
@settings(max_examples=150)
def test_sufficiency(document: dict[str, Any], edition: int):
    """The evidence alone gives the same outcome."""
    bench = JudgingCache(derive(read_document(document).graph, edition).graph)
    for rule in rules().values():
        text = rule.text_in(edition)
        for node in targets(bench.graph, text) if text else ():
            judgement = judge(bench, text, node)
            event(judgement.outcome.value)
            assert all(triple in bench.graph for triple in judgement.evidence())
            assert judge(JudgingCache(Graph(judgement.evidence())), text, node).outcome is judgement.outcome, (rule.key, node)


def may_be_unknown(triple: Triple) -> bool:
    """Facts that a person may not know: stated attributes that no document must have, and that a list is complete."""
    if triple[1] == COMPLETE:
        return True
    prop = vocabulary().properties.get(triple[1])
    return prop is not None and prop.kind == "attribute" and not prop.required


def without(graph: Graph, dropped: set[Triple]) -> Graph:
    """A graph that knows less. A list that loses members is no longer complete, so list members are never in `dropped`."""
    return Graph(triple for triple in graph if triple not in dropped)


@given(EITHER, EDITIONS, st.randoms(use_true_random=False), st.sampled_from((1, 3, 10, 40)))
@settings(max_examples=300)
def test_monotonicity(document: dict[str, Any], edition: int, chooser: random.Random, most: int):
    """Adding facts turns undecided into decided, never holds into fails or the other way round."""
    graph = read_document(document).graph
    candidates = [triple for triple in graph if may_be_unknown(triple)]
    dropped = set(chooser.sample(candidates, min(most, len(candidates))))
    fuller, smaller = outcomes(graph, edition), outcomes(without(graph, dropped), edition)
    for pair, outcome in smaller.items():
        if outcome in DECIDED and fuller[pair] in DECIDED:
            assert outcome is fuller[pair], (pair, sorted(map(str, dropped)))


@given(EITHER, EDITIONS, st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_knowing_more_leaves_nothing_less_decided(document: dict[str, Any], edition: int, chooser: random.Random):
    graph = read_document(document).graph
    candidates = [triple for triple in graph if may_be_unknown(triple)]
    dropped = set(chooser.sample(candidates, min(5, len(candidates))))
    fuller, smaller = outcomes(graph, edition), outcomes(without(graph, dropped), edition)
    assert [pair for pair, outcome in smaller.items() if outcome in DECIDED and fuller[pair] not in DECIDED] == []


@given(EITHER, EDITIONS, st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_order_of_triples_changes_nothing(document: dict[str, Any], edition: int, chooser: random.Random):
    graph = read_document(document).graph
    shuffled = list(graph)
    chooser.shuffle(shuffled)
    assert outcomes(Graph(shuffled), edition) == outcomes(graph, edition)
    assert derive(Graph(shuffled), edition).graph == derive(graph, edition).graph


@given(EITHER, EDITIONS)
@settings(max_examples=60)
def test_names_of_nodes_change_nothing(document: dict[str, Any], edition: int):
    graph = read_document(document).graph
    subjects = sorted(graph.subjects(), reverse=True)
    names = {node: f"{NODE}renamed-{number}" for number, node in enumerate(subjects)}

    def renamed(term: Term) -> Any:
        return names.get(term, term) if isinstance(term, str) and not isinstance(term, TextLiteral) else term

    other = Graph((renamed(s), p, renamed(o)) for s, p, o in graph)
    assert outcomes(other, edition) == {(text, renamed(node)): outcome for (text, node), outcome in outcomes(graph, edition).items()}


# Premises


UNIVERSAL = {
    f"{DERIVATIONS}{path.split('/')[-2]}/{path.split('/')[-1].removesuffix('.rq')}"
    for path, text in load_book().files.items()
    if path.endswith(".rq") and re.search(r"NOT EXISTS \{[^}]*NOT EXISTS", text)
}


def chain(derived: Derived, triple: Triple) -> set[Triple]:
    """A triple and everything that it goes back to."""
    because = derived.because.get(triple)
    return {triple}.union(*(chain(derived, premise) for premise in because.premises)) if because else {triple}


@given(EITHER, EDITIONS)
@settings(max_examples=100)
def test_premises_lead_down_to_what_was_stated(document: dict[str, Any], edition: int):
    """Every derived triple has premises; each was there before it, so no chain of reasons goes round in a circle."""
    derived = derive(read_document(document).graph, edition)
    place = {triple: number for number, triple in enumerate([*derived.asserted, *derived.because])}
    assert {t for t in derived.graph if t not in derived.asserted} == set(derived.because)
    for triple, because in derived.because.items():
        assert because.premises, triple
        for premise in because.premises:
            assert premise in derived.reference or place[premise] < place[triple], (triple, premise)


@given(EITHER, EDITIONS, st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_what_a_triple_rests_on_gives_it_again(document: dict[str, Any], edition: int, chooser: random.Random):
    """Derived from its asserted roots alone, a triple follows again.

    Not asked of conclusions about all of a list (UNIVERSAL): what no member does, its premises do not name.
    """
    derived = derive(read_document(document).graph, edition)
    for triple in chooser.sample(list(derived.because), min(20, len(derived.because))):
        whole = chain(derived, triple)
        if not any(derived.because[t].derivation in UNIVERSAL for t in whole if t in derived.because):
            event("followed again")
            ground = Graph(t for t in derived.asserted if t in whole)
            assert triple in derive(ground, edition).graph, triple


@given(installations(complete=True), EDITIONS)
@settings(max_examples=150)
def test_a_complete_installation_is_asked_nothing_that_it_could_state(document: dict[str, Any], edition: int):
    """What is left undecided hangs on something that no stated fact settles: a source that is not the utility's, a mix of metals,
    a loop of electrode conductors, the very year in which an allowance ended.
    """
    assessed = assess(read_document(document), Law(edition))
    for rule, judgement in assessed.judgements:
        open_leaves = [leaf for part in judgement.parts() for leaf in part.leaves() if leaf.outcome is Outcome.UNDECIDED]
        asked = {fact.property for leaf in open_leaves for gap in leaf.gaps for fact in missing_facts(assessed.bench, gap)}
        assert [short(iri) for iri in sorted(asked) if not vocabulary().properties[iri].derived_by] == [], (rule.key, judgement.about)


def test_types_are_never_left_out():
    """Guards the guard: monotonicity drops something, and never what a node is."""
    graph = read_document({"id": "h", "occupancy": "one-family-dwelling", "sources": [{"id": "u", "kind": "utility"}]}).graph
    droppable = {triple for triple in graph if may_be_unknown(triple)}
    assert droppable
    assert all(predicate != TYPE for _, predicate, _ in droppable)
