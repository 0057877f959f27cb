"""The supply path of equipment."""

from typing import Any

from pydantic import Field

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.origin import OriginAnswer, answer_origin
from faultpath.document.installation import Installation
from faultpath.service.jurisdiction import laws_of
from faultpath.service.requests import ABOUT, INSTALLATION, Name, UnderLaw, of_request


class OriginQuestion(UnderLaw):
    """Which supply paths, under which law."""

    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


class OriginRequest(OriginQuestion):
    """An installation and the supply paths wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_origin(installation: Installation, question: OriginQuestion) -> OriginAnswer | Candidates[OriginAnswer]:
    """The supply paths, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_origin(installation, law, question.about)))
