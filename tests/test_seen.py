"""Each condition of the book was seen in each state, and each rule with each outcome, somewhere in its cases.

After semgrep, which asks of a rule a true positive and a true negative; ours has a third state, not known.
"""

import pytest

from faultpath.base.outcomes import Outcome
from faultpath.book.cases import cases
from faultpath.book.rules import rules
from faultpath.judging.trial import STATES, judged, texts_of, unseen


@pytest.mark.parametrize("key", rules())
def test_every_condition_is_seen_in_every_state(key: str):
    assert unseen(key) == {}


@pytest.mark.parametrize("key", rules())
def test_every_text_is_judged_by_a_case(key: str):
    met = {judged(case.path, edition).text for case in cases() if case.rule == key for edition in case.editions}
    assert {text.iri for text in texts_of(key)} <= met


@pytest.mark.parametrize("key", rules())
def test_every_rule_has_a_case_of_every_outcome(key: str):
    expected = set(STATES)
    if any(text.outside for text in rules()[key].texts):
        expected.add(Outcome.NOT_APPLICABLE)
    assert {case.outcome for case in cases() if case.rule == key} == expected
