"""The four outcomes, the three-valued logic over them, and what an assessed condition looks like.

holds      fails      undecided      not applicable
  │          │            │                └── the rule does not speak about the node
  └──────────┴── strong Kleene logic ──┘
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from faultpath.base.triples import Term, Triple


class Outcome(StrEnum):
    """What a rule or a condition says about a node."""

    HOLDS = "holds"
    FAILS = "fails"
    UNDECIDED = "undecided"
    NOT_APPLICABLE = "not_applicable"


def all_of(outcomes: Iterable[Outcome]) -> Outcome:
    """Fails if one fails, else undecided if one is, else holds."""
    return _decided_by(Outcome.FAILS, outcomes, Outcome.HOLDS)


def any_of(outcomes: Iterable[Outcome]) -> Outcome:
    """Holds if one holds, else undecided if one is, else fails."""
    return _decided_by(Outcome.HOLDS, outcomes, Outcome.FAILS)


def _decided_by(decisive: Outcome, outcomes: Iterable[Outcome], otherwise: Outcome) -> Outcome:
    found = otherwise
    for outcome in outcomes:
        if outcome is decisive:
            return decisive
        if outcome is Outcome.UNDECIDED:
            found = outcome
    return found


def negation(outcome: Outcome) -> Outcome:
    """Holds becomes fails and the other way round; undecided stays."""
    if outcome is Outcome.HOLDS:
        return Outcome.FAILS
    return Outcome.HOLDS if outcome is Outcome.FAILS else outcome


class Gap(NamedTuple):
    """A node that should state a property and does not, or whose list is not stated complete."""

    node: str
    property: str


@dataclass(frozen=True, slots=True)
class Assessment:
    """One condition on one node: its outcome, its parts, and for a leaf the values met, the evidence and the gaps."""

    condition: str
    about: str
    outcome: Outcome
    parts: tuple["Assessment", ...] = ()
    values: tuple[Term, ...] = ()
    evidence: tuple[Triple, ...] = ()
    gaps: tuple[Gap, ...] = ()

    def every(self) -> Iterable["Assessment"]:
        """The assessment and all below it."""
        yield self
        for part in self.parts:
            yield from part.every()

    def leaves(self) -> Iterable["Assessment"]:
        """The leaves below, or the assessment itself if it is one."""
        if not self.parts:
            yield self
        for part in self.parts:
            yield from part.leaves()

    def all_evidence(self) -> tuple[Triple, ...]:
        """The evidence of all leaves, each triple once."""
        return tuple(dict.fromkeys(triple for leaf in self.leaves() for triple in leaf.evidence))
