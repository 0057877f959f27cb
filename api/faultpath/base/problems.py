"""What is wrong with an input, where, and how to mend it. HTTP and the command line only render this."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice


@dataclass(frozen=True)
class Problem:
    """One defect of an input.

    `pointer` is a JSON Pointer into the document (for RDF, into its normal form); `found` and `expected` are sentences;
    `nearest` is the closest defined term where a term is unknown.
    """

    pointer: str
    found: str
    expected: str
    nearest: str | None = None


class BadInput(Exception):
    """An input that cannot be judged. `kind` is the last part of the problem type's IRI; `status` the HTTP status."""

    def __init__(self, problems: Iterable[Problem], kind: str = "bad-installation", status: int = 422) -> None:
        self.problems = tuple(problems)
        self.kind = kind
        self.status = status
        super().__init__("; ".join(f"{p.pointer or '/'}: {p.found} {p.expected}" for p in self.problems))


# Bad input must not cost more than good input: so many problems are told, and so many terms compared for each.
MOST_PROBLEMS = 25
MOST_COMPARED = 1_000


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The defined term that an unknown one was probably meant to be."""
    by_small = {w.lower(): w for w in islice(words, MOST_COMPARED)}
    close = get_close_matches(word.lower()[:100], by_small, n=1, cutoff=0.6)
    return by_small[close[0]] if close else None


def pointer(parts: Iterable[str | int]) -> str:
    """A JSON Pointer (RFC 6901) from its parts."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in parts)
