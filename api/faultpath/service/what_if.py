"""What planned work would change."""

from typing import Any, Literal

from pydantic import Field, StrictBool

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.what_if import WhatIfAnswer, plan_request, what_if
from faultpath.document.installation import Installation
from faultpath.service.changes import _CHANGE, _Change, work_of
from faultpath.service.jurisdiction import laws_of, settled_law
from faultpath.service.media import SVG
from faultpath.service.paper import fits, on_paper
from faultpath.service.requests import ABOUT, INSTALLATION, RULES, Name, UnderLaw, of_request


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


def ask_what_if(installation: Installation, question: WhatIfQuestion) -> WhatIfAnswer | Candidates[WhatIfAnswer]:
    """What the work would change, under each law that may be in force. Raises BadInput."""
    change = work_of(question.change)

    def answer(law: Any) -> WhatIfAnswer:
        planned = of_request(lambda: plan_request(installation, change, law, question.rules, question.about))
        return what_if(planned, detail=question.detail, document=question.document)

    return per_law(laws_of(question, installation), answer)


def what_if_in(media: str, installation: Installation, question: WhatIfQuestion) -> bytes:
    """What the work would change as a picture, a page or a PDF. Raises BadInput, also where the law is not settled."""
    from faultpath.present.diagrams.one_line import PHONE, SHEET
    from faultpath.present.documents.before_after import picture, work_html

    law = settled_law(laws_of(question, installation))
    change = work_of(question.change)
    planned = of_request(lambda: plan_request(installation, change, law, question.rules, question.about))
    answer = what_if(planned, detail=question.detail)
    if media == SVG:
        return picture(planned.before, planned.after, PHONE if question.width == "phone" else SHEET).encode()
    fits(planned.after, media)
    return on_paper(media, work_html(planned.before, planned.after, answer), answer.record.decision)
