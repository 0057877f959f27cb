"""What holds, what fails, what cannot be decided, and why."""

from typing import Annotated, Literal

import typer

from faultpath.answers.law import answers_of
from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput, Problem
from faultpath.cli.exit_codes import NOTHING_FAILS, worst
from faultpath.cli.files import read_file
from faultpath.cli.options import AsJson, Detail, File, JudgingOptions, Media, Verify
from faultpath.cli.printing import print_body, tell
from faultpath.document.installation import read_document
from faultpath.present.rdf import write
from faultpath.present.text.findings import print_findings
from faultpath.service.assessing import assess_question
from faultpath.service.example import example as classic_house
from faultpath.service.findings import FindingsQuestion, ask_findings
from faultpath.service.media import JSON_LD, N_QUADS, TRIG, TURTLE
from faultpath.service.requests import read_question

FORMATS = {"turtle": TURTLE, "trig": TRIG, "json-ld": JSON_LD, "n-quads": N_QUADS}


def findings(
    file: File,
    judged: JudgingOptions,
    detail: Annotated[Detail, typer.Option(help="Reasons for what fails or is undecided, or for everything.")] = "matters",
    verify: Verify = False,
    as_json: AsJson = False,
    written: Annotated[Literal["turtle", "trig", "json-ld", "n-quads"] | None, typer.Option("--format", help="Print the findings as RDF.")] = None,
    media: Media = None,
) -> int:
    """What holds, what fails, what cannot be decided, and why."""
    if as_json and written:
        raise BadInput([Problem("", "Both --json and --format are given.", "Expected one of them.")])
    question = read_question(FindingsQuestion, {**judged.as_request(), "verify": verify, "detail": detail})
    installation = read_file(file, media)
    if written:
        assessed = assess_question(installation, question, verify=verify)
        print_body(write(assessed, FORMATS[written]))
        return worst(assessed.outcomes())
    answer = ask_findings(installation, question)
    tell(answer, as_json, print_findings)
    found = answers_of(answer)
    outcomes = [finding.outcome for one in found for finding in one.findings if not finding.cannot_fail]
    return worst([*outcomes, *(Outcome.UNDECIDED for one in found if one.open_lists)])


def example(as_json: AsJson = False) -> int:
    """The classic answer, on an invented house that comes along: an outdoor disconnect was added and nothing else."""
    shown = classic_house()
    question = read_question(FindingsQuestion, {"edition": shown["edition"]})
    tell(ask_findings(read_document(shown["installation"]), question), as_json, print_findings)
    return NOTHING_FAILS
