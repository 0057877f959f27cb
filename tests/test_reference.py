"""The judge against an engine that we did not write: pySHACL on the same shapes and the same graph.

Where the judge decides, the two must name the same failing rules and nodes; what the judge leaves undecided a two-valued
engine cannot confirm, so complete installations are also held to being decided.
"""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assessing import by_path, law
from faultpath.assessment import Law, assess
from faultpath.cases import Case
from faultpath.installation import read_document
from faultpath.outcome import Outcome
from faultpath.reference import differences, failing_pairs
from faultpath.rulebook import editions, rules
from generated import installations

ANSWERED = sorted({edition for rule in rules().values() for edition in rule.citations} & set(editions()))


def borders(case: Case) -> set[int]:
    """The last edition of a case, and the first where another text of its rule is in force."""
    first, last = min(case.editions), max(case.editions)
    return {last} if rules()[case.rule].text_in(first) is rules()[case.rule].text_in(last) else {first, last}


BORDERS = [pytest.param(path, edition, id=f"{path}-{edition}") for path, case in by_path().items() for edition in borders(case)]


@pytest.mark.parametrize(("path", "edition"), BORDERS)
def test_case(path: str, edition: int):
    assert differences(assess(read_document(by_path()[path].installation), law(by_path()[path], edition))) == ()


@given(installations(complete=True), st.sampled_from(ANSWERED))
@settings(max_examples=260)
def test_complete_installations(document: dict[str, Any], edition: int):
    assert differences(assess(read_document(document), Law(edition))) == ()


@given(installations(complete=False), st.sampled_from(ANSWERED))
@settings(max_examples=260)
def test_incomplete_installations(document: dict[str, Any], edition: int):
    assert differences(assess(read_document(document), Law(edition))) == ()


def test_the_reference_engine_finds_failures():
    """Guards the guard: were the shapes handed over empty, nothing could differ."""
    failing = [(path, case) for path, case in by_path().items() if case.outcome is Outcome.FAILS]
    path, case = failing[0]
    assessed = assess(read_document(case.installation), law(case, case.editions[0]))
    assert failing_pairs(assessed.derived.graph, {text.iri for text in assessed.texts()}), path
