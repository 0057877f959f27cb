"""What goes over the wire beside the answers: the request of each question, what is wrong with one, and the lists of the book."""

from datetime import date as CalendarDate  # noqa: N812  the field of a request has its name
from typing import Annotated, Any, Literal, TypeVar, cast

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictStr, ValidationError

import faultpath
from faultpath.answers.book import EditionSummary, RuleSummary
from faultpath.answers.places import OverlayDetail, PlaceSummary
from faultpath.answers.record import Answer
from faultpath.models import explain
from faultpath.problems import BadInput, Problem, nearest, pointer
from faultpath.shelf import shelf

Edition = Annotated[StrictStr, Field(max_length=40)]
Name = Annotated[StrictStr, Field(max_length=600)]
Multiple = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
ArcVolts = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
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


class FaultLoopQuestion(UnderLaw):
    """Which fault loops, by which edition's tables, and the criterion of length limits."""

    about: list[Name] = Field(
        default=[], description="Ids of the equipment whose frames to answer about; all metal ones if left out or empty.", max_length=1000
    )
    multiple: Multiple | None = Field(default=None, description="Fault current over the device's rating that length limits ask for; the book's if left out.")
    arc_volts: ArcVolts | None = Field(default=None, description="Voltage lost in the arc that length limits reckon with; the book's if left out.")
    by_length: StrictBool = Field(default=False, description="Give current and touch voltage by the length of the last run too; a picture always has them.")


class FaultLoopRequest(FaultLoopQuestion):
    """An installation and the fault loops wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


class OpenNeutralQuestion(UnderLaw):
    """Where the neutral is to open, by which edition's tables."""

    about: list[Name] = Field(
        default=[], description="Ids of runs, of their conductors, or of the equipment they end at; every run if left out or empty.", max_length=1000
    )


class OpenNeutralRequest(OpenNeutralQuestion):
    """An installation and the neutrals to open."""

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
