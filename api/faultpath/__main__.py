"""The command line: the same questions by the same names as over HTTP."""

import gc
import sys

import typer

from faultpath.cli.book import check_book, coverage, editions, new_rule, places, practices, rules, test_rule, version
from faultpath.cli.compare import compare
from faultpath.cli.exit_codes import INTERRUPTED, plainly
from faultpath.cli.fault_loop import fault_loop
from faultpath.cli.findings import example, findings
from faultpath.cli.notice import notice
from faultpath.cli.open_neutral import open_neutral
from faultpath.cli.options import spread
from faultpath.cli.origin import origin
from faultpath.cli.remedies import remedies
from faultpath.cli.report import report
from faultpath.cli.serve import serve
from faultpath.cli.sizing import sizing
from faultpath.cli.what_if import what_if

# In the order in which the help lists them.
COMMANDS = (
    *(findings, example, report, notice, origin, fault_loop, open_neutral, what_if, remedies, sizing, compare),
    *(rules, editions, new_rule, places, practices, coverage, check_book, new_rule, test_rule, version, serve),
)

app = typer.Typer(
    name="faultpath",
    help="Grounding and bonding rules as a knowledge graph: what holds, what fails, what cannot be decided, and why.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for command in COMMANDS:
    app.command()(plainly(spread(command)))


def main() -> None:
    """Run the command line."""
    # The book that is read stays to the end; looking for garbage in it again and again takes longer than most answers.
    gc.set_threshold(50_000, 50, 100)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    main()
