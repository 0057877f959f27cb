"""The law that a request asks to be judged by: its editions, places and practices, as the book knows them."""

from collections.abc import Sequence

from faultpath.answers.law import Chosen, choose_laws, occupancy_of
from faultpath.assessment import Law
from faultpath.http.messages import ComparisonQuestion, UnderLaw
from faultpath.installation import Installation
from faultpath.overlays import practices
from faultpath.places import Place, places
from faultpath.problems import BadInput, Problem, nearest
from faultpath.rulebook import editions
from faultpath.terms import OCCUPANCY
from faultpath.vocabulary import vocabulary


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


def compared(earlier: str | None, later: str | None) -> tuple[int, int] | None:
    """The two editions of a rule to compare, None where neither is named. Raises BadInput."""
    if earlier is None and later is None:
        return None
    if earlier is None or later is None:
        missing = "earlier" if earlier is None else "later"
        raise BadInput([Problem(f"/{missing}", "One edition of two is named.", "Expected both: earlier and later.")], kind="bad-request")
    return year_of(earlier, "/earlier"), year_of(later, "/later")


def laws_to_compare(question: ComparisonQuestion) -> list[Law]:
    """The laws to compare: each edition as published, then with what each place made of it. Raises BadInput."""
    chosen = practices_of(question.practices)
    years = [year_of(edition, f"/editions/{index}") for index, edition in enumerate(question.editions)]
    for index, year in enumerate(years):
        if year in years[:index]:
            raise BadInput([Problem(f"/editions/{index}", f"The edition {year} is named twice.", "Expected different editions.")], kind="bad-request")
    chains = [place_of(place, f"/places/{index}").chain for index, place in enumerate(question.places)]
    for index, chain in enumerate(chains):
        if chain in chains[:index]:
            raise BadInput([Problem(f"/places/{index}", f"The place {chain[-1]} is named twice.", "Expected different places.")], kind="bad-request")
    laws = [Law(year, chain, chosen) for chain in ((), *chains) for year in years]
    if len(laws) < 2:
        raise BadInput([Problem("/editions", "There is one law to look at.", "Expected two editions at least, or an edition and a place.")], kind="bad-request")
    return laws


def place_of(key: str, at: str = "/place") -> Place:
    """The place of a request. Raises BadInput for one that the book does not know."""
    if key not in places():
        expected = "Expected a key of GET /v1/places, such as the ISO 3166-2 code of a state in small letters."
        raise BadInput([Problem(at, f"No place has the key {key[:80]!r}.", expected, nearest(key, places()))], kind="unknown-place")
    return places()[key]


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
    place = place_of(question.place) if question.place is not None else None
    occupancy = question.occupancy or occupancy_of(installation)
    known = vocabulary().codes[OCCUPANCY]
    if question.occupancy is not None and question.occupancy not in known:
        found, expected = f"{question.occupancy[:80]!r} is no occupancy.", "Expected one of: " + ", ".join(known) + "."
        raise BadInput([Problem("/occupancy", found, expected, nearest(question.occupancy, known))], kind="bad-request")
    if question.edition is not None:
        return Chosen((Law(year_of(question.edition), place.chain if place else (), chosen),))
    if place is None:
        expected = "Expected an edition, one of: " + ", ".join(map(str, editions())) + "; or a place and a date."
        raise BadInput([Problem("/edition", "Nothing says which edition to judge by.", expected)], kind="bad-request")
    return choose_laws(place, question.date, occupancy, chosen)
