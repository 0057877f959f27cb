"""Time itself: each edition that a rule cites finds exactly one text, and no other edition finds any.

After Catala, whose coverage tests assert no amounts, only that every date finds exactly one rule.
"""

from itertools import pairwise

import pytest

from faultpath.book.cases import house
from faultpath.book.rules import Condition, Group, Leaf, editions, rules, text_conditions
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.program import all_derivations, derivations
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess

RULES = rules()
CITED = [pytest.param(key, edition, id=f"{key}-{edition}") for key, rule in RULES.items() for edition in rule.citations]


def test_editions_are_known_and_in_order():
    assert list(editions()) == sorted(set(editions()))
    assert {edition for rule in RULES.values() for edition in rule.citations} <= set(editions())


@pytest.mark.parametrize(("key", "edition"), CITED)
def test_cited_edition_has_exactly_one_text(key: str, edition: int):
    rule = RULES[key]
    in_force = [text for at, text in enumerate(rule.texts) if text.year <= edition and (at + 1 == len(rule.texts) or edition < rule.texts[at + 1].year)]
    assert in_force == [rule.text_in(edition)]


@pytest.mark.parametrize("key", RULES)
def test_texts_begin_where_the_citations_do(key: str):
    """Every text is dated by an edition, is in force in at least one cited edition, and none is older than the citations."""
    rule = RULES[key]
    years = [text.year for text in rule.texts]
    assert years == sorted(set(years))
    assert set(years) <= set(editions())
    assert min(years) == min(rule.citations)
    assert {text.year for edition in rule.citations if (text := rule.text_in(edition))} == set(years)


@pytest.mark.parametrize("key", RULES)
def test_citations_leave_no_edition_out_between_the_first_and_the_last(key: str):
    cited = list(RULES[key].citations)
    assert cited == [edition for edition in editions() if cited[0] <= edition <= cited[-1]]


@pytest.mark.parametrize("edition", editions())
def test_an_edition_that_nobody_checked_is_not_encoded(edition: int):
    assessed = assess(read_document(house("birch-lane")), Law(edition))
    silent = {key for key, rule in RULES.items() if edition not in rule.citations and not rule.place}
    assert set(assessed.not_encoded) == silent
    assert silent.isdisjoint(rule.key for rule, _ in assessed.judgements)


def test_every_rule_is_silent_before_the_oldest_edition():
    oldest = min(editions())
    assert all(rule.text_in(oldest - 1) is None for rule in RULES.values())


@pytest.mark.parametrize("edition", editions())
def test_derivations_in_force(edition: int):
    """One text per family, the newest that is not newer than the edition, each after those it reads."""
    in_force = derivations(edition)
    assert [d.key for d in in_force] == list(dict.fromkeys(d.key for d in in_force))
    for at, derivation in enumerate(in_force):
        assert derivation.year == max(d.year for d in all_derivations() if d.key == derivation.key and d.year <= edition)
        assert not set(derivation.after) & {d.key for d in in_force[at:]}


@pytest.mark.parametrize("edition", editions())
def test_what_a_text_reads_is_derived_in_its_edition(edition: int):
    """A derived fact that nothing concludes would leave a rule undecided for ever."""
    concluded = {pattern[1] for derivation in derivations(edition) for pattern in derivation.conclusions}
    read = {
        step.property
        for rule in RULES.values()
        if (text := rule.text_in(edition)) is not None
        for leaf in text_conditions(text)
        if isinstance(leaf, Leaf)
        for step in leaf.path
    }
    assert {iri for iri in read if vocabulary().properties[iri].derived_by} <= concluded


def test_derivations_read_only_what_exists_and_are_dated_by_editions():
    keys = {d.key for d in all_derivations()}
    assert {name for d in all_derivations() for name in d.after} <= keys
    assert {d.year for d in all_derivations()} <= set(editions())
    assert all(d.says for d in all_derivations())


def content(condition: Condition) -> object:
    """What a condition asks, apart from its own name."""
    if isinstance(condition, Leaf):
        return condition.path, condition.constraint, condition.arguments
    return condition.combine, tuple(part.iri for part in condition.parts), condition.exception


@pytest.mark.parametrize("key", RULES)
def test_an_unchanged_condition_keeps_its_iri(key: str):
    """Two conditions that ask the same are one condition, so that a comparison of editions shows only what changed."""
    named: dict[object, set[str]] = {}
    for text in RULES[key].texts:
        for condition in text_conditions(text):
            if condition.iri != text.iri and not (isinstance(condition, Group) and len(condition.parts) == 1):
                named.setdefault(content(condition), set()).add(condition.iri)
    assert [sorted(iris) for iris in named.values() if len(iris) > 1] == []


@pytest.mark.parametrize("key", RULES)
def test_a_later_text_differs_from_the_one_before(key: str):
    texts = RULES[key].texts
    for before, after in pairwise(texts):
        assert [c.iri for c in text_conditions(before)] != [c.iri for c in text_conditions(after)]
