"""Places choose an edition by date and occupancy, or say that they cannot and what would settle it."""

import json
import re
from datetime import date
from pathlib import Path

import pytest

from faultpath.answers.book import edition_detail, edition_turtle
from faultpath.answers.findings import FindingsAnswer
from faultpath.answers.law import Candidates, choose_laws, per_law
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.answers.record import Answer
from faultpath.base.problems import BadInput
from faultpath.book.overlays import book, every_overlay
from faultpath.book.places import choose_edition, places
from faultpath.book.rules import editions, rules
from faultpath.document.installation import read_document
from faultpath.service.findings import FindingsQuestion, ask_findings
from faultpath.service.requests import read_question

# The published source of each row stands in the row itself; the days are inside or outside of what the row says was read.
SETTLED = [
    ("us-ma", "2024-01-15", None, 2023),  # state notices: permits applied for from 2023-03-01
    ("us-ma", "2023-02-28", None, 2020),
    ("us-nc", "2022-05-01", True, 2017),  # ncbeec.org: the 2020 edition did not reach one- and two-family dwellings
    ("us-nc", "2022-05-01", False, 2020),
    ("us-wi", "2026-08-31", True, 2017),  # ecmweb.com: plans submitted from 2026-09-01
    ("us-wi", "2026-09-01", True, 2023),
    ("us-pa", "2025-07-12", True, 2017),
    ("us-mi", "2024-03-12", False, 2023),  # icc-nta.org: 2024-03-12
    ("us-ca-san-francisco", "2024-06-01", True, 2020),  # what the state has in force
]
OPEN = [
    ("us-nc", "2022-05-01", None, {2017, 2020}, "dwelling"),
    ("us-pa", "2025-07-20", True, {2020, 2017}, "contract"),
    ("us-az", "2024-01-01", True, {2008, 2011, 2014, 2017, 2020, 2023}, "city or county"),
    ("us-ma", "2026-06-01", True, {2023, 2026}, "later edition"),
    ("us-mi", "2024-03-12", True, {2023, 2014}, "in force"),
    ("us-nc", None, True, {2023, 2017}, "date"),
    ("us-wi", "2016-01-01", True, {1999, 2002, 2005, 2008, 2011, 2014}, "in force"),
]


def day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


@pytest.mark.parametrize(("place", "on", "dwelling", "edition"), SETTLED)
def test_a_place_and_a_day_that_settle_the_edition(place: str, on: str, dwelling: bool | None, edition: int) -> None:
    choice = choose_edition(places()[place], day(on), dwelling)
    assert (choice.editions, choice.asks) == ((edition,), ())
    assert choice.sources


@pytest.mark.parametrize(("place", "on", "dwelling", "possible", "word"), OPEN)
def test_what_is_not_known_gives_candidates_and_a_question(place: str, on: str | None, dwelling: bool | None, possible: set[int], word: str) -> None:
    choice = choose_edition(places()[place], day(on), dwelling)
    assert set(choice.editions) == possible
    assert any(word in ask for ask in choice.asks), choice.asks
    assert all(ask.endswith(("?", ".")) for ask in choice.asks)


@pytest.mark.parametrize("place", places())
@pytest.mark.parametrize("on", ["1995-01-01", "2009-06-01", "2017-01-01", "2022-07-01", "2024-07-01", "2026-11-25", "2031-01-01", None])
@pytest.mark.parametrize("dwelling", [True, False, None])
def test_several_editions_always_come_with_a_question(place: str, on: str | None, dwelling: bool | None) -> None:
    choice = choose_edition(places()[place], day(on), dwelling)
    assert choice.editions
    assert set(choice.editions) <= set(editions())
    assert len(choice.editions) == 1 or choice.asks
    if dwelling is None:
        both = [choose_edition(places()[place], day(on), known) for known in (True, False)]
        assert {edition for known in both for edition in known.editions} == set(choice.editions), "not knowing loses no candidate"


@pytest.mark.parametrize("place", places())
def test_rows_are_dated_in_order_and_say_where_they_come_from(place: str) -> None:
    found = places()[place]
    assert re.fullmatch(r"us-[a-z]{2}(-[a-z]+)*", place)
    assert found.chain[-1] == place
    assert found.adoptions or found.asks_locally
    for row in found.adoptions:
        assert row.edition in editions()
        assert row.occupancy in ("all", "one-two-family", "other")
        assert row.standing in ("verified", "partly", "memory")
        assert row.source
        assert row.effective is None or row.known_until is None or row.effective <= row.known_until
        assert row.grace_until is None or row.grace_asks.endswith("?")
    for track in ("one-two-family", "other"):
        rows = [row for row in found.adoptions if row.occupancy in (track, "all")]
        assert [row.edition for row in rows] == sorted(row.edition for row in rows), "a place does not go back"
        days = [row.effective for row in rows if row.effective]
        assert days == sorted(days)


def test_every_state_and_the_federal_district_is_there() -> None:
    """ISO 3166-2:US has fifty states and one district."""
    assert len([key for key in places() if key.count("-") == 1]) == 51


class Edition(Answer):
    edition: int


def test_an_open_edition_is_answered_for_each_candidate() -> None:
    chosen = choose_laws(places()["us-pa"], date(2025, 7, 20), "one-family-dwelling", frozenset())
    found = per_law(chosen, lambda law: Edition(edition=law.edition))
    assert isinstance(found, Candidates)
    assert [(c.edition, c.likeliest, c.answer.edition) for c in found.candidates] == [("2020", True, 2020), ("2017", False, 2017)]
    assert found.asks
    assert "2020 or 2017" in found.says


def test_a_settled_edition_says_what_chose_it() -> None:
    chosen = choose_laws(places()["us-ma"], date(2024, 1, 15), None, frozenset())
    (law,) = chosen.laws
    assert chosen.is_settled
    assert law.places == ("us-ma",)
    assert "Massachusetts" in law.chosen_by
    assert "verified" in law.chosen_by


def test_places_read_as_pages() -> None:
    assert [place.key for place in place_list()] == list(places())
    for key in places():
        detail = place_detail(key)
        assert detail.adoptions or detail.asks
    with pytest.raises(BadInput) as raised:
        place_detail("us-nd-x")
    assert raised.value.problems[0].nearest == "us-nd"


# Overlays


def test_no_overlay_edits_the_book() -> None:
    before = {key: (rule.in_force, rule.citations) for key, rule in rules().items()}
    for place in places().values():
        book(frozenset(o.key for o in every_overlay() if not o.place), place.chain)
    assert {key: (rule.in_force, rule.citations) for key, rule in rules().items()} == before
    assert {key: rule.text_in(max(rule.citations)) for key, rule in book().items()} == {
        key: rule.text_in(max(rule.citations)) for key, rule in rules().items() if not rule.place
    }


@pytest.mark.parametrize("overlay", every_overlay(), ids=lambda overlay: overlay.key)
def test_overlay_says_what_it_changes_and_changes_it(overlay) -> None:  # type: ignore[no-untyped-def]
    assert overlay.label
    assert overlay.says.endswith(".")
    assert overlay.sources
    assert overlay.standing
    assert overlay.texts or overlay.withdraws
    assert bool(overlay.place) == bool(overlay.citations), "an amendment cites the editions that it changes, a practice none"
    laid = book(frozenset({overlay.key}), ()) if not overlay.place else book(frozenset(), places()[overlay.place].chain)
    for key in (*overlay.texts, *overlay.withdraws):
        assert laid[key].in_force != rules()[key].in_force, key
        assert overlay in laid[key].overlays


@pytest.mark.parametrize("practice", practice_list(), ids=lambda practice: practice.key)
def test_a_practice_reads_rules_that_say_they_are_contested(practice) -> None:  # type: ignore[no-untyped-def]
    assert all(rules()[key].contested for key in practice.rules)


@pytest.mark.parametrize(("place", "on"), [("us-az", date(2026, 9, 23)), ("us-tx", date(2021, 12, 22))])
def test_where_no_adoption_was_read_no_edition_is_likeliest_and_the_first_answer_is_not_an_empty_one(place: str, on: date) -> None:
    found = per_law(choose_laws(places()[place], on, "one-family-dwelling", frozenset()), lambda law: Edition(edition=law.edition))
    assert isinstance(found, Candidates)
    assert not any(candidate.likeliest for candidate in found.candidates) or choose_edition(places()[place], on, True).last_read
    assert found.candidates[0].says is None
    assert found.candidates[0].rules_checked == max(candidate.rules_checked for candidate in found.candidates)
    few = [candidate for candidate in found.candidates if candidate.edition == "2026"]
    assert all(candidate.says and candidate.says.startswith("Only ") for candidate in few)


# The place that a document states

COVERED = Path(__file__).resolve().parent.parent / "examples" / "alder-row-covered-neutral.json"


def outcome_in(place: str | None, asked: str | None) -> str:
    document = {**json.loads(COVERED.read_text()), "place": place}
    question = read_question(FindingsQuestion, {"edition": "2023", "place": asked, "rules": ["range-and-dryer-frames-grounded"]})
    found = ask_findings(read_document(document), question)
    assert isinstance(found, FindingsAnswer)
    return next(f.outcome for f in found.findings if f.about == "range-1")


def test_the_place_of_the_document_counts_as_if_the_request_named_it() -> None:
    assert outcome_in(None, None) == "holds"
    assert outcome_in(None, "us-ma") == outcome_in("us-ma", None) == outcome_in("us-ma", "us-ma") == "fails"


def test_a_narrower_place_goes_before_the_one_it_lies_in() -> None:
    assert outcome_in("us-ca", "us-ca-san-francisco") == outcome_in("us-ca-san-francisco", "us-ca")


def test_two_places_that_contradict_one_another_are_refused() -> None:
    with pytest.raises(BadInput, match="stands in 'us-ma'"):
        outcome_in("us-ma", "us-nc")


def test_a_place_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput, match="No place has the key 'nonsense'"):
        outcome_in("nonsense", None)


# An edition as one law


def test_the_shapes_of_an_edition_hold_no_rule_of_a_place_that_was_not_asked_for() -> None:
    published, amended = edition_turtle("2023"), edition_turtle("2023", "us-wa")
    own = "new-building-uses-a-concrete-encased-electrode"
    assert own not in published
    assert "electrode-is-cast-into-a-new-foundation" not in published
    assert own in amended
    assert own in edition_detail("2023", "us-wa").rules
    with pytest.raises(BadInput, match="No place"):
        edition_turtle("2023", "us-zz")
