"""The smallest sets of remedies after which nothing asked about fails and nothing else newly does.

Sets grow by one remedy at a time. In each state the first finding that still fails is taken up, and tried is every remedy that the book
has for it, and every other one that was seen to cure it; where that does not end it, every remedy of whatever fails.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

from faultpath.base.outcomes import Outcome
from faultpath.planning.change import Work
from faultpath.planning.states import Pair, Proposal, State, States, text_of

MOST_REMEDIES = 6


@dataclass(frozen=True)
class Goal:
    """What is to be cured, and what may go on failing because nobody asked about it."""

    cure: frozenset[Pair]
    leave: frozenset[Pair]

    def open_in(self, state: State) -> list[Pair]:
        """What stands against a state: what fails and may not, and what was to be cured and cannot be told."""
        failing = [pair for pair in state.fails if pair not in self.leave]
        return failing + [pair for pair in state.outcomes if pair in self.cure and state.outcomes[pair] is Outcome.UNDECIDED]


@dataclass(frozen=True)
class WorkStage:
    """Steps that are done one after the other, or, where every state between would be worse than the start, as one."""

    steps: tuple[Work, ...]
    as_one: bool


@dataclass(frozen=True)
class Plan:
    """A set of remedies with the steps that are needed, in a safe order, and the state they lead to."""

    proposals: tuple[Proposal, ...]
    stages: tuple[WorkStage, ...]
    end: State

    @property
    def steps(self) -> tuple[Work, ...]:
        """All steps in order."""
        return tuple(step for stage in self.stages for step in stage.steps)


@dataclass(frozen=True)
class Found:
    """The plans, least disruptive first; every set of up to `complete_up_to` remedies was looked at."""

    plans: tuple[Plan, ...]
    complete_up_to: int


def search(states: States, goal: Goal, limit: int) -> Found:
    """Look for plans until sets grow too large or too many states were judged."""
    base = _cured_alone(states, goal)
    frontier: list[tuple[Proposal, ...]] = [()]
    seen, goals, depth = {frozenset[str]()}, list[tuple[Proposal, ...]](), 0
    while frontier and depth < MOST_REMEDIES:
        following: list[tuple[Proposal, ...]] = []
        for chosen in frontier:
            state = states.after(_steps(chosen))
            if state is None:
                continue
            for proposal in _next(state, chosen, goal, base):
                grown = (*chosen, proposal)
                key = frozenset(map(text_of, _steps(grown)))
                if key in seen or any(frozenset(map(text_of, _steps(g))) <= key for g in goals):
                    continue
                if states.exhausted:
                    return Found(_plans(states, goal, goals, limit), depth)
                seen.add(key)
                reached = states.after(_steps(grown), state)
                if reached is not None and not goal.open_in(reached):
                    goals.append(grown)
                elif reached is not None:
                    following.append(grown)
        frontier, depth = following, depth + 1
    return Found(_plans(states, goal, goals, limit), MOST_REMEDIES if not frontier else depth)


def _cured_alone(states: States, goal: Goal) -> dict[Pair, list[Proposal]]:
    """For each finding the remedies of other findings that, alone and at the start, end it."""
    found: dict[Pair, list[Proposal]] = {}
    failing = goal.open_in(states.start)
    for proposal in states.start.proposals(failing):
        state = states.after(proposal.steps)
        for pair in failing if state is not None else ():
            if pair != proposal.pair and state is not None and pair not in state.fails:
                found.setdefault(pair, []).append(proposal)
    return found


def _next(state: State, chosen: Collection[Proposal], goal: Goal, base: dict[Pair, list[Proposal]]) -> Iterator[Proposal]:
    """What to try in a state. Where a finding goes on failing after a remedy of its own, or has none, any other one may be what is missing."""
    standing = [pair for pair in goal.open_in(state) if pair in state.fails]
    if not standing:
        return
    first = standing[0]
    every = state.proposals(standing)
    own = {proposal.key for proposal in state.proposals([first])}
    others = {proposal.key for proposal in base.get(first, ())}
    coupled = any(proposal.pair == first for proposal in chosen) or not own | others
    yield from (proposal for proposal in every if coupled or proposal.key in own or proposal.key in others)


def _steps(chosen: Collection[Proposal]) -> tuple[Work, ...]:
    """The steps of several remedies, each once."""
    return tuple({text_of(step): step for proposal in chosen for step in proposal.steps}.values())


def disruption(plan: Collection[Proposal]) -> tuple[int, ...]:
    """How many remedies of each effort, the greatest effort first: what is compared to rank plans."""
    ranks = [proposal.remedy.rank for proposal in plan]
    return tuple(ranks.count(rank) for rank in range(max(ranks, default=1), 0, -1)) if ranks else ()


def _rank(chosen: Collection[Proposal], steps: Collection[Work]) -> tuple[object, ...]:
    worst = max((proposal.remedy.rank for proposal in chosen), default=0)
    return worst, disruption(chosen), len(steps), sorted(map(text_of, steps))


def _plans(states: States, goal: Goal, goals: list[tuple[Proposal, ...]], limit: int) -> tuple[Plan, ...]:
    found: list[tuple[frozenset[str], tuple[Proposal, ...], tuple[Work, ...]]] = []
    for chosen in sorted(goals, key=lambda g: _rank(g, _steps(g))):
        needed = _needed(states, goal, _steps(chosen))
        key = frozenset(map(text_of, needed))
        if not any(other <= key for other, _, _ in found):
            found = [f for f in found if not key <= f[0]]
            found.append((key, tuple(p for p in chosen if p.key & key), needed))
        if len(found) >= limit:
            break
    found.sort(key=lambda f: _rank(f[1], f[2]))
    plans = []
    for _, chosen, needed in found[:limit]:
        end = states.after(needed)
        if end is not None and not goal.open_in(end):
            plans.append(Plan(chosen, tuple(_ordered(states, needed)), end))
    # What reads the same is one plan for whoever carries it out.
    return tuple({tuple(step.describe() for step in plan.steps): plan for plan in reversed(plans)}.values())[::-1]


def _needed(states: States, goal: Goal, steps: tuple[Work, ...]) -> tuple[Work, ...]:
    """The steps without which something fails: none of them can be left out, and no two of them undo one another."""
    shorter = True
    while shorter:
        shorter = False
        for size in (1, 2):
            for left_out in combinations(reversed(steps), size):
                rest = tuple(step for step in steps if step not in left_out)
                if len(rest) < len(steps) - size or (size == 2 and not _on_one_part(*left_out)):
                    continue
                state = states.after(rest, states.after(steps))
                if state is not None and not goal.open_in(state):
                    steps, shorter = rest, True
                    break
            if shorter:
                break
    return steps


def _on_one_part(one: Work, other: Work) -> bool:
    """Whether two steps are about the same part, so that one may take back what the other did."""
    named = [{str(value) for key, value in step.written().items() if key in ("run", "part", "equipment", "bond", "conductor", "id")} for step in (one, other)]
    return bool(named[0] & named[1])


def _ordered(states: States, steps: tuple[Work, ...]) -> Iterator[WorkStage]:
    """The steps in an order in which no state between is worse than the start; those that cannot be parted, as one."""
    done: tuple[Work, ...] = ()
    left = list(steps)
    end = states.after(steps)
    while left:
        for size in (*range(1, min(len(left), 4)), len(left)):
            stage = next((group for group in combinations(left, size) if size == len(left) or _is_safe(states, done, group, end)), None)
            if stage is not None:
                yield WorkStage(stage, as_one=size > 1)
                done = (*done, *stage)
                left = [step for step in left if all(step is not other for other in stage)]
                break


def _is_safe(states: States, done: tuple[Work, ...], group: tuple[Work, ...], end: State | None) -> bool:
    state = states.after((*done, *group), states.after(done))
    return state is not None and end is not None and not state.is_worse_than(states.start, end)
