"""A correction notice in draft."""

from typing import Annotated

import typer

from faultpath.answers.law import answers_of
from faultpath.cli.exit_codes import code
from faultpath.cli.files import media_of, read_file, write_file
from faultpath.cli.options import File, JudgingOptions, Media
from faultpath.cli.printing import print_body
from faultpath.service.media import JSON
from faultpath.service.notice import NoticeQuestion, ask_notice, notice_in
from faultpath.service.requests import read_question


def notice(
    file: File,
    *,
    output: Annotated[str | None, typer.Option("--output", "-o", metavar="FILE", help="Where to write it: .html, .pdf, .csv or .json.")] = None,
    judged: JudgingOptions,
    media: Media = None,
) -> int:
    """A correction notice in draft, for an inspector to complete and sign; JSON on standard output without a file."""
    kind = media_of(output, ".html", ".pdf", ".csv", ".json") if output else JSON
    question = read_question(NoticeQuestion, judged.as_request())
    installation = read_file(file, media)
    found = ask_notice(installation, question)
    if output is None:
        print_body(found.model_dump_json())
    elif kind == JSON:
        write_file(output, found.model_dump_json(indent=1).encode() + b"\n")
    else:
        write_file(output, notice_in(kind, installation, question))
    answers = answers_of(found)
    return code(fails=any(one.items for one in answers), undecided=any(one.undetermined for one in answers))
