"""Each condition of the book was seen in each state, and each rule with each outcome, somewhere in its cases.

After semgrep, which asks of a rule a true positive and a true negative; ours has a third state, not known.
"""

from collections import defaultdict
from functools import cache

import pytest

from assessing import by_path, judged
from faultpath.base.outcomes import Outcome
from faultpath.base.terms import BASE
from faultpath.book.rules import DatedText, all_texts, rules, text_conditions

DECIDED_OR_NOT = {Outcome.HOLDS, Outcome.FAILS, Outcome.UNDECIDED}
TEXTS = all_texts()


@cache
def seen() -> dict[str, set[Outcome]]:
    """The outcomes met of every condition; a condition that a later text keeps has the same IRI there."""
    found: dict[str, set[Outcome]] = defaultdict(set)
    for path, case in by_path().items():
        for edition in case.editions:
            case_in_edition = judged(path, edition)
            found[case_in_edition.text].add(case_in_edition.outcome)
            for condition, outcome in case_in_edition.conditions:
                found[condition].add(outcome)
    return found


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: text.iri.removeprefix(BASE))
def test_every_condition_is_seen_in_every_state(text: DatedText):
    unseen = {condition.iri.split("/rules/")[-1]: sorted(missing) for condition in text_conditions(text) if (missing := DECIDED_OR_NOT - seen()[condition.iri])}
    assert unseen == {}


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: text.iri.removeprefix(BASE))
def test_every_text_is_judged_by_a_case(text: DatedText):
    assert seen()[text.iri]


@pytest.mark.parametrize("key", rules())
def test_every_rule_has_a_case_of_every_outcome(key: str):
    expected = set(DECIDED_OR_NOT)
    if any(text.outside for text in rules()[key].texts):
        expected.add(Outcome.NOT_APPLICABLE)
    assert {case.outcome for case in by_path().values() if case.rule == key} == expected
