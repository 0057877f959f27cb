"""The smallest sets of work after which nothing asked about fails and nothing else newly fails, each judged again in full."""

from collections.abc import Collection, Sequence
from typing import Any

from pydantic import Field

from faultpath.answers.findings import Finding, Summary, check_rules, finding_of, known_nodes, summary_of
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.answers.site_questions import OpenFinding, Settling, settle
from faultpath.base.outcomes import Outcome
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.planning.change import Work, carry_out
from faultpath.planning.search import Goal, Plan, search
from faultpath.planning.states import Pair, State, States, text_of

MOST_STATES = 400
_FEWEST_STATES = 20
_MOST_TRIPLES_JUDGED = 200_000  # by all states together, so that a large installation takes no longer than a few small ones
DEFAULT_LIMIT = 10
GREATEST_LIMIT = 50


class Cured(Answer):
    """A finding that fails before the plan and not after it."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part that the rule is about.")
    becomes: Outcome | None = Field(description="The outcome after the plan; null where the rule has nothing to say about the part any more.")


class AppliedRemedy(Answer):
    """A remedy of the book that a plan uses."""

    rule: str = Field(description="Key of the rule that has the remedy.")
    about: str = Field(description="Id of the part that it was taken up for.")
    remedy: str = Field(description="Key of the remedy.")
    says: str = Field(description="The remedy in words.")
    effort: str = Field(description="What it disturbs.")


class PlannedStage(Answer):
    """Work that is done in one go."""

    steps: list[int] = Field(description="Positions of the steps, counted from nought.")
    as_one: bool = Field(description="Whether the steps must be done de-energised as one: every state between them would be worse than the start.")
    says: str = Field(description="The stage in words.")


class RemedyPlan(Answer):
    """One set of work that does it."""

    steps: list[dict[str, Any]] = Field(description="The work steps in order, ready to be sent as a change.")
    stages: list[PlannedStage] = Field(description="The steps by stage: no state between two stages is worse than the start.")
    disruption: str = Field(description="The greatest effort among its remedies.")
    remedies: list[AppliedRemedy] = Field(description="The remedies of the book that it is made of.")
    cures: list[Cured] = Field(description="What it cures.")
    leaves_undecided: list[OpenFinding] = Field(description="Findings that cannot be told after it and could before, or are new.")
    summary: Summary = Field(description="How many findings come to each outcome after it, all judged again.")


class RemediesAnswer(Answer):
    """Plans that cure what fails, and the questions that settle what cannot be decided."""

    record: Record
    caution: str
    work: list[str] = Field(description="The planned work that the remedies come after, in words; empty where none was given.")
    failing: list[Finding] = Field(description="What is to be cured, without condition trees.")
    plans: list[RemedyPlan] = Field(description="The plans, least disruptive first.")
    complete_up_to: int = Field(description="Every set of up to so many remedies of the book was looked at; a larger one may be missing.")
    says: str = Field(description="What was found, in one sentence.")
    not_encoded: list[str] = Field(description="Rules that nobody checked for this edition: whether they fail was not judged.")
    questions: Settling = Field(description="What to find out on site about the findings that cannot be decided.")


def remedies(
    installation: Installation,
    law: Law,
    only: Collection[str] = (),
    about: Collection[str] = (),
    change: Sequence[Work] = (),
    limit: int = DEFAULT_LIMIT,
    reuse: Assessed | None = None,
) -> RemediesAnswer:
    """Look for plans. With a change they are for the installation after it and cure what it makes fail. Raises BadInput.

    `reuse` is an assessment of the installation, of which what cannot have changed is used again.
    """
    check_rules(law, only)
    planned = carry_out(installation, change, law.edition).installation if change else installation
    nodes = known_nodes(planned, about)
    states = States(planned, law, max(_FEWEST_STATES, min(MOST_STATES, _MOST_TRIPLES_JUDGED // max(len(planned.graph), 1))), reuse)
    before = State((), assess(installation, law, reuse=states.start.assessed)).outcomes if change else {}

    def asked(pair: Pair) -> bool:
        return (not only or pair[0] in only) and (not nodes or pair[1] in nodes)

    start = states.start
    cure = frozenset(p for p in start.fails if asked(p) and before.get(p) is not Outcome.FAILS)
    goal = Goal(cure, frozenset(start.fails) - cure)
    found = search(states, goal, limit)
    undecided = [p for p, outcome in start.outcomes.items() if outcome is Outcome.UNDECIDED and asked(p) and before.get(p) is not Outcome.UNDECIDED]
    return RemediesAnswer(
        record=new_record(planned, law),
        caution=CAUTION,
        work=[step.describe() for step in change],
        failing=[finding_of(start.assessed, rule, j, False) for rule, j in start.assessed.judgements if (rule.key, j.about) in cure],
        plans=[_plan(plan, goal, states) for plan in found.plans],
        complete_up_to=found.complete_up_to,
        says=_says(start.assessed, cure, len(found.plans), found.complete_up_to),
        not_encoded=list(start.assessed.not_encoded),
        questions=settle(states, undecided),
    )


def _says(start: Assessed, cure: Collection[Pair], plans: int, complete: int) -> str:
    if not cure:
        return "Nothing that was asked about and judged fails." if start.not_encoded else "Nothing that was asked about fails."
    found = f"{plans} sets of work" if plans > 1 else "One set of work" if plans else "No set of work"
    cures = "cure" if plans > 1 else "cures"
    return f"{found} of the book {cures} the {len(cure)} that fail{'s' if len(cure) == 1 else ''}; all sets of up to {complete} remedies were looked at."


def _plan(plan: Plan, goal: Goal, states: States) -> RemedyPlan:
    start, end, steps = states.start, plan.end, plan.steps
    place = {text_of(step): number for number, step in enumerate(steps)}
    worst = max(plan.proposals, key=lambda p: p.remedy.rank)
    opened = [p for p, o in end.outcomes.items() if o is Outcome.UNDECIDED and start.outcomes.get(p) is not Outcome.UNDECIDED]
    stages = []
    for stage in plan.stages:
        words = " ".join(step.describe() for step in stage.steps)
        stages.append(
            PlannedStage(
                steps=[place[text_of(s)] for s in stage.steps], as_one=stage.as_one, says=("De-energised and as one: " if stage.as_one else "") + words
            )
        )
    return RemedyPlan(
        steps=[step.written() for step in steps],
        stages=stages,
        disruption=worst.remedy.effort,
        remedies=[
            AppliedRemedy(rule=p.rule.key, about=id_of(p.pair[1]), remedy=p.remedy.key, says=p.remedy.label, effort=p.remedy.effort) for p in plan.proposals
        ],
        cures=[Cured(rule=r, about=id_of(n), becomes=end.outcomes.get((r, n))) for r, n in start.fails if (r, n) in goal.cure],
        leaves_undecided=[OpenFinding(rule=rule, about=id_of(node)) for rule, node in opened],
        summary=summary_of(end.assessed),
    )
