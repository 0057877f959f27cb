"""What holds, what fails and what cannot be decided, and in which formats."""

import hashlib
import json
from collections.abc import Collection
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field, StrictBool

from faultpath.answers.findings import FindingsAnswer, answer_findings
from faultpath.answers.law import Candidates, per_law
from faultpath.base.outcomes import Outcome
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Assessed, Law
from faultpath.service.assessing import assess_question, assessed_under
from faultpath.service.cache import Cache
from faultpath.service.jurisdiction import laws_of, settled_law
from faultpath.service.media import HTML, PDF, RDF_MEDIA
from faultpath.service.paper import fits, on_paper
from faultpath.service.requests import INSTALLATION, JudgingQuestion

if TYPE_CHECKING:
    from faultpath.present.documents.report import Report


class FindingsQuestion(JudgingQuestion):
    """Which findings, under which law."""

    verify: StrictBool = Field(default=False, description="Run the reference engine beside the judge, and refuse to answer where they differ.")
    detail: Literal["matters", "all"] = Field(
        default="matters", description="Condition trees for what fails or is undecided (matters), or for everything (all)."
    )
    width: Literal["sheet", "phone"] = Field(default="sheet", description="Width of the picture, where the answer is one.")


class FindingsRequest(FindingsQuestion):
    """An installation and the findings wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_findings(installation: Installation, question: FindingsQuestion) -> FindingsAnswer | Candidates[FindingsAnswer]:
    """The findings, under each law that may be in force. Raises BadInput, and EnginesDiffer where verifying was asked for and failed."""

    def answer(law: Law) -> FindingsAnswer:
        return answer_findings(
            assessed_under(installation, law, question, verify=question.verify), detail=question.detail, verified=True if question.verify else None
        )

    return per_law(laws_of(question, installation), answer)


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
    assessed = assess_question(installation, question, verify=question.verify)
    if media in RDF_MEDIA:
        from faultpath.present.rdf import write

        return write(assessed, media).encode(), _outcomes(assessed)
    from faultpath.present.diagrams.one_line import PHONE, SHEET, one_line

    return one_line(assessed, PHONE if question.width == "phone" else SHEET).encode(), _outcomes(assessed)


def _report(media: str, installation: Installation, question: FindingsQuestion) -> tuple["Report", Collection[Outcome]]:
    """The report: the one that was made a moment ago, decision and time with it, where the same was asked of the same document."""
    from faultpath.present.documents.report import report

    def make() -> tuple["Report", Collection[Outcome]]:
        assessed = assess_question(installation, question, verify=question.verify)
        fits(assessed, media)
        return report(assessed, about=question.about, only=question.rules, verified=True if question.verify else None), _outcomes(assessed)

    if len(installation.graph) > MOST_KEPT_TRIPLES:
        return make()
    law = settled_law(laws_of(question, installation))
    document = hashlib.sha256(json.dumps(installation.document, default=str).encode()).digest()
    return _reports.get((document, law, tuple(question.rules), tuple(question.about), question.verify), make)


def _outcomes(assessed: Assessed) -> Collection[Outcome]:
    return assessed.outcomes()
