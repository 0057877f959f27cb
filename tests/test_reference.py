"""The judge against engines that we did not write: pySHACL and two more, on the same shapes and the same graphs.

Where the judge decides, each must name the same failing rules and nodes; what the judge leaves undecided a two-valued engine cannot
confirm, so complete installations are also held to being decided. The engine in Rust is fast enough to judge every case by the whole
book; the other two judge every case by the texts of its rule, and generated installations by the whole book.
"""

from itertools import groupby
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engines import javascript_pairs, rust_pairs
from faultpath.base.outcomes import Outcome
from faultpath.book.cases import Case
from faultpath.book.rules import editions, rules
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.judging.reference import differences, disagreements, failing_pairs
from faultpath.judging.trial import by_path, law_of
from generated import installations

ANSWERED = sorted({edition for rule in rules().values() for edition in rule.citations} & set(editions()))


def borders(case: Case) -> set[int]:
    """The last edition of a case, and the first where another text of its rule is in force."""
    first, last = min(case.editions), max(case.editions)
    return {last} if law_of(case, first).book[case.rule].text_in(first) is law_of(case, last).book[case.rule].text_in(last) else {first, last}


BORDERS = sorted((case.rule, path, edition) for path, case in by_path().items() for edition in borders(case))
RULES = {rule: [(path, edition) for _, path, edition in found] for rule, found in groupby(BORDERS, key=lambda border: border[0])}


def assessed(path: str, edition: int, *, whole: bool) -> Assessed:
    case = by_path()[path]
    return assess(read_document(case.installation), law_of(case, edition), () if whole else (case.rule,))


def texts(found: Assessed) -> frozenset[str]:
    return frozenset(text.iri for text in found.texts())


@pytest.mark.parametrize(("path", "edition"), [pytest.param(path, edition, id=f"{path}-{edition}") for _, path, edition in BORDERS])
def test_cases_by_the_whole_book_in_rust(path: str, edition: int):
    found = assessed(path, edition, whole=True)
    assert disagreements(found, rust_pairs(found.derived.graph, texts(found))) == ()


@pytest.mark.parametrize(("path", "edition"), [pytest.param(path, edition, id=f"{path}-{edition}") for _, path, edition in BORDERS])
def test_cases_by_their_rule_in_pyshacl(path: str, edition: int):
    assert differences(assessed(path, edition, whole=False)) == ()


@pytest.mark.parametrize("rule", RULES)
def test_cases_by_their_rule_in_javascript(rule: str):
    found = sorted((assessed(path, edition, whole=False) for path, edition in RULES[rule]), key=lambda a: sorted(texts(a)))
    pairs = javascript_pairs([(a.derived.graph, texts(a)) for a in found])
    assert {(a.installation.id, a.law.edition): difference for a, failing in zip(found, pairs, strict=True) for difference in disagreements(a, failing)} == {}
    expected = {(j.text.iri, j.about) for a in found for _, j in a.judgements if j.outcome is Outcome.FAILS}
    assert expected <= set().union(*pairs), "the engine was handed shapes and graphs, and found failures"


@given(installations(complete=True), st.sampled_from(ANSWERED))
@settings(max_examples=120)
def test_complete_installations(document: dict[str, Any], edition: int):
    found = assess(read_document(document), Law(edition))
    assert differences(found) == ()
    assert disagreements(found, rust_pairs(found.derived.graph, texts(found))) == ()


@given(installations(complete=False), st.sampled_from(ANSWERED))
@settings(max_examples=120)
def test_incomplete_installations(document: dict[str, Any], edition: int):
    found = assess(read_document(document), Law(edition))
    assert differences(found) == ()
    assert disagreements(found, rust_pairs(found.derived.graph, texts(found))) == ()


def test_the_engines_find_failures():
    """Guards the guard: were the shapes handed over empty, nothing could differ."""
    path, case = next((path, case) for path, case in by_path().items() if case.outcome is Outcome.FAILS)
    found = assessed(path, case.editions[0], whole=True)
    failing = failing_pairs(found.derived.graph, texts(found))
    assert failing
    assert failing == rust_pairs(found.derived.graph, texts(found)) == javascript_pairs([(found.derived.graph, texts(found))])[0]
