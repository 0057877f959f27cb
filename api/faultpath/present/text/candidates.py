"""Answers under each edition that may be in force, as plain text."""

from collections.abc import Callable
from typing import Any

from faultpath.answers.law import Candidates
from faultpath.present.text.page import Page


def print_candidates(page: Page, found: Candidates[Any], print_one: Callable[[Page, Any], None]) -> None:
    """The answers under each edition that may be in force, with what would settle it."""
    page.line(found.says)
    page.line(f"Adoptions checked: {found.standing}. Source: {'; '.join(found.sources) or 'none read'}.")
    page.line("To be found out about the edition:")
    for ask in found.asks:
        page.line(f"- {ask}", 2, 2)
    for candidate in found.candidates:
        page.line()
        page.line(f"If the edition is {candidate.edition}" + (", which an adoption that was read had in force last:" if candidate.likeliest else ":"))
        if candidate.says:
            page.line(candidate.says)
        page.line()
        print_one(page, candidate.answer)
