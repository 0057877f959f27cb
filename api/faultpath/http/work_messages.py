"""Questions about planned work: what goes over the wire, and the one way in which HTTP and the command line ask them."""

from typing import Any, Literal

from pydantic import Field, StrictBool, StrictInt

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.remedies import DEFAULT_LIMIT, GREATEST_LIMIT, RemediesAnswer, remedies
from faultpath.answers.what_if import WhatIfAnswer, plan_request, what_if
from faultpath.http.asking import of_request, settled_law
from faultpath.http.laws import laws_of
from faultpath.http.messages import ABOUT, INSTALLATION, RULES, Name, UnderLaw
from faultpath.http.negotiation import SVG
from faultpath.installation import Installation
from faultpath.intake import read_json
from faultpath.problems import BadInput, Problem
from faultpath.work.change import Work, read_change

_CHANGE = "The planned work, step by step, as GET /v1/schema/change describes it; in a query string each step is a JSON text."
_Change = list[dict[str, Any] | str]


class WhatIfQuestion(UnderLaw):
    """Which planned work, under which law."""

    change: _Change = Field(description=_CHANGE, max_length=1000)
    rules: list[Name] = Field(default=[], description=RULES, max_length=1000)
    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)
    detail: Literal["matters", "all"] = Field(
        default="matters", description="Condition trees for what starts or stops failing or becomes undecided (matters), or for all that changed (all)."
    )
    width: Literal["sheet", "phone"] = Field(default="sheet", description="Width of the picture, where the answer is one.")
    document: StrictBool = Field(default=False, description="Give the installation after the work as well, in its normal form.")


class WhatIfRequest(WhatIfQuestion):
    """An installation and the work planned on it."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


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


def ask_what_if(installation: Installation, question: WhatIfQuestion) -> WhatIfAnswer | Candidates[WhatIfAnswer]:
    """What the work would change, under each law that may be in force. Raises BadInput."""
    change = work_of(question.change)

    def answer(law: Any) -> WhatIfAnswer:
        planned = of_request(lambda: plan_request(installation, change, law, question.rules, question.about))
        return what_if(planned, detail=question.detail, document=question.document)

    return per_law(laws_of(question, installation), answer)


def what_if_in(media: str, installation: Installation, question: WhatIfQuestion) -> bytes:
    """What the work would change as a picture, a page or a PDF. Raises BadInput, also where the law is not settled."""
    from faultpath.http.formats import fits, on_paper
    from faultpath.papers.before_after import picture, work_html
    from faultpath.pictures.one_line import PHONE, SHEET

    law = settled_law(laws_of(question, installation))
    change = work_of(question.change)
    planned = of_request(lambda: plan_request(installation, change, law, question.rules, question.about))
    answer = what_if(planned, detail=question.detail)
    if media == SVG:
        return picture(planned.before, planned.after, PHONE if question.width == "phone" else SHEET).encode()
    fits(planned.after, media)
    return on_paper(media, work_html(planned.before, planned.after, answer), answer.record.decision)


def ask_remedies(installation: Installation, question: RemediesQuestion) -> RemediesAnswer | Candidates[RemediesAnswer]:
    """The plans that cure what fails, under each law that may be in force. Raises BadInput."""
    change = work_of(question.change)
    return per_law(
        laws_of(question, installation), lambda law: of_request(lambda: remedies(installation, law, question.rules, question.about, change, question.limit))
    )


def work_of(change: _Change) -> tuple[Work, ...]:
    """The steps, those of a query string read first. Raises BadInput."""
    return read_change([_step(number, step) if isinstance(step, str) else step for number, step in enumerate(change)])


def _step(number: int, text: str) -> Any:
    try:
        return read_json(text.encode())
    except (BadInput, UnicodeEncodeError) as error:
        raise BadInput([Problem(f"/change/{number}", "The step is not JSON.", "Expected one JSON object for each step.")], kind="bad-change") from error
