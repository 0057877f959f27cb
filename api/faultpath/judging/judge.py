"""One rule, one node, one assessment: the conditions compiled to closures over the dictionaries of the graph.

A leaf is undecided where a step of its path meets a gap: a node that should state an attribute and does not, or a list
that nobody stated complete. Groups combine by strong Kleene logic; nothing is ever assumed.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeAlias

from faultpath.base.outcomes import Assessment, Gap, Outcome, all_of, any_of, negation
from faultpath.base.terms import COMPLETE, TYPE
from faultpath.base.triples import Graph, Term, Triple, is_literal
from faultpath.book.rules import Condition, DatedText, Group, Leaf
from faultpath.book.vocabulary import Path, PathStep, vocabulary

Compiled: TypeAlias = Callable[["NodeCache"], Assessment]
_COMBINE = {"all": all_of, "any": any_of}
# By IRI, not by value: hashing a whole condition tree costs more than judging it.
_texts: dict[str, tuple[tuple[Compiled, ...], Compiled]] = {}


@dataclass(frozen=True, slots=True)
class Walk:
    """What a path meets from a node: the values at its end, the triples walked, the gaps on the way, and the nodes whose triples were read."""

    values: tuple[Term, ...]
    evidence: tuple[Triple, ...]
    gaps: tuple[Gap, ...]
    read: frozenset[str]


@dataclass(frozen=True)
class Judgement:
    """A text on a node: the outcome with the assessments of its outside conditions and of its requirement."""

    text: DatedText
    about: str
    outcome: Outcome
    outside: tuple[Assessment, ...]
    requirement: Assessment | None

    @property
    def cannot_fail(self) -> bool:
        """Whether only it is open whether the rule applies: what it requires is met, so no answer makes it fail."""
        return self.outcome is Outcome.UNDECIDED and self.requirement is not None and self.requirement.outcome is Outcome.HOLDS

    def parts(self) -> tuple[Assessment, ...]:
        """The assessments that the outcome rests on."""
        return (*self.outside, self.requirement) if self.requirement is not None else self.outside

    def evidence(self) -> tuple[Triple, ...]:
        """Every triple that the outcome rests on, the node's membership in the target class first."""
        found = [(self.about, TYPE, self.text.target)]
        return tuple(dict.fromkeys([*found, *(t for part in self.parts() for t in part.all_evidence())]))


@dataclass(frozen=True, slots=True)
class NodeCache:
    """What is found from one node of a graph: walks by path, assessments by condition, judgements by text, each made once."""

    graph: Graph
    node: str
    walks: dict[Path, Walk] = field(default_factory=dict)
    assessed: dict[str, Assessment] = field(default_factory=dict)
    judged: dict[str, Judgement] = field(default_factory=dict)

    def walk(self, path: Path) -> Walk:
        """Walk a path from the node."""
        found = self.walks.get(path)
        if found is None:
            found = self.walks[path] = _walk(self.graph, path, self.node)
        return found


@dataclass(frozen=True)
class JudgingCache:
    """A graph on the judge's bench, with what was already found from each node."""

    graph: Graph
    views: dict[str, NodeCache] = field(default_factory=dict)

    def view(self, node: str) -> NodeCache:
        """What is found from a node."""
        found = self.views.get(node)
        if found is None:
            found = self.views[node] = NodeCache(self.graph, node)
        return found


def targets(graph: Graph, text: DatedText) -> list[str]:
    """The nodes that a text speaks about, in the order of the graph."""
    return graph.instances(text.target)


def judge(bench: JudgingCache, text: DatedText, node: str) -> Judgement:
    """Judge one text on one node of its target class."""
    view = bench.view(node)
    found = view.judged.get(text.iri)
    if found is None:
        found = view.judged[text.iri] = _judge(view, text)
    return found


def _judge(view: NodeCache, text: DatedText) -> Judgement:
    conditions_outside, required = _compiled_text(text)
    outside = tuple([assess(view) for assess in conditions_outside])
    beyond = any_of([assessment.outcome for assessment in outside]) if outside else Outcome.FAILS
    if beyond is Outcome.HOLDS:
        return Judgement(text, view.node, Outcome.NOT_APPLICABLE, outside, None)
    requirement = required(view)
    # Whether the rule applies at all must be known before its holding or failing can be told.
    outcome = Outcome.UNDECIDED if beyond is Outcome.UNDECIDED else requirement.outcome
    return Judgement(text, view.node, outcome, outside, requirement)


def _compiled_text(text: DatedText) -> tuple[tuple[Compiled, ...], Compiled]:
    """The outside conditions and the requirement of a text, compiled once."""
    found = _texts.get(text.iri)
    if found is None:
        found = _texts[text.iri] = (tuple(_compile(condition) for condition in text.outside), _compile(text.requirement))
    return found


def _compile(condition: Condition) -> Compiled:
    """A condition as a closure that assesses each view once."""
    assess = _compile_group(condition) if isinstance(condition, Group) else _compile_leaf(condition)
    iri = condition.iri

    def once(view: NodeCache) -> Assessment:
        found = view.assessed.get(iri)
        if found is None:
            found = view.assessed[iri] = assess(view)
        return found

    return once


def _compile_group(group: Group) -> Compiled:
    parts = tuple(_compile(part) for part in group.parts)
    iri = group.iri
    if group.combine == "not":
        inner = parts[0]

        def turned(view: NodeCache) -> Assessment:
            assessment = inner(view)
            return Assessment(iri, view.node, negation(assessment.outcome), (assessment,))

        return turned
    combine = _COMBINE[group.combine]

    def combined(view: NodeCache) -> Assessment:
        assessments = tuple([part(view) for part in parts])
        return Assessment(iri, view.node, combine([assessment.outcome for assessment in assessments]), assessments)

    return combined


def _compile_leaf(leaf: Leaf) -> Compiled:
    path, iri = leaf.path, leaf.iri
    if leaf.constraint == "lessThanOrEquals":
        return _compile_comparison(leaf)
    decide = _decider(leaf)

    def assess(view: NodeCache) -> Assessment:
        walk = view.walk(path)
        outcome = decide(walk.values, bool(walk.gaps))
        return Assessment(iri, view.node, outcome, (), walk.values, walk.evidence, walk.gaps)

    return assess


def _compile_comparison(leaf: Leaf) -> Compiled:
    path, iri = leaf.path, leaf.iri
    other = (PathStep(str(leaf.arguments[0])),)

    def assess(view: NodeCache) -> Assessment:
        left, right = view.walk(path), view.walk(other)
        gaps = left.gaps + right.gaps
        broken = any(not _at_most(a, b) for a in left.values for b in right.values)
        outcome = Outcome.FAILS if broken else Outcome.UNDECIDED if gaps else Outcome.HOLDS
        return Assessment(iri, view.node, outcome, (), left.values + right.values, left.evidence + right.evidence, gaps)

    return assess


def _decider(leaf: Leaf) -> Callable[[tuple[Term, ...], bool], Outcome]:
    """How a leaf decides from the values met and whether there may be more of them."""
    arguments = leaf.arguments
    first = arguments[0]
    if leaf.constraint in ("hasValue", "minCount"):

        def enough(values: tuple[Term, ...], open_ended: bool) -> Outcome:
            met = first in values if leaf.constraint == "hasValue" else len(values) >= int(str(first))
            return Outcome.HOLDS if met else Outcome.UNDECIDED if open_ended else Outcome.FAILS

        return enough
    broken: Callable[[tuple[Term, ...]], bool] = {
        "in": lambda values: any(value not in arguments for value in values),
        "maxCount": lambda values: len(values) > int(str(first)),
        "minInclusive": lambda values: any(not _at_most(first, value) for value in values),
        "maxInclusive": lambda values: any(not _at_most(value, first) for value in values),
    }[leaf.constraint]

    def unbroken(values: tuple[Term, ...], open_ended: bool) -> Outcome:
        return Outcome.FAILS if broken(values) else Outcome.UNDECIDED if open_ended else Outcome.HOLDS

    return unbroken


def _at_most(left: Term, right: Term) -> bool:
    """Whether two numbers are in order; anything else is not."""
    return not isinstance(left, str) and not isinstance(right, str) and left <= right


def _walk(graph: Graph, path: Path, start: str) -> Walk:
    properties = vocabulary().properties
    frontier: list[Term] = [start]
    evidence: dict[Triple, None] = {}
    gaps: dict[Gap, None] = {}
    read: set[str] = set()
    for step in path:
        reached: dict[Term, None] = {}
        name = step.property
        stated = properties.get(name)
        for node in frontier:
            if is_literal(node):
                continue
            subject = str(node)
            read.add(subject)
            values = graph.values(subject, name)
            for value in values:
                evidence[(subject, name, value)] = None
                reached[value] = None
            if stated is None or stated.kind == "note" or (values and stated.kind == "attribute"):
                continue
            nothing = (subject, COMPLETE, name) if stated.kind == "list" else (subject, stated.exists_if, False)
            if nothing in graph:
                evidence[nothing] = None
            else:
                member = (subject, TYPE, stated.domain)
                if member in graph:
                    evidence[member] = None
                    gaps[Gap(subject, name)] = None
        frontier = list(reached)
    return Walk(tuple(frontier), tuple(evidence), tuple(gaps), frozenset(read))


def missing_facts(bench: JudgingCache, gap: Gap) -> tuple[Gap, ...]:
    """The stated facts that would settle a gap: itself if people state it, else what its derivation waits for."""
    together, alone = settling_facts(bench, gap)
    return tuple(dict.fromkeys([*together, *alone]))


def settling_facts(bench: JudgingCache, gap: Gap) -> tuple[tuple[Gap, ...], tuple[Gap, ...]]:
    """The stated facts that settle a gap together, and those of which some answer may settle it alone."""
    together, alone = _settle(bench, gap, frozenset())
    return tuple(dict.fromkeys(together)), tuple(dict.fromkeys(alone))


def _settle(bench: JudgingCache, gap: Gap, seen: frozenset[Gap]) -> tuple[list[Gap], list[Gap]]:
    stated = vocabulary().properties[gap.property]
    if not stated.derived_by:
        return [gap], []
    if gap in seen:
        return [], []

    def waiting(path: Path) -> tuple[list[Gap], list[Gap]]:
        found = [_settle(bench, inner, seen | {gap}) for inner in bench.view(gap.node).walk(path).gaps]
        return [fact for together, _ in found for fact in together], [fact for _, alone in found for fact in alone]

    first = next((found for path in stated.settled_by if any(found := waiting(path))), ([], []))
    also = [fact for path in stated.settled_also_by for found in waiting(path) for fact in found]
    if any(first) or also:
        return first[0], [*first[1], *also]
    # What nothing stated would settle is asked about as it stands, if there is a question for it.
    return ([gap], []) if stated.asks or not seen else ([], [])
