"""Where answers are printed, and what several of them print alike: readable without colour, in a pipe and in a log."""

import sys
import textwrap
from collections.abc import Iterable, Sequence

from faultpath.answers.findings import Summary
from faultpath.answers.reasons import MissingFact
from faultpath.answers.what_if import Unchanged

PIPED_WIDTH = 100
LAST_COLUMN = 30  # The least that text in the last column is folded to.
MARKS = {"holds": "[ok]", "fails": "[FAIL]", "undecided": "[?]", "not_applicable": "[--]", "not_encoded": "[..]", "withdrawn": "[--]"}
COLOURS = {"holds": "green", "fails": "bold red", "undecided": "bold yellow"}
COMBINES = {"all": "all of", "any": "any of", "not": "not"}


class Page:
    """Where an answer is printed: tables and wrapped lines on standard output."""

    def __init__(self) -> None:
        from rich.console import Console  # slow to import, and JSON is printed without it

        terminal = sys.stdout.isatty()
        self._console = Console(file=sys.stdout, width=None if terminal else PIPED_WIDTH, highlight=False, markup=False, emoji=False)
        self._width = self._console.width

    def line(self, text: str = "", indent: int = 0, hanging: int = 0, style: str = "") -> None:
        """A paragraph, wrapped; `hanging` indents its further lines."""
        from rich.text import Text

        wrapped = textwrap.wrap(
            text, max(self._width, 40), initial_indent=" " * indent, subsequent_indent=" " * (indent + hanging), break_long_words=False, break_on_hyphens=False
        )
        for piece in wrapped or [""]:
            self._console.print(Text(piece, style=style), soft_wrap=True)

    def table(self, head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        """A table without rulings; a cell that is a mark gets its colour on a terminal."""
        from rich.table import Table
        from rich.text import Text

        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_edge=False, header_style="bold")
        listed, widest = list(rows), max(map(len, MARKS.values()))
        for number, name in enumerate(head):
            marks = any(row[number] in MARKS.values() for row in listed)
            # Keys and ids are copied from here, so only the last column is folded.
            table.add_column(name, overflow="fold", no_wrap=number + 1 < len(head), min_width=widest if marks else None)
        styles = {MARKS[outcome]: colour for outcome, colour in COLOURS.items()}
        for row in listed:
            table.add_row(*(Text(cell, style=styles.get(cell, "")) for cell in row))
        # Nothing is cut off: where the columns need more room than there is, lines run over.
        widths = [max(map(len, (name, *(row[number] for row in listed)))) + 2 for number, name in enumerate(head)]
        self._console.width = max(self._width, sum(widths[:-1]) + min(widths[-1], LAST_COLUMN))
        self._console.print(table)
        self._console.width = self._width


def print_missing(page: Page, missing: Sequence[MissingFact]) -> None:
    """The facts to be found out, as questions."""
    if missing:
        page.line("To be found out on site:", 2)
    for fact in missing:
        page.line(f"- {fact.ask} ({fact.about}, {fact.fact})", 4, 2)


def print_not_judged(page: Page, rules: Sequence[str]) -> None:
    """The rules that nobody checked for the edition."""
    if rules:
        page.line("Not checked for this edition, so not judged: " + ", ".join(rules) + ".")


def counted(summary: Summary | Unchanged) -> str:
    """How many findings came to each outcome, as a sentence."""
    return f"{summary.fails} fail, {summary.undecided} cannot be decided, {summary.holds} hold, {summary.not_applicable} do not apply."
