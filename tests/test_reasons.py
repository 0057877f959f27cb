"""Undecided findings name the facts that would decide them, and the smallest sets that can do it by themselves.

The sets are compared with brute force: every answer to a set is tried on the document, and a set that claims to decide must
have an answer that does, while no smaller part of it may have one.
"""

import copy
from itertools import combinations, product
from random import Random
from typing import Any

import pytest

from faultpath.answers.findings import Finding, answer_findings
from faultpath.book.cases import altered, cases, house
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.judging.trial import by_path

ANSWERS: dict[str, tuple[Any, ...]] = {
    "metalPathBeside": (True, False),
    "groundFaultProtectionAhead": (True, False),
    "neutralSizedForLoad": (True, False),
    "furnishedReceptacles": ("none", "not-bonded-to-frame"),
    "insulated": (True, False),
    "coveringInSupplyEnclosure": ("uncovered", "covered-with-listed-insulation"),
    "marking": ("unmarked", "marked-emergency-and-service-disconnect"),
    "markingFormat": ("other-format", "red-with-white-letters-outside"),
    "work": ("new", "existing"),
}


def finding(document: dict[str, Any], edition: int, rule: str, about: str) -> Finding:
    answer = answer_findings(assess(read_document(document), Law(edition)))
    return next(f for f in answer.findings if (f.rule, f.about) == (rule, about))


CONVERTED = "alder-row-converted"
RANGE_FACTS = {"range-neutral": ["insulated", "coveringInSupplyEnclosure"], "range-1": ["furnishedReceptacles"]}
LABEL_FACTS = {"outdoor-main-breaker": ["marking", "markingFormat"], "outdoor-main": ["work"]}
PATH_AND_PROTECTION = {"garage-feeder": ["metalPathBeside", "groundFaultProtectionAhead"]}
PATH_AND_LOAD = {"garage-feeder": ["metalPathBeside", "neutralSizedForLoad"]}


@pytest.mark.parametrize(
    ("start", "unknown", "edition", "rule", "about"),
    [
        ("birch-lane", PATH_AND_PROTECTION, 2020, "three-wire-supply-to-a-building-may-stay", "garage-feeder"),
        ("birch-lane", PATH_AND_LOAD, 2020, "feeder-carries-an-equipment-grounding-conductor", "garage-feeder"),
        (CONVERTED, RANGE_FACTS, 2023, "range-and-dryer-frames-grounded", "range-1"),
        (CONVERTED, LABEL_FACTS, 2023, "emergency-disconnect-marked-for-its-role", "outdoor-main"),
    ],
)
def test_a_deciding_set_decides_and_none_of_its_parts_does(start: str, unknown: dict[str, list[str]], edition: int, rule: str, about: str) -> None:
    convention = {start: {"conventions": [word for word in house(start)["conventions"] if word != "existing-unless-stated"]}}
    open_house = altered(house(start), {"with": {**convention, **{part: dict.fromkeys(keys) for part, keys in unknown.items()}}})
    left_open = finding(open_house, edition, rule, about)
    assert left_open.outcome == "undecided"
    assert left_open.deciding

    def can_decide(chosen: tuple[int, ...]) -> bool:
        facts = [left_open.missing[index] for index in chosen]
        for answers in product(*(ANSWERS[fact.fact] for fact in facts)):
            told = copy.deepcopy(open_house)
            for fact, answer in zip(facts, answers, strict=True):
                told = altered(told, {"with": {fact.about: {fact.fact: answer}}})
            if finding(told, edition, rule, about).outcome != "undecided":
                return True
        return False

    everything = range(len(left_open.missing))
    smallest = [set(c) for size in range(1, len(left_open.missing) + 1) for c in combinations(everything, size) if can_decide(c)]
    minimal = [c for c in smallest if not any(other < c for other in smallest)]
    assert sorted(map(sorted, minimal)) == sorted(left_open.deciding)


def shuffled(part: Any, draw: Random) -> Any:
    """The same document with its lists in another order."""
    if isinstance(part, dict):
        return {key: shuffled(value, draw) for key, value in part.items()}
    if isinstance(part, list):
        return draw.sample([shuffled(value, draw) for value in part], len(part))
    return part


@pytest.mark.parametrize("path", [case.path for case in cases()][::60])
def test_the_order_of_lists_in_a_document_changes_no_sentence(path: str) -> None:
    document = read_document(by_path()[path].installation).document
    said = [
        {(f.rule, f.about): (f.says, [(m.about, m.fact) for m in f.missing], f.deciding) for f in answer_findings(assess(read_document(d), Law(2020))).findings}
        for d in (document, shuffled(document, Random(path)))
    ]
    assert said[0] == said[1]


CANNOT_FAIL = "shapes/bonding/fault-current-has-a-way-back/cases/undecided-age-of-the-circuit-not-known.json"


def test_what_cannot_fail_says_so_and_asks_nothing() -> None:
    """What the rule requires is met and only its applicability is open: no answer makes it fail, so none is asked for."""
    case = by_path()[CANNOT_FAIL]
    assessed = assess(read_document(case.installation), Law(2023), [case.rule])
    found = next(f for f in answer_findings(assessed).findings if f.about == case.about)
    assert (found.outcome, found.cannot_fail, found.missing, found.deciding) == ("undecided", True, [], [])
    assert "cannot fail" in found.says
    assert "?" not in found.says
    runs = [run["id"] for run in case.installation["runs"]]
    for work in ("new", "replacement", "rerouted", "existing"):
        told = altered(case.installation, {"with": {run: {"work": work} for run in runs}})
        outcomes = {j.outcome for _, j in assess(read_document(told), Law(2023), [case.rule]).judgements if j.about.endswith("/" + case.about)}
        assert "fails" not in outcomes
