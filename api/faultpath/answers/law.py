"""Which law a question is asked under: an edition that is named, or the one that a place had in force on a day.

Where that cannot be told, every edition that may be in force is a candidate, and the questions that would settle it go along.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from pydantic import Field

from faultpath.answers.record import CAUTION, Answer
from faultpath.book.places import Choice, Place, choose_edition
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Law

A = TypeVar("A", bound=Answer)
_ONE_OR_TWO_FAMILY = ("one-family-dwelling", "two-family-dwelling")


@dataclass(frozen=True)
class Chosen:
    """The laws that may be in force, those last read to be first, and what chose them; `choice` is None where the request named the edition."""

    laws: tuple[Law, ...]
    place: Place | None = None
    choice: Choice | None = None

    @property
    def is_settled(self) -> bool:
        """Whether one law is known to be in force."""
        return self.choice is None or (len(self.laws) == 1 and not self.choice.asks)


class Candidate(Answer, Generic[A]):
    """The answer under one edition that may be in force."""

    edition: str
    likeliest: bool = Field(description="Whether an adoption that was read had this edition in force there last.")
    rules_checked: int = Field(description="How many rules of the book answer for this edition.")
    says: str | None = Field(description="That few rules were checked for this edition, so that little of it was judged; null where most were.")
    answer: A


class Candidates(Answer, Generic[A]):
    """The answers under each edition that may be in force, where the place and the date do not settle which one is."""

    caution: str
    place: str
    says: str = Field(description="What is not known about the edition, in one sentence.")
    asks: list[str] = Field(description="Questions whose answers would settle the edition.")
    standing: str = Field(description="How far the adoptions were checked.")
    sources: list[str]
    candidates: list[Candidate[A]]


def choose_laws(place: Place, on: date | None, occupancy: str | None, practices: frozenset[str]) -> Chosen:
    """The laws that may be in force in a place on a day; an occupancy is a code word of the ontology."""
    choice = choose_edition(place, on, None if occupancy is None else occupancy in _ONE_OR_TWO_FAMILY)
    day = f" on {on.isoformat()}" if on else ""
    chosen_by = f"In force in {place.name}{day}; adoption checked: {choice.standing}. Source: {'; '.join(choice.sources) or 'none read'}."
    laws = tuple(Law(edition, place.chain, practices, chosen_by) for edition in choice.editions)
    return Chosen(laws, place, choice)


def occupancy_of(installation: Installation) -> str | None:
    """The occupancy that the document states."""
    return installation.document.get("occupancy")


def per_law(chosen: Chosen, answer: Callable[[Law], A]) -> A | Candidates[A]:
    """The answer, or one for each law that may be in force."""
    if chosen.is_settled or chosen.choice is None or chosen.place is None:
        return answer(chosen.laws[0])
    read, checked = chosen.choice.last_read, {law: _rules_checked(law) for law in chosen.laws}
    laws = sorted(chosen.laws, key=lambda law: (law.edition not in read, 0 if read else -checked[law]))
    years = [str(law.edition) for law in laws]
    listed = years[0] if len(years) == 1 else f"{', '.join(years[:-1])} or {years[-1]}"
    return Candidates(
        caution=CAUTION,
        place=chosen.place.key,
        says=f"It cannot be told which edition is in force in {chosen.place.name}: {listed} may be.",
        asks=list(chosen.choice.asks),
        standing=chosen.choice.standing,
        sources=list(chosen.choice.sources),
        candidates=[
            Candidate(
                edition=str(law.edition),
                likeliest=law.edition in read,
                rules_checked=checked[law],
                says=_few(checked[law], max(checked.values()), len(law.book)),
                answer=answer(law),
            )
            for law in laws
        ],
    )


def _rules_checked(law: Law) -> int:
    return sum(rule.text_in(law.edition) is not None for rule in law.book.values())


def _few(checked: int, most: int, all_rules: int) -> str | None:
    if 2 * checked > max(most, all_rules):
        return None
    return f"Only {checked} of {all_rules} rules were checked for this edition: what fails under the others was mostly not judged here."


def answers_of(found: A | Candidates[A]) -> Sequence[A]:
    """The answers in what was asked, one or several."""
    return [candidate.answer for candidate in found.candidates] if isinstance(found, Candidates) else [found]
