"""Through the running service: formats, problems of every kind, negotiation, verifying, caps."""

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import httpx
import pyoxigraph as ox
import pytest

from faultpath.base.problems import BadInput
from faultpath.base.triples import serialize
from faultpath.document.installation import read_document
from faultpath.document.intake import MOST_BYTES
from faultpath.http.negotiation import choose
from faultpath.http.problems import HANDLERS, KINDS, TYPES
from faultpath.judging.reference import Difference
from faultpath.service import assessing
from faultpath.service.findings import FindingsQuestion, ask_findings
from faultpath.service.requests import read_question
from serving import EDITION, JSON, house, running

LD_JSON, TURTLE, TRIG, N_QUADS, N_TRIPLES = "application/ld+json", "text/turtle", "application/trig", "application/n-quads", "application/n-triples"
QUESTIONS = {
    "/v1/findings": {"edition": EDITION},
    "/v1/origin": {"edition": EDITION},
    "/v1/fault-loop": {"edition": EDITION},
    "/v1/open-neutral": {"edition": EDITION},
    "/v1/editions/comparison": {"editions": ["2017", EDITION]},
}


@pytest.fixture(scope="module")
def client() -> Iterator[httpx.Client]:
    with running() as found:
        yield found


def ask(client: httpx.Client, path: str = "/v1/findings", **request: Any) -> httpx.Response:
    return client.post(path, json={"installation": house(), **QUESTIONS[path], **request})


def problem(answer: httpx.Response, status: int, kind: str) -> dict[str, Any]:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body: dict[str, Any] = answer.json()
    assert body["type"] == TYPES + kind
    assert body["title"] == KINDS[kind][1]
    assert body["status"] == status
    assert body["problems"]
    for defect in body["problems"]:
        assert set(defect) == {"pointer", "found", "expected", "nearest"}
        assert defect["found"].endswith(".")
        assert defect["expected"].endswith(".")
    return body


# Answers


def test_findings_are_answered_with_record_caution_and_summary(client: httpx.Client) -> None:
    answer = ask(client)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == JSON
    assert answer.headers["vary"] == "Accept"
    body = answer.json()
    assert body["record"]["edition"] == EDITION
    assert body["record"]["installation"] == "alder-row-4"
    assert body["caution"]
    counted = {outcome: sum(f["outcome"] == outcome for f in body["findings"]) for outcome in ("holds", "fails", "undecided", "not_applicable")}
    assert counted == {outcome: body["summary"][outcome] for outcome in counted}
    assert any(f["rule"] == "range-and-dryer-frames-grounded" and f["about"] == "range-1" and f["outcome"] == "fails" for f in body["findings"])


def test_rules_and_about_narrow_the_findings_and_detail_widens_the_reasons(client: httpx.Client) -> None:
    narrowed = ask(client, rules=["range-and-dryer-frames-grounded"], about=["range-1"]).json()
    assert [(f["rule"], f["about"]) for f in narrowed["findings"]] == [("range-and-dryer-frames-grounded", "range-1")]
    assert all(f["why"] for f in ask(client, detail="all").json()["findings"])


@pytest.mark.parametrize(
    ("media", "form"), [(TURTLE, ox.RdfFormat.TURTLE), (TRIG, ox.RdfFormat.TRIG), (N_QUADS, ox.RdfFormat.N_QUADS), (LD_JSON, ox.RdfFormat.JSON_LD)]
)
def test_findings_can_be_had_as_rdf(client: httpx.Client, media: str, form: ox.RdfFormat) -> None:
    answer = client.post("/v1/findings", json={"installation": house(), "edition": EDITION}, headers={"Accept": media})
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == media
    types = {str(quad.object) for quad in ox.parse(answer.content, format=form) if quad.predicate.value.endswith("#type")}
    assert {"<http://www.w3.org/ns/shacl#ValidationReport>", "<http://www.w3.org/ns/earl#Assertion>"} <= types


@pytest.mark.parametrize("path", QUESTIONS)
@pytest.mark.parametrize(("media", "form"), [(TURTLE, ox.RdfFormat.TURTLE), (N_TRIPLES, ox.RdfFormat.N_TRIPLES)])
def test_an_installation_in_rdf_gets_the_same_answer_with_its_question_in_the_query(client: httpx.Client, path: str, media: str, form: ox.RdfFormat) -> None:
    body = serialize(read_document(house()).graph, form)
    query = {**QUESTIONS[path], "about": ["range-1", "panel"]}
    answer = client.post(path, content=body, params=query, headers={"Content-Type": media})
    assert answer.status_code == 200, answer.text
    found, expected = answer.json(), ask(client, path, about=["range-1", "panel"]).json()
    assert found["record"]["graph_digest"] == expected["record"]["graph_digest"]
    key = next(k for k in ("findings", "paths", "loops", "openings", "rows") if k in found)
    assert len(found[key]) == len(expected[key]) > 0


def test_the_normal_form_is_read_as_json_ld(client: httpx.Client) -> None:
    body = json.dumps(read_document(house()).document)
    answer = client.post("/v1/findings", content=body, params={"edition": EDITION, "detail": "all", "verify": "false"}, headers={"Content-Type": LD_JSON})
    assert answer.status_code == 200, answer.text
    assert answer.json()["summary"] == ask(client).json()["summary"]


def test_origin_names_the_path_from_the_source_on(client: httpx.Client) -> None:
    paths = ask(client, "/v1/origin", about=["range-1"]).json()["paths"]
    assert [path["about"] for path in paths] == ["range-1"]
    assert paths[0]["stages"][0]["id"] == "utility"


def test_the_comparison_answers_oldest_first(client: httpx.Client) -> None:
    body = ask(client, "/v1/editions/comparison", editions=["2023", "2017"]).json()
    assert body["editions"] == ["2017", "2023"]
    assert body["rows"]


def test_the_book_is_served(client: httpx.Client) -> None:
    rules = client.get("/v1/rules").json()["rules"]
    key = rules[0]["key"]
    rule = client.get(f"/v1/rules/{key}").json()
    assert rule["key"] == key
    edition = rule["citations"][-1]["edition"]
    assert client.get(f"/v1/rules/{key}/{edition}").json()["requirement"]["parts"]
    assert EDITION in [e["edition"] for e in client.get("/v1/editions").json()["editions"]]
    assert client.get("/v1/tables/equipment-grounding-conductor-sizes").json()["dated"]


def test_the_schema_the_context_and_the_ontology_are_served(client: httpx.Client) -> None:
    schema = client.get("/v1/schema/installation")
    assert schema.headers["content-type"] == "application/schema+json"
    assert "runs" in schema.json()["properties"]
    for path in ("/context.jsonld", "/v1/context.jsonld"):
        context = client.get(path)
        assert context.headers["content-type"] == LD_JSON
        assert "@vocab" in context.json()["@context"]
    for path, term in (("/installation", "https://w3id.org/faultpath/installation#Run"), ("/rulebook", "https://w3id.org/faultpath/rulebook#Rule")):
        for accept, form in ((TURTLE, ox.RdfFormat.TURTLE), (N_TRIPLES, ox.RdfFormat.N_TRIPLES)):
            terms = client.get(path, headers={"Accept": accept})
            assert terms.headers["content-type"].partition(";")[0] == accept
            assert ox.NamedNode(term) in {quad.subject for quad in ox.parse(terms.content, format=form)}
    assert "owl:Ontology" in client.get("/ontology/sizes.ttl").text
    assert problem(client.get("/ontology/size.ttl"), 404, "not-found")["problems"][0]["nearest"] == "sizes"


def test_operations_are_answered_and_head_is_get_without_the_body(client: httpx.Client) -> None:
    assert client.get("/healthz").json() == {"healthy": True}
    assert client.get("/readyz").json()["ready"] is True
    assert client.get("/version").json()["book_digest"] == ask(client).json()["record"]["book_digest"]
    head = client.head("/v1/rules")
    assert head.status_code == 200
    assert head.content == b""
    assert int(head.headers["content-length"]) > 100


def test_the_docs_page_needs_nothing_from_elsewhere_and_runs_nothing(client: httpx.Client) -> None:
    page = client.get("/docs")
    assert page.status_code == 200
    policy = page.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy
    assert "<script" not in page.text
    assert 'src="' not in page.text
    assert "/v1/editions/comparison" in page.text
    assert client.get("/v1/rules").headers["x-content-type-options"] == "nosniff"


# Problems


def test_a_defect_of_the_installation_is_pointed_at_inside_the_request(client: httpx.Client) -> None:
    bad = house()
    bad["runs"][0]["conductors"][0]["sise"] = "2 AWG"
    defect = problem(ask(client, installation=bad), 422, "bad-installation")["problems"][0]
    assert defect["pointer"] == "/installation/runs/0/conductors/0/sise"
    assert defect["nearest"] == "size"
    body = problem(client.post("/v1/findings", json={"installation": [], "edition": EDITION}), 422, "bad-request")
    assert body["problems"][0]["pointer"] == "/installation"


def test_every_defect_of_a_request_is_told_at_once(client: httpx.Client) -> None:
    answer = client.post("/v1/findings", json={"edition": 2020, "rulez": [], "verify": "yes", "detail": "al"})
    body = problem(answer, 422, "bad-request")
    found = {defect["pointer"]: defect for defect in body["problems"]}
    assert set(found) == {"", "/edition", "/rulez", "/verify", "/detail"}
    assert found["/edition"]["nearest"] == '"2020"'
    assert found["/rulez"]["nearest"] == "rules"
    assert found["/detail"]["nearest"] == "all"
    assert body["instance"] == "/v1/findings"


@pytest.mark.parametrize(("path", "given", "pointer", "nearest"), [
    ("/v1/findings", {"edition": "2021"}, "/edition", "2020"),
    ("/v1/findings", {"edition": "2O23"}, "/edition", "2023"),
    ("/v1/findings", {"edition": "²"}, "/edition", None),
    ("/v1/origin", {"edition": "9" * 30}, "/edition", None),
    ("/v1/editions/comparison", {"editions": ["2020", "2024"]}, "/editions/1", "2023"),
])  # fmt: skip
def test_an_unknown_edition_is_refused_with_the_nearest(client: httpx.Client, path: str, given: dict[str, Any], pointer: str, nearest: str | None) -> None:
    defect = problem(ask(client, path, **given), 422, "unknown-edition")["problems"][0]
    assert (defect["pointer"], defect["nearest"]) == (pointer, nearest)


@pytest.mark.parametrize(("path", "given", "pointer"), [
    ("/v1/findings", {"rules": ["range-and-dryer-frame-grounded"]}, "/rules/0"),
    ("/v1/findings", {"about": ["panel", "pannel"]}, "/about/1"),
    ("/v1/origin", {"about": ["pannel"]}, "/about/0"),
    ("/v1/editions/comparison", {"about": ["pannel"]}, "/about/0"),
    ("/v1/editions/comparison", {"editions": ["2020"]}, "/editions"),
    ("/v1/editions/comparison", {"editions": ["2020", "2020"]}, "/editions/1"),
])  # fmt: skip
def test_what_is_asked_about_must_exist(client: httpx.Client, path: str, given: dict[str, Any], pointer: str) -> None:
    assert problem(ask(client, path, **given), 422, "bad-request")["problems"][0]["pointer"] == pointer


def test_a_place_and_a_date_choose_the_edition(client: httpx.Client) -> None:
    """Massachusetts: the 2023 edition since 2023-03-01 (state notices)."""
    for path in ("/v1/findings", "/v1/origin"):
        answer = client.post(path, json={"installation": house(), "place": "us-ma", "date": "2024-01-15"})
        record = answer.json()["record"]
        assert (record["edition"], record["place"]) == ("2023", "us-ma")
        assert "Massachusetts" in record["chosen_by"]
    named = ask(client, "/v1/findings", place="us-ma").json()["record"]
    assert (named["edition"], named["place"], named["chosen_by"]) == (EDITION, "us-ma", None)


def test_what_does_not_settle_the_edition_is_answered_for_each_candidate(client: httpx.Client) -> None:
    """North Carolina kept one- and two-family dwellings on 2017 when others went to 2020 (ncbeec.org)."""
    body = {"installation": {**house(), "occupancy": "one-family-dwelling"}, "place": "us-nc", "date": "2022-05-01"}
    assert client.post("/v1/findings", json=body).json()["record"]["edition"] == "2017"
    unknown = {key: value for key, value in house().items() if key != "occupancy"}
    found = client.post("/v1/findings", json={**body, "installation": unknown}).json()
    assert [c["edition"] for c in found["candidates"]] == ["2017", "2020"]
    assert found["asks"]
    assert all(c["answer"]["findings"] for c in found["candidates"])
    told = client.post("/v1/findings", json={**body, "installation": unknown, "occupancy": "other-occupancy"}).json()
    assert told["record"]["edition"] == "2020"
    refused = client.post("/v1/findings", json={**body, "installation": unknown}, headers={"Accept": "text/turtle"})
    assert "2017, 2020" in problem(refused, 422, "bad-request")["problems"][0]["expected"]


@pytest.mark.parametrize(
    ("asked", "pointer", "kind", "hint"),
    [
        ({"place": "us-nz"}, "/place", "unknown-place", "GET /v1/places"),
        ({}, "/edition", "bad-request", "a place and a date"),
        ({"place": "us-ma", "date": "2024-13-01"}, "/date", "bad-request", ""),
        ({"place": "us-ma", "date": "2024-01-15", "occupancy": "castle"}, "/occupancy", "bad-request", "one-family-dwelling"),
        ({"edition": "2020", "practices": ["as-we-always-did"]}, "/practices/0", "bad-request", "practices"),
    ],
)
def test_a_law_that_cannot_be_found_is_a_problem(client: httpx.Client, asked: dict[str, Any], pointer: str, kind: str, hint: str) -> None:
    defect = problem(client.post("/v1/findings", json={"installation": house(), **asked}), 422, kind)["problems"][0]
    assert defect["pointer"] == pointer
    assert hint in f"{defect['expected']} {defect['nearest']}"


def test_places_are_listed_and_shown(client: httpx.Client) -> None:
    listed = client.get("/v1/places").json()["places"]
    assert {"us-nc", "us-ma", "us-ca-san-francisco"} <= {place["key"] for place in listed}
    shown = client.get("/v1/places/us-ca-san-francisco").json()
    assert shown["within"] == ["us-ca"]
    assert shown["adoptions"]
    problem(client.get("/v1/places/us-xx"), 404, "not-found")
    assert client.get("/v1/practices").status_code == 200


def test_a_rule_compares_any_two_editions(client: httpx.Client) -> None:
    key = "range-and-dryer-frames-grounded"
    found = client.get(f"/v1/rules/{key}", params={"earlier": "2011", "later": "2023"}).json()["difference"]
    assert found["added"]
    assert found["unchanged"]
    assert set(found["added"]).isdisjoint(found["dropped"])
    assert client.get(f"/v1/rules/{key}").json()["difference"] is None
    assert problem(client.get(f"/v1/rules/{key}", params={"later": "2023"}), 422, "bad-request")["problems"][0]["pointer"] == "/earlier"
    problem(client.get(f"/v1/rules/{key}", params={"earlier": "2026", "later": "2023"}), 404, "not-found")


def test_a_question_in_the_wrong_place_is_refused_not_ignored(client: httpx.Client) -> None:
    body = {"installation": house(), "edition": EDITION}
    assert problem(client.post("/v1/findings?edition=2017", json=body), 422, "bad-request")["problems"][0]["pointer"] == "/edition"
    headers = {"Content-Type": TURTLE}
    for query, pointer in (("edition=2020&edition=2023", "/edition"), ("edition=2020&rule=x", "/rule"), ("edition=2020&verify=maybe", "/verify")):
        answer = client.post(f"/v1/findings?{query}", content=b"", headers=headers)
        assert problem(answer, 422, "bad-request")["problems"][0]["pointer"] == pointer


@pytest.mark.parametrize("body", [
    b"", b"{", b"{'a': 1}", b"\xff\xfe", b'{"edition": "2020", "edition": "2023"}', b'{"edition": NaN}', b"[" * 50_000, b'{"a":' * 50_000, b"1" * 5_000,
])  # fmt: skip
@pytest.mark.parametrize("media", [JSON, LD_JSON])
def test_unreadable_json_is_a_problem_and_never_a_fault(client: httpx.Client, body: bytes, media: str) -> None:
    problem(client.post("/v1/findings?" + ("edition=2020" if media == LD_JSON else ""), content=body, headers={"Content-Type": media}), 400, "unreadable")


@pytest.mark.parametrize(
    "body", [b"null", b"7", b'"text"', b"[]", b'{"edition": "\\ud800"}', b'{"\\ud800": 1}', b'{"installation": {"\\ud800": 1}, "edition": "2020"}']
)
def test_json_that_is_no_request_is_a_problem(client: httpx.Client, body: bytes) -> None:
    answer = client.post("/v1/findings", content=body, headers={"Content-Type": JSON})
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"


def test_unreadable_turtle_is_a_problem(client: httpx.Client) -> None:
    answer = client.post("/v1/findings?edition=2020", content=b"<a> <b>", headers={"Content-Type": TURTLE})
    problem(answer, 400, "unreadable")


@pytest.mark.parametrize("headers", [
    {"Content-Type": "application/rdf+xml"},
    {"Content-Type": "application/x-www-form-urlencoded"},
    {"Content-Type": "text/json"},
    {"Content-Type": "application/json; charset=utf-16"},
    {"Content-Type": JSON, "Content-Encoding": "gzip"},
    {},
])  # fmt: skip
def test_other_media_types_are_refused_naming_what_is_read(client: httpx.Client, headers: dict[str, str]) -> None:
    problem(client.post("/v1/findings", content=b"<rdf/>", headers=headers), 415, "unsupported-media-type")
    if not headers or "rdf" in headers["Content-Type"]:
        assert TURTLE in client.post("/v1/findings", content=b"<rdf/>", headers=headers).json()["detail"]


def test_a_large_body_is_refused_whatever_its_stated_length(client: httpx.Client) -> None:
    large = b'{"a": "' + b"x" * MOST_BYTES + b'"}'
    problem(client.post("/v1/findings", content=large, headers={"Content-Type": JSON}), 413, "too-large")

    def chunks() -> Iterator[bytes]:
        for start in range(0, len(large), 65_536):
            yield large[start : start + 65_536]

    problem(client.post("/v1/findings", content=chunks(), headers={"Content-Type": JSON}), 413, "too-large")


def test_what_is_not_there_is_a_problem_that_names_what_is(client: httpx.Client) -> None:
    assert problem(client.get("/v1/finding"), 404, "not-found")["problems"][0]["nearest"] == "/v1/findings"
    assert problem(client.get("/v1/rules/range-and-dryer-frame-grounded"), 404, "not-found")["problems"][0]["nearest"] == "range-and-dryer-frames-grounded"
    for edition in ("2021", "²", "x", "1" * 5_000):
        problem(client.get(f"/v1/rules/range-and-dryer-frames-grounded/{edition}"), 404, "not-found")
    problem(client.get("/v1/rules/nothing/2020"), 404, "not-found")
    problem(client.get("/v1/tables/nothing"), 404, "not-found")


def test_other_methods_are_refused_with_those_allowed(client: httpx.Client) -> None:
    for method, path, allowed in (("GET", "/v1/findings", "POST"), ("DELETE", "/v1/rules", "GET"), ("PUT", "/docs", "GET")):
        answer = client.request(method, path)
        problem(answer, 405, "method-not-allowed")
        assert answer.headers["allow"] == allowed


def test_formats_that_cannot_be_had_are_refused_on_every_route(client: httpx.Client) -> None:
    accept = {"Accept": "text/csv, application/json;q=0"}
    for path, question in QUESTIONS.items():
        assert JSON in problem(client.post(path, json={"installation": house(), **question}, headers=accept), 406, "not-acceptable")["detail"]
    for path in ("/v1/rules", "/v1/editions", "/v1/rules/x", "/v1/rules/x/2020", "/v1/tables/x", "/v1/schema/installation", "/context.jsonld", "/installation"):
        problem(client.get(path, headers=accept), 406, "not-acceptable")


def test_a_fault_of_ours_is_a_problem_without_its_text(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any) -> None:
        raise RuntimeError("a secret path")

    monkeypatch.setattr(assessing, "assess_request", broken)
    answer = ask(client)
    problem(answer, 500, "internal")
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["connection"] == "close"


def test_the_table_of_problems_is_whole() -> None:
    assert {status for status, _ in KINDS.values()} == {400, 404, 405, 406, 413, 415, 422, 500, 503}
    assert BadInput in HANDLERS
    assert Exception in HANDLERS


# Pictures


@pytest.mark.parametrize("path", ["/v1/fault-loop", "/v1/open-neutral"])
def test_currents_can_be_had_as_a_picture_that_does_not_change(client: httpx.Client, path: str) -> None:
    body = {"installation": house(), "edition": EDITION, "about": ["panel"]}
    answers = [client.post(path, json=body, headers={"Accept": "image/svg+xml"}) for _ in range(2)]
    assert {answer.status_code for answer in answers} == {200}
    assert answers[0].headers["content-type"] == "image/svg+xml"
    assert answers[0].content == answers[1].content
    assert answers[0].text.startswith("<svg ")


def test_the_criterion_of_lengths_is_checked_and_can_stand_in_a_query(client: httpx.Client) -> None:
    for wrong in ({"multiple": 0}, {"arc_volts": -1}, {"multiple": "much"}, {"by_length": 1}, {"length": 3}):
        body = {"installation": house(), "edition": EDITION, **wrong}
        assert problem(client.post("/v1/fault-loop", json=body), 422, "bad-request")["problems"][0]["pointer"] == f"/{next(iter(wrong))}"
    query = {"edition": EDITION, "multiple": 5, "arc_volts": 50, "about": "panel"}
    answer = client.post("/v1/fault-loop", content=serialize(read_document(house()).graph, ox.RdfFormat.TURTLE), params=query, headers={"Content-Type": TURTLE})
    assert [limit["least"] for limit in answer.json()["criterion"]] == [5, 50]
    for path, about in (("/v1/fault-loop", "rod"), ("/v1/open-neutral", "utility"), ("/v1/fault-loop", "pannel")):
        body = {"installation": house(), "edition": EDITION, "about": [about]}
        assert problem(client.post(path, json=body), 422, "bad-request")["problems"][0]["pointer"] == "/about/0"


# Verifying


def test_verified_findings_say_so(client: httpx.Client) -> None:
    assert ask(client).json()["verified"] is None
    answer = ask(client, verify=True)
    assert answer.status_code == 200, answer.text
    assert answer.json()["verified"] is True


@pytest.mark.parametrize("accept", [JSON, TURTLE])
def test_where_the_engines_differ_there_is_no_answer(client: httpx.Client, monkeypatch: pytest.MonkeyPatch, accept: str) -> None:
    difference = Difference("https://example.org/text", "https://example.org/node", "holds", "fails")
    other = replace(difference, node="https://example.org/other")
    monkeypatch.setattr("faultpath.judging.reference.differences", lambda _: (difference, other))
    answer = client.post("/v1/findings", json={"installation": house(), "edition": EDITION, "verify": True}, headers={"Accept": accept})
    body = problem(answer, 500, "engines-differ")
    assert len(body["problems"]) == 2
    assert "https://example.org/node" in body["problems"][0]["found"]
    with pytest.raises(assessing.EnginesDiffer):
        ask_findings(read_document(house()), read_question(FindingsQuestion, {"edition": EDITION, "verify": True}))


# Negotiation


@pytest.mark.parametrize(("accept", "chosen"), [
    (None, JSON),
    ("", JSON),
    ("*/*", JSON),
    ("application/*", JSON),
    ("text/*", TURTLE),
    ("text/turtle", TURTLE),
    ("TEXT/Turtle; charset=utf-8", TURTLE),
    ("text/turtle;q=0.5, application/json;q=0.4", TURTLE),
    ("text/turtle;q=0.5, application/json;q=0.5", JSON),
    ("application/json;q=0, */*", TURTLE),
    ("text/*;q=0.9, text/turtle;q=0.1, application/json;q=0.2", JSON),
    ("nonsense, text/turtle", TURTLE),
    ("text/html, */*;q=0.1", JSON),
])  # fmt: skip
def test_the_best_liked_format_is_chosen(accept: str | None, chosen: str) -> None:
    assert choose(accept, (JSON, TURTLE)) == chosen


@pytest.mark.parametrize("accept", ["text/html", "application/json;q=0", "*/*;q=0", "application/json;q=high", "application/json;q=nan", "json", "*/json"])
def test_no_format_is_better_than_one_not_asked_for(accept: str) -> None:
    with pytest.raises(BadInput) as caught:
        choose(accept, (JSON, TURTLE))
    assert caught.value.status == 406
