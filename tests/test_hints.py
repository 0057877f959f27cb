"""What is suggested for a word of the trade that documents do not use: the word that means the same, or none.

`hints.csv` holds what electricians type, slot by slot, with the word that documents use for it; common practice, no published source.
"""

import csv
from pathlib import Path

import pytest

from faultpath.base.problems import nearest
from faultpath.base.terms import INST
from faultpath.book.hints import hint
from faultpath.book.vocabulary import vocabulary

ROWS = list(csv.DictReader((Path(__file__).parent / "hints.csv").read_text().splitlines()))
WORDS = vocabulary()


def expected_in(word: str) -> list[list[str]]:
    """The lists of words, among those that documents may use at one place, in which a word stands."""
    kinds = [list(WORDS.item_kinds(INST + name)) for name in ("Equipment", "Source", "Electrode", "MetalBody", "Bond", "Terminal")]
    return [words for words in [*map(list, WORDS.codes.values()), *kinds] if word in words]


def test_no_hint_is_wrong() -> None:
    """Of every word typed, at every place where the right word could stand."""
    wrong = [
        (row["slot"], row["typed"], suggested, row["word"])
        for row in ROWS
        for words in expected_in(row["word"])
        if (suggested := hint(row["typed"], words)) not in (None, row["word"])
    ]
    assert wrong == []


def test_most_words_of_the_trade_get_their_hint() -> None:
    found = [hint(row["typed"], words) == row["word"] for row in ROWS for words in expected_in(row["word"])]
    assert sum(found) > 0.7 * len(found)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("covered", ["uncovered", "bare"]),
        ("connected", ["not-connected"]),
        ("ground", ["grounded", "ungrounded"]),
        ("panel/ground-bar", ["panel/grounded-bar"]),
        ("grounding", ["grounded"]),
        ("listed", ["not-listed"]),
        ("fused-switch", ["unfused-switch"]),
        ("meter", ["motor"]),
    ],
)
def test_no_hint_names_the_opposite(typed: str, words: list[str]) -> None:
    assert hint(typed, words) is None


@pytest.mark.parametrize("typed", ["grounded-bar ", "Grounded_Bar", "groundedBar"])
def test_a_slip_is_mended(typed: str) -> None:
    assert hint(typed, ["grounding-bar", "grounded-bar"]) == "grounded-bar"


def test_a_typed_key_far_from_all_gets_nothing() -> None:
    assert nearest("zzz", ["panel"]) is None
