"""What holds, what fails and what cannot be decided, and in which formats."""

import hashlib
import json
from collections.abc import Collection
from threading import Lock
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field, StrictBool

from faultpath.answers.findings import FindingsAnswer, answer_findings, assess_request
from faultpath.answers.law import Candidates, per_law
from faultpath.base.outcomes import Outcome
from faultpath.base.problems import Problem
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Assessed, Law
from faultpath.service.cache import Cache
from faultpath.service.jurisdiction import laws_of, settled_law
from faultpath.service.media import HTML, PDF, RDF_MEDIA
from faultpath.service.notice import NoticeQuestion
from faultpath.service.paper import fits, on_paper
from faultpath.service.requests import ABOUT, INSTALLATION, RULES, Name, UnderLaw, of_request

if TYPE_CHECKING:
    from faultpath.present.documents.report import Report


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


_reference_engine = Lock()


class EnginesDiffer(Exception):
    """The judge and the reference engine do not agree, so there is no answer. `problems` says where."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(problem.found for problem in problems))


def ask_findings(installation: Installation, question: FindingsQuestion) -> FindingsAnswer | Candidates[FindingsAnswer]:
    """The findings, under each law that may be in force. Raises BadInput, and EnginesDiffer where verifying was asked for and failed."""

    def answer(law: Law) -> FindingsAnswer:
        return answer_findings(_assessed(installation, law, question), detail=question.detail, verified=True if question.verify else None)

    return per_law(laws_of(question, installation), answer)


def assess_question(installation: Installation, question: FindingsQuestion | NoticeQuestion) -> Assessed:
    """The assessment behind the findings, for formats that hold one. Raises BadInput, also where the law is not settled, and EnginesDiffer."""
    return _assessed(installation, settled_law(laws_of(question, installation)), question)


def _assessed(installation: Installation, law: Law, question: FindingsQuestion | NoticeQuestion) -> Assessed:
    assessed = of_request(lambda: assess_request(installation, law, question.rules, question.about))
    if isinstance(question, FindingsQuestion) and question.verify:
        _verify(assessed)
    return assessed


def _verify(assessed: Assessed) -> None:
    from faultpath.judging.reference import differences  # the engine is slow to import and needed for verifying only

    with _reference_engine:
        found = differences(assessed)
    if found:
        told = "{0.node}: the judge says {0.judge}, the reference engine says {0.reference}, on {0.text}."
        raise EnginesDiffer(tuple(Problem("", told.format(difference), "Expected both engines to agree.") for difference in found))


# Who has read the page often prints it next, or loads it again: the book does not change while the service runs, so the decision stands.
MOST_KEPT, KEPT_SECONDS, MOST_KEPT_TRIPLES = 8, 600, 2_000
_reports: Cache[tuple["Report", Collection[Outcome]]] = Cache(MOST_KEPT, KEPT_SECONDS)
_pdfs: Cache[bytes] = Cache(MOST_KEPT, KEPT_SECONDS)


def findings_in(media: str, installation: Installation, question: FindingsQuestion, *, on_site: bool = False) -> tuple[bytes, Collection[Outcome]]:
    """The findings in a format that holds one answer, and the outcomes that they came to. Raises BadInput and EnginesDiffer."""
    if media in (HTML, PDF):
        from faultpath.present.documents.report import report_html

        found, outcomes = _report(media, installation, question)
        page, decision = report_html(found, on_site=on_site and media == HTML), found.record.decision
        return (_pdfs.get(decision, lambda: on_paper(media, page, decision)) if media == PDF else page.encode()), outcomes
    assessed = assess_question(installation, question)
    if media in RDF_MEDIA:
        from faultpath.present.rdf import write

        return write(assessed, media).encode(), _outcomes(assessed)
    from faultpath.present.diagrams.one_line import PHONE, SHEET, one_line

    return one_line(assessed, PHONE if question.width == "phone" else SHEET).encode(), _outcomes(assessed)


def _report(media: str, installation: Installation, question: FindingsQuestion) -> tuple["Report", Collection[Outcome]]:
    """The report: the one that was made a moment ago, decision and time with it, where the same was asked of the same document."""
    from faultpath.present.documents.report import report

    def make() -> tuple["Report", Collection[Outcome]]:
        assessed = assess_question(installation, question)
        fits(assessed, media)
        return report(assessed, about=question.about, only=question.rules, verified=True if question.verify else None), _outcomes(assessed)

    if len(installation.graph) > MOST_KEPT_TRIPLES:
        return make()
    law = settled_law(laws_of(question, installation))
    document = hashlib.sha256(json.dumps(installation.document, default=str).encode()).digest()
    return _reports.get((document, law, tuple(question.rules), tuple(question.about), question.verify), make)


def _outcomes(assessed: Assessed) -> Collection[Outcome]:
    return {judgement.outcome for _, judgement in assessed.judgements}
