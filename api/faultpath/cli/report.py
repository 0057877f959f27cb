"""The report, as a file to print or to read."""

from typing import Annotated, Literal

import typer

from faultpath.cli.exit_codes import worst
from faultpath.cli.files import media_of, read_file, write_file
from faultpath.cli.options import File, JudgingOptions, Media, Verify
from faultpath.service.findings import FindingsQuestion, findings_in
from faultpath.service.requests import read_question


def report(
    file: File,
    output: Annotated[str, typer.Option("--output", "-o", metavar="FILE", help="Where to write it; the suffix decides: .html, .pdf or .svg.")],
    judged: JudgingOptions,
    verify: Verify = False,
    width: Annotated[Literal["sheet", "phone"], typer.Option(help="Width of the picture, for .svg.")] = "sheet",
    media: Media = None,
) -> int:
    """The report to print or to read: picture, findings, site checklist, sizes, editions, sources and record."""
    kind = media_of(output, ".html", ".pdf", ".svg")
    question = read_question(FindingsQuestion, {**judged.as_request(), "verify": verify, "width": width})
    data, outcomes = findings_in(kind, read_file(file, media), question)
    write_file(output, data)
    return worst(outcomes)
