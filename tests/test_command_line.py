"""The command line as people and scripts meet it: exit codes, output, problems in plain sentences."""

import json
import os
import re
import resource
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest

from faultpath import __main__ as command_line
from faultpath.base.triples import serialize
from faultpath.document.installation import read_document
from faultpath.document.intake import MOST_BYTES
from faultpath.judging.reference import Difference
from serving import EDITION, HOUSE_FILE, ROOT, house

ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT / "api"), "NO_COLOR": "1"}
HOUSE = str(HOUSE_FILE)
RULE = "range-and-dryer-frames-grounded"


def run(*arguments: str, data: bytes = b"", code: int | None = None) -> subprocess.CompletedProcess[str]:
    done = subprocess.run([sys.executable, "-m", "faultpath", *arguments], input=data, capture_output=True, env=ENVIRONMENT, check=False)
    found = subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())
    assert "Traceback" not in found.stderr
    if code is not None:
        assert found.returncode == code, found.stdout + found.stderr
    return found


def with_neutral(**differently: Any) -> dict[str, Any]:
    """The house with something else said of the neutral of its range cable."""
    document = house()
    cable = next(run for run in document["runs"] if run["id"] == "range-cable")
    cable["conductors"][1].update(differently)
    return document


def test_something_fails() -> None:
    done = run("findings", HOUSE, "--edition", EDITION, code=1)
    assert f"[FAIL] {RULE}: range-1" in done.stdout
    assert "[FAIL] The neutral is bare." in done.stdout
    assert "Remedies:" in done.stdout
    assert done.stdout.count("An aid to reading the code") == 1
    assert done.stderr == ""


def test_output_is_plain_and_narrow_in_a_pipe() -> None:
    done = run("findings", HOUSE, "--edition", EDITION, "--detail", "all")
    assert "\x1b" not in done.stdout
    assert not re.search("[\u2500-\u257f]", done.stdout)
    *_, prose = done.stdout.partition(" fail, ")  # what follows the table, whose keys are never cut
    assert max(map(len, prose.splitlines())) <= 100
    assert max(map(len, done.stdout.splitlines())) <= 130


def test_nothing_fails() -> None:
    document: dict[str, Any] = {"id": "empty", "kind": "Installation", "sources": [], "equipment": [], "runs": []}
    done = run("findings", "-", "--edition", EDITION, data=json.dumps(document).encode(), code=0)
    assert "0 fail" in done.stdout


def test_undecided_only_is_told_as_questions_and_never_as_fine() -> None:
    document = house()
    cable = next(run for run in document["runs"] if run["id"] == "range-cable")
    del cable["conductors"]
    done = run("findings", "-", "--edition", EDITION, "--rule", RULE, data=json.dumps(document).encode(), code=3)
    assert f"[?] {RULE}: range-1" in done.stdout
    assert "To be found out on site:" in done.stdout
    assert "cannot be told yet" in done.stdout


@pytest.mark.parametrize(("arguments", "told"), [
    (("findings", HOUSE, "--edition", "2021"), "At /edition: '2021' is not an edition of the book."),
    (("findings", HOUSE), "Nothing says which edition to judge by."),
    (("findings", HOUSE, "--edition", EDITION, "--bogus"), "--bogus"),
    (("findings", HOUSE, "--edition", EDITION, "--detail", "some"), "'some'"),
    (("findings", HOUSE, "--edition", EDITION, "--rule", "range-and-dryer-frame-grounded"), f"Nearest: {RULE}."),
    (("findings", HOUSE, "--edition", EDITION, "--about", "pannel"), "Nearest: panel."),
    (("findings", HOUSE, "--edition", EDITION, "--json", "--format", "trig"), "Both --json and --format"),
    (("findings", HOUSE, "--edition", EDITION, "--media", "application/rdf+xml"), "application/rdf+xml is not read."),
    (("findings", "no-such-file.json", "--edition", EDITION), "cannot be read: No such file"),
    (("findings", str(ROOT), "--edition", EDITION, "--media", "application/json"), "cannot be read"),
    (("findings", str(ROOT / "pyproject.toml"), "--edition", EDITION), "does not end like a file that is read"),
    (("origin", HOUSE, "--edition", EDITION, "--about", "pannel"), "Nearest: panel."),
    (("compare", HOUSE, "--editions", EDITION), "There is one law to look at."),
    (("compare", HOUSE, "--editions", "2020,2024"), "At /editions/1: '2024' is not an edition of the book."),
    (("rules", "nothing"), "No rule has the key 'nothing'."),
    (("rules", RULE, "--edition", "x"), "is not an edition of the book."),
    (("rules", "--edition", EDITION), "Expected the key of a rule"),
    (("unknown",), "unknown"),
    (("serve", "--port", "99999"), "--port"),
])  # fmt: skip
def test_bad_input_is_told_in_plain_sentences(arguments: tuple[str, ...], told: str) -> None:
    done = run(*arguments, code=2)
    assert told in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize("data", [b"", b"{", b"\xff", b"[" * 100_000, b'{"id": "a", "id": "b"}', b" " * (MOST_BYTES + 1), b'{"id": "x", "\\u001b[31m": 1}'])
def test_hostile_input_is_bad_input(data: bytes) -> None:
    done = run("findings", "-", "--edition", EDITION, data=data, code=2)
    assert done.stderr
    assert "\x1b" not in done.stderr


def test_problems_say_where_what_and_the_nearest() -> None:
    document = with_neutral(sise="2 AWG")
    done = run("findings", "-", "--edition", EDITION, data=json.dumps(document).encode(), code=2)
    assert done.stderr.startswith("At /runs/3/conductors/1/sise: The key 'sise' is not defined here. Expected one of: ")
    assert done.stderr.endswith("Nearest: size.\n")


def test_json_is_the_body_that_http_would_send() -> None:
    body = json.loads(run("findings", HOUSE, "--edition", EDITION, "--json", code=1).stdout)
    assert list(body) == ["record", "caution", "summary", "open_lists", "findings", "derivations", "verified"]
    assert list(json.loads(run("rules", "--json", code=0).stdout)) == ["rules"]
    assert list(json.loads(run("editions", "--json", code=0).stdout)) == ["editions"]
    assert json.loads(run("rules", RULE, "--json", code=0).stdout)["key"] == RULE
    assert json.loads(run("rules", RULE, "--edition", EDITION, "--json", code=0).stdout)["edition"] == EDITION
    assert list(json.loads(run("version", "--json", code=0).stdout)) == ["software", "book_digest"]
    assert json.loads(run("compare", HOUSE, "--editions", "2017,2020", "--json").stdout)["editions"] == ["2017", "2020"]
    assert json.loads(run("origin", HOUSE, "--edition", EDITION, "--json").stdout)["paths"]


def test_verified_findings_say_so() -> None:
    done = run("findings", HOUSE, "--edition", EDITION, "--verify", code=1)
    assert "The reference engine agrees." in done.stdout


def test_where_the_engines_differ_there_is_no_answer(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("faultpath.judging.reference.differences", lambda _: (Difference("text", "node", "holds", "fails"),))
    monkeypatch.setattr(sys, "argv", ["faultpath", "findings", HOUSE, "--edition", EDITION, "--verify"])
    with pytest.raises(SystemExit) as ended:
        command_line.main()
    assert ended.value.code == 4
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "The two engines differ" in captured.err


def test_a_fault_of_ours_shows_no_traceback(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def broken(*_: Any) -> None:
        raise RuntimeError("inside")

    monkeypatch.setattr("faultpath.cli.findings.ask_findings", broken)
    monkeypatch.setattr(sys, "argv", ["faultpath", "findings", HOUSE, "--edition", EDITION])
    with pytest.raises(SystemExit) as ended:
        command_line.main()
    assert ended.value.code == 4
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(("form", "start"), [("turtle", "@prefix"), ("trig", "@prefix"), ("n-quads", "<"), ("json-ld", "[")])
def test_findings_can_be_printed_as_rdf(form: str, start: str) -> None:
    printed = run("findings", HOUSE, "--edition", EDITION, "--format", form, code=1).stdout
    assert printed.startswith(start) or (form == "json-ld" and printed.startswith("{"))


def test_the_suffix_or_the_option_says_what_a_file_is(tmp_path: Path) -> None:
    import pyoxigraph as ox

    installation = read_document(house())
    for name, text in (
        ("house.ttl", serialize(installation.graph, ox.RdfFormat.TURTLE)),
        ("house.nt", serialize(installation.graph, ox.RdfFormat.N_TRIPLES)),
        ("house.jsonld", json.dumps(installation.document)),
    ):
        (tmp_path / name).write_text(text)
        run("findings", str(tmp_path / name), "--edition", EDITION, "--rule", RULE, code=1)
    (tmp_path / "house.txt").write_text(HOUSE_FILE.read_text())
    run("findings", str(tmp_path / "house.txt"), "--media", "application/json", "--edition", EDITION, "--rule", RULE, code=1)


def test_origin_compare_and_the_book_are_printed() -> None:
    origin = run("origin", HOUSE, "--edition", EDITION, "--about", "range-1", code=0)
    assert origin.stdout.index("utility") < origin.stdout.index("outdoor-main") < origin.stdout.index("range-outlet")
    compared = run("compare", HOUSE, "--editions", "2017,2020,2023", code=1)
    assert "[FAIL]" in compared.stdout
    assert "from 2020 to 2023" in compared.stdout
    assert RULE in run("rules", code=0).stdout
    assert "Remedies:" in run("rules", RULE, code=0).stdout
    assert "The neutral is insulated" in run("rules", RULE, "--edition", EDITION, code=0).stdout
    assert "2023" in run("editions", code=0).stdout
    assert run("version", code=0).stdout.startswith("faultpath ")


def test_no_column_of_a_wide_comparison_is_cut_off() -> None:
    editions = "2008,2011,2014,2017,2020,2023"
    compared = run("compare", HOUSE, "--editions", editions, "--place", "us-ma", code=1).stdout.splitlines()
    row = next(line for line in compared if line.startswith(f"{RULE} ") and "[" in line)
    assert len(re.findall(r"\[.+?\]", row)) == 2 * len(editions.split(","))


def test_currents_are_printed_and_drawn(tmp_path: Path) -> None:
    picture = tmp_path / "out.svg"
    done = run("fault-loop", HOUSE, "--edition", EDITION, "--about", "panel", "--plot", str(picture), code=0)
    assert "[ok] panel" in done.stdout
    assert "With a rod in place of that path" in done.stdout
    assert "Assumed, because not stated:" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 110
    assert picture.read_text().startswith("<svg ")
    assert json.loads(run("fault-loop", HOUSE, "--edition", EDITION, "--json", code=3).stdout)["loops"]
    opened = run("open-neutral", HOUSE, "--edition", EDITION, "--about", "range-1", code=3)
    assert "What does this equipment draw" in opened.stdout
    assert json.loads(run("open-neutral", HOUSE, "--edition", EDITION, "--json", code=3).stdout)["openings"]
    unwritable = run("open-neutral", HOUSE, "--edition", EDITION, "--plot", str(tmp_path / "no" / "out.svg"), code=2)
    assert "cannot be written" in unwritable.stderr


@pytest.mark.parametrize(("name", "start"), [("report.html", b"<!doctype html>"), ("report.PDF", b"%PDF-1.7"), ("report.svg", b"<svg")])
def test_a_report_is_written_as_its_suffix_says(tmp_path: Path, name: str, start: bytes) -> None:
    done = run("report", HOUSE, "--edition", EDITION, "-o", str(tmp_path / name), code=1)
    assert (done.stdout, done.stderr) == ("", "")
    assert (tmp_path / name).read_bytes().startswith(start)


def test_a_notice_is_drafted_as_its_suffix_says_or_printed(tmp_path: Path) -> None:
    printed = json.loads(run("notice", HOUSE, "--edition", EDITION, code=1).stdout)
    assert printed["draft"] is True
    for name, start in (("n.html", "<!doctype html>"), ("n.csv", "number,rule,"), ("n.json", "{"), ("n.pdf", "%PDF-1.7")):
        run("notice", HOUSE, "--edition", EDITION, "--output", str(tmp_path / name), code=1)
        assert (tmp_path / name).read_bytes().startswith(start.encode())
    assert json.loads((tmp_path / "n.json").read_text())["items"] == printed["items"]


def test_both_pictures_are_drawn_of_an_installation_that_is_piped_in(tmp_path: Path) -> None:
    """Standard input can be read once, and a report on planned work needs what it says twice."""
    picture, work = tmp_path / "both.svg", str(ROOT / "examples" / "alder-row-change.json")
    before = (ROOT / "examples" / "alder-row-before.json").read_bytes()
    run("what-if", "-", "--change", work, "--edition", EDITION, "-o", str(picture), data=before, code=1)
    assert picture.read_text().startswith("<svg")


def test_a_paper_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    assert "Expected one of .html, .pdf, .svg." in run("report", HOUSE, "--edition", EDITION, "-o", "report.doc", code=2).stderr
    assert "cannot be written" in run("report", HOUSE, "--edition", EDITION, "-o", str(tmp_path / "no" / "r.svg"), code=2).stderr
    assert "Nothing says which edition" in run("report", HOUSE, "-o", str(tmp_path / "r.html"), code=2).stderr
    assert not list(tmp_path.iterdir())


def test_a_closed_pipe_ends_quietly() -> None:
    command = f"{sys.executable} -m faultpath findings {HOUSE} --edition {EDITION} --detail all --json | head -c 10"
    done = subprocess.run(["sh", "-c", command], capture_output=True, env=ENVIRONMENT, check=False)
    assert done.stderr == b""


def test_an_answer_comes_soon_and_without_the_slow_imports() -> None:
    # Processor time, so that a busy machine does not count.
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run("findings", HOUSE, "--edition", EDITION, code=1)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert (after.ru_utime + after.ru_stime) - (before.ru_utime + before.ru_stime) < 2
    program = "import sys, runpy; sys.argv = ['faultpath', *sys.argv[1:]]\ntry: runpy.run_module('faultpath', run_name='__main__')\nexcept SystemExit: pass\n"
    slow = "print(sorted({'fastapi', 'rdflib', 'pyshacl', 'pyld', 'uvicorn'} & set(sys.modules)), file=sys.stderr)"
    arguments = [sys.executable, "-c", program + slow, "findings", HOUSE, "--edition", EDITION]
    assert subprocess.run(arguments, capture_output=True, env=ENVIRONMENT, check=True).stderr == b"[]\n"


def test_the_service_starts_answers_and_ends_on_an_interrupt() -> None:
    with subprocess.Popen([sys.executable, "-m", "faultpath", "serve", "--port", "0"], stderr=subprocess.PIPE, text=True, env=ENVIRONMENT) as served:
        assert served.stderr is not None
        address = None
        seen = []
        for line in served.stderr:
            seen.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+", line):
                address = found[0]
                break
        assert address, seen
        assert httpx.get(address + "/healthz").json() == {"healthy": True}
        served.send_signal(signal.SIGINT)
        rest = served.stderr.read()
        served.wait(10)
    assert "Traceback" not in rest
    assert served.returncode in (0, 130)
