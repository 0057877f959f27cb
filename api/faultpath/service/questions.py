"""The questions that are asked of an installation: each is a row, and what HTTP does with one follows from its row."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from pydantic import BaseModel

from faultpath.answers.editions import ComparisonAnswer
from faultpath.answers.fault_loop import FaultLoopAnswer
from faultpath.answers.findings import FindingsAnswer
from faultpath.answers.law import Candidates
from faultpath.answers.notice import NoticeAnswer
from faultpath.answers.open_neutral import OpenNeutralAnswer
from faultpath.answers.origin import OriginAnswer
from faultpath.answers.remedies import RemediesAnswer
from faultpath.answers.sizing import SizingAnswer
from faultpath.answers.what_if import WhatIfAnswer
from faultpath.document.installation import Installation
from faultpath.service.comparison import ComparisonQuestion, ComparisonRequest, ask_comparison
from faultpath.service.fault_loop import FaultLoopQuestion, FaultLoopRequest, ask_fault_loop, fault_loop_in
from faultpath.service.findings import FindingsQuestion, FindingsRequest, ask_findings, findings_in
from faultpath.service.media import CSV, HTML, PAPER_MEDIA, PDF, RDF_MEDIA, SVG
from faultpath.service.notice import NoticeQuestion, NoticeRequest, ask_notice, notice_in
from faultpath.service.open_neutral import OpenNeutralQuestion, OpenNeutralRequest, ask_open_neutral, open_neutral_in
from faultpath.service.origin import OriginQuestion, OriginRequest, ask_origin
from faultpath.service.remedies import RemediesQuestion, RemediesRequest, ask_remedies
from faultpath.service.requests import Question
from faultpath.service.sizing import ConductorQuestion, SizingQuestion, SizingRequest, ask_conductor, ask_sizing, is_of_a_form
from faultpath.service.what_if import WhatIfQuestion, WhatIfRequest, ask_what_if, what_if_in

Q = TypeVar("Q", bound=Question)


@dataclass(frozen=True)
class WithoutHouse:
    """A second way to ask a question in JSON, about no installation: when it is meant, and how it is answered."""

    request: type[Question]
    is_meant: Callable[[Any], bool]
    ask: Callable[[Any], BaseModel]


@dataclass(frozen=True, kw_only=True)
class QuestionRow(Generic[Q]):
    """A question over HTTP: where it is asked, what it says of itself, its request, and how it is answered.

    `media` are the formats beside JSON, which `show` makes of an answer.
    """

    path: str
    operation: str
    summary: str
    says: str
    question: type[Q]
    request: type[Q]
    answer: Any
    ask: Callable[[Installation, Q], BaseModel]
    media: tuple[str, ...] = ()
    show: Callable[[str, Installation, Q], bytes] | None = None
    without_house: WithoutHouse | None = None


def _findings_in(media: str, installation: Installation, question: FindingsQuestion) -> bytes:
    return findings_in(media, installation, question)[0]


QUESTIONS: tuple[QuestionRow[Any], ...] = (
    QuestionRow(
        path="/findings",
        operation="findings",
        summary="What holds, what fails, what cannot be decided, and why",
        says="Judges every rule in force on every part it is about. 200 for any judged installation, whatever the outcome.",
        question=FindingsQuestion,
        request=FindingsRequest,
        answer=FindingsAnswer | Candidates[FindingsAnswer],
        ask=ask_findings,
        media=(*RDF_MEDIA, *PAPER_MEDIA),
        show=_findings_in,
    ),
    QuestionRow(
        path="/correction-notice",
        operation="correctionNotice",
        summary="A correction notice in draft",
        says="Drafts an item for each finding that fails and a question for each that cannot be decided; who inspects completes and signs it.",
        question=NoticeQuestion,
        request=NoticeRequest,
        answer=NoticeAnswer | Candidates[NoticeAnswer],
        ask=ask_notice,
        media=(HTML, PDF, CSV),
        show=notice_in,
    ),
    QuestionRow(
        path="/origin",
        operation="origin",
        summary="The supply path of equipment, named from the source on",
        says="Names source, service conductors, service equipment, feeder and branch circuit, and says what decided each.",
        question=OriginQuestion,
        request=OriginRequest,
        answer=OriginAnswer | Candidates[OriginAnswer],
        ask=ask_origin,
    ),
    QuestionRow(
        path="/fault-loop",
        operation="faultLoop",
        summary="Which way the current returns when a leg touches a frame, and when the device opens",
        says="Works out path, current, opening time and touch voltage of each frame as ranges, or names the facts that are needed; in SVG by length.",
        question=FaultLoopQuestion,
        request=FaultLoopRequest,
        answer=FaultLoopAnswer | Candidates[FaultLoopAnswer],
        ask=ask_fault_loop,
        media=(SVG,),
        show=fault_loop_in,
    ),
    QuestionRow(
        path="/open-neutral",
        operation="openNeutral",
        summary="What legs and frames stand at when the neutral opens, and where its current divides already",
        says="Works out voltages behind each break as ranges, or names the loads that are needed; in SVG by the split of the loads.",
        question=OpenNeutralQuestion,
        request=OpenNeutralRequest,
        answer=OpenNeutralAnswer | Candidates[OpenNeutralAnswer],
        ask=ask_open_neutral,
        media=(SVG,),
        show=open_neutral_in,
    ),
    QuestionRow(
        path="/editions/comparison",
        operation="compareEditions",
        summary="One installation under several editions",
        says="Gives the outcome per rule, part and edition, and what the text changed from one edition to the next.",
        question=ComparisonQuestion,
        request=ComparisonRequest,
        answer=ComparisonAnswer,
        ask=ask_comparison,
    ),
    QuestionRow(
        path="/sizing",
        operation="sizing",
        summary="Which size each grounding and bonding conductor must have",
        says="Gives size, table rows and arithmetic of each conductor of a house, or of one conductor without a house by a form of GET /v1/sizing.",
        question=SizingQuestion,
        request=SizingRequest,
        answer=SizingAnswer | Candidates[SizingAnswer],
        ask=ask_sizing,
        without_house=WithoutHouse(ConductorQuestion, is_of_a_form, ask_conductor),
    ),
    QuestionRow(
        path="/what-if",
        operation="whatIf",
        summary="What planned work would change",
        says="Judges the installation before and after the work: what starts failing, what stops, what can no longer be told, and what did it.",
        question=WhatIfQuestion,
        request=WhatIfRequest,
        answer=WhatIfAnswer | Candidates[WhatIfAnswer],
        ask=ask_what_if,
        media=PAPER_MEDIA,
        show=what_if_in,
    ),
    QuestionRow(
        path="/remedies",
        operation="remedies",
        summary="The smallest sets of work that cure what fails",
        says="Gives plans, each judged again in full, least disruptive first, and the questions that settle what cannot be decided.",
        question=RemediesQuestion,
        request=RemediesRequest,
        answer=RemediesAnswer | Candidates[RemediesAnswer],
        ask=ask_remedies,
    ),
)
REQUESTS = (*(asked.request for asked in QUESTIONS), *(asked.without_house.request for asked in QUESTIONS if asked.without_house))
