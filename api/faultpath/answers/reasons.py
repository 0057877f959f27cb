"""Why a judgement came out as it did, in a sentence, and which missing facts would decide it."""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import TypeAlias

from pydantic import Field

from faultpath.answers.record import Answer
from faultpath.base.outcomes import Assessment, Gap, Outcome, negation
from faultpath.book.rules import Condition, DatedText, Group, Leaf, Rule, text_conditions
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import id_of
from faultpath.judging.judge import Judgement, JudgingCache, missing_facts, settling_facts

Sets: TypeAlias = tuple[frozenset[Gap], ...]
_MOST_SETS = 24
_conditions: dict[str, dict[str, Condition]] = {}


class MissingFact(Answer):
    """A fact that nobody stated and that keeps a finding undecided."""

    about: str = Field(description="Id of the part of the document that should state it.")
    fact: str = Field(description="Key of the property in the document.")
    ask: str = Field(description="The question a person can answer on site.")


def missing_fact(gap: Gap) -> MissingFact:
    """A missing fact as a question about a part of the document."""
    stated = vocabulary().properties[gap.property]
    return MissingFact(about=id_of(gap.node), fact=stated.key, ask=stated.asks or f"What is the {stated.label} here?")


def conditions_of(text: DatedText) -> dict[str, Condition]:
    """The conditions of a text by IRI."""
    found = _conditions.get(text.iri)
    if found is None:
        found = _conditions[text.iri] = {condition.iri: condition for condition in text_conditions(text)}
    return found


def sentence(judgement: Judgement, rule: Rule, missing: list[MissingFact]) -> str:
    """The judgement in one sentence, without the name of the node."""
    named = conditions_of(judgement.text)
    if judgement.outcome is Outcome.NOT_APPLICABLE:
        reasons = [named[a.condition].label for a in judgement.outside if a.outcome is Outcome.HOLDS]
        return f"not applicable: {reasons[0]}."
    if judgement.cannot_fail:
        return f"{rule.label}: cannot fail. Whether the rule applies is not known, and what it requires is met."
    if judgement.outcome is Outcome.UNDECIDED:
        asks = " ".join(dict.fromkeys(fact.ask for fact in missing))
        return f"{rule.label}: cannot be told yet. {asks}".strip()
    if judgement.requirement is None:
        raise ValueError("a text that applies has a requirement")
    if judgement.outcome is Outcome.HOLDS:
        return f"{_holding(judgement.requirement, named)}."
    return " ".join(blame(judgement))


def blame(judgement: Judgement) -> list[str]:
    """What is found wrong where a judgement fails, sentence by sentence; the same in every format."""
    if judgement.outcome is not Outcome.FAILS or judgement.requirement is None:
        return []
    return list(dict.fromkeys(_reasons(judgement.requirement, conditions_of(judgement.text))))


def _holding(assessment: Assessment, named: dict[str, Condition]) -> str:
    """The label of the branch that made an any-of hold, or of the whole."""
    condition = named[assessment.condition]
    if isinstance(condition, Group) and condition.combine == "any":
        return _holding(next(part for part in assessment.parts if part.outcome is Outcome.HOLDS), named)
    return condition.label


def _cost(assessment: Assessment, named: dict[str, Condition]) -> int:
    """How many leaves must change, or turn out well, before a condition holds."""
    if assessment.outcome is Outcome.HOLDS:
        return 0
    condition = named[assessment.condition]
    if isinstance(condition, Leaf) or condition.combine == "not":
        return 1
    costs = [_cost(part, named) for part in assessment.parts]
    return sum(costs) if condition.combine == "all" else min(costs)


def _reasons(assessment: Assessment, named: dict[str, Condition]) -> Iterator[str]:
    """Why a condition fails: of several alternatives those that came nearest, an allowance only where nothing else did."""
    condition = named[assessment.condition]
    if isinstance(condition, Leaf):
        yield condition.message
    elif condition.combine == "not":
        yield f"{named[assessment.parts[0].condition].label}."
    else:
        told = [part for part in assessment.parts if part.outcome is Outcome.FAILS]
        if condition.combine == "any":
            least = min(_cost(part, named) for part in told)
            told = [part for part in told if _cost(part, named) == least]
            told = [part for part in told if not is_exception(named[part.condition])] or told
        for part in told:
            yield from _reasons(part, named)


def is_exception(condition: Condition) -> bool:
    """Whether a condition is an allowance rather than the main requirement."""
    return isinstance(condition, Group) and condition.exception


# Undecided: which facts, and which of them could decide


def undecided(bench: JudgingCache, judgement: Judgement) -> tuple[tuple[Gap, ...], tuple[frozenset[Gap], ...]]:
    """The facts that an undecided judgement waits for, and the smallest sets of them some answer to which decides it."""
    named = conditions_of(judgement.text)
    gaps = dict.fromkeys(gap for part in judgement.parts() for gap in _open_facts(bench, part))

    def turning(parts: Iterable[Assessment], want: Outcome) -> list[Sets]:
        return [_turning(bench, named, part, want) for part in parts]

    required = [] if judgement.requirement is None else [judgement.requirement]
    decided = _either([*turning(required, Outcome.HOLDS), *turning(required, Outcome.FAILS)])
    applies = _together([*turning(judgement.outside, Outcome.FAILS), decided])
    return tuple(gaps), _either([*turning(judgement.outside, Outcome.HOLDS), applies])


def _open_facts(bench: JudgingCache, assessment: Assessment) -> Iterator[Gap]:
    if assessment.outcome is not Outcome.UNDECIDED:
        return
    facts = {fact for gap in assessment.gaps for fact in missing_facts(bench, gap)}
    yield from sorted(facts, key=_book_order)
    for part in assessment.parts:
        yield from _open_facts(bench, part)


def _book_order(fact: Gap) -> tuple[int, str]:
    """Facts are asked in the order of the book, then of the parts' names: lists of a document have no order."""
    return _rank()[fact.property], fact.node


@cache
def _rank() -> dict[str, int]:
    return {iri: number for number, iri in enumerate(vocabulary().properties)}


def _turning(bench: JudgingCache, named: dict[str, Condition], assessment: Assessment, want: Outcome) -> Sets:
    """The sets of facts some answer to which makes a condition hold, or fail, as wanted; none where nothing can."""
    if assessment.outcome is not Outcome.UNDECIDED:
        return (frozenset(),) if assessment.outcome is want else ()
    condition = named[assessment.condition]
    if isinstance(condition, Leaf):
        found = [settling_facts(bench, gap) for gap in assessment.gaps]
        together = frozenset(fact for facts, alone in found for fact in facts or alone)
        return _smallest([together, *(frozenset((fact,)) for _, alone in found for fact in alone)])
    if condition.combine == "not":
        return _turning(bench, named, assessment.parts[0], negation(want))
    families = [_turning(bench, named, part, want) for part in assessment.parts]
    return _together(families) if (condition.combine == "all") is (want is Outcome.HOLDS) else _either(families)


def _either(families: Iterable[Sets]) -> Sets:
    return _smallest(chosen for family in families for chosen in family)


def _together(families: Iterable[Sets]) -> Sets:
    combined: Sets = (frozenset(),)
    for family in families:
        combined = _smallest(one | other for one in combined for other in family)
    return combined


def _smallest(sets: Iterable[frozenset[Gap]]) -> Sets:
    """The sets that contain no other, smallest first."""
    kept: list[frozenset[Gap]] = []
    for chosen in sorted(dict.fromkeys(sets), key=len):
        if not any(other <= chosen for other in kept):
            kept.append(chosen)
    return tuple(kept[:_MOST_SETS])
