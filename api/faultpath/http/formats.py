"""Answers in formats for people: the picture, the report, the notice and the curves. HTTP and the command line share this."""

import hashlib
import json
from collections.abc import Collection
from typing import TYPE_CHECKING

from faultpath.answers.notice import answer_notice
from faultpath.assessment import Assessed
from faultpath.http.asking import ask_fault_loop, ask_open_neutral, assess_question, settled, settled_law
from faultpath.http.kept import Kept
from faultpath.http.laws import laws_of
from faultpath.http.messages import FaultLoopQuestion, FindingsQuestion, NoticeQuestion, OpenNeutralQuestion
from faultpath.http.negotiation import CSV, HTML, PDF, RDF_MEDIA
from faultpath.installation import Installation
from faultpath.outcome import Outcome
from faultpath.problems import BadInput, Problem

if TYPE_CHECKING:
    from faultpath.papers.report import Report

# Laying out pages takes seconds where reading takes milliseconds.
MOST_ON_PAPER = 400
MOST_FOR_PDF = 500_000
# Who has read the page often prints it next, or loads it again: the book does not change while the service runs, so the decision stands.
MOST_KEPT, KEPT_SECONDS, MOST_KEPT_TRIPLES = 8, 600, 2_000
_reports: Kept[tuple["Report", Collection[Outcome]]] = Kept(MOST_KEPT, KEPT_SECONDS)
_pdfs: Kept[bytes] = Kept(MOST_KEPT, KEPT_SECONDS)


def findings_in(media: str, installation: Installation, question: FindingsQuestion, *, on_site: bool = False) -> tuple[bytes, Collection[Outcome]]:
    """The findings in a format that holds one answer, and the outcomes that they came to. Raises BadInput and EnginesDiffer."""
    if media in (HTML, PDF):
        from faultpath.papers.report import report_html

        found, outcomes = _report(media, installation, question)
        page, decision = report_html(found, on_site=on_site and media == HTML), found.record.decision
        return (_pdfs.get(decision, lambda: on_paper(media, page, decision)) if media == PDF else page.encode()), outcomes
    assessed = assess_question(installation, question)
    if media in RDF_MEDIA:
        from faultpath.statements import write

        return write(assessed, media).encode(), _outcomes(assessed)
    from faultpath.pictures.one_line import PHONE, SHEET, one_line

    return one_line(assessed, PHONE if question.width == "phone" else SHEET).encode(), _outcomes(assessed)


def _report(media: str, installation: Installation, question: FindingsQuestion) -> tuple["Report", Collection[Outcome]]:
    """The report: the one that was made a moment ago, decision and time with it, where the same was asked of the same document."""
    from faultpath.papers.report import report

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


def on_paper(media: str, page: str, identifier: str) -> bytes:
    """A page as it is, or as PDF. Raises BadInput for one that would take too long to lay out."""
    if media != PDF:
        return page.encode()
    if len(page) > MOST_FOR_PDF:
        raise _too_much(media, f"The report has {len(page)} characters.", MOST_FOR_PDF)
    from faultpath.papers.pdf import pdf

    return pdf(page, identifier)


def notice_in(media: str, installation: Installation, question: NoticeQuestion, *, on_site: bool = False) -> bytes:
    """The draft of a correction notice as HTML, PDF or CSV. Raises BadInput."""
    assessed = assess_question(installation, question)
    fits(assessed, media)
    found = answer_notice(assessed)
    from faultpath.papers.notice import notice_csv, notice_html, notice_pdf

    if media == PDF:
        return notice_pdf(found)
    return {HTML: lambda: notice_html(found, on_site=on_site), CSV: lambda: notice_csv(found)}[media]().encode()


def fault_loop_in(_: str, installation: Installation, question: FaultLoopQuestion) -> bytes:
    """The curves of the fault loops by length, as SVG. Raises BadInput, also where the law is not settled."""
    from faultpath.plots import plot_fault_loop

    return plot_fault_loop(settled(ask_fault_loop(installation, question.model_copy(update={"by_length": True})))).encode()


def open_neutral_in(_: str, installation: Installation, question: OpenNeutralQuestion) -> bytes:
    """The curves of the open neutrals by the split of the loads, as SVG. Raises BadInput, also where the law is not settled."""
    from faultpath.plots import plot_open_neutral

    return plot_open_neutral(settled(ask_open_neutral(installation, question))).encode()


def fits(assessed: Assessed, media: str) -> None:
    """Refuse a paper that nobody could read and that would take long to lay out. Raises BadInput."""
    shown = sum(1 for _, judgement in assessed.judgements if judgement.outcome in ("fails", "undecided"))
    if shown > MOST_ON_PAPER:
        raise _too_much(media, f"{shown} findings fail or cannot be decided.", MOST_ON_PAPER)


def _too_much(media: str, found: str, most: int) -> BadInput:
    expected = f"Expected at most {most} for {media}: name rules or parts to ask about, or ask for JSON, which holds all."
    return BadInput([Problem("/about", found, expected)], kind="bad-request")
