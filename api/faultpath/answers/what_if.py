"""What planned work would change: which findings start to fail, which stop, which can no longer be told, and what in the work did it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import Field

from faultpath.answers.causes import Cause, Causes
from faultpath.answers.findings import Detail, Finding, Summary, assess_request, finding_of, known_nodes, said_of, summary_of
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.base.outcomes import Outcome
from faultpath.book.rules import Rule
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.judging.judge import Judgement
from faultpath.planning.change import Work, Worked, carry_out

Pair = tuple[str, str]


class ChangedFinding(Answer):
    """A rule on a part of which the outcome is another one after the work."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part that the rule is about.")
    was: Outcome | None = Field(description="The outcome before; null where the rule had nothing to say about the part.")
    becomes: Outcome | None = Field(description="The outcome after; null where the rule has nothing to say about the part any more.")
    says: str = Field(description="The finding after the work in one sentence, or the one before where there is none.")
    causes: list[Cause] = Field(description="What in the work caused it.")
    before: Finding | None = Field(description="The finding before the work; null where there was none, or where detail was not asked for.")
    after: Finding | None = Field(description="The finding after the work; null where there is none, or where detail was not asked for.")


class Unchanged(Answer):
    """How many findings are the same before and after."""

    holds: int = Field(description="How many hold as before.")
    fails: int = Field(description="How many fail as before.")
    undecided: int = Field(description="How many still cannot be decided.")
    not_applicable: int = Field(description="How many still do not apply.")


class WhatIfAnswer(Answer):
    """The installation before and after planned work, compared."""

    record: Record
    caution: str
    work: list[str] = Field(description="The work in words, step by step.")
    before: Summary = Field(description="How many findings came to each outcome before the work.")
    after: Summary = Field(description="How many findings come to each outcome after the work.")
    starts_failing: list[ChangedFinding] = Field(description="What fails after the work and did not before.")
    stops_failing: list[ChangedFinding] = Field(description="What failed before and no longer does, decided or gone.")
    becomes_undecided: list[ChangedFinding] = Field(description="What cannot be told after the work and could before, or is new and cannot be told.")
    unchanged: Unchanged = Field(description="How many findings are as they were.")
    changed: list[ChangedFinding] = Field(description="Every other finding that is not as it was.")
    document: dict[str, Any] | None = Field(description="The installation after the work; null where it was not asked for.")


@dataclass(frozen=True)
class Planned:
    """Planned work with the installation assessed before and after it."""

    change: Sequence[Work]
    worked: Worked
    before: Assessed
    after: Assessed


def plan_request(installation: Installation, change: Sequence[Work], law: Law, only: Collection[str] = (), about: Collection[str] = ()) -> Planned:
    """Assess before and after planned work; a part may be asked about that is there in one of them only.

    Raises BadInput for a step that does not fit, an unknown rule or an unknown part.
    """
    here = {id_of(node) for node in installation.graph.subjects()}
    nothing = [installation.id] if about else []
    before = assess_request(installation, law, only, [i for i in about if i in here] or nothing)
    worked = carry_out(installation, change, law.edition, before.derived.memory)
    there = {id_of(node) for node in worked.installation.graph.subjects()}
    if any(identifier not in here | there for identifier in about):
        known_nodes(installation, [identifier if identifier not in there else installation.id for identifier in about])
    after = assess(worked.installation, law, only, known_nodes(worked.installation, [i for i in about if i in there] or nothing), before)
    return Planned(change, worked, before, after)


def what_if(planned: Planned, *, detail: Detail = "matters", document: bool = False) -> WhatIfAnswer:
    """What planned work changes; with `document` the installation after it as well."""
    before, after, law = planned.before, planned.after, planned.before.law
    causes = Causes(before.derived, after.derived, planned.worked.touched)
    starts, stops, opens, others = list[ChangedFinding](), list[ChangedFinding](), list[ChangedFinding](), list[ChangedFinding]()
    same = dict.fromkeys(Outcome, 0)
    was, now = judged(before), judged(after)
    for pair in dict.fromkeys([*was, *now]):
        one, other = was.get(pair), now.get(pair)
        if one is not None and other is not None and one.outcome is other.outcome:
            same[one.outcome] += 1
            continue
        becomes = other.outcome if other else None
        if becomes is Outcome.FAILS:
            group = starts
        elif becomes is Outcome.UNDECIDED:
            group = opens
        else:
            group = stops if one is not None and one.outcome is Outcome.FAILS else others
        shown = group is not others or detail == "all"
        group.append(_changed(law.book[pair[0]], (before, one), (after, other), causes, shown))
    return WhatIfAnswer(
        record=new_record(before.installation, law),
        caution=CAUTION,
        work=[step.describe() for step in planned.change],
        before=summary_of(before),
        after=summary_of(after),
        starts_failing=starts,
        stops_failing=stops,
        becomes_undecided=opens,
        unchanged=Unchanged(**{outcome.value: number for outcome, number in same.items()}),
        changed=others,
        document=planned.worked.installation.document if document else None,
    )


def judged(assessed: Assessed) -> dict[Pair, Judgement]:
    """The judgements by rule and node."""
    return {(rule.key, judgement.about): judgement for rule, judgement in assessed.judgements}


def _changed(rule: Rule, before: tuple[Assessed, Judgement | None], after: tuple[Assessed, Judgement | None], causes: Causes, shown: bool) -> ChangedFinding:
    one, other = (finding_of(assessed, rule, judgement, True) if shown and judgement is not None else None for assessed, judgement in (before, after))
    assessed, judgement = after if after[1] is not None else before
    assert judgement is not None, "a pair was judged in one state at least"
    told = other or one
    return ChangedFinding(
        rule=rule.key,
        about=id_of(judgement.about),
        was=before[1].outcome if before[1] else None,
        becomes=after[1].outcome if after[1] else None,
        says=told.says if told else said_of(assessed, rule, judgement),
        causes=causes.of(before[1], after[1]),
        before=one,
        after=other,
    )
