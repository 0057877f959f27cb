"""What-if and remedies as clients meet them: over HTTP and on the command line, with one and the same body."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from serving import JSON, ROOT, running

BEFORE = json.loads((ROOT / "examples" / "alder-row-before.json").read_text())
CHANGE = json.loads((ROOT / "examples" / "alder-row-change.json").read_text())
ASKED = {"installation": BEFORE, "change": CHANGE, "edition": "2020"}


@pytest.fixture(scope="module")
def client() -> Iterator[httpx.Client]:
    with running() as service:
        yield service


def command(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "faultpath", *words], cwd=ROOT, env={"PYTHONPATH": "api"}, capture_output=True, text=True, check=False)


def without_record(body: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in body.items() if key != "record"}


def test_what_if_is_answered(client: httpx.Client) -> None:
    answer = client.post("/v1/what-if", json=ASKED | {"document": True})
    assert answer.status_code == 200
    body = answer.json()
    assert [(c["rule"], c["about"]) for c in body["starts_failing"]] == [("range-and-dryer-frames-grounded", "range-1")]
    assert body["document"]["id"] == "alder-row-4"
    again = client.post("/v1/findings", json={"installation": body["document"], "edition": "2020"}).json()
    assert again["summary"] == body["after"]


def test_remedies_are_answered(client: httpx.Client) -> None:
    body = client.post("/v1/remedies", json=ASKED | {"limit": 2}).json()
    assert len(body["plans"]) == 2
    steps = body["plans"][0]["steps"]
    done = client.post("/v1/what-if", json={"installation": BEFORE, "change": [*CHANGE, *steps], "edition": "2020"}).json()
    assert done["after"] == body["plans"][0]["summary"]


def test_an_installation_in_turtle_takes_its_change_from_the_query_string(client: httpx.Client) -> None:
    turtle = client.post("/v1/findings", json={"installation": BEFORE, "edition": "2020"}, headers={"Accept": "text/turtle"})
    assert turtle.status_code == 200
    ntriples = "<https://w3id.org/faultpath/node/h> <http://www.w3.org/1999/02/22-rdf-syntax-ns#type> <https://w3id.org/faultpath/installation#Installation> ."
    query = {"edition": "2020", "change": json.dumps({"work": "add-building", "id": "garage"})}
    answer = client.post("/v1/what-if", content=ntriples, params=query, headers={"Content-Type": "application/n-triples"})
    assert answer.json()["work"] == ["Add the building garage."]
    bad = client.post("/v1/what-if", content=ntriples, params=query | {"change": "{"}, headers={"Content-Type": "application/n-triples"})
    assert bad.json()["problems"][0]["pointer"] == "/change/0"


@pytest.mark.parametrize(
    ("request_", "kind", "where"),
    [
        (ASKED | {"change": [{"work": "remove-bond", "bond": "panel-scew"}]}, "bad-change", "/change/0/bond"),
        (ASKED | {"change": [{**CHANGE[0], "between": ["meter", "range-1"]}]}, "bad-change", "/change/0/between"),
        (ASKED | {"change": {"work": "remove-bond"}}, "bad-request", "/change"),
        ({key: value for key, value in ASKED.items() if key != "change"}, "bad-request", ""),
        (ASKED | {"about": ["nobody"]}, "bad-request", "/about/0"),
        (ASKED | {"rules": ["no-such-rule"]}, "bad-request", "/rules/0"),
    ],
)
def test_bad_questions_are_problem_documents(client: httpx.Client, request_: dict[str, Any], kind: str, where: str) -> None:
    answer = client.post("/v1/what-if", json=request_)
    assert answer.status_code == 422
    problem = answer.json()
    assert problem["type"].endswith("/" + kind)
    assert problem["problems"][0]["pointer"] == where


def test_the_schema_of_planned_work_is_served(client: httpx.Client) -> None:
    answer = client.get("/v1/schema/change")
    assert answer.headers["content-type"] == "application/schema+json"
    assert answer.json()["type"] == "array"


def test_the_command_line_prints_the_body_of_http(client: httpx.Client) -> None:
    for name, path in (("what-if", "/v1/what-if"), ("remedies", "/v1/remedies")):
        done = command(name, "examples/alder-row-before.json", "--change", "examples/alder-row-change.json", "--edition", "2020", "--json")
        assert done.returncode == 1, done.stderr
        assert without_record(json.loads(done.stdout)) == without_record(client.post(path, json=ASKED).json())


def test_the_command_line_says_it_in_words_and_writes_the_document(tmp_path: Path) -> None:
    target = tmp_path / "after.json"
    words = ("examples/alder-row-before.json", "--change", "examples/alder-row-change.json", "--edition", "2020")
    done = command("what-if", *words, "--write", str(target))
    assert "panel is now feeder-supplied equipment, because outdoor-main is designated service disconnect." in " ".join(done.stdout.split())
    assert command("findings", str(target), "--edition", "2020").returncode == 1
    plans = command("remedies", *words)
    assert "Plan 1 (within an enclosure):" in plans.stdout
    assert plans.returncode == 1


def test_the_command_line_names_the_step_that_does_not_fit(tmp_path: Path) -> None:
    change = tmp_path / "change.json"
    change.write_text(json.dumps([{"work": "remove-bond", "bond": "panel-scew"}]))
    done = command("what-if", "examples/alder-row-before.json", "--change", str(change), "--edition", "2020")
    assert done.returncode == 2
    assert done.stderr.startswith("At /change/0/bond: ")
    assert command("remedies", "examples/alder-row-before.json", "--change", str(tmp_path / "none.json"), "--edition", "2020").returncode == 2


def test_media(client: httpx.Client) -> None:
    assert client.post("/v1/remedies", json=ASKED, headers={"Accept": "text/turtle"}).status_code == 406
    assert client.post("/v1/what-if", content="x", headers={"Content-Type": "text/plain"}).status_code == 415
    assert client.post("/v1/what-if", json=ASKED).headers["content-type"] == JSON
