"""How long an assessment takes: `PYTHONPATH=api python tests/benchmarks/benchmark_assessment.py [edition]`.

Prints milliseconds for deriving and judging the whole book, warm, as the median of a few rounds, on houses of three sizes; and the
ratio to pySHACL with the same shapes on the same derived graph in the same run. A script for people: nothing is asserted.
"""

import argparse
import gc
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

from faultpath.book.cases import house
from faultpath.book.rules import editions, rules
from faultpath.derivation.run import derive
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Law, assess
from faultpath.judging.judge import JudgingCache, judge, targets
from faultpath.judging.reference import differences, failing_pairs

SIZES = (300, 3_000, 20_000)
SLOWEST_FOR_THE_REFERENCE = 4_000  # triples; beyond it pySHACL takes minutes


def wires(name: str, roles: tuple[str, ...]) -> list[dict[str, Any]]:
    return [{"id": f"{name}-{role}", "role": role, "size": "10 AWG", "material": "copper", "insulated": True} for role in roles]


def wing(number: int, circuits: int) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """A feeder to a subpanel and its circuits to dryers."""
    panel, all_three = f"subpanel-{number}", ("ungrounded", "grounded", "equipment-grounding")
    equipment = [{"id": panel, "kind": "panelboard", "work": "existing", "hasDisconnect": False, "enclosure": {"metal": True}, "bonds": []}]
    runs = [
        {"id": f"feeder-{number}", "from": "panel", "to": panel, "method": "SER", "work": "existing", "installed": 2001, "conductors": wires(panel, all_three)}
    ]
    for circuit in range(circuits):
        name = f"{number}-{circuit}"
        strap = {"id": f"strap-{name}", "kind": "strap", "from": "grounded-terminal", "to": "frame"}
        equipment += [
            {"id": f"outlet-{name}", "kind": "receptacle", "poles": 3, "wires": 4 - circuit % 2, "box": {"metal": True}},
            {"id": f"dryer-{name}", "kind": "clothes-dryer", "furnishedReceptacles": "none", "bonds": [strap] if circuit % 2 else []},
        ]
        roles = all_three[: 2 + (circuit + 1) % 2]
        cable = {"id": f"cable-{name}", "from": panel, "to": f"outlet-{name}", "method": "NM", "work": "existing", "installed": 1990}
        runs += [
            {**cable, "overcurrent": {"ratingAmperes": 30}, "conductors": wires(f"cable-{name}", roles)},
            {"id": f"cord-{name}", "from": f"outlet-{name}", "to": f"dryer-{name}", "method": "cord", "wires": 4 - circuit % 2},
        ]
    return equipment, runs


def enlarged(triples: int) -> Installation:
    """An invented house with subpanels of twelve circuits added until it states about so many triples."""
    document = house("alder-row")
    installation = read_document(document)
    number = 0
    while len(installation.graph) < triples:
        for _ in range(max(1, (triples - len(installation.graph)) // 700)):
            missing = triples - len(installation.graph)
            equipment, runs = wing(number, 12 if missing > 700 else 1)
            document["equipment"] += equipment
            document["runs"] += runs
            number += 1
        installation = read_document(document)
    return installation


def median(action: Callable[[], object], rounds: int) -> float:
    """Milliseconds, the first round left out."""
    action()
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        action()
        taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


def report(triples: int, edition: int) -> str:
    installation = enlarged(triples)
    assessed = assess(installation, Law(edition))
    graph = assessed.derived.graph
    rounds = 41 if triples < 1_000 else 7 if triples < 10_000 else 3

    def judge_all() -> None:
        bench = JudgingCache(graph)
        for rule in rules().values():
            text = rule.text_in(edition)
            for node in targets(graph, text) if text else ():
                judge(bench, text, node)

    whole = median(lambda: assess(installation, Law(edition)), rounds)
    deriving = median(lambda: derive(installation.graph, edition), rounds)
    judging = median(judge_all, rounds)
    stated = len(installation.graph)
    row = f"{stated:>8} {len(graph):>8} {len(assessed.judgements):>10} {deriving:>9.2f} {judging:>9.2f} {whole:>9.2f} {whole / stated * 1000:>10.1f}"
    if triples > SLOWEST_FOR_THE_REFERENCE:
        return row + f" {'-':>10} {'-':>7}"
    texts = {text.iri for text in assessed.texts()}
    reference = median(lambda: failing_pairs(graph, texts), 5 if triples < 1_000 else 1)
    agree = "" if not differences(assessed) else "  they differ"
    return row + f" {reference:>10.1f} {reference / judging:>6.0f}x{agree}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    fullest = statistics.mode(edition for rule in rules().values() for edition in sorted(rule.citations, reverse=True))
    parser.add_argument("edition", type=int, nargs="?", default=fullest, choices=editions())
    edition = parser.parse_args().edition
    gc.freeze()
    answering = sum(edition in rule.citations for rule in rules().values())
    lines = [
        f"edition {edition}, {answering} rules; medians in milliseconds, per 1000 triples in the seventh column; the ratio is pySHACL to judging",
        "  stated  derived judgements    derive     judge     whole   per 1000    pySHACL   ratio",
    ]
    sys.stdout.write("\n".join(lines) + "\n")
    for triples in SIZES:
        sys.stdout.write(report(triples, edition) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
