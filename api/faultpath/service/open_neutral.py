"""What follows when a neutral opens."""

from typing import Any

from pydantic import Field

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.open_neutral import OpenNeutralAnswer, answer_open_neutral
from faultpath.document.installation import Installation
from faultpath.service.jurisdiction import laws_of, settled
from faultpath.service.requests import INSTALLATION, Name, UnderLaw, of_request


class OpenNeutralQuestion(UnderLaw):
    """Where the neutral is to open, by which edition's tables."""

    about: list[Name] = Field(
        default=[], description="Ids of runs, of their conductors, or of the equipment they end at; every run if left out or empty.", max_length=1000
    )


class OpenNeutralRequest(OpenNeutralQuestion):
    """An installation and the neutrals to open."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_open_neutral(installation: Installation, question: OpenNeutralQuestion) -> OpenNeutralAnswer | Candidates[OpenNeutralAnswer]:
    """The open neutrals and the neutral currents that divide, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_open_neutral(installation, law, question.about)))


def open_neutral_in(_: str, installation: Installation, question: OpenNeutralQuestion) -> bytes:
    """The curves of the open neutrals by the split of the loads, as SVG. Raises BadInput, also where the law is not settled."""
    from faultpath.present.plots import plot_open_neutral

    return plot_open_neutral(settled(ask_open_neutral(installation, question))).encode()
