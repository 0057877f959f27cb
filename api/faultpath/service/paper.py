"""Limits of pages and PDF: what nobody could read, or what would take too long to lay out, is refused."""

from faultpath.base.problems import BadInput, Problem
from faultpath.judging.assessment import Assessed
from faultpath.service.media import PDF

# Laying out pages takes seconds where reading takes milliseconds.
MOST_ON_PAPER = 400
MOST_FOR_PDF = 500_000


def on_paper(media: str, page: str, identifier: str) -> bytes:
    """A page as it is, or as PDF. Raises BadInput for one that would take too long to lay out."""
    if media != PDF:
        return page.encode()
    if len(page) > MOST_FOR_PDF:
        raise _too_much(media, f"The report has {len(page)} characters.", MOST_FOR_PDF)
    from faultpath.present.documents.pdf import pdf

    return pdf(page, identifier)


def fits(assessed: Assessed, media: str) -> None:
    """Refuse a paper that nobody could read and that would take long to lay out. Raises BadInput."""
    shown = sum(1 for _, judgement in assessed.judgements if judgement.outcome in ("fails", "undecided"))
    if shown > MOST_ON_PAPER:
        raise _too_much(media, f"{shown} findings fail or cannot be decided.", MOST_ON_PAPER)


def _too_much(media: str, found: str, most: int) -> BadInput:
    expected = f"Expected at most {most} for {media}: name rules or parts to ask about, or ask for JSON, which holds all."
    return BadInput([Problem("/about", found, expected)], kind="bad-request")
