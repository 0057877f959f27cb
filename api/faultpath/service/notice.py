"""The draft of a correction notice."""

from typing import Any

from pydantic import Field

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.notice import NoticeAnswer, answer_notice
from faultpath.document.installation import Installation
from faultpath.service.assessing import assess_question, assessed_under
from faultpath.service.jurisdiction import laws_of
from faultpath.service.media import CSV, HTML, PDF
from faultpath.service.paper import fits
from faultpath.service.requests import INSTALLATION, JudgingQuestion


class NoticeQuestion(JudgingQuestion):
    """Which findings the draft of a correction notice is made from, under which law."""


class NoticeRequest(NoticeQuestion):
    """An installation and the correction notice wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_notice(installation: Installation, question: NoticeQuestion) -> NoticeAnswer | Candidates[NoticeAnswer]:
    """The draft of a correction notice, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: answer_notice(assessed_under(installation, law, question)))


def notice_in(media: str, installation: Installation, question: NoticeQuestion, *, on_site: bool = False) -> bytes:
    """The draft of a correction notice as HTML, PDF or CSV. Raises BadInput."""
    assessed = assess_question(installation, question)
    fits(assessed, media)
    found = answer_notice(assessed)
    from faultpath.present.documents.notice import notice_csv, notice_html, notice_pdf

    if media == PDF:
        return notice_pdf(found)
    return {HTML: lambda: notice_html(found, on_site=on_site), CSV: lambda: notice_csv(found)}[media]().encode()
