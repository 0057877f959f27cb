"""The fewest facts to find out on site that settle what cannot be decided, and what each answer would mean."""

from collections.abc import Collection, Iterator, Sequence
from decimal import Decimal

from pydantic import Field

from faultpath.answers.reasons import missing_fact, undecided
from faultpath.answers.record import Answer
from faultpath.base.outcomes import Gap, Outcome
from faultpath.base.terms import XSD
from faultpath.base.triples import Term
from faultpath.book.rules import Leaf, text_conditions
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.program import derivations
from faultpath.document.installation import id_of
from faultpath.planning.states import Pair, State, States

_MOST_NUMBERS = 4
_MOST_TRIED = 5_000
_MOST_FAMILIES = 60


class Settled(Answer):
    """A finding that an answer decides."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part that the rule is about.")
    outcome: Outcome = Field(description="What the finding comes to.")


class PossibleAnswer(Answer):
    """One answer to a question, by itself, and what it would mean."""

    answer: str = Field(description="The answer: a word, yes or no, or a number with the numbers that it stands for.")
    decides: list[Settled] = Field(description="The findings that it decides by itself; empty where other facts are needed as well.")


class FactToFind(Answer):
    """A fact to find out on site."""

    about: str = Field(description="Id of the part of the document that should state it.")
    fact: str = Field(description="Key of the property in the document.")
    ask: str = Field(description="The question a person can answer on site.")
    answers: list[PossibleAnswer] = Field(description="Each possible answer; empty where it is a list or a description, or where too many were asked about.")


class OpenFinding(Answer):
    """A finding that cannot be decided."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part that the rule is about.")


class Settling(Answer):
    """A plan of questions."""

    facts: list[FactToFind] = Field(description="The fewest facts some answers to which settle every undecided finding that a fact can settle.")
    unsettled: list[OpenFinding] = Field(description="Undecided findings that no fact of the document would settle.")


def settle(states: States, pairs: Collection[Pair]) -> Settling:
    """The questions for the undecided among some findings at the start."""
    start = states.start
    wanted = [(rule, j) for rule, j in start.assessed.judgements if j.outcome is Outcome.UNDECIDED and not j.cannot_fail and (rule.key, j.about) in pairs]
    sets = {(rule.key, j.about): undecided(start.assessed.bench, j)[1] for rule, j in wanted}
    open_pairs = [pair for pair, found in sets.items() if not any(found)]
    chosen = _fewest([found for found in sets.values() if any(found)])
    facts = [_fact(states, gap, list(sets)) for gap in chosen]
    return Settling(facts=facts, unsettled=[OpenFinding(rule=rule, about=id_of(node)) for rule, node in open_pairs])


def _fewest(families: Sequence[Sequence[frozenset[Gap]]]) -> list[Gap]:
    """The smallest set that contains a set of each family; of very many families one that is small."""
    distinct = list({frozenset(family): family for family in families}.values())
    best = _greedy(distinct)
    tried = 0

    def grow(chosen: frozenset[Gap], left: Sequence[Sequence[frozenset[Gap]]]) -> None:
        nonlocal best, tried
        tried += 1
        left = [family for family in left if not any(one <= chosen for one in family)]
        if len(chosen) >= len(best) or tried > _MOST_TRIED:
            return
        if not left:
            best = chosen
            return
        family = min(left, key=len)
        for one in sorted(family, key=lambda gaps: (len(gaps - chosen), sorted(gaps))):
            grow(chosen | one, left)

    if len(distinct) <= _MOST_FAMILIES:
        grow(frozenset(), distinct)
    return sorted(best)


def _greedy(families: Sequence[Sequence[frozenset[Gap]]]) -> frozenset[Gap]:
    """A set that contains a set of each family: for each the one that adds least."""
    chosen: frozenset[Gap] = frozenset()
    for family in families:
        if not any(one <= chosen for one in family):
            chosen |= min(family, key=lambda gaps: (len(gaps - chosen), sorted(gaps)))
    return chosen


def _fact(states: States, gap: Gap, pairs: Collection[Pair]) -> FactToFind:
    fact = missing_fact(gap)
    answers = []
    for words, value in _possible(states.start, gap) if not states.exhausted else ():
        state = states.knowing(gap, value)
        decided = [(rule, node) for rule, node in pairs if state.outcomes.get((rule, node), Outcome.NOT_APPLICABLE) is not Outcome.UNDECIDED]
        found = [Settled(rule=r, about=id_of(n), outcome=state.outcomes.get((r, n), Outcome.NOT_APPLICABLE)) for r, n in decided]
        answers.append(PossibleAnswer(answer=words, decides=found))
    return FactToFind(about=fact.about, fact=fact.fact, ask=fact.ask, answers=answers)


def _possible(state: State, gap: Gap) -> Iterator[tuple[str, Term]]:
    """The possible values of a missing fact with the words for them; none for a list, a reference or a part to describe."""
    prop = vocabulary().properties[gap.property]
    codes = vocabulary().codes.get(prop.range)
    if prop.kind == "list" or prop.nested:
        return
    if codes is not None and len(codes) <= 20:
        yield from ((vocabulary().labels[iri], iri) for iri in codes.values())
    elif prop.range == XSD + "boolean":
        yield from (("yes", True), ("no", False))
    elif prop.range in (XSD + "integer", XSD + "decimal"):
        numbers = _thresholds(state, gap.property)
        as_stated = Decimal if prop.range == XSD + "decimal" else int
        for lower, number in zip([None, *numbers], numbers, strict=False):
            if number > 1 and (lower is None or number - lower > 1):
                yield (f"less than {number}" if lower is None else f"between {lower} and {number}"), as_stated(number - 1)
            yield str(number), as_stated(number)
        if numbers:
            yield f"more than {numbers[-1]}", as_stated(numbers[-1] + 1)


def _thresholds(state: State, property_iri: str) -> list[int]:
    """The whole numbers that a number is held against: by conditions that read it, and by what derivations compare it with."""
    found: set[Term] = set()
    graph = state.assessed.derived.graph
    for text in state.assessed.texts():
        for leaf in text_conditions(text):
            if isinstance(leaf, Leaf) and leaf.path[-1].property == property_iri:
                found.update(leaf.arguments)
    properties = vocabulary().properties
    for derivation in derivations(state.assessed.law.edition):
        for arm in derivation.arms:
            if property_iri in arm.reads:
                beside = [iri for iri in arm.reads if iri != property_iri and iri in properties and properties[iri].range in (XSD + "integer", XSD + "decimal")]
                found.update(value for iri in beside for values in graph.table(iri).by_subject.values() for value in values)
    return sorted(n for n in found if isinstance(n, int) and not isinstance(n, bool))[:_MOST_NUMBERS]
