"""The work of every remedy of the book, tried on the worked cases in which a condition fails that it says it cures."""

from functools import cache

import pytest

from faultpath.assessment import Law
from faultpath.cases import cases
from faultpath.installation import read_document
from faultpath.outcome import Outcome
from faultpath.places import places
from faultpath.planning.states import States
from faultpath.rulebook import rules
from faultpath.terms import NODE

WITH_WORK = [(key, remedy.key) for key, rule in rules().items() for remedy in rule.remedies if remedy.work]


@cache
def cured(rule: str) -> frozenset[str]:
    """The remedies of a rule that, alone, end the failing of some case beside it."""
    found = set()
    for case in cases():
        pair = (rule, NODE + case.about)
        if case.rule != rule or case.outcome is not Outcome.FAILS:
            continue
        law = Law(case.editions[-1], places()[case.place].chain if case.place else (), frozenset(case.practices))
        states = States(read_document(case.installation), law, 1000)
        for proposal in states.start.all_proposals([pair]):
            after = states.after(proposal.steps)
            if after is not None and after.outcomes.get(pair) not in (Outcome.FAILS, Outcome.UNDECIDED):
                found.add(proposal.remedy.key)
    return frozenset(found)


@pytest.mark.parametrize(("rule", "remedy"), WITH_WORK)
def test_the_work_of_a_remedy_cures_a_case(rule: str, remedy: str) -> None:
    """A remedy that is never seen at work is no better than one that does not work; write a case, or see the template."""
    assert remedy in cured(rule)
