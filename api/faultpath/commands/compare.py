"""The same installation under several editions."""

from typing import Annotated

import typer

from faultpath.commands.ending import worst
from faultpath.commands.files import read_file
from faultpath.commands.options import About, AsJson, File, Media, Practices, RuleKeys
from faultpath.commands.printing import tell
from faultpath.http.asking import ask_comparison
from faultpath.http.messages import ComparisonQuestion, read_question
from faultpath.printed.comparison import print_comparison


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
    return worst({found.outcome for row in answer.rows for found in row.outcomes})
