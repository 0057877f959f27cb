"""What planned work would change."""

import json
from typing import Annotated

import typer

from faultpath.answers.law import answers_of
from faultpath.cli.exit_codes import code
from faultpath.cli.files import media_of, read_change, read_file, write_file
from faultpath.cli.options import AsJson, Detail, File, JudgingOptions, Media
from faultpath.cli.printing import tell
from faultpath.present.text.what_if import print_what_if
from faultpath.service.requests import read_question
from faultpath.service.what_if import WhatIfQuestion, ask_what_if, what_if_in


def what_if(
    file: File,
    change: Annotated[str, typer.Option("--change", metavar="FILE", help="The planned work: a JSON list of work steps, or a JSON Patch.")],
    judged: JudgingOptions,
    detail: Annotated[Detail, typer.Option(help="Reasons for what matters, or for everything that changed.")] = "matters",
    write: Annotated[str | None, typer.Option("--write", metavar="FILE", help="Write the installation after the work to this file.")] = None,
    output: Annotated[str | None, typer.Option("--output", "-o", metavar="FILE", help="Write a report: .html, .pdf, or .svg for both pictures.")] = None,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """What planned work would change, and what in the work does it."""
    planned = read_change(change)
    question = read_question(WhatIfQuestion, {**judged.as_request(), "change": planned, "detail": detail, "document": write is not None})
    installation = read_file(file, media)
    answer = ask_what_if(installation, question)
    found = answers_of(answer)
    if write is not None:
        write_file(write, json.dumps(found[0].document, indent=1, ensure_ascii=False).encode() + b"\n")
    if output is not None:
        write_file(output, what_if_in(media_of(output, ".html", ".pdf", ".svg"), installation, question))
    else:
        tell(answer, as_json, print_what_if)
    return code(fails=any(one.after.fails for one in found), undecided=any(one.after.undecided for one in found))
