"""Judging again after a change: what was judged on triples that are the same is not judged twice.

A walk reads only triples whose subject is its start or a node that it reached, and what it reached stands in its evidence. So where no
subject of a triple that came or went is among these, the walk, and every condition made of such walks, comes out as before.
"""

from faultpath.graph import Graph, Triple
from faultpath.judge import Bench


def bench_after(before: Bench, graph: Graph) -> Bench:
    """A bench for a graph that keeps what still stands of the bench of a similar graph."""
    bench = Bench(graph)
    changed = changed_subjects(before.graph, graph)

    def stands(start: str, evidence: tuple[Triple, ...]) -> bool:
        return start not in changed and not any(obj in changed for _, _, obj in evidence)

    bench.walks.update((key, walk) for key, walk in before.walks.items() if stands(key[1], walk.evidence))
    kept: dict[int, bool] = {}
    # A condition is assessed after its parts, so its parts come first here.
    for key, assessment in before.assessed.items():
        parts = assessment.parts
        kept[id(assessment)] = all(kept[id(part)] for part in parts) if parts else stands(assessment.about, assessment.evidence)
        if kept[id(assessment)]:
            bench.assessed[key] = assessment
    return bench


def changed_subjects(before: Graph, after: Graph) -> frozenset[str]:
    """The subjects of the triples that one of two graphs has and the other has not."""
    return frozenset([s for s, p, o in after if (s, p, o) not in before] + [s for s, p, o in before if (s, p, o) not in after])
