"""Judging again after a change: a walk that read no node that changed stands, and so does all that was found from a node whose walks do."""

from faultpath.base.triples import Graph
from faultpath.judging.judge import JudgingCache, NodeCache


def bench_after(before: JudgingCache, graph: Graph) -> JudgingCache:
    """A bench for a graph that keeps what still stands of the bench of a similar graph."""
    changed = changed_subjects(before.graph, graph)
    return JudgingCache(graph, {view.node: _standing(view, graph, changed) for view in before.views.values()})


def _standing(view: NodeCache, graph: Graph, changed: frozenset[str]) -> NodeCache:
    walks = {path: walk for path, walk in view.walks.items() if changed.isdisjoint(walk.read)}
    if len(walks) < len(view.walks):
        return NodeCache(graph, view.node, walks)
    return NodeCache(graph, view.node, walks, dict(view.assessed), dict(view.judged))


def changed_subjects(before: Graph, after: Graph) -> frozenset[str]:
    """The subjects of the triples that one of two graphs has and the other has not."""
    found: set[str] = set()
    for predicate in before.tables.keys() | after.tables.keys():
        was, now = before.table(predicate).by_subject, after.table(predicate).by_subject
        if was is not now:
            found.update(subject for subject in was.keys() | now.keys() if was.get(subject) != now.get(subject))
    return frozenset(found)
