"""The work of every remedy of the book, tried on the worked cases in which a condition fails that it says it cures."""

from functools import cache

import pytest

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import NODE
from faultpath.book.cases import cases
from faultpath.book.places import places
from faultpath.book.rules import rules
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Law
from faultpath.planning.change import Work
from faultpath.planning.site import Site, Unfit
from faultpath.planning.states import States

WITH_WORK = [(key, remedy.key) for key, rule in rules().items() for remedy in rule.remedies if remedy.work]


def check_places(installation: Installation, steps: tuple[Work, ...]) -> None:
    """Where a step looks for parts is where they are after the step before it."""
    site = Site(installation)
    for step in steps:
        try:
            step.carry_out(site)
        except Unfit:
            return
        known = {identifier: id(place.part) for identifier, place in site.places().items()}
        site.forget_places()
        assert known == {identifier: id(place.part) for identifier, place in site.places().items()}, step


@cache
def cured(rule: str) -> frozenset[str]:
    """The remedies of a rule that, alone, end the failing of some case beside it."""
    found = set()
    for case in cases():
        pair = (rule, NODE + case.about)
        if case.rule != rule or case.outcome is not Outcome.FAILS:
            continue
        law = Law(case.editions[-1], places()[case.place].chain if case.place else (), frozenset(case.practices))
        installation = read_document(case.installation)
        states = States(installation, law, 1000)
        for proposal in states.start.all_proposals([pair]):
            check_places(installation, proposal.steps)
            after = states.after(proposal.steps)
            if after is not None and after.outcomes.get(pair) not in (Outcome.FAILS, Outcome.UNDECIDED):
                found.add(proposal.remedy.key)
    return frozenset(found)


@pytest.mark.parametrize(("rule", "remedy"), WITH_WORK)
def test_the_work_of_a_remedy_cures_a_case(rule: str, remedy: str) -> None:
    """A remedy that is never seen at work is no better than one that does not work; write a case, or see the template."""
    assert remedy in cured(rule)
