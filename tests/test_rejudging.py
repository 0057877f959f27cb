"""What an assessment takes over from that of a similar installation is what judging everything anew would have found."""

import random
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultpath.base.triples import Graph
from faultpath.book.rules import rules
from faultpath.derivation.run import derive
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Law, assess
from generated import installations
from test_properties import may_be_unknown

EDITIONS = st.sampled_from(sorted({edition for rule in rules().values() for edition in rule.citations}))
SEVERAL = st.booleans().flatmap(lambda complete: installations(complete=complete))


def differing(graph: Graph, other: Graph, chooser: random.Random) -> Graph:
    """A graph with some facts fewer and some of another installation; only deriving and judging is asked of it."""
    kept = [triple for triple in graph if not may_be_unknown(triple) or chooser.random() > 0.03]
    foreign = [triple for triple in other if may_be_unknown(triple)]
    return Graph([*kept, *chooser.sample(foreign, min(len(foreign), chooser.randrange(6)))])


@given(SEVERAL, SEVERAL, EDITIONS, EDITIONS, st.randoms(use_true_random=False))
@settings(max_examples=120)
def test_reusing_an_assessment_changes_nothing(
    document: dict[str, Any], other: dict[str, Any], edition: int, other_edition: int, chooser: random.Random
) -> None:
    law, similar = Law(edition), Law(chooser.choice((edition, other_edition)))
    first = read_document(document)
    graph = differing(first.graph, read_document(other).graph, chooser)
    second = Installation(first.id, first.document, graph)
    before = assess(first, similar)
    anew, reused = assess(second, law), assess(second, law, reuse=before)
    assert reused.derived.graph == anew.derived.graph
    assert {t: set(reason.premises) for t, reason in reused.derived.because.items()} == {t: set(reason.premises) for t, reason in anew.derived.because.items()}
    found = [(rule.key, j.about, j.outcome, set(j.evidence())) for rule, j in reused.judgements]
    assert sorted(found, key=str) == sorted([(rule.key, j.about, j.outcome, set(j.evidence())) for rule, j in anew.judgements], key=str)
    taken = {id(judgement) for _, judgement in before.judgements}
    event(f"something was taken over: {any(id(judgement) in taken for _, judgement in reused.judgements)}")


@given(SEVERAL, EDITIONS)
@settings(max_examples=20)
def test_what_is_the_same_is_derived_alike(document: dict[str, Any], edition: int) -> None:
    graph = read_document(document).graph
    before = derive(graph, edition)
    again = derive(graph, edition, before.memory)
    assert again.graph == before.graph
    assert all(again.because[triple] is reason for triple, reason in before.because.items() if not reason.derivation.endswith("class-membership"))
