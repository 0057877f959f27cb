"""Every case of the book gives the outcome that its source says, for the reason that it names."""

import pytest

from assessing import written
from faultpath.base.outcomes import Outcome
from faultpath.base.terms import short
from faultpath.book.loader import book_root
from faultpath.judging.trial import by_path, judged, law_of

CASES = by_path()
CURED = [path for path in CASES if path.endswith(".cured.json")]
KEYS = {"says", "house", "with", "without", "add", "editions", "about", "outcome", "because", "asks", "source", "standing", "remedy", "practices", "place"}


def failing_twin(path: str) -> str:
    return path.removesuffix(".cured.json") + ".json"


def test_the_book_has_cases():
    assert CASES


@pytest.mark.parametrize(("path", "edition"), [pytest.param(p, e, id=f"{p}-{e}") for p, c in CASES.items() for e in c.editions])
def test_case(path: str, edition: int):
    case = CASES[path]
    found = judged(path, edition)
    assert found.outcome is case.outcome
    assert set(case.because) <= {short(iri) for iri in found.failing}
    if case.asks:
        assert set(case.asks) == found.asked


@pytest.mark.parametrize("path", CASES, ids=str)
def test_case_says_what_it_shows_and_where_it_comes_from(path: str):
    case, keys = CASES[path], written(path)
    name = path.rsplit("/", 1)[-1].removesuffix(".json").removesuffix(".cured")
    expected = Outcome.FAILS if path in CURED else case.outcome
    assert name.startswith(expected.value.replace("_", "-") + "-"), "the name starts with the outcome"
    assert keys.keys() <= KEYS
    assert case.says.strip().endswith("."), "one full sentence"
    assert case.source.strip()
    assert case.standing in {"verified", "partly", "memory"}
    assert case.editions
    assert len(set(case.editions)) == len(case.editions)
    if case.outcome is Outcome.FAILS:
        assert case.because, "a failing case names what fails"
    if case.outcome is Outcome.UNDECIDED:
        assert case.asks, "an undecided case names what is asked for"


@pytest.mark.parametrize("path", CURED, ids=str)
def test_cured_twin_shows_a_remedy_at_work(path: str):
    """Only beside a failing case of the same name; the remedy cures something that failed there."""
    twin, case = CASES.get(failing_twin(path)), CASES[path]
    assert twin is not None
    assert twin.outcome is Outcome.FAILS
    assert case.outcome is Outcome.HOLDS
    assert case.about == twin.about
    remedy = next((r for r in law_of(case, max(case.editions)).book[case.rule].remedies if r.key == written(path).get("remedy")), None)
    assert remedy is not None, "a cured twin names a remedy of its rule"
    shared = set(case.editions) & set(twin.editions)
    assert shared
    assert any(judged(twin.path, edition).failing & set(remedy.cures) for edition in shared)


@pytest.mark.parametrize("path", [path for path in CASES if path not in CURED], ids=str)
def test_only_a_cured_twin_names_a_remedy(path: str):
    assert "remedy" not in written(path)


def test_every_file_beside_a_rule_is_a_case():
    """A misplaced file would be evidence that nobody reads."""
    stray = [p for p in book_root().glob("shapes/**/cases/**/*") if p.is_file() and p.relative_to(book_root()).as_posix() not in CASES]
    assert stray == []
