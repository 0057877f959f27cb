"""The smallest sets of work that cure what fails."""

from typing import Any

from pydantic import Field, StrictInt

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.remedies import DEFAULT_LIMIT, GREATEST_LIMIT, RemediesAnswer, remedies
from faultpath.document.installation import Installation
from faultpath.service.changes import _CHANGE, _Change, work_of
from faultpath.service.jurisdiction import laws_of
from faultpath.service.requests import ABOUT, INSTALLATION, RULES, Name, UnderLaw, of_request


class RemediesQuestion(UnderLaw):
    """What to cure, under which law."""

    change: _Change = Field(
        default=[], description=_CHANGE + " Then the remedies are for the installation after it, and for what it makes fail.", max_length=1000
    )
    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)
    limit: StrictInt = Field(default=DEFAULT_LIMIT, description="The most plans to give.", ge=1, le=GREATEST_LIMIT)


class RemediesRequest(RemediesQuestion):
    """An installation to find remedies for."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_remedies(installation: Installation, question: RemediesQuestion) -> RemediesAnswer | Candidates[RemediesAnswer]:
    """The plans that cure what fails, under each law that may be in force. Raises BadInput."""
    change = work_of(question.change)
    return per_law(
        laws_of(question, installation), lambda law: of_request(lambda: remedies(installation, law, question.rules, question.about, change, question.limit))
    )
