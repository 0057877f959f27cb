"""What goes over the wire beside the answers: the request of each question, what is wrong with one, and the lists of the book."""

from collections.abc import Sequence
from datetime import date as CalendarDate  # noqa: N812  the field of a request has its name
from typing import Annotated, Any, Literal, TypeVar, cast

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictStr, ValidationError

import faultpath
from faultpath.answers.book import EditionSummary, RuleSummary
from faultpath.answers.law import Chosen, choose_laws, occupancy_of
from faultpath.answers.places import OverlayDetail, PlaceSummary
from faultpath.answers.record import Answer
from faultpath.assessment import Law
from faultpath.installation import Installation
from faultpath.models import explain
from faultpath.overlays import practices
from faultpath.places import Place, places
from faultpath.problems import BadInput, Problem, nearest, pointer
from faultpath.rulebook import editions
from faultpath.shelf import shelf
from faultpath.terms import OCCUPANCY
from faultpath.vocabulary import vocabulary

Edition = Annotated[StrictStr, Field(max_length=40)]
Name = Annotated[StrictStr, Field(max_length=600)]
INSTALLATION = "The installation to judge, as the schema of installation documents describes it."
_EDITION = "Edition to judge by, a key of GET /v1/editions. Left out, the place and the date choose it."
_PLACE = "Place, a key of GET /v1/places: its amendments apply, and without an edition it chooses the one in force."
_DATE = "Date that counts in the place (most often that of the permit application), as year-month-day; it chooses the edition."
_OCCUPANCY = "Occupancy, where places adopt by it; left out, that of the installation."
ABOUT = "Ids of the parts of the installation to answer about; all if left out or empty."
_PRACTICES = "Keys of named practices, GET /v1/practices: readings of contested rules to judge by instead of the strict ones."
RULES = "Keys of the rules to judge; all that answer for the edition if left out or empty."


class Question(BaseModel):
    """What all questions share: no key may be unknown."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class UnderLaw(Question):
    """What the questions under one law share: the edition, or the place and the date that choose it."""

    edition: Edition | None = Field(default=None, description=_EDITION)
    place: Name | None = Field(default=None, description=_PLACE)
    date: CalendarDate | None = Field(default=None, description=_DATE)
    occupancy: Name | None = Field(default=None, description=_OCCUPANCY)
    practices: list[Name] = Field(default=[], description=_PRACTICES, max_length=100)


class FindingsQuestion(UnderLaw):
    """Which findings, under which law."""

    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)
    verify: StrictBool = Field(default=False, description="Run the reference engine beside the judge, and refuse to answer where they differ.")
    detail: Literal["matters", "all"] = Field(
        default="matters", description="Condition trees for what fails or is undecided (matters), or for everything (all)."
    )
    width: Literal["sheet", "phone"] = Field(default="sheet", description="Width of the picture, where the answer is one.")


class FindingsRequest(FindingsQuestion):
    """An installation and the findings wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


class NoticeQuestion(UnderLaw):
    """Which findings the draft of a correction notice is made from, under which law."""

    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


class NoticeRequest(NoticeQuestion):
    """An installation and the correction notice wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


class OriginQuestion(UnderLaw):
    """Which supply paths, under which law."""

    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


class OriginRequest(OriginQuestion):
    """An installation and the supply paths wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


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


Q = TypeVar("Q", bound=Question)


def read_question(model: type[Q], data: Any) -> Q:
    """A question from parsed JSON or a query string. Raises BadInput with every problem found."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise BadInput((_problem(model, cast(dict[str, Any], e)) for e in error.errors(include_url=False)), kind="bad-request") from error


def _problem(model: type[Question], error: dict[str, Any]) -> Problem:
    where = error["loc"]
    if error["type"] == "extra_forbidden":
        keys = list(model.model_fields)
        found = f"The key {where[-1]!r} is not defined here."
        return Problem(pointer(where), found, "Expected one of: " + ", ".join(keys) + ".", nearest(str(where[-1]), keys))
    if where[:1] in (("edition",), ("editions",)) and error["type"] == "string_type" and isinstance(error["input"], int):
        return Problem(pointer(where), f"{str(error['input'])[:40]} is a number.", "Expected the edition as a text.", f'"{str(error["input"])[:40]}"')
    if error["type"] == "model_type":
        return Problem("", "The request is not an object.", "Expected an object with the keys " + ", ".join(model.model_fields) + ".")
    if error["type"] == "too_short":
        return Problem(pointer(where), f"The list has {error['ctx']['actual_length']} in it.", f"Expected at least {error['ctx']['min_length']}.")
    return explain(error)


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


class PlaceList(Answer):
    """The places of the book."""

    places: list[PlaceSummary] = Field(description="Every place, by key.")


class PracticeList(Answer):
    """The named practices of the book."""

    practices: list[OverlayDetail] = Field(description="Every practice, by key.")


class RuleList(Answer):
    """The rules of the book."""

    rules: list[RuleSummary] = Field(description="Every rule, in the order of the chapters.")


class EditionList(Answer):
    """The editions of the code that the book knows."""

    editions: list[EditionSummary] = Field(description="Every edition, oldest first.")


class Version(Answer):
    """What answers here: the software and the book."""

    software: str = Field(description="Version of faultpath.")
    book_digest: str = Field(description="SHA-256 over the files of the ontology and the shapes.")


def version() -> Version:
    """The version of what answers."""
    return Version(software=faultpath.__version__, book_digest=shelf().digest)
