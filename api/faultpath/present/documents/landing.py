"""The first page, the form and the page of a problem."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from faultpath.answers.book import edition_list
from faultpath.answers.places import place_list, practice_list
from faultpath.document.intake import SUFFIXES
from faultpath.judging.assessment import Assessed
from faultpath.present.documents.paper import render
from faultpath.present.documents.report import glance


@dataclass(frozen=True)
class Given:
    """What stands in the form."""

    installation: str = ""
    edition: str = ""
    place: str = ""
    date: str = ""
    practices: Sequence[str] = field(default=())


def home_page(assessed: Assessed) -> str:
    """What is answered here, with an example."""
    seen = glance(assessed)
    return render(
        "home.html",
        edition=str(assessed.law.edition),
        caution=seen.caution,
        verdict=seen.verdict,
        pictures=seen.pictures,
        is_wide=seen.is_wide,
        outline=seen.outline,
        failing=seen.failing,
        open=len(seen.undecided),
        years=_years(),
        on_site=True,
    )


def judge_page(given: Given, problems: Mapping[str, Any] | None = None) -> str:
    """The form, with what is to be mended above it if anything is."""
    practices, listed = practice_list(), place_list()
    return render("judge.html", given=given, problems=problems, years=_years(), places=listed, practices=practices, suffixes=list(SUFFIXES), on_site=True)


def problem_page(problems: Mapping[str, Any]) -> str:
    """A problem document as a page."""
    return render("problem.html", problems=problems, on_site=True)


def _years() -> list[str]:
    return [one.edition for one in reversed(edition_list()) if one.rules]
