"""What every request shares: the law that it names, its limits, and what is wrong with one."""

from collections.abc import Callable
from datetime import date as CalendarDate  # noqa: N812  the field of a request has its name
from typing import Annotated, Any, TypeVar, cast

from pydantic import BaseModel, ConfigDict, Field, StrictStr, ValidationError

from faultpath.base.problems import BadInput, Problem, nearest, pointer
from faultpath.document.models import explain

T = TypeVar("T")
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


class JudgingQuestion(UnderLaw):
    """What the questions share that judge rules on parts."""

    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


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


def of_request(answer: Callable[[], T]) -> T:
    """An answer whose problems, if any, are the question's: the installation was read before."""
    try:
        return answer()
    except BadInput as bad:
        if bad.kind != "bad-installation":
            raise
        raise BadInput(bad.problems, kind="bad-request", status=bad.status) from bad
