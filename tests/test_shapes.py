"""Shapes are SHACL Core in the few constructs that the book uses, with a name and a sentence for all that can be blamed."""

import re

import pyoxigraph as ox
import pytest
from pyshacl import validate
from rdflib import Graph as RdflibGraph

from faultpath.base.terms import CODE, DCT, FIRST, LABEL, REST, RULES, SH, TYPE
from faultpath.base.triples import serialize
from faultpath.book.loader import base_of, load_book
from faultpath.book.rules import Condition, DatedText, Group, Leaf, all_texts, conditions, editions, rules, shapes_in_force, text_conditions
from faultpath.book.vocabulary import vocabulary

GRAPH = load_book().shapes
WORDS = vocabulary()
RULES_OF_THE_BOOK = rules()
TEXTS = list(all_texts())
LEAVES = {c.iri: c for text in TEXTS for c in text_conditions(text) if isinstance(c, Leaf)}
GROUPS = {c.iri: c for text in TEXTS for c in text_conditions(text) if isinstance(c, Group)}

# What an engine of SHACL Core alone can run and what the judge reads.
ALLOWED = {
    SH + name
    for name in (
        *("targetClass", "property", "node", "and", "or", "not", "path", "message"),
        *("hasValue", "in", "minCount", "maxCount", "minInclusive", "maxInclusive", "lessThanOrEquals"),
    )
}


def where(iri: object) -> str:
    return str(getattr(iri, "iri", iri)).removeprefix(RULES)


def test_the_book_has_shapes():
    assert RULES_OF_THE_BOOK
    assert LEAVES


def test_nothing_that_can_be_blamed_is_a_blank_node():
    """Lists, and the citations of a rule's record, are the only nameless nodes."""
    lists = {s for s, p, _ in GRAPH if p in (FIRST, REST)}
    citations = {str(o) for _, p, o in GRAPH if p == CODE + "citation"}
    assert [s for s in GRAPH.subjects() if s.startswith("_:") and s not in lists | citations] == []


def test_what_another_rule_judges_is_outside_and_names_that_rule():
    """A rule that is set aside may not show as holding: the reader is told which rule answers instead, and finds it among the related ones."""
    named = set()
    for text in TEXTS:
        outside = {part.iri for condition in text.outside for part in conditions(condition)}
        for condition in text_conditions(text):
            for key in re.findall(r"which ([a-z0-9-]+) judges", condition.label):
                named.add(key)
                assert condition.iri in outside, condition.iri
                assert RULES + key in GRAPH.iris(RULES + text.rule, CODE + "seeAlso"), condition.iri
            assert not re.search(r"another rule|rule of its own", condition.label), condition.iri
    assert named <= RULES_OF_THE_BOOK.keys()
    assert "range-and-dryer-frames-grounded" in named


@pytest.mark.parametrize("text", TEXTS, ids=where)
def test_text_is_a_shape_about_a_class(text: DatedText):
    assert (text.iri, TYPE, SH + "NodeShape") in GRAPH
    assert len(GRAPH.values(text.iri, SH + "targetClass")) == 1
    assert text.target in WORDS.superclasses
    assert text.comment, "the first comment says what the text asks or what changed"
    assert GRAPH.text(text.iri, CODE + "of") == RULES + text.rule


@pytest.mark.parametrize("leaf", LEAVES.values(), ids=where)
def test_leaf_tests_one_fact_and_says_so(leaf: Leaf):
    stated = GRAPH.properties(leaf.iri)
    assert GRAPH.values(leaf.iri, TYPE) in ([SH + "PropertyShape"], [SH + "PropertyShape", CODE + "Outside"])
    assert [len(stated.get(p, [])) for p in (LABEL, SH + "path", SH + "message")] == [1, 1, 1]
    constraints = [p for p in stated if p.startswith(SH) and p not in (SH + "path", SH + "message")]
    assert len(constraints) == 1
    assert len(stated[constraints[0]]) == 1
    assert leaf.label
    assert not leaf.label.endswith(".")
    assert leaf.message.endswith(".")
    assert len(leaf.message) <= 120
    assert ". " not in leaf.message, "one sentence"
    assert leaf.message[0].isupper()


@pytest.mark.parametrize("group", GROUPS.values(), ids=where)
def test_group_has_a_label_and_parts(group: Group):
    if (group.iri, TYPE, CODE + "Text") not in GRAPH:
        assert len(GRAPH.values(group.iri, LABEL)) == 1
        assert not group.label.endswith(".")
    assert group.parts
    assert len({part.iri for part in group.parts}) == len(group.parts)
    assert (group.combine == "not") <= (len(group.parts) == 1)


def test_no_section_number_and_no_order_in_a_sentence():
    """Sections are data of the citations, and the book states conditions in its own words, not the code's commands."""
    section = re.compile(r"\b\d{3}[.-]\d+\b|\b(?:Article|Section|Table)\s+\d", re.IGNORECASE)
    for condition in (*LEAVES.values(), *GROUPS.values()):
        for sentence in (condition.label, getattr(condition, "message", "")):
            assert not section.search(sentence), condition.iri
            assert not re.search(r"\bshall\b", sentence, re.IGNORECASE), condition.iri


def test_labels_of_parts_tell_them_apart():
    for group in GROUPS.values():
        labels = [part.label for part in group.parts]
        assert len(labels) == len(set(labels)), group.iri


# Records


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_folder_name_is_the_rule(key: str):
    folders = [path.split("/")[-2] for path in load_book().turtle if path.endswith("/rule.ttl") and base_of(path) == RULES + key]
    assert folders == [key]
    assert re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)+", key), "a statement, in small letters"
    assert [t.rule for t in RULES_OF_THE_BOOK[key].texts] == [key] * len(RULES_OF_THE_BOOK[key].texts)


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_record_is_filled_in(key: str):
    rule = RULES_OF_THE_BOOK[key]
    for predicate in (LABEL, CODE + "requires", CODE + "why", CODE + "standing"):
        assert len(GRAPH.values(RULES + key, predicate)) == 1, predicate
    assert rule.requires.endswith(".")
    assert rule.why.endswith(".")
    assert all(text.endswith(".") for text in rule.leaves_out)
    assert rule.sources
    assert rule.citations
    assert all(citation.section for citation in rule.citations.values())
    printed = [edition for c in GRAPH.iris(RULES + key, CODE + "citation") for edition in GRAPH.iris(c, CODE + "edition")]
    assert len(printed) == len(set(printed)), "an edition is cited once"
    assert not re.search(r"\bshall\b", f"{rule.requires} {rule.why}", re.IGNORECASE)


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_cited_editions_have_a_text(key: str):
    rule = RULES_OF_THE_BOOK[key]
    assert all(rule.text_in(edition) is not None for edition in rule.citations)
    assert set(rule.citations) <= set(editions())


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_sources_are_addresses_or_sentences(key: str):
    for source in GRAPH.values(RULES + key, DCT + "source"):
        assert re.match(r"https?://[\w.-]+/", str(source)) or (" " in str(source) and "://" not in str(source))


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_remedies_cure_leaves_of_their_rule(key: str):
    rule = RULES_OF_THE_BOOK[key]
    own = {c.iri for text in rule.texts for c in text_conditions(text) if isinstance(c, Leaf)}
    assert len(rule.remedies) == len(GRAPH.values(RULES + key, CODE + "remedy"))
    for remedy in rule.remedies:
        assert remedy.label
        assert remedy.cures
        assert set(remedy.cures) <= own, remedy.key


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_outside_conditions_cure_nothing(key: str):
    """What makes a rule silent is no failure, so no remedy points at it."""
    rule = RULES_OF_THE_BOOK[key]
    outside = {c.iri for text in rule.texts for part in text.outside for c in conditions(part)}
    inside = {c.iri for text in rule.texts for c in conditions(text.requirement)}
    assert not {cure for remedy in rule.remedies for cure in remedy.cures} & (outside - inside)


@pytest.mark.parametrize("key", RULES_OF_THE_BOOK)
def test_see_also_leads_somewhere(key: str):
    others = RULES_OF_THE_BOOK[key].see_also
    assert set(others) <= set(RULES_OF_THE_BOOK) - {key}


def reach(condition: Condition) -> bool:
    return isinstance(condition, Leaf) or all(reach(part) for part in condition.parts)


@pytest.mark.parametrize("text", TEXTS, ids=where)
def test_text_asks_something_beyond_its_outside_conditions(text: DatedText):
    assert text.requirement not in text.outside
    assert reach(text.requirement)
    assert all((part.iri, TYPE, CODE + "Outside") in GRAPH for part in text.outside)
    outside = {iri for iri in GRAPH.instances(CODE + "Outside") if iri in {c.iri for c in text_conditions(text)}}
    assert outside == {part.iri for part in text.outside}, "an outside condition stands at the top of the text"


def test_shapes_are_shapes_by_the_shapes_of_shacl():
    """The W3C's shapes for shapes, as pySHACL carries them, over the newest edition that the book answers for."""
    newest = max(edition for rule in RULES_OF_THE_BOOK.values() for edition in rule.citations)
    shapes = RdflibGraph().parse(data=serialize(shapes_in_force(newest), ox.RdfFormat.N_TRIPLES), format="nt")
    conforms, _, _ = validate(RdflibGraph(), shacl_graph=shapes, meta_shacl=True)
    assert conforms
