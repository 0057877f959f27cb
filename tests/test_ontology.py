"""The ontology is sound as an ontology, after the default profile of ROBOT's report and the OOPS! list of pitfalls.

Every check is an error here; neither tool is needed to run them.
"""

import re
from itertools import combinations

import pytest

from faultpath.base.terms import ALT_LABEL, CODE, CODE_WORD, DEFINITION, DERIVATIONS, DOMAIN, INST, LABEL, OWL, QUDT_UNIT, RANGE, SUBCLASS, TYPE, XSD, short
from faultpath.base.triples import Graph, TextLiteral
from faultpath.book.loader import load_book
from faultpath.book.rules import editions
from faultpath.book.tables import tables
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.derivation.program import Derivation, all_derivations, reference

GRAPH = load_book().ontology
WORDS = vocabulary()
DCT = "http://purl.org/dc/terms/"
DISJOINT = OWL + "disjointWith"
PROPERTY_TYPES = tuple(OWL + name for name in ("ObjectProperty", "DatatypeProperty"))

CLASSES = [iri for iri in GRAPH.instances(OWL + "Class") if iri.startswith((INST, CODE))]
PROPERTIES = [iri for kind in (*PROPERTY_TYPES, OWL + "AnnotationProperty") for iri in GRAPH.instances(kind)]
INDIVIDUALS = [iri for cls in CLASSES for iri in GRAPH.instances(cls)]
TERMS = list(dict.fromkeys([*CLASSES, *PROPERTIES, *INDIVIDUALS]))
STATED = [prop for prop in WORDS.properties.values() if not prop.derived_by]
DERIVED = [prop for prop in WORDS.properties.values() if prop.derived_by]


def name(value: object) -> str:
    return short(value.iri if isinstance(value, Property) else str(value))


def test_there_are_terms():
    assert len(CLASSES) > 50
    assert len(PROPERTIES) > 100
    assert len(INDIVIDUALS) > 100


@pytest.mark.parametrize("iri", TERMS, ids=name)
def test_term_has_one_label_and_one_definition(iri: str):
    for predicate in (LABEL, DEFINITION):
        texts = GRAPH.values(iri, predicate)
        assert len(texts) == 1
        assert isinstance(texts[0], TextLiteral)
        assert texts[0]
        assert texts[0] == " ".join(texts[0].split()), "trimmed, single blanks"
    assert GRAPH.text(iri, DEFINITION).endswith(".")
    assert not GRAPH.text(iri, LABEL).endswith(".")
    assert GRAPH.text(iri, LABEL) not in GRAPH.values(iri, ALT_LABEL)


@pytest.mark.parametrize("group", [CLASSES, PROPERTIES], ids=["classes", "properties"])
def test_labels_are_unique(group: list[str]):
    labels: dict[str, set[str]] = {}
    for iri in group:
        labels.setdefault(GRAPH.text(iri, LABEL), set()).add(short(iri))
    assert {label: iris for label, iris in labels.items() if len(iris) > 1} == {}


@pytest.mark.parametrize("cls", WORDS.codes, ids=short)
def test_labels_are_unique_within_a_code(cls: str):
    labels = [GRAPH.text(iri, LABEL) for iri in WORDS.codes[cls].values()]
    assert len(labels) == len(set(labels))


def test_definitions_are_unique_among_classes():
    """OOPS! P30: two classes with one definition are one class."""
    definitions = [GRAPH.text(iri, DEFINITION) for iri in CLASSES]
    assert len(definitions) == len(set(definitions))


@pytest.mark.parametrize("iri", GRAPH.instances(OWL + "Ontology"), ids=short)
def test_ontology_says_what_it_is(iri: str):
    for predicate in ("title", "description", "license"):
        assert len(GRAPH.values(iri, DCT + predicate)) == 1, predicate


def test_every_file_declares_its_ontology():
    files = [path for path in load_book().turtle if path.startswith("ontology/")]
    assert len(GRAPH.instances(OWL + "Ontology")) == len(files)


# Naming


def test_names_follow_one_style():
    assert [iri for iri in CLASSES if not re.fullmatch(r"(?:[A-Z][a-z0-9]*)+", short(iri))] == []
    assert [iri for iri in PROPERTIES if not re.fullmatch(r"[a-z]+(?:[A-Z][a-z0-9]*)*", short(iri))] == []


def test_no_two_names_differ_by_case_alone():
    """Except a class and its property, such as Disconnect and disconnect, which the capital tells apart."""
    for group in (CLASSES, PROPERTIES, [i for i in INDIVIDUALS if i.startswith(INST)]):
        lower = [iri.lower() for iri in group]
        assert len(lower) == len(set(lower))


# Classes


@pytest.mark.parametrize("cls", [cls for cls in CLASSES if cls.startswith(INST)], ids=short)
def test_class_has_a_place(cls: str):
    """No orphan: everything is under Thing or Code, and nothing is under both or under itself."""
    roots = {INST + "Thing", CODE_WORD}
    assert len(WORDS.superclasses[cls] & roots) == 1
    assert cls not in {above for parent in GRAPH.iris(cls, SUBCLASS) for above in WORDS.superclasses[parent]}


def disjoint(one: str, other: str) -> bool:
    """Whether two classes or classes above them are declared to share no member."""
    stated = {(cls, apart) for cls in CLASSES for apart in GRAPH.iris(cls, DISJOINT)}
    return any((a, b) in stated or (b, a) in stated for a in WORDS.superclasses[one] for b in WORDS.superclasses[other])


LISTED = sorted({prop.range for prop in STATED if prop.nested and WORDS.item_kinds(prop.range)})


@pytest.mark.parametrize("cls", LISTED, ids=short)
def test_kinds_that_a_document_chooses_from_are_disjoint(cls: str):
    """A part has one kind; the kinds that exclude each other say so. Jumpers may be told apart by purpose only."""
    kinds = sorted(WORDS.item_kinds(cls).values())
    apart = [(short(a), short(b)) for a, b in combinations(kinds, 2) if not disjoint(a, b)]
    jumpers = {pair for pair in apart if all(part.endswith("Jumper") for part in pair)}
    assert sorted(set(apart) - jumpers) == []


def test_no_class_is_disjoint_with_what_is_above_it():
    for cls in (c for c in CLASSES if c.startswith(INST)):
        for other in GRAPH.iris(cls, DISJOINT):
            assert not WORDS.is_a(cls, other)
            assert not WORDS.is_a(other, cls)
            assert not WORDS.subclasses[cls] & WORDS.subclasses[other]


@pytest.mark.parametrize("cls", WORDS.codes, ids=short)
def test_code_has_words_to_choose_from(cls: str):
    assert len(WORDS.codes[cls]) > 1


# Properties


@pytest.mark.parametrize("prop", WORDS.properties.values(), ids=name)
def test_property_has_one_domain_and_one_range(prop: Property):
    domains, ranges = GRAPH.values(prop.iri, DOMAIN), GRAPH.values(prop.iri, RANGE)
    assert len(domains) == len(ranges) == 1
    assert domains[0] in WORDS.superclasses
    kinds = [kind for kind in PROPERTY_TYPES if (prop.iri, TYPE, kind) in GRAPH]
    literal = str(ranges[0]).startswith(XSD)
    assert kinds == [PROPERTY_TYPES[1] if literal else PROPERTY_TYPES[0]]
    if literal:
        assert ranges[0] in {XSD + kind for kind in ("string", "boolean", "integer", "decimal")}


@pytest.mark.parametrize("iri", [iri for iri in PROPERTIES if iri.startswith(INST)], ids=short)
def test_property_says_what_its_absence_means(iri: str):
    assert iri in WORDS.properties or iri == INST + "complete"
    assert len(GRAPH.values(iri, CODE + "fact")) <= 1


@pytest.mark.parametrize("prop", [prop for prop in STATED if prop.kind != "note"], ids=name)
def test_stated_property_can_be_asked_for(prop: Property):
    """A person on site can answer it: one question, and for a list the request for all of it."""
    assert len(GRAPH.values(prop.iri, CODE + "asks")) == 1
    assert re.fullmatch(r"(?:[A-Z][^?]*\?|Describe [^?]*\.)(?: List [^?]*\.)?", prop.asks)


@pytest.mark.parametrize("prop", DERIVED, ids=name)
def test_derived_property_is_derived(prop: Property):
    """Each derivation that it names exists and concludes it, in at least one of its dated texts."""
    keys = {DERIVATIONS + derivation.key for derivation in all_derivations()}
    own = set(map(str, GRAPH.values(prop.iri, CODE + "derivedBy")))
    assert own <= keys
    for key in own:
        texts = [d for d in all_derivations() if DERIVATIONS + d.key == key]
        by_name = {pattern[1] for d in texts for pattern in d.conclusions if isinstance(pattern[1], str)}
        by_variable = [d for d in texts if any(not isinstance(pattern[1], str) for pattern in d.conclusions)]
        assert prop.iri in by_name or any(
            re.search(rf"inst:{short(prop.iri)}\b", load_book().files[f"ontology/derivations/{d.key}/{d.year}.rq"]) for d in by_variable
        )
    assert not prop.required
    assert not prop.asks or "?" in prop.asks, "what can be asked where nothing stated is missing is still a question"


@pytest.mark.parametrize("prop", DERIVED, ids=name)
def test_what_settles_a_derived_property_can_be_walked(prop: Property):
    """Each path starts at the domain of the property, and each step follows on the one before."""
    for path in prop.settled_by:
        at = prop.domain
        for step in path:
            assert step.property in WORDS.properties, step.property
            read = WORDS.properties[step.property]
            assert not step.inverse
            family = WORDS.superclasses[at] | WORDS.subclasses[at]
            assert read.domain in family, (short(at), short(step.property))
            at = read.range


NUMBERS = [prop for prop in WORDS.properties.values() if prop.range in (XSD + "integer", XSD + "decimal")]


@pytest.mark.parametrize("prop", NUMBERS, ids=name)
def test_number_has_a_unit(prop: Property):
    """QUDT has no circular mil: the name says it."""
    units = GRAPH.values(prop.iri, CODE + "unit")
    if prop.iri.endswith("ircularMils"):
        assert units == []
    else:
        assert len(units) == 1
        assert str(units[0]).startswith(QUDT_UNIT)
    expected = {"Feet": "FT", "Inches": "IN", "Ohms": "OHM", "Amperes": "A", "Year": "YR"}
    for ending, unit in expected.items():
        if prop.iri.endswith(ending):
            assert units == [QUDT_UNIT + unit]


# Nothing used but undefined


def spoken(graph: Graph) -> set[str]:
    """The terms of our namespaces that a graph uses anywhere."""
    return {term for triple in graph for term in triple if isinstance(term, str) and not isinstance(term, TextLiteral) and term.startswith((INST, CODE))}


@pytest.mark.parametrize("graph", [GRAPH, load_book().shapes], ids=["ontology", "shapes"])
def test_no_term_is_used_but_undefined(graph: Graph):
    assert sorted(spoken(graph) - set(TERMS)) == []


def columns() -> set[str]:
    return {column["propertyUrl"] for table in tables().values() for column in table.metadata["tableSchema"]["columns"]}


@pytest.mark.parametrize("path", [path for path in load_book().files if path.endswith(".rq")])
def test_derivation_uses_defined_terms(path: str):
    """Columns of the tables are defined by their metadata."""
    prologue, body = re.sub(r"(?m)^#.*$", "", load_book().files[path]).split("CONSTRUCT", 1)
    prefixes = dict(re.findall(r"PREFIX (\w+): <([^>]+)>", prologue))
    used = {prefixes[prefix] + local.replace("\\", "") for prefix, local in re.findall(r"(?<![\w?])(\w+):((?:[\w/-]|\\.)+)", body)}
    assert used
    assert sorted(iri for iri in used if iri.startswith((INST, CODE)) and iri not in TERMS and iri not in columns()) == []


@pytest.mark.parametrize("derivation", all_derivations(), ids=lambda d: f"{d.key}/{d.year}")
def test_derivation_concludes_derived_properties_only(derivation: Derivation):
    concluded = {str(pattern[1]) for pattern in derivation.conclusions if isinstance(pattern[1], str)}
    assert concluded <= {prop.iri for prop in DERIVED} | {INST + "complete", TYPE}


@pytest.mark.parametrize("edition", editions())
def test_rows_and_sizes_that_derivations_look_up_are_defined(edition: int):
    words = {word for codes in WORDS.codes.values() for word in codes.values()}
    used = {term for *_, term in reference(edition) if isinstance(term, str) and not isinstance(term, TextLiteral) and term.startswith(INST)}
    assert used <= words | set(CLASSES)


def test_what_a_derivation_concludes_names_it():
    """Whoever asks where a derived fact comes from finds each of its derivations. Completeness and classes name none."""
    unnamed = [
        (derivation.key, short(str(pattern[1])))
        for derivation in all_derivations()
        for pattern in derivation.conclusions
        if pattern[1] in WORDS.properties and DERIVATIONS + derivation.key not in map(str, GRAPH.values(str(pattern[1]), CODE + "derivedBy"))
    ]
    assert unnamed == []


def test_sizes_are_in_the_order_of_their_areas():
    sizes = sorted(WORDS.codes[INST + "Size"].values(), key=lambda iri: int(GRAPH.text(iri, CODE + "order")))
    areas = [int(GRAPH.text(iri, INST + "circularMils")) for iri in sizes]
    assert areas == sorted(set(areas))
    assert [int(GRAPH.text(iri, CODE + "order")) for iri in sizes] == list(range(1, len(sizes) + 1))
