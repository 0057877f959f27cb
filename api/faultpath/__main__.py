"""The command line: the same questions by the same names as over HTTP.

Exit codes: 0 nothing fails, 1 something fails, 3 nothing fails and something is undecided, 2 bad input, 4 no answer
because of a fault of ours or because the two engines differ. `example` is for looking at and ends with 0.
"""

import json
import os
import signal
import sys
from collections.abc import Callable, Collection, Iterable
from functools import wraps
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, ParamSpec, TypeVar

import typer
from pydantic import BaseModel

from faultpath import cases
from faultpath.answers.book import edition_list, rule_detail, rule_list, rule_text
from faultpath.answers.law import Candidates, answers_of
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.answers.record import Answer
from faultpath.answers.remedies import DEFAULT_LIMIT
from faultpath.http.asking import (
    EnginesDiffer,
    ask_comparison,
    ask_fault_loop,
    ask_findings,
    ask_notice,
    ask_open_neutral,
    ask_origin,
    assess_question,
    settled,
)
from faultpath.http.messages import (
    ComparisonQuestion,
    EditionList,
    FaultLoopQuestion,
    FindingsQuestion,
    NoticeQuestion,
    OpenNeutralQuestion,
    OriginQuestion,
    PlaceList,
    PracticeList,
    RuleList,
    read_question,
    version,
    year_of,
)
from faultpath.http.sizing_messages import SizingQuestion, ask_conductor, ask_sizing, form_list
from faultpath.http.work_messages import RemediesQuestion, WhatIfQuestion, ask_remedies, ask_what_if
from faultpath.installation import Installation, read_document
from faultpath.intake import MOST_BYTES, SUFFIXES, read_installation, read_json
from faultpath.outcome import Outcome
from faultpath.problems import BadInput, Problem

if TYPE_CHECKING:
    from faultpath.printed import Page

NOTHING_FAILS, SOMETHING_FAILS, BAD_INPUT, UNDECIDED, NO_ANSWER = range(5)
INTERRUPTED = 128 + signal.SIGINT
FORMATS = {"turtle": "text/turtle", "trig": "application/trig", "json-ld": "application/ld+json", "n-quads": "application/n-quads"}
PAPERS = {".html": "text/html", ".pdf": "application/pdf", ".svg": "image/svg+xml", ".csv": "text/csv", ".json": "application/json"}
P = ParamSpec("P")
A = TypeVar("A", bound=Answer)

app = typer.Typer(
    name="faultpath",
    help="Grounding and bonding rules as a knowledge graph: what holds, what fails, what cannot be decided, and why.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

File = Annotated[str, typer.Argument(metavar="FILE|-", help=f"The installation, by suffix: {', '.join(SUFFIXES)}; - reads JSON from standard input.")]
Edition = Annotated[str | None, typer.Option(help="Edition to judge by; `faultpath editions` lists them. Left out, the place and the date choose it.")]
PlaceKey = Annotated[str | None, typer.Option(metavar="KEY", help="Place whose amendments apply; `faultpath places` lists them.")]
Day = Annotated[str | None, typer.Option("--date", metavar="YEAR-MM-DD", help="Date that counts in the place; it chooses the edition.")]
OccupancyWord = Annotated[str | None, typer.Option("--occupancy", metavar="WORD", help="Occupancy, where places adopt by it; left out, the document's.")]
About = Annotated[list[str] | None, typer.Option(metavar="ID", help="Only about this part; can be repeated.")]
RuleKeys = Annotated[list[str] | None, typer.Option("--rule", metavar="KEY", help="Only this rule; can be repeated.")]
Practices = Annotated[list[str] | None, typer.Option("--practice", metavar="KEY", help="Judge by this named practice; can be repeated.")]
ChangeFile = Annotated[str, typer.Option("--change", metavar="FILE", help="The planned work: a JSON list of work steps, or a JSON Patch.")]
Media = Annotated[str | None, typer.Option(help="Media type of the input, where the suffix does not tell it.")]
Plot = Annotated[str | None, typer.Option("--plot", metavar="OUT.svg", help="Write the curves to this file as SVG.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print what HTTP would answer.")]


def _plainly(command: Callable[P, int]) -> Callable[P, None]:
    """A command whose return value is the exit code, and that ends without a traceback whatever happens."""

    @wraps(command)
    def ended(*args: P.args, **kwargs: P.kwargs) -> None:
        raise typer.Exit(_code_of(lambda: command(*args, **kwargs)))

    return ended


def _code_of(command: Callable[[], int]) -> int:
    try:
        code = command()
        sys.stdout.flush()
    except BadInput as bad:
        return _told(bad.problems, BAD_INPUT)
    except EnginesDiffer as differ:
        print("The two engines differ, so there is no answer.", file=sys.stderr)  # noqa: T201
        return _told(differ.problems, NO_ANSWER)
    except BrokenPipeError:
        # Whoever reads has gone; keep the interpreter from complaining about it on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 128 + signal.SIGPIPE
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as fault:
        print(f"faultpath met a fault of its own ({type(fault).__name__}) and gives no answer.", file=sys.stderr)  # noqa: T201
        return NO_ANSWER
    return code


def _told(problems: tuple[Problem, ...], code: int) -> int:
    for problem in problems:
        where = f"At {problem.pointer}: " if problem.pointer else ""
        close = f" Nearest: {problem.nearest}." if problem.nearest else ""
        said = f"{where}{problem.found} {problem.expected}{close}"
        print("".join(c if c.isprintable() else repr(c)[1:-1] for c in said), file=sys.stderr)  # noqa: T201
    return code


def _read(file: str, media: str | None) -> Installation:
    """The installation in a file. Raises BadInput, also for a file that cannot be read."""
    if media is None and file != "-":
        suffix = Path(file).suffix.lower()
        if suffix not in SUFFIXES:
            raise _unreadable(f"{file!r} does not end like a file that is read.", f"Expected one of {', '.join(SUFFIXES)}, or --media.")
        media = SUFFIXES[suffix]
    try:
        if file == "-":
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(file).open("rb") as opened:
                data = opened.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise _unreadable(f"{file!r} cannot be read: {why}.", "Expected a file with an installation.") from error
    return read_installation(data, media or "application/json")


def _unreadable(found: str, expected: str) -> BadInput:
    return BadInput([Problem("", found, expected)], kind="unreadable", status=400)


def _law(edition: str | None, place: str | None, date: str | None, occupancy: str | None, practice: list[str] | None = None) -> dict[str, Any]:
    """The keys of a request that say by what to judge: those that were given."""
    given = {"edition": edition, "place": place, "date": date, "occupancy": occupancy, "practices": practice}
    return {key: value for key, value in given.items() if value is not None}


def _print_each(answer: A | Candidates[A], print_one: Callable[["Page", A], None]) -> None:
    """The answer, or one for each edition that may be in force."""
    from faultpath.printed import Page, print_candidates

    print_candidates(Page(), answer, print_one) if isinstance(answer, Candidates) else print_one(Page(), answer)


def _write(file: str, text: str) -> None:
    """Write a picture. Raises BadInput where that cannot be done."""
    try:
        Path(file).write_text(text, encoding="utf-8")
    except OSError as error:
        raise _unreadable(f"{file!r} cannot be written: {error.strerror}.", "Expected a file that can be written.") from error


def _print_body(answer: BaseModel | str) -> None:
    """Exactly the bytes that HTTP would send, and a line end."""
    text = answer if isinstance(answer, str) else answer.model_dump_json()
    sys.stdout.buffer.write(text.rstrip("\n").encode() + b"\n")


def _worst(outcomes: Collection[str]) -> int:
    if Outcome.FAILS in outcomes:
        return SOMETHING_FAILS
    return UNDECIDED if Outcome.UNDECIDED in outcomes else NOTHING_FAILS


@app.command()
@_plainly
def findings(
    file: File,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    detail: Annotated[Literal["matters", "all"], typer.Option(help="Reasons for what fails or is undecided, or for everything.")] = "matters",
    verify: Annotated[bool, typer.Option("--verify", help="Refuse to answer where the reference engine differs.")] = False,
    as_json: AsJson = False,
    written: Annotated[Literal["turtle", "trig", "json-ld", "n-quads"] | None, typer.Option("--format", help="Print the findings as RDF.")] = None,
    media: Media = None,
) -> int:
    """What holds, what fails, what cannot be decided, and why."""
    if as_json and written:
        raise BadInput([Problem("", "Both --json and --format are given.", "Expected one of them.")])
    law = _law(edition, place, date, occupancy, practice)
    question = read_question(FindingsQuestion, {**law, "rules": rule or [], "about": about or [], "verify": verify, "detail": detail})
    installation = _read(file, media)
    if written:
        from faultpath.statements import write

        assessed = assess_question(installation, question)
        _print_body(write(assessed, FORMATS[written]))
        return _worst({judgement.outcome for _, judgement in assessed.judgements})
    answer = ask_findings(installation, question)
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed import print_findings

        _print_each(answer, print_findings)
    return _worst({finding.outcome for found in answers_of(answer) for finding in found.findings})


@app.command()
@_plainly
def example(as_json: AsJson = False) -> int:
    """The classic answer, on an invented house that comes along: an outdoor disconnect was added and nothing else."""
    asked = json.loads((files("faultpath.http") / "example.json").read_text("utf-8"))
    answer = ask_findings(read_document(cases.example(asked["house"])), read_question(FindingsQuestion, {"edition": asked["edition"]}))
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed import print_findings

        _print_each(answer, print_findings)
    return NOTHING_FAILS


def _media_of_paper(output: str, *known: str) -> str:
    """The media type that a file is written in, by its suffix. Raises BadInput."""
    suffix = Path(output).suffix.lower()
    if suffix not in known:
        raise BadInput([Problem("", f"{output!r} does not end like a file that is written.", f"Expected one of {', '.join(known)}.")])
    return PAPERS[suffix]


def _write_file(output: str, data: bytes) -> None:
    try:
        Path(output).write_bytes(data)
    except OSError as error:
        raise BadInput([Problem("", f"{output!r} cannot be written: {error.strerror}.", "Expected a file in a folder that is there.")]) from error


@app.command()
@_plainly
def report(
    file: File,
    output: Annotated[str, typer.Option("--output", "-o", metavar="FILE", help="Where to write it; the suffix decides: .html, .pdf or .svg.")],
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    verify: Annotated[bool, typer.Option("--verify", help="Refuse to answer where the reference engine differs.")] = False,
    width: Annotated[Literal["sheet", "phone"], typer.Option(help="Width of the picture, for .svg.")] = "sheet",
    media: Media = None,
) -> int:
    """The report to print or to read: picture, findings, site checklist, sizes, editions, sources and record."""
    from faultpath.http.formats import findings_in

    kind = _media_of_paper(output, ".html", ".pdf", ".svg")
    law = _law(edition, place, date, occupancy, practice)
    question = read_question(FindingsQuestion, {**law, "rules": rule or [], "about": about or [], "verify": verify, "width": width})
    data, outcomes = findings_in(kind, _read(file, media), question)
    _write_file(output, data)
    return _worst(outcomes)


@app.command()
@_plainly
def notice(
    file: File,
    output: Annotated[str | None, typer.Option("--output", "-o", metavar="FILE", help="Where to write it: .html, .pdf, .csv or .json.")] = None,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    media: Media = None,
) -> int:
    """A correction notice in draft, for an inspector to complete and sign; JSON on standard output without a file."""
    kind = _media_of_paper(output, ".html", ".pdf", ".csv", ".json") if output else PAPERS[".json"]
    law = _law(edition, place, date, occupancy, practice)
    question = read_question(NoticeQuestion, {**law, "rules": rule or [], "about": about or []})
    installation = _read(file, media)
    found = ask_notice(installation, question)
    if output is None:
        _print_body(found)
    elif kind == PAPERS[".json"]:
        _write_file(output, found.model_dump_json(indent=1).encode() + b"\n")
    else:
        from faultpath.http.formats import notice_in

        _write_file(output, notice_in(kind, installation, question))
    answers = answers_of(found)
    return SOMETHING_FAILS if any(one.items for one in answers) else UNDECIDED if any(one.undetermined for one in answers) else NOTHING_FAILS


@app.command()
@_plainly
def origin(
    file: File,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    about: About = None,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """The supply path of equipment, named from the source on."""
    question = read_question(OriginQuestion, {**_law(edition, place, date, occupancy), "about": about or []})
    answer = ask_origin(_read(file, media), question)
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed import print_origin

        _print_each(answer, print_origin)
    return UNDECIDED if any(stage.missing for found in answers_of(answer) for path in found.paths for stage in path.stages) else NOTHING_FAILS


@app.command("fault-loop")
@_plainly
def fault_loop(
    file: File,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    about: About = None,
    multiple: Annotated[float | None, typer.Option(help="Fault current over the rating, for length limits.")] = None,
    arc_volts: Annotated[float | None, typer.Option(help="Voltage lost in the arc, for length limits.")] = None,
    as_json: AsJson = False,
    plot: Plot = None,
    media: Media = None,
) -> int:
    """A leg touches a frame: which way the current returns, when the device opens, what can be touched until then."""
    asked = {"about": about or [], "multiple": multiple, "arc_volts": arc_volts, "by_length": plot is not None}
    answer = ask_fault_loop(_read(file, media), read_question(FaultLoopQuestion, {**_law(edition, place, date, occupancy), **asked}))
    if plot is not None:
        from faultpath.plots import plot_fault_loop

        _write(plot, plot_fault_loop(settled(answer)))
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed_currents import print_fault_loop

        _print_each(answer, print_fault_loop)
    clears = {loop.clears.value for found in answers_of(answer) for loop in found.loops}
    return SOMETHING_FAILS if "does_not_open" in clears else UNDECIDED if clears & {"may_not_open", "not_known"} else NOTHING_FAILS


@app.command("open-neutral")
@_plainly
def open_neutral(
    file: File,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    about: About = None,
    as_json: AsJson = False,
    plot: Plot = None,
    media: Media = None,
) -> int:
    """The neutral opens: what legs and frames then stand at, and where its current divides already."""
    question = read_question(OpenNeutralQuestion, {**_law(edition, place, date, occupancy), "about": about or []})
    answer = ask_open_neutral(_read(file, media), question)
    if plot is not None:
        from faultpath.plots import plot_open_neutral

        _write(plot, plot_open_neutral(settled(answer)))
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed_currents import print_open_neutral

        _print_each(answer, print_open_neutral)
    return UNDECIDED if any(not opening.legs for found in answers_of(answer) for opening in found.openings) else NOTHING_FAILS


@app.command("what-if")
@_plainly
def what_if(
    file: File,
    change: ChangeFile,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    detail: Annotated[Literal["matters", "all"], typer.Option(help="Reasons for what matters, or for everything that changed.")] = "matters",
    write: Annotated[str | None, typer.Option("--write", metavar="FILE", help="Write the installation after the work to this file.")] = None,
    output: Annotated[str | None, typer.Option("--output", "-o", metavar="FILE", help="Write a report: .html, .pdf, or .svg for both pictures.")] = None,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """What planned work would change, and what in the work does it."""
    law = _law(edition, place, date, occupancy, practice)
    asked = {**law, "change": _read_change(change), "rules": rule or [], "about": about or [], "detail": detail, "document": write is not None}
    answer = ask_what_if(_read(file, media), read_question(WhatIfQuestion, asked))
    found = answers_of(answer)
    if write is not None:
        try:
            Path(write).write_text(json.dumps(found[0].document, indent=1, ensure_ascii=False) + "\n", "utf-8")
        except OSError as error:
            raise _unreadable(f"{write!r} cannot be written: {error.strerror}.", "Expected a file that can be written.") from error
    if output is not None:
        from faultpath.http.work_messages import what_if_in

        kind = _media_of_paper(output, ".html", ".pdf", ".svg")
        _write_file(output, what_if_in(kind, _read(file, media), read_question(WhatIfQuestion, asked))[0])
    elif as_json:
        _print_body(answer)
    else:
        from faultpath.printed_work import print_what_if

        _print_each(answer, print_what_if)
    return _worst_of(one.after.fails for one in found) or (UNDECIDED if any(one.after.undecided for one in found) else NOTHING_FAILS)


@app.command()
@_plainly
def remedies(
    file: File,
    change: Annotated[str | None, typer.Option(metavar="FILE", help="Planned work first: then remedies for what it makes fail.")] = None,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    practice: Practices = None,
    rule: RuleKeys = None,
    about: About = None,
    limit: Annotated[int, typer.Option(help="The most plans to give.")] = DEFAULT_LIMIT,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """The smallest sets of work that cure what fails, least disruptive first."""
    law = _law(edition, place, date, occupancy, practice)
    planned = _read_change(change) if change is not None else []
    question = read_question(RemediesQuestion, {**law, "change": planned, "rules": rule or [], "about": about or [], "limit": limit})
    answer = ask_remedies(_read(file, media), question)
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed_work import print_remedies

        _print_each(answer, print_remedies)
    found = answers_of(answer)
    return _worst_of(len(one.failing) for one in found) or (
        UNDECIDED if any(one.questions.facts or one.questions.unsettled for one in found) else NOTHING_FAILS
    )


def _worst_of(failing: Iterable[int]) -> int:
    return SOMETHING_FAILS if any(failing) else NOTHING_FAILS


def _read_change(file: str) -> Any:
    """The planned work in a file. Raises BadInput, also for a file that cannot be read."""
    try:
        with Path(file).open("rb") as opened:
            data = opened.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise _unreadable(f"{file!r} cannot be read: {why}.", "Expected a file with planned work.") from error
    return read_json(data)


@app.command()
@_plainly
def sizing(
    file: Annotated[str | None, typer.Argument(metavar="[FILE|-]", help="The installation; left out with --conductor.")] = None,
    conductor: Annotated[str | None, typer.Option(metavar="KEY", help="Size one conductor without a house; `faultpath sizing` alone lists them.")] = None,
    given: Annotated[list[str] | None, typer.Option("--given", metavar="FIELD=VALUE", help="A field of its form; can be repeated.")] = None,
    edition: Edition = None,
    place: PlaceKey = None,
    date: Day = None,
    occupancy: OccupancyWord = None,
    about: About = None,
    as_json: AsJson = False,
    media: Media = None,
) -> int:
    """Which size each grounding and bonding conductor must have, with the arithmetic."""
    from faultpath.printed_sizes import print_forms, print_sizing

    law = _law(edition, place, date, occupancy)
    if conductor is not None:
        answer = ask_conductor({**law, "conductor": conductor, **_given(given or [])})
    elif file is None:
        listed = form_list()
        if as_json:
            _print_body(listed)
        else:
            from faultpath.printed import Page

            print_forms(Page(), listed.forms)
        return NOTHING_FAILS
    else:
        answer = ask_sizing(_read(file, media), read_question(SizingQuestion, {**law, "about": about or []}))
    if as_json:
        _print_body(answer)
    else:
        _print_each(answer, print_sizing)
    sizes = [size for found in answers_of(answer) for size in found.sizes]
    return _worst_of(size.will_do is False for size in sizes) or (UNDECIDED if any(size.missing for size in sizes) else NOTHING_FAILS)


def _given(pairs: list[str]) -> dict[str, Any]:
    """The fields of a form as FIELD=VALUE; whole numbers are numbers. Raises BadInput for a pair without its sign."""
    found: dict[str, Any] = {}
    for pair in pairs:
        key, sign, value = pair.partition("=")
        if not sign:
            raise BadInput([Problem("", f"{pair[:80]!r} is no FIELD=VALUE.", "Expected a field, the sign =, and its value.")])
        found[key] = int(value) if value.isascii() and value.isdigit() else value
    return found


@app.command()
@_plainly
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
    question = read_question(
        ComparisonQuestion, {"editions": chosen, "places": place or [], "practices": practice or [], "rules": rule or [], "about": about or []}
    )
    answer = ask_comparison(_read(file, media), question)
    if as_json:
        _print_body(answer)
    else:
        from faultpath.printed import Page, print_comparison

        print_comparison(Page(), answer)
    return _worst({found.outcome for row in answer.rows for found in row.outcomes})


@app.command()
@_plainly
def rules(
    key: Annotated[str | None, typer.Argument(metavar="[KEY]", help="Only this rule, in full.")] = None,
    edition: Annotated[str | None, typer.Option(help="Its conditions in this edition.")] = None,
    as_json: AsJson = False,
) -> int:
    """The rules of the book; with a key, one of them."""
    from faultpath import printed

    page = printed.Page()
    if key is None:
        if edition is not None:
            raise BadInput([Problem("", "An edition is given without a rule.", "Expected the key of a rule before --edition.")])
        listed = rule_list()
        _print_body(RuleList(rules=listed)) if as_json else printed.print_rules(page, listed)
    elif edition is None:
        detail = rule_detail(key)
        _print_body(detail) if as_json else printed.print_rule(page, detail)
    else:
        rule_detail(key)
        text = rule_text(key, str(year_of(edition)))
        _print_body(text) if as_json else printed.print_rule_text(page, text)
    return NOTHING_FAILS


@app.command("editions")
@_plainly
def known_editions(as_json: AsJson = False) -> int:
    """The editions that the book knows."""
    from faultpath.printed import Page, print_editions

    listed = edition_list()
    _print_body(EditionList(editions=listed)) if as_json else print_editions(Page(), listed)
    return NOTHING_FAILS


@app.command("places")
@_plainly
def known_places(key: Annotated[str | None, typer.Argument(metavar="[KEY]", help="Only this place, in full.")] = None, as_json: AsJson = False) -> int:
    """The places of the book; with a key, what one adopted and amended."""
    from faultpath import printed

    page = printed.Page()
    if key is None:
        listed = place_list()
        _print_body(PlaceList(places=listed)) if as_json else printed.print_places(page, listed)
    else:
        detail = place_detail(key)
        _print_body(detail) if as_json else printed.print_place(page, detail)
    return NOTHING_FAILS


@app.command("practices")
@_plainly
def known_practices(as_json: AsJson = False) -> int:
    """The named practices: readings of contested rules that can be chosen instead of the strict ones."""
    from faultpath.printed import Page, print_practices

    listed = practice_list()
    _print_body(PracticeList(practices=listed)) if as_json else print_practices(Page(), listed)
    return NOTHING_FAILS


@app.command()
@_plainly
def coverage() -> int:
    """Which sections of the code are encoded, how far they were checked, and what is not encoded, as Markdown."""
    from faultpath.coverage import coverage_page

    _print_body(coverage_page())
    return NOTHING_FAILS


@app.command("version")
@_plainly
def print_version(as_json: AsJson = False) -> int:
    """The version of the software and the digest of the book."""
    found = version()
    _print_body(found if as_json else f"faultpath {found.software}, book {found.book_digest}")
    return NOTHING_FAILS


@app.command()
@_plainly
def serve(
    host: Annotated[str, typer.Option(help="Address to listen at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to listen at.")] = 8000,
) -> int:
    """Serve the answers over HTTP until interrupted."""
    import uvicorn

    from faultpath.http.app import create_app

    try:
        uvicorn.run(create_app(), host=host, port=port, server_header=False, ws="none")
    except SystemExit as stopped:
        return BAD_INPUT if stopped.code else NOTHING_FAILS
    return NOTHING_FAILS


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    main()
