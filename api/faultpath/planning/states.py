"""States of an installation under work: each judged once, with what its remedies would do next."""

import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from faultpath.base.outcomes import Gap, Outcome
from faultpath.base.problems import BadInput
from faultpath.base.terms import INST
from faultpath.base.triples import Term
from faultpath.book.rules import Remedy, Rule
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.judging.judge import Judgement, missing_facts
from faultpath.planning.change import Work, carry_out, read_change, required_sizes
from faultpath.planning.templates import instances

Pair = tuple[str, str]
_RETURN = INST + "hasGroundFaultReturn"


@dataclass(frozen=True)
class Proposal:
    """A remedy of the book for a finding, its steps filled in."""

    pair: Pair
    rule: Rule
    remedy: Remedy
    steps: tuple[Work, ...]

    @cached_property
    def key(self) -> frozenset[str]:
        """The steps as a set of texts: two remedies that come to the same work are one."""
        return frozenset(map(text_of, self.steps))


class State:
    """An installation after some steps."""

    def __init__(self, steps: tuple[Work, ...], assessed: Assessed) -> None:
        self.steps, self.assessed = steps, assessed
        self.outcomes: dict[Pair, Outcome] = {(rule.key, judgement.about): judgement.outcome for rule, judgement in assessed.judgements}

    @cached_property
    def fails(self) -> dict[Pair, None]:
        """What fails, in the order of the book."""
        return dict.fromkeys(pair for pair, outcome in self.outcomes.items() if outcome is Outcome.FAILS)

    @cached_property
    def judgements(self) -> dict[Pair, Judgement]:
        """The judgements behind the outcomes."""
        return {(rule.key, judgement.about): judgement for rule, judgement in self.assessed.judgements}

    @cached_property
    def returns(self) -> dict[str, bool | frozenset[Gap]]:
        """Of each piece of equipment whether its metal has a way back for fault current, or the facts that would tell."""
        graph, cache = self.assessed.derived.graph, self.assessed.bench
        known = graph.table(_RETURN).by_subject
        return {
            node: True in known[node] if node in known else frozenset(missing_facts(cache, Gap(node, _RETURN)))
            for node in graph.instances(vocabulary().properties[_RETURN].domain)
        }

    def is_worse_than(self, start: "State", end: "State") -> bool:
        """Whether this state, between the start and the end of some work, has to be passed without power.

        It has where something fails that did not fail at the start, or equipment lost its way back for fault current. What cannot be
        told counts as if it were so, unless it is open in the very same way at the start or at the end: then no order changes it.
        """
        for pair, outcome in self.outcomes.items():
            before = start.outcomes.get(pair)
            if outcome is Outcome.FAILS and before is not Outcome.FAILS:
                return True
            if outcome is Outcome.UNDECIDED and before is not Outcome.FAILS and all(self._openness(pair) != other._openness(pair) for other in (start, end)):
                return True
        return any(self._lost_return(node, before, end) for node, before in start.returns.items() if node in self.returns)

    def _lost_return(self, node: str, before: bool | frozenset[Gap], end: "State") -> bool:
        now = self.returns[node]
        return before is not False and now is not True and now != before and not (isinstance(now, frozenset) and now == end.returns.get(node))

    def _openness(self, pair: Pair) -> frozenset[tuple[str, Outcome, frozenset[Gap]]] | None:
        """What an undecided judgement knows and what it waits for; None where it is not undecided."""
        judgement = self.judgements.get(pair)
        if judgement is None or judgement.outcome is not Outcome.UNDECIDED:
            return None
        return frozenset((part.condition, part.outcome, frozenset(part.gaps)) for whole in judgement.parts() for part in whole.every())

    def proposals(self, pairs: Sequence[Pair]) -> list[Proposal]:
        """The remedies of the book for findings that fail here, filled in, each work once."""
        wanted, found = set(pairs), dict[frozenset[str], Proposal]()
        for proposal in self.all_proposals(wanted):
            found.setdefault(proposal.key, proposal)
        return list(found.values())

    def all_proposals(self, wanted: Collection[Pair]) -> Iterator[Proposal]:
        """The same, those too that come to the same work."""
        for rule, judgement in self.assessed.judgements:
            pair = (rule.key, judgement.about)
            if pair not in wanted or judgement.outcome is not Outcome.FAILS:
                continue
            failing = {leaf.condition for part in judgement.parts() for leaf in part.leaves() if leaf.outcome is Outcome.FAILS}
            for remedy in rule.remedies:
                if remedy.work and failing.intersection(remedy.cures):
                    for data in instances(remedy.work, self.assessed.derived.graph, judgement.about):
                        if data:
                            yield Proposal(pair, rule, remedy, _read(data))


_read_steps: dict[str, tuple[Work, ...]] = {}


def _read(data: list[dict[str, object]]) -> tuple[Work, ...]:
    """Filled steps as work, each once."""
    text = json.dumps(data, sort_keys=True)
    if text not in _read_steps:
        if len(_read_steps) > 5_000:
            _read_steps.clear()
        _read_steps[text] = read_change([json.loads(one) for one in dict.fromkeys(json.dumps(step) for step in data)])
    return _read_steps[text]


_texts: dict[int, tuple[Work, str]] = {}


def text_of(step: Work) -> str:
    """A step as text, by which steps are compared."""
    known = _texts.get(id(step))
    if known is None or known[0] is not step:
        if len(_texts) > 20_000:
            _texts.clear()
        known = _texts[id(step)] = (step, json.dumps(step.written(), sort_keys=True))
    return known[1]


class States:
    """The states that were looked at, by the set of their steps; at most so many are judged."""

    def __init__(self, installation: Installation, law: Law, most: int, reuse: Assessed | None = None) -> None:
        self._installation, self._law = installation, law
        self.start = State((), assess(installation, law, reuse=reuse))
        self._sizes: dict[str, str] = {}  # taken before; looked up anew where they turn out to be others
        self._known: dict[frozenset[str], State | None] = {frozenset(): self.start}
        self._left = most

    @property
    def exhausted(self) -> bool:
        """Whether no further state may be judged."""
        return self._left <= 0

    def after(self, steps: Sequence[Work], reuse: State | None = None) -> State | None:
        """The state after steps, None where one of them does not fit."""
        key = frozenset(map(text_of, steps))
        if key not in self._known:
            self._left -= 1
            self._known[key] = self._judge(tuple(steps), reuse or self.start)
        return self._known[key]

    def knowing(self, fact: Gap, value: Term) -> State:
        """The start, one more fact known."""
        self._left -= 1
        graph = self._installation.graph.copy()
        graph.add((fact.node, fact.property, value))
        return State((), assess(replace(self._installation, graph=graph), self._law, reuse=self.start.assessed))

    def _judge(self, steps: tuple[Work, ...], reuse: State) -> State | None:
        try:
            worked = carry_out(self._installation, steps, self._law.edition, reuse.assessed.derived.memory, self._sizes)
            assessed = assess(worked.installation, self._law, reuse=reuse.assessed)
            if worked.sizes and required_sizes(assessed.derived.graph, list(worked.sizes)) != worked.sizes:
                worked = carry_out(self._installation, steps, self._law.edition, reuse.assessed.derived.memory)
                assessed = assess(worked.installation, self._law, reuse=reuse.assessed)
        except BadInput:
            return None
        self._sizes.update(worked.sizes)
        return State(steps, assessed)
