"""Which size each grounding and bonding conductor must have."""

from typing import Annotated, Any

import typer

from faultpath.answers.law import answers_of
from faultpath.answers.lists import form_list
from faultpath.base.problems import BadInput, Problem
from faultpath.cli.exit_codes import NOTHING_FAILS, code
from faultpath.cli.files import read_file
from faultpath.cli.options import AsJson, LawOptions, Media
from faultpath.cli.printing import tell
from faultpath.present.text.sizing import print_forms, print_sizing
from faultpath.service.requests import read_question
from faultpath.service.sizing import SizingQuestion, ask_conductor, ask_sizing


def sizing(
    *,
    file: Annotated[str | None, typer.Argument(metavar="[FILE|-]", help="The installation; left out with --conductor.")] = None,
    conductor: Annotated[str | None, typer.Option(metavar="KEY", help="Size one conductor without a house; `faultpath sizing` alone lists them.")] = None,
    given: Annotated[list[str] | None, typer.Option("--given", metavar="FIELD=VALUE", help="A field of its form; can be repeated.")] = None,
    asked: LawOptions,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """Which size each grounding and bonding conductor must have, with the arithmetic."""
    if conductor is not None:
        law = {key: value for key, value in asked.as_request().items() if key != "about"}
        answer = ask_conductor({**law, "conductor": conductor, **_given(given or [])})
    elif file is not None:
        question = read_question(SizingQuestion, asked.as_request())
        answer = ask_sizing(read_file(file, media), question)
    else:
        tell(form_list(), as_json, print_forms)
        return NOTHING_FAILS
    tell(answer, as_json, print_sizing)
    found = answers_of(answer)
    sizes = [size for one in found for size in one.sizes]
    return code(fails=any(size.will_do is False for size in sizes), undecided=any(size.missing for size in sizes) or any(one.open_lists for one in found))


def _given(pairs: list[str]) -> dict[str, Any]:
    """The fields of a form as FIELD=VALUE; whole numbers are numbers. Raises BadInput for a pair without its sign."""
    found: dict[str, Any] = {}
    for pair in pairs:
        key, sign, value = pair.partition("=")
        if not sign:
            raise BadInput([Problem("", f"{pair[:80]!r} is no FIELD=VALUE.", "Expected a field, the sign =, and its value.")])
        found[key] = int(value) if value.isascii() and value.isdigit() else value
    return found
