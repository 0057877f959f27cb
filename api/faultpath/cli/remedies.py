"""The smallest sets of work that cure what fails."""

from typing import Annotated

import typer

from faultpath.answers.law import answers_of
from faultpath.answers.remedies import DEFAULT_LIMIT
from faultpath.cli.exit_codes import code
from faultpath.cli.files import read_change, read_file
from faultpath.cli.options import AsJson, File, JudgingOptions, Media
from faultpath.cli.printing import tell
from faultpath.present.text.remedies import print_remedies
from faultpath.service.remedies import RemediesQuestion, ask_remedies
from faultpath.service.requests import read_question


def remedies(
    file: File,
    *,
    change: Annotated[str | None, typer.Option(metavar="FILE", help="Planned work first: then remedies for what it makes fail.")] = None,
    judged: JudgingOptions,
    limit: Annotated[int, typer.Option(help="The most plans to give.")] = DEFAULT_LIMIT,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """The smallest sets of work that cure what fails, least disruptive first."""
    planned = read_change(change) if change is not None else []
    question = read_question(RemediesQuestion, {**judged.as_request(), "change": planned, "limit": limit})
    answer = ask_remedies(read_file(file, media), question)
    tell(answer, as_json, print_remedies)
    found = answers_of(answer)
    return code(fails=any(one.failing for one in found), undecided=any(one.questions.facts or one.questions.unsettled for one in found))
