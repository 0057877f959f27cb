"""How long planned work takes: `PYTHONPATH=api python tests/benchmarks/benchmark_work.py [edition]`.

Prints medians in milliseconds for what-if and remedies of the classic house, and their ratio to one assessment of it, answered, in the same run. A script
for people: nothing is asserted.
"""

import argparse
import gc
import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

from faultpath.answers.findings import answer_findings
from faultpath.answers.remedies import remedies
from faultpath.answers.what_if import plan_request, what_if
from faultpath.book.rules import editions
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.planning.change import carry_out, read_change

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def median(action: Callable[[], object], rounds: int) -> float:
    """Milliseconds, two rounds left out."""
    taken = []
    for number in range(rounds + 2):
        start = time.perf_counter()
        action()
        if number > 1:
            taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("edition", type=int, nargs="?", default=2020, choices=editions())
    law = Law(parser.parse_args().edition)
    before = read_document(json.loads((EXAMPLES / "alder-row-before.json").read_text()))
    trapped = read_document(json.loads((EXAMPLES / "alder-row-outdoor-disconnect.json").read_text()))
    change = read_change(json.loads((EXAMPLES / "alder-row-change.json").read_text()))
    mark = read_change([{"work": "cover-neutral", "run": "range-cable"}])
    assessed = assess(before, law)
    after = carry_out(before, mark, law.edition).installation
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 50, 100)
    base = median(lambda: answer_findings(assess(before, law)).model_dump_json(), 41)
    rows = [
        ("assessment with its findings as JSON", base),
        ("assessment", median(lambda: assess(before, law), 41)),
        ("assessment after a small change, reusing", median(lambda: assess(after, law, reuse=assessed), 41)),
        ("work of one step", median(lambda: carry_out(before, change[:1], law.edition), 41)),
        ("what-if of a small change", median(lambda: what_if(plan_request(before, mark, law)).model_dump_json(), 41)),
        ("what-if of the outdoor disconnect", median(lambda: what_if(plan_request(before, change[:1], law)).model_dump_json(), 41)),
        ("what-if of all four steps", median(lambda: what_if(plan_request(before, change, law)).model_dump_json(), 41)),
        ("remedies of the outdoor disconnect", median(lambda: remedies(trapped, law), 5)),
        ("remedies of the change", median(lambda: remedies(before, law, change=change), 5)),
        ("remedies for the range alone", median(lambda: remedies(trapped, law, about=["range-1"]), 5)),
    ]
    sys.stdout.write(f"edition {law.edition}; medians in milliseconds, and their ratio to the first\n")
    for name, taken in rows:
        sys.stdout.write(f"{name:<42} {taken:>8.2f} {taken / base:>7.1f}x\n")


if __name__ == "__main__":
    main()
