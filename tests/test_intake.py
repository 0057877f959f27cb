"""Hostile and mistaken input: each gives a problem that says where, what was expected, and the nearest defined word.

The hazards were measured on the parsers in use: 136 kB of nested JSON-LD kills a process that recurses on it, and RDF
libraries fetch remote and file contexts when asked to.
"""

import copy
import json
from typing import Any

import pyoxigraph as ox
import pytest

from faultpath.base.problems import MOST_PROBLEMS, BadInput, Problem
from faultpath.base.triples import serialize
from faultpath.document.installation import read_document
from faultpath.document.intake import DEEPEST, LONGEST_TERM, MOST_BYTES, MOST_TRIPLES, read_installation, read_json

HOUSE: dict[str, Any] = {
    "id": "h",
    "sources": [{"id": "utility", "kind": "utility"}],
    "equipment": [
        {"id": "panel", "kind": "panelboard", "enclosure": {"metal": True}, "bonds": [{"id": "screw", "kind": "strap", "from": "grounded-bar", "to": "frame"}]},
        {"id": "range", "kind": "range"},
    ],
    "runs": [
        {"id": "riser", "from": "utility", "to": "panel", "conductors": [{"role": "ungrounded", "size": "2 AWG"}]},
        {"id": "cable", "from": "panel", "to": "range", "lengthFeet": 20},
    ],
}
PREFIXES = "@prefix inst: <https://w3id.org/faultpath/installation#> . @prefix xsd: <http://www.w3.org/2001/XMLSchema#> .\n"


def refused(data: bytes | str, media: str = "application/json") -> BadInput:
    with pytest.raises(BadInput) as caught:
        read_installation(data.encode() if isinstance(data, str) else data, media)
    error = caught.value
    assert error.problems
    assert all(problem.found.endswith(".") and problem.expected.endswith(".") for problem in error.problems)
    return error


def problem(data: bytes | str, media: str = "application/json") -> Problem:
    return refused(data, media).problems[0]


def with_change(path: str, value: Any) -> str:
    """The house with one value put in place; the path is a JSON Pointer."""
    document = copy.deepcopy(HOUSE)
    part: Any = document
    *way, last = path.split("/")[1:]
    for step in way:
        part = part[int(step)] if isinstance(part, list) else part[step]
    part[last] = value
    return json.dumps(document)


def test_the_house_itself_is_fine():
    assert read_installation(json.dumps(HOUSE).encode(), "application/json").id == "h"


# Before any parser


@pytest.mark.parametrize("media", ["application/json", "application/ld+json", "text/turtle", "application/n-triples"])
def test_too_large(media: str):
    error = refused(b" " * (MOST_BYTES + 1), media)
    assert (error.kind, error.status) == ("too-large", 413)


@pytest.mark.parametrize("media", ["application/json", "application/ld+json"])
@pytest.mark.parametrize("levels", [DEEPEST + 1, 68_000], ids=["one-too-many", "136-kB"])
def test_too_deep(media: str, levels: int):
    error = refused("[" * levels + "]" * levels, media)
    assert (error.kind, error.status) == ("unreadable", 400)
    assert "flatter" in error.problems[0].expected


def test_depth_is_counted_outside_strings_and_up_to_the_limit():
    assert read_json(b"[" * DEEPEST + b'"[[[{{{\\"[["' + b"]" * DEEPEST)


@pytest.mark.parametrize("data", [b"\xff\xfe", b"{", b'{"id": "h",}', b"", b"[1 2]"])
def test_not_json(data: bytes):
    assert refused(data).kind == "unreadable"


@pytest.mark.parametrize("data", [b"{", b"<a> <b>", b"<a> <b> 'c"])
def test_not_turtle(data: bytes):
    assert refused(data, "text/turtle").kind == "unreadable"


def test_not_utf_8_in_turtle():
    assert refused(b'<urn:a> <urn:b> "\xff" .', "text/turtle").kind == "unreadable"


def test_key_twice():
    found = problem('{"id": "h", "id": "g"}')
    assert "'id'" in found.found


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_not_a_number(word: str):
    assert word in problem(with_change("/runs/1/lengthFeet", float(word))).found


@pytest.mark.parametrize("text", ["NaN", "Infinity", "1e999", "1e-999", "abc", "1" * 40])
def test_a_number_in_quotes_is_held_to_the_same(text: str):
    assert problem(with_change("/runs/1/lengthFeet", text)).pointer == "/runs/1/lengthFeet"


@pytest.mark.parametrize("data", ["null", "[]", "7", '"text"', "true"])
@pytest.mark.parametrize("media", ["application/json", "application/ld+json"])
def test_not_an_object(data: str, media: str):
    assert refused(data, media)


@pytest.mark.parametrize("media", ["application/rdf+xml", "text/html", "application/n-quads", "application/trig", ""])
def test_other_media_are_not_read(media: str):
    error = refused("<rdf:RDF/>", media)
    assert (error.kind, error.status) == ("unsupported-media-type", 415)
    assert "text/turtle" in error.problems[0].expected


# Contexts


@pytest.mark.parametrize(
    "named",
    [
        "https://example.org/context.jsonld",
        "file:///etc/hostname",
        {"@vocab": "https://example.org/"},
        ["context.jsonld", {"id": "@type"}],
        7,
        "",
        ["context.jsonld"],
    ],
    ids=str,
)
def test_only_the_published_context(named: Any):
    assert problem(json.dumps({"@context": named, "id": "h", "kind": "Installation"}), "application/ld+json").pointer == "/@context"


def test_no_context_inside():
    inner = {"id": "u", "kind": "utility", "@context": {"id": "@type"}}
    assert (
        problem(json.dumps({"@context": "context.jsonld", "id": "h", "kind": "Installation", "sources": [inner]}), "application/ld+json").pointer
        == "/sources/0/@context"
    )


def test_no_context_inside_plain_json():
    assert problem(with_change("/equipment/0/@context", "context.jsonld")).pointer == "/equipment/0/@context"


def test_no_import_by_an_expanded_document():
    """Without a context nothing is read as a key; what would be dropped silently must not pass."""
    assert refused(json.dumps({"id": "h", "kind": "Installation"}), "application/ld+json")


# Words


def test_unknown_size():
    found = problem(with_change("/runs/0/conductors/0/size", "2AWG"))
    assert (found.pointer, found.nearest) == ("/runs/0/conductors/0/size", "2-AWG")


@pytest.mark.parametrize(("path", "near"), [("/ocupancy", "occupancy"), ("/equipment/0/bond", "bonds"), ("/runs/1/lenghtFeet", "lengthFeet")])
def test_unknown_key(path: str, near: str):
    found = problem(with_change(path, "x"))
    assert (found.pointer, found.nearest) == (path, near)
    assert near in found.expected


def test_unknown_kind():
    assert problem(with_change("/equipment/0/kind", "panel-board")).nearest == "panelboard"


def test_a_key_with_slash_and_tilde_is_escaped_as_rfc_6901_says():
    assert problem(json.dumps({**HOUSE, "a/b~c": 1})).pointer == "/a~1b~0c"


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/runs/1/lengthFeet", -3),
        ("/runs/1/lengthFeet", 0),
        ("/runs/1/lengthFeet", True),
        ("/runs/1/lengthFeet", []),
        ("/runs/1/installed", True),
        ("/runs/1/installed", 1978.5),
        ("/runs/1/installed", "1978"),
        ("/runs/1/installed", 12),
        ("/runs/1/parallelSets", 0),
        ("/runs/1/parallelSets", 10**9),
        ("/runs/1/id", "not an id"),
        ("/runs/1/id", "../up"),
        ("/runs/1/id", "file:///etc/passwd"),
        ("/equipment/0/enclosure/metal", 1),
        ("/equipment/0/enclosure/metal", "true"),
        ("/equipment/0/bonds", {}),
        ("/title", "x" * 201),
        ("/id", "x" * 700),
    ],
)
def test_a_value_that_does_not_fit(path: str, value: Any):
    assert problem(with_change(path, value)).pointer == path


def test_every_problem_is_told_at_once():
    document = {**HOUSE, "runs": [{"id": "a", "from": "utility"}, {"id": "b", "to": "panel"}]}
    assert {p.pointer for p in refused(json.dumps(document)).problems} == {"/runs/0", "/runs/1"}


# References and structure


def test_dangling_reference():
    found = problem(with_change("/runs/1/from", "panal"))
    assert (found.pointer, found.nearest) == ("/runs/1/from", "panel")


def test_reference_to_the_wrong_class():
    found = problem(with_change("/runs/1/to", "utility"))
    assert found.pointer == "/runs/1/to"
    assert "equipment" in found.expected


def test_id_twice():
    assert problem(with_change("/runs/1/id", "riser")).pointer == "/runs/1/id"


def test_supply_loop():
    loop = {"id": "back", "from": "range", "to": "panel"}
    found = problem(json.dumps({**HOUSE, "runs": [*HOUSE["runs"], loop]}))
    assert found.pointer.startswith("/runs/")
    assert "without a loop" in found.expected


def test_run_to_its_own_start():
    assert problem(with_change("/runs/1/to", "panel")).pointer == "/runs/1/to"


def test_two_supply_paths_to_one_panel_are_no_loop():
    document = {**HOUSE, "equipment": [*HOUSE["equipment"], {"id": "gutter", "kind": "wireway"}]}
    document["runs"] = [*HOUSE["runs"], {"id": "a", "from": "utility", "to": "gutter"}, {"id": "b", "from": "gutter", "to": "panel"}]
    assert read_installation(json.dumps(document).encode(), "application/json")


def test_what_is_described_is_there():
    found = problem(json.dumps({"id": "h", "equipment": [{"id": "panel", "kind": "panelboard", "hasDisconnect": False, "disconnect": {"id": "main"}}]}))
    assert found.pointer == "/equipment/0/disconnect"
    assert "hasDisconnect" in found.found


def test_concrete_touches_the_earth_or_not():
    electrode = {"id": "bar", "kind": "concrete-encased-electrode", "building": "shed", "touchesEarth": True}
    building = {"id": "shed", "work": "new", "newFoundationTouchesEarth": False}
    assert problem(json.dumps({"id": "h", "buildings": [building], "electrodes": [electrode]})).pointer == "/electrodes/0/touchesEarth"


def test_a_property_of_another_kind():
    found = problem(with_change("/equipment/0/furnishedReceptacles", "none"))
    assert found.pointer == "/equipment/0/furnishedReceptacles"
    assert "range" in found.expected


def test_completeness_of_what_is_no_list():
    assert problem(with_change("/runs/1/complete", ["method"])).pointer.startswith("/runs/1/complete")


# Triples


def turtle(body: str) -> bytes:
    return (PREFIXES + body).encode()


def test_numbers_are_canonicalised():
    """Engines disagree on whether "04" and "4" are the same integer, so one form leaves the intake."""
    read = read_installation(turtle('<h> a inst:Installation ; inst:frameOnNeutralEndedYear "+01996"^^xsd:integer .'), "text/turtle")
    assert read.document["frameOnNeutralEndedYear"] == 1996
    assert '"1996"^^' in serialize(read.graph, ox.RdfFormat.N_TRIPLES)


@pytest.mark.parametrize(
    "value",
    [
        '"x"^^xsd:boolean',
        '"one"^^xsd:integer',
        '"1.5"^^xsd:integer',
        '"١٩٩٦"^^xsd:integer',
        '"1_996"^^xsd:integer',
        '" 1996"^^xsd:integer',
        '"1996"^^<http://example.org/type>',
        '"1996"',
        '"1996"@en',
        "inst:indoors",
        "true",
        "1996.0",
        "1.996e3",
    ],
)
def test_what_is_no_integer(value: str):
    assert refused(turtle(f"<h> a inst:Installation ; inst:frameOnNeutralEndedYear {value} ."), "text/turtle")


@pytest.mark.parametrize("value", ['"NaN"', '"INF"', '"1,5"', '"1e3"', '"1_5"', '" 8"', '""', '"٨"'])
def test_what_is_no_decimal(value: str):
    """XML Schema 1.1 part 2, 3.3.3: digits with an optional sign and point, no exponent."""
    assert refused(turtle(f"<h> a inst:Installation ; inst:electrode <r> . <r> a inst:Rod ; inst:electrodeLengthFeet {value}^^xsd:decimal ."), "text/turtle")


@pytest.mark.parametrize("value", ['"TRUE"', '"yes"', '""', '" true"'])
def test_what_is_no_boolean(value: str):
    body = f"<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard ; inst:hasDisconnect {value}^^xsd:boolean ."
    assert refused(turtle(body), "text/turtle")


def test_unknown_property_in_turtle():
    found = problem(turtle("<h> a inst:Installation ; inst:ocupancy inst:one-family-dwelling ."), "text/turtle")
    assert (found.pointer, found.nearest) == ("/h", "occupancy")


def test_derived_properties_are_never_stated():
    body = "<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard ; inst:side inst:load-side ."
    assert problem(turtle(body), "text/turtle").pointer == "/p"


def test_completeness_of_a_derived_list_is_never_stated():
    body = "<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard ; inst:complete inst:incomingRun ."
    assert problem(turtle(body), "text/turtle").pointer == "/p"


@pytest.mark.parametrize("body", ["", "<a> a inst:Installation . <b> a inst:Installation ."])
def test_other_than_one_installation(body: str):
    assert "exactly one" in problem(turtle(body), "text/turtle").expected


def test_node_that_the_installation_does_not_reach():
    assert problem(turtle("<h> a inst:Installation . <lost> a inst:Panelboard ."), "text/turtle").pointer == "/lost"


def test_node_of_a_class_that_is_not_described_there():
    assert refused(turtle("<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Utility ."), "text/turtle")


@pytest.mark.parametrize("cls", ["inst:Equipment", "inst:DistributionEquipment", "<http://example.org/Panel>"])
def test_class_that_is_no_kind(cls: str):
    assert refused(turtle(f"<h> a inst:Installation ; inst:equipment <p> . <p> a {cls} ."), "text/turtle")


def test_node_of_two_kinds():
    assert refused(turtle("<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard , inst:Wireway ."), "text/turtle")


def test_two_values_of_an_attribute():
    assert refused(turtle("<h> a inst:Installation ; inst:occupancy inst:one-family-dwelling , inst:mobile-home ."), "text/turtle")


def test_part_that_contains_itself():
    assert refused(turtle("<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard ; inst:enclosure <p> ."), "text/turtle")


def test_part_that_two_own():
    shared = "<e> a inst:Enclosure . <p> a inst:Panelboard ; inst:enclosure <e> . <q> a inst:Panelboard ; inst:enclosure <e> ."
    assert refused(turtle(f"<h> a inst:Installation ; inst:equipment <p> , <q> . {shared}"), "text/turtle")


def test_no_other_graph():
    """A base that a client sets moves relative names out of ours; they stay names and nothing is fetched."""
    read = read_installation(turtle("@base <https://example.org/> . <h> a inst:Installation ."), "text/turtle")
    assert read.id == "https://example.org/h"


def test_too_many_triples():
    body = "<h> a inst:Installation .\n" + "\n".join(f"<h> inst:equipment <p{n}> ." for n in range(MOST_TRIPLES))
    assert refused(turtle(body), "text/turtle").status == 413


def test_too_long_a_text():
    assert refused(turtle(f'<h> a inst:Installation ; inst:title "{"x" * (LONGEST_TERM + 1)}" .'), "text/turtle")


def test_quoted_triples_are_refused():
    assert refused(turtle("<h> a inst:Installation ; inst:title <<( <a> <b> <c> )>> ."), "text/turtle")


def test_blank_parts_get_names():
    body = "<h> a inst:Installation ; inst:equipment <p> . <p> a inst:Panelboard ; inst:enclosure [ a inst:Enclosure ; inst:metal true ] ."
    read = read_installation(turtle(body), "text/turtle")
    assert read.document["equipment"][0]["enclosure"] == {"id": "p/enclosure", "kind": "Enclosure", "metal": True}
    assert all(not subject.startswith("_:") for subject in read.graph.subjects())


def test_equipment_without_a_name_is_refused():
    """A finding could not say what it is about."""
    assert problem(turtle("<h> a inst:Installation ; inst:equipment [ a inst:Panelboard ] ."), "text/turtle").pointer == "/equipment/0"


def test_many_problems_are_told_up_to_a_limit_and_soon():
    """Thousands of dangling references, each with thousands of ids to be compared with, must not keep the service busy."""
    equipment = [{"id": f"panel-{n}", "kind": "panelboard"} for n in range(4000)]
    runs = [{"id": f"run-{n}", "from": f"panle-{n}", "to": f"panle-{n + 1}"} for n in range(4000)]
    with pytest.raises(BadInput) as raised:
        read_document({"id": "h", "equipment": equipment, "runs": runs})
    assert len(raised.value.problems) == MOST_PROBLEMS
