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
    """The laws that may be in force, the likeliest first, and what chose them; `choice` is None where the request named the edition."""

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
    likeliest: bool = Field(description="Whether this is the edition last known to be in force there.")
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
    years = [str(law.edition) for law in chosen.laws]
    listed = years[0] if len(years) == 1 else f"{', '.join(years[:-1])} or {years[-1]}"
    return Candidates(
        caution=CAUTION,
        place=chosen.place.key,
        says=f"It cannot be told which edition is in force in {chosen.place.name}: {listed} may be.",
        asks=list(chosen.choice.asks),
        standing=chosen.choice.standing,
        sources=list(chosen.choice.sources),
        candidates=[Candidate(edition=str(law.edition), likeliest=number == 0, answer=answer(law)) for number, law in enumerate(chosen.laws)],
    )


def answers_of(found: A | Candidates[A]) -> Sequence[A]:
    """The answers in what was asked, one or several."""
    return [candidate.answer for candidate in found.candidates] if isinstance(found, Candidates) else [found]
