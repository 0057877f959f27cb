"""What people of the trade call things that documents call otherwise: the word that was probably meant, or none.

A wrong hint is worse than none, so a word is named where the trade's name for it is listed, or where it differs by no more than a slip.
"""

import csv
import io
import re
from collections.abc import Iterable
from functools import cache

from faultpath.base.problems import nearest
from faultpath.book.loader import load_book

_FILE = "ontology/aliases.csv"
_A_SLIP, _FEW_LETTERS = 0.75, 2


@cache
def _aliases() -> dict[str, tuple[str, ...]]:
    """The words of documents by the trade's name, in plain form."""
    found: dict[str, dict[str, None]] = {}
    for row in csv.DictReader(io.StringIO(load_book().files[_FILE])):
        found.setdefault(_plain(row["typed"]), {})[row["word"]] = None
    return {typed: tuple(words) for typed, words in found.items()}


def _plain(typed: str) -> str:
    return re.sub(r"[^a-z0-9/]+", "", typed.lower())


def hint(typed: str, words: Iterable[str]) -> str | None:
    """The word among `words` that was probably meant; none where that is not sure."""
    known = list(words)
    owner, slash, last = typed.rpartition("/")
    for said, prefix in ((typed, ""), (last, owner + slash)):
        fitting = [prefix + word for word in _aliases().get(_plain(said[:100]), ()) if prefix + word in known]
        if len(fitting) == 1:
            return fitting[0]
    close = nearest(typed, known, _A_SLIP)
    return close if close and abs(len(close) - len(typed)) <= _FEW_LETTERS else None
