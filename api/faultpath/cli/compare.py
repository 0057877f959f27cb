"""The same installation under several editions."""

from typing import Annotated

import typer

from faultpath.base.outcomes import Outcome
from faultpath.cli.exit_codes import worst
from faultpath.cli.files import read_file
from faultpath.cli.options import About, AsJson, File, Media, Practices, RuleKeys
from faultpath.cli.printing import tell
from faultpath.present.text.comparison import print_comparison
from faultpath.service.comparison import ComparisonQuestion, ask_comparison
from faultpath.service.requests import read_question


def compare(
    file: File,
    editions: Annotated[str, typer.Option(metavar="A,B,…", help="Editions to compare; one is enough beside a place.")],
    place: Annotated[list[str] | None, typer.Option("--place", metavar="KEY", help="Compare what this place made of the editions; can be repeated.")] = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """The same installation under several editions, and what the texts changed."""
    chosen = [edition.strip() for edition in editions.split(",") if edition.strip()]
    asked = {"editions": chosen, "places": place or [], "practices": practice or [], "rules": rule or [], "about": about or []}
    question = read_question(ComparisonQuestion, asked)
    answer = ask_comparison(read_file(file, media), question)
    tell(answer, as_json, print_comparison)
    return worst([*(found.outcome for row in answer.rows for found in row.outcomes), *(Outcome.UNDECIDED for _ in answer.open_lists)])
