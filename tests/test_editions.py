"""One installation under several editions, and what the text changed: set arithmetic on conditions that keep their IRI."""

import json
from pathlib import Path
from typing import Any

from hypothesis import given, settings

from faultpath.answers.book import edition_list, rule_detail, rule_list, rule_text, table_detail
from faultpath.answers.editions import compare
from faultpath.book.rules import editions, rules
from faultpath.document.installation import id_of, read_document
from faultpath.judging.assessment import Law, assess
from generated import installations

HOUSE = Path(__file__).resolve().parent.parent / "examples" / "alder-row-covered-neutral.json"
RANGE = "range-and-dryer-frames-grounded"


def test_the_covered_neutral_differs_between_2020_and_2023() -> None:
    answer = compare(read_document(json.loads(HOUSE.read_text())), [Law(2023), Law(2020)], only=[RANGE])
    (row,) = answer.rows
    assert [(o.edition, o.outcome) for o in row.outcomes] == [("2020", "fails"), ("2023", "holds")]
    assert row.differs
    (change,) = answer.changes
    assert any(iri.endswith("2023#neutral-is-covered-in-the-supply-enclosure") for iri in change.added)
    assert change.section_moved
    assert any(iri.endswith("1990#circuit-starts-at-service-equipment") for iri in change.unchanged)


@given(installations(complete=False))
@settings(max_examples=15)
def test_what_editions_share_changes_no_outcome(document: dict[str, Any]) -> None:
    """The same as judging under each law by itself, in the same order, whatever is derived once and assessed once for several."""
    house = read_document(document)
    laws = [*(Law(year) for year in editions()), Law(2020, ("us-ma",)), Law(2023, ("us-ma",))]
    alone: dict[tuple[str, str], dict[tuple[str, str | None], str]] = {}
    for law in laws:
        for rule, judgement in assess(house, law).judgements:
            place = law.places[-1] if law.places else None
            alone.setdefault((rule.key, id_of(judgement.about)), {})[str(law.edition), place] = judgement.outcome.value
    for known in (None, assess(house, Law(2011))):
        rows = compare(house, laws, known=known).rows
        silent = ("not_applicable", "not_encoded", "withdrawn")
        assert list(alone) == [(row.rule, row.about) for row in rows]
        for row in rows:
            found = {(one.edition, one.place): one.outcome for one in row.outcomes}
            expected = alone[row.rule, row.about]
            assert {where: found[where] for where in expected} == expected
            assert all(found[where] in silent for where in found.keys() - expected.keys())


def test_an_edition_nobody_checked_is_not_encoded_and_never_guessed() -> None:
    answer = compare(read_document(json.loads(HOUSE.read_text())), [Law(2023), Law(2026)])
    unchecked = next(edition for edition in edition_list() if edition.edition == "2026")
    assert set(unchecked.not_encoded) == {key for key, rule in rules().items() if 2026 not in rule.citations and not rule.place} != set()
    for row in answer.rows:
        if row.rule in unchecked.not_encoded:
            assert [o.outcome for o in row.outcomes if o.edition == "2026"] == ["not_encoded"]


def test_a_rule_that_only_a_place_has_says_so_and_is_in_no_edition_as_published() -> None:
    only = {rule.key: rule.place for rule in rule_list() if rule.place}
    assert only["new-building-uses-a-concrete-encased-electrode"] == "us-wa"
    for edition in edition_list():
        assert only.keys().isdisjoint([*edition.rules, *edition.not_encoded])


def test_a_section_that_moves_with_the_same_text_says_so() -> None:
    moves = [c for key in rules() for c in rule_detail(key).history if c.section_moved and not c.added and not c.dropped]
    assert moves
    assert all("the section moved" in change.says for change in moves)


def test_every_rule_text_and_table_can_be_read() -> None:
    for key, rule in rules().items():
        assert rule_detail(key).citations
        for year in rule.citations:
            assert rule_text(key, str(year)).requirement.states
    first = table_detail("equipment-grounding-conductor-sizes").dated[0].rows[0]
    assert first == {"overAmperes": "0", "notOverAmperes": "15", "copperSize": "14-AWG", "aluminumSize": "12-AWG"}
