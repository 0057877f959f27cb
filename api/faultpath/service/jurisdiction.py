"""The law that a request asks to be judged by: its editions, places and practices, as the book knows them."""

from collections.abc import Sequence
from typing import TypeVar

from faultpath.answers.law import Candidates, Chosen, choose_laws, occupancy_of
from faultpath.answers.record import Answer
from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.base.terms import OCCUPANCY
from faultpath.book.hints import hint
from faultpath.book.overlays import practices
from faultpath.book.places import Place, places
from faultpath.book.rules import editions
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Law
from faultpath.service.requests import UnderLaw

A = TypeVar("A", bound=Answer)


def year_of(edition: str, at: str = "/edition", *, kind: str = "unknown-edition", status: int = 422) -> int:
    """The edition as the book numbers it. Raises BadInput for one that the book does not know."""
    known = {str(year): year for year in editions()}
    if edition in known:
        return known[edition]
    close = nearest(edition, known)
    if edition.isascii() and edition.isdigit() and len(edition) < 8:
        close = min(known, key=lambda word: abs(known[word] - int(edition)))
    found = f"{edition[:40]!r} is not an edition of the book."
    raise BadInput([Problem(at, found, "Expected one of: " + ", ".join(known) + ".", close)], kind=kind, status=status)


def place_of(key: str, at: str = "/place") -> Place:
    """The place of a request. Raises BadInput for one that the book does not know."""
    if key not in places():
        expected = "Expected a key of GET /v1/places, such as the ISO 3166-2 code of a state in small letters."
        raise BadInput([Problem(at, f"No place has the key {key[:80]!r}.", expected, nearest(key, places()))], kind="unknown-place")
    return places()[key]


def _place_of_both(asked: str | None, stated: str | None) -> Place | None:
    """The place of a request and of its document: the narrower of two of which one lies within the other. Raises BadInput where neither does."""
    named = [place_of(key) for key in (asked, stated) if key is not None]
    narrow = max(named, key=lambda place: len(place.chain), default=None)
    apart = [place.key for place in named if narrow is not None and place.key not in narrow.chain]
    if apart:
        found = f"The request says {asked!r}, and the installation stands in {stated!r}."
        raise BadInput([Problem("/place", found, "Expected the same place, one within the other, or only one of them.")], kind="bad-request")
    return narrow


def practices_of(chosen: Sequence[str]) -> frozenset[str]:
    """The practices to judge by. Raises BadInput for one that the book does not know."""
    unknown = [(index, key) for index, key in enumerate(chosen) if key not in practices()]
    if unknown:
        expected = "Expected keys of GET /v1/practices."
        problems = (Problem(f"/practices/{i}", f"No practice has the key {key[:80]!r}.", expected, nearest(key, practices())) for i, key in unknown)
        raise BadInput(problems, kind="bad-request")
    return frozenset(chosen)


def laws_of(question: UnderLaw, installation: Installation) -> Chosen:
    """The law, or the laws that may be in force, that a request asks to be judged by. Raises BadInput."""
    chosen = practices_of(question.practices)
    place = _place_of_both(question.place, installation.document.get("place"))
    occupancy = question.occupancy or occupancy_of(installation)
    known = vocabulary().codes[OCCUPANCY]
    if question.occupancy is not None and question.occupancy not in known:
        found, expected = f"{question.occupancy[:80]!r} is no occupancy.", "Expected one of: " + ", ".join(known) + "."
        raise BadInput([Problem("/occupancy", found, expected, hint(question.occupancy, known))], kind="bad-request")
    if question.edition is not None:
        return Chosen((Law(year_of(question.edition), place.chain if place else (), chosen),))
    if place is None:
        expected = "Expected an edition, one of: " + ", ".join(map(str, editions())) + "; or a place and a date."
        raise BadInput([Problem("/edition", "Nothing says which edition to judge by.", expected)], kind="bad-request")
    return choose_laws(place, question.date, occupancy, chosen)


def settled_law(chosen: Chosen) -> Law:
    """The one law that is in force, for formats that hold one answer. Raises BadInput where several may be."""
    if not chosen.is_settled:
        raise _unsettled([str(law.edition) for law in chosen.laws])
    return chosen.laws[0]


def settled(found: A | Candidates[A]) -> A:
    """The one answer, for formats that hold one. Raises BadInput where the law is not settled."""
    if isinstance(found, Candidates):
        raise _unsettled([candidate.edition for candidate in found.candidates])
    return found


def _unsettled(listed: Sequence[str]) -> BadInput:
    expected = f"Expected an edition for this format, one of: {', '.join(listed)}; or JSON, which holds an answer for each."
    return BadInput([Problem("/edition", "The place and the date do not settle the edition.", expected)], kind="bad-request")
