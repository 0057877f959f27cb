"""One installation, four syntaxes, one meaning: JSON, JSON-LD, Turtle and N-Triples give the same graph and document.

JSON-LD goes through PyLD, an implementation of the W3C algorithms that knows nothing of our reader.
"""

import json
from typing import Any

import pyoxigraph as ox
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultpath.base.problems import BadInput
from faultpath.base.terms import COMPLETE, INST, NODE, PREFIXES, TYPE
from faultpath.base.triples import Graph, serialize
from faultpath.book.cases import house
from faultpath.book.vocabulary import vocabulary
from faultpath.document.context import context
from faultpath.document.installation import read_document, read_graph
from faultpath.document.intake import read_installation
from generated import installations

ANY = st.booleans().flatmap(lambda complete: installations(complete=complete))
HOUSE: dict[str, Any] = {
    "id": "h",
    "equipment": [{"id": "panel", "kind": "panelboard", "bonds": []}, {"id": "dryer", "kind": "clothes-dryer"}],
    "runs": [{"id": "cable", "from": "panel", "to": "dryer", "conductors": [{"role": "ungrounded", "size": "10 AWG"}]}],
}


def sorted_lists(value: Any) -> Any:
    """A document with its lists in one order: triples carry none."""
    if isinstance(value, dict):
        return {key: sorted_lists(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return sorted((sorted_lists(inner) for inner in value), key=lambda inner: json.dumps(inner, sort_keys=True))
    return value


def encoded(document: dict[str, Any]) -> bytes:
    return json.dumps(document).encode()


@given(ANY)
@settings(max_examples=120)
def test_four_syntaxes_say_the_same(document: dict[str, Any]):
    plain = read_installation(encoded(document), "application/json")
    others = {
        "application/ld+json": encoded(plain.document),
        "text/turtle": serialize(plain.graph, ox.RdfFormat.TURTLE, PREFIXES).encode(),
        "application/n-triples": serialize(plain.graph, ox.RdfFormat.N_TRIPLES).encode(),
    }
    for media, data in others.items():
        read = read_installation(data, media)
        assert read.id == plain.id
        assert read.graph == plain.graph, media
        assert sorted_lists(read.document) == sorted_lists(plain.document), media


@given(ANY)
@settings(max_examples=120)
def test_normal_form_is_a_fixed_point(document: dict[str, Any]):
    once = read_document(document)
    again = read_document(once.document)
    assert again.document == once.document
    assert again.graph == once.graph
    assert read_graph(once.graph).graph == once.graph


@given(ANY)
@settings(max_examples=40)
def test_reading_leaves_the_document_alone(document: dict[str, Any]):
    before = json.dumps(document)
    read_document(document)
    assert json.dumps(document) == before


@pytest.mark.parametrize("name", ["alder-row", "alder-row-converted", "birch-lane"])
def test_houses_of_the_book_are_read_the_same_from_json_ld(name: str):
    plain = read_document(house(name))
    assert read_installation(encoded(plain.document), "application/ld+json").graph == plain.graph


# Completeness


def complete_lists(graph: Graph, node: str) -> set[str]:
    return {iri.removeprefix(INST) for iri in graph.iris(NODE + node, COMPLETE)}


def test_a_list_that_is_given_is_complete_and_one_that_is_not_is_unknown():
    graph = read_document(HOUSE).graph
    assert complete_lists(graph, "panel") == {"bond"}
    assert complete_lists(graph, "dryer") == set()
    assert complete_lists(graph, "cable") == {"conductor"}
    assert complete_lists(graph, "h") == {"equipment", "run"}


def test_an_empty_word_of_completeness_overrides_what_is_given():
    document = {**HOUSE, "complete": [], "runs": [{**HOUSE["runs"][0], "complete": []}]}
    graph = read_document(document).graph
    assert complete_lists(graph, "cable") == set()
    assert not complete_lists(graph, "h") & {"equipment", "run"}


def test_completeness_can_be_stated_of_a_list_that_is_not_written():
    graph = read_document({**HOUSE, "complete": ["equipment", "runs", "electrodes"]}).graph
    assert "electrode" in complete_lists(graph, "h")


@pytest.mark.parametrize("media", ["text/turtle", "application/n-triples"])
def test_triples_get_no_completeness_that_they_do_not_state(media: str):
    graph = read_document(HOUSE).graph
    less = Graph(triple for triple in graph if triple[1] != COMPLETE)
    form = ox.RdfFormat.TURTLE if media == "text/turtle" else ox.RdfFormat.N_TRIPLES
    read = read_installation(serialize(less, form).encode(), media)
    assert read.graph == less


def test_json_ld_gets_no_completeness_that_it_does_not_state():
    expanded = {"@id": NODE + "h", "@type": INST + "Installation", INST + "equipment": {"@id": NODE + "p", "@type": INST + "Panelboard"}}
    read = read_installation(encoded(expanded), "application/ld+json")
    assert set(read.graph) == {(NODE + "h", TYPE, INST + "Installation"), (NODE + "h", INST + "equipment", NODE + "p"), (NODE + "p", TYPE, INST + "Panelboard")}


def test_absence_follows_only_from_a_complete_list():
    """An empty list and a missing one are told apart, in every syntax."""
    given_empty, missing = read_document(HOUSE), read_document({**HOUSE, "equipment": [{"id": "panel", "kind": "panelboard"}, HOUSE["equipment"][1]]})
    assert given_empty.graph != missing.graph
    assert read_graph(given_empty.graph).document != read_graph(missing.graph).document


def test_an_empty_list_that_is_not_complete_says_nothing():
    """No triple can state it, so the normal form leaves it out; a complete list that is not written is an empty one."""
    nothing = read_document({"id": "h", "electrodes": [], "complete": ["metalBodies"]}).document
    assert "electrodes" not in nothing
    assert nothing["metalBodies"] == []


# Conventions of plain JSON


def test_sizes_may_be_written_as_people_write_them():
    spaced, coded = (
        read_document({**HOUSE, "runs": [{**HOUSE["runs"][0], "conductors": [{"role": "ungrounded", "size": size}]}]}) for size in ("10 AWG", "10-AWG")
    )
    assert spaced.graph == coded.graph


def test_numbers_have_one_form():
    """2, 2.0 and "2.00" feet are the same length."""
    graphs = [read_document({**HOUSE, "runs": [{**HOUSE["runs"][0], "lengthFeet": length}]}).graph for length in (2, 2.0, "2.00")]
    assert graphs[0] == graphs[1] == graphs[2]


# The context


def terms(part: dict[str, Any]) -> set[str]:
    """Every term of a context, those scoped to a part included."""
    found = {key for key in part if not key.startswith("@")}
    for definition in part.values():
        if isinstance(definition, dict) and "@context" in definition:
            found |= terms(definition["@context"])
    return found


def test_no_code_word_is_a_key_or_a_kind():
    """JSON-LD reads a value of `@type: @vocab` as a term first: a code word that is also a term would become another IRI."""
    words = {word for codes in vocabulary().codes.values() for word in codes}
    own = context()["@context"]
    assert words & terms(own) == set()
    assert words & set(vocabulary().kinds) == set()
    assert words
    assert "kind" in terms(own)


def test_no_code_word_belongs_to_two_classes():
    words = [word for codes in vocabulary().codes.values() for word in codes]
    assert len(words) == len(set(words))


def test_keys_are_unambiguous_within_a_kind():
    """`document_properties` maps by key: two properties of one kind under one key would hide one another."""
    words = vocabulary()
    stated = [prop for prop in words.properties.values() if not prop.derived_by]
    for cls in words.superclasses:
        keys = [prop.key for prop in stated if words.is_a(cls, prop.domain)]
        assert len(keys) == len(set(keys)), cls


def test_an_unknown_context_is_refused():
    with pytest.raises(BadInput):
        read_installation(encoded({**read_document(HOUSE).document, "@context": "https://example.org/context"}), "application/ld+json")


def test_a_terminal_that_piping_is_bonded_to_is_listed_with_its_equipment() -> None:
    read = read_document({**HOUSE, "metalBodies": [{"id": "water", "kind": "interior-water-piping", "bondedTo": ["panel/grounding-bar"]}]})
    (panel,) = (item for item in read.document["equipment"] if item["id"] == "panel")
    assert panel["terminals"] == [{"id": "panel/grounding-bar", "kind": "grounding-bar"}]
