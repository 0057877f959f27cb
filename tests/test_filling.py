"""Filling one unknown fact decides or leaves open; it never turns round what was decided, whichever answer is given.

Tried on whole houses and on generated documents that forgot some of what they knew: facts are filled one after the other, every answer to each
of them, members of lists and notes among them. FAULTPATH_FILLS says how many answers are tried; the long lane tries 10,000 and more.
"""

import os
import random
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput
from faultpath.book.cases import cases, house
from faultpath.book.rules import rules
from faultpath.document.consistency import Part
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Assessed, Law, assess
from filling import Answer, forgotten, unknown_facts
from generated import installations

FILLS = int(os.environ.get("FAULTPATH_FILLS", "600"))
EDITIONS = sorted({edition for rule in rules().values() for edition in rule.citations})
HOUSES = ("alder-row", "alder-row-converted", "birch-lane", "cedar-court", "elm-cottage", "linden-walk")
MOST_ANSWERS, MOST_STEPS = 6, 25


def outcomes(assessed: Assessed) -> dict[tuple[str, str], Outcome]:
    return {(rule.key, judgement.about): judgement.outcome for rule, judgement in assessed.judgements}


def plain(installation: Installation) -> Part:
    """The normal form without its context, as a person would hand it in again."""
    return {key: value for key, value in installation.document.items() if key != "@context"}


def fills(document: Part, edition: int, chooser: random.Random, steps: int = MOST_STEPS) -> Iterator[tuple[Answer, list[str]]]:
    """Fill facts of a document one after the other; each answer that is accepted, with what it turned round."""
    installation = read_document(document)
    assessed = assess(installation, Law(edition))
    for _ in range(steps):
        facts = list(unknown_facts(plain(installation), assessed.derived.graph))
        if not facts:
            return
        _, _, answers = chooser.choice(facts)
        before, here = outcomes(assessed), (installation, assessed)
        for answer in chooser.sample(answers, min(MOST_ANSWERS, len(answers))):
            try:
                filled = read_document(answer.given(plain(here[0])))
            except BadInput:
                continue  # it contradicts what is stated
            installation, assessed = filled, assess(filled, Law(edition), reuse=here[1])
            after = outcomes(assessed)
            yield (
                answer,
                [f"{key} of {about}: {was} → {after.get((key, about))}" for (key, about), was in before.items() if is_turned(was, after.get((key, about)))],
            )


def is_turned(was: Outcome, becomes: Outcome | None) -> bool:
    """Whether what was decided is decided otherwise, is open again, or is gone."""
    return was is not Outcome.UNDECIDED and becomes is not was


def try_fills(document: Part, edition: int, chooser: random.Random) -> int:
    tried = 0
    for answer, turned in fills(document, edition, chooser):
        tried += 1
        assert turned == [], (edition, answer)
    return tried


def remembering_less(document: Part, chooser: random.Random) -> Part | None:
    """The normal form with some facts forgotten, often the conventions with them; None where what is left contradicts itself."""
    if chooser.random() < 0.5:
        document = {key: value for key, value in document.items() if key != "conventions"}
    try:
        less = forgotten(plain(read_document(document)), chooser, chooser.choice((0, 0.02, 0.05, 0.15, 0.4)))
        read_document(less)
    except BadInput:
        return None
    return less


@pytest.mark.parametrize("name", HOUSES)
def test_filling_a_fact_of_a_house_turns_nothing_round(name: str) -> None:
    chooser, tried = random.Random(f"{name} {FILLS}"), 0
    while tried < FILLS / 3 / len(HOUSES):
        less = remembering_less(house(name), chooser)
        tried += try_fills(less, chooser.choice(EDITIONS), chooser) if less else 0


def test_filling_a_fact_of_a_case_turns_nothing_round() -> None:
    chooser, tried = random.Random(f"cases {FILLS}"), 0
    while tried < FILLS / 3:
        case = chooser.choice(cases())
        less = remembering_less(case.installation, chooser)
        tried += try_fills(less, chooser.choice(case.editions), chooser) if less else 0


@given(installations(complete=False), st.sampled_from(EDITIONS), st.randoms(use_true_random=False))
@settings(
    max_examples=max(FILLS // 3 // (MOST_STEPS * 4), 1), phases=(Phase.explicit, Phase.generate), suppress_health_check=[HealthCheck.too_slow], deadline=None
)
def test_filling_a_fact_of_a_generated_document_turns_nothing_round(document: Part, edition: int, chooser: random.Random) -> None:
    try_fills(document, edition, chooser)


def test_a_path_between_buildings_is_refused_beside_a_run_within_one() -> None:
    """It was concluded to carry neutral current and, for want of a second building, not to: one bond more turned a failure into holding."""
    document = house("alder-row")
    document["runs"][2]["metalPathBeside"] = True
    with pytest.raises(BadInput) as refused:
        read_document(document)
    assert [problem.pointer for problem in refused.value.problems] == ["/runs/2/metalPathBeside"]


def test_the_filling_would_see_it() -> None:
    """Guards the guard: lists, notes, references and numbers are filled, and a fact that decides is among them."""
    installation = read_document(remembering_less(house("alder-row"), random.Random(4)) or {})
    facts = list(unknown_facts(plain(installation), assess(installation, Law(2020)).derived.graph))
    assert {"bondedTo", "conductors", "bonds", "work", "usesGroundOf", "count"} <= {key for _, key, _ in facts}
    assert any(answer.closes for _, _, answers in facts for answer in answers)
    turned = [is_turned(was, becomes) for was, becomes in ((Outcome.HOLDS, Outcome.FAILS), (Outcome.HOLDS, None), (Outcome.UNDECIDED, Outcome.FAILS))]
    assert turned == [True, True, False]
