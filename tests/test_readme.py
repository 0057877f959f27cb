"""The first screens of the README are real: its house is judged, its console is what the command prints, its answer is served."""

import json
import re
import subprocess
import sys
from pathlib import Path

from faultpath.answers.findings import answer_findings
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text()
BLOCKS = re.findall(r"```(\w*)\n(.*?)```", README, re.DOTALL)


def blocks(language: str) -> list[str]:
    return [text for name, text in BLOCKS if name == language]


def command(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "faultpath", *words], cwd=ROOT, env={"PYTHONPATH": "api"}, capture_output=True, text=True, check=False)


def test_the_house_in_a_few_lines_holds_for_the_dryer() -> None:
    answer = answer_findings(assess(read_document(json.loads(blocks("json")[0])), Law(2023)))
    (dryer,) = (f for f in answer.findings if f.rule == "range-and-dryer-frames-grounded")
    assert dryer.outcome == "holds"


def test_the_console_shows_what_the_command_prints() -> None:
    prompt, *shown = blocks("")[0].rstrip().splitlines()
    done = command(*prompt.removeprefix("$ faultpath ").split())
    assert [line.rstrip() for line in done.stdout.rstrip().splitlines()] == shown
    assert done.returncode == 1


def test_the_answer_over_http_is_the_answer_of_today() -> None:
    shown = json.loads(blocks("json")[1])
    rule = shown["findings"][0]["rule"]
    answer = json.loads(command("findings", "examples/alder-row-outdoor-disconnect.json", "--edition", "2023", "--rule", rule, "--json").stdout)
    assert shown["summary"] == answer["summary"]
    for said, found in zip(shown["findings"], answer["findings"], strict=True):
        assert said == {key: found[key] for key in said}


def test_the_example_command_ends_well() -> None:
    done = command("example")
    assert done.returncode == 0
    assert "[FAIL] range-and-dryer-frames-grounded: range-1" in done.stdout


def test_every_link_of_the_documents_leads_somewhere() -> None:
    for document in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *ROOT.glob("*/README.md")):
        for link in re.findall(r"\]\(([^)#]+)\)", document.read_text()):
            assert link.startswith("http") or (document.parent / link).exists(), f"{document.name}: {link}"
