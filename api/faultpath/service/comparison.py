"""One installation under several laws."""

from typing import Any

from pydantic import Field

from faultpath.answers.editions import ComparisonAnswer, compare
from faultpath.base.problems import BadInput, Problem
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Law
from faultpath.service.jurisdiction import place_of, practices_of, year_of
from faultpath.service.requests import _PRACTICES, ABOUT, INSTALLATION, RULES, Edition, Name, Question, of_request


class ComparisonQuestion(Question):
    """Which editions and places to compare, on what. Two laws at least: two editions, or one and a place."""

    editions: list[Edition] = Field(description="Editions to compare; they are answered oldest first.", min_length=1, max_length=100)
    places: list[Name] = Field(
        default=[], description="Places, keys of GET /v1/places, whose amendments to each of the editions are compared too.", max_length=20
    )
    practices: list[Name] = Field(default=[], description=_PRACTICES, max_length=100)
    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


class ComparisonRequest(ComparisonQuestion):
    """An installation and the editions to compare."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


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


def ask_comparison(installation: Installation, question: ComparisonQuestion) -> ComparisonAnswer:
    """The outcomes under each law. Raises BadInput."""
    laws = laws_to_compare(question)
    return of_request(lambda: compare(installation, laws, question.rules, question.about))
