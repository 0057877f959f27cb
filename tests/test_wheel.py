"""The wheel carries the book: built, installed in an empty environment, asked one question outside the checkout."""

import json
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOUSE = ROOT / "examples" / "alder-row-outdoor-disconnect.json"


def test_the_wheel_answers_in_an_empty_environment(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-m", "build", "--wheel", "--outdir", tmp_path, ROOT], check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    environment = tmp_path / "environment"
    venv.create(environment, with_pip=True)
    python = environment / "bin" / "python"
    subprocess.run([python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", wheel], check=True, capture_output=True)

    asked = [environment / "bin" / "faultpath", "findings", HOUSE, "--edition", "2020", "--json"]
    answer = subprocess.run(asked, cwd=tmp_path, capture_output=True, text=True, check=False)

    assert answer.returncode == 1, answer.stderr
    failing = {finding["rule"] for finding in json.loads(answer.stdout)["findings"] if finding["outcome"] == "fails"}
    assert "range-and-dryer-frames-grounded" in failing

    for name in ("report.html", "report.pdf"):
        written = [environment / "bin" / "faultpath", "report", HOUSE, "--edition", "2020", "-o", tmp_path / name]
        done = subprocess.run(written, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (1, "")
    assert (tmp_path / "report.html").read_text().startswith("<!doctype html>")
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")
