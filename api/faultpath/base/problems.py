"""What is wrong with an input, where, and how to mend it. HTTP and the command line only render this."""

import re
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


def nearest(word: str, words: Iterable[str], closeness: float = 0.6) -> str | None:
    """The defined term that an unknown one was probably meant to be; none where the closest one may mean the opposite."""
    by_small = {w.lower(): w for w in islice(words, MOST_COMPARED)}
    small = word.lower()[:100]
    alike = next((w for w in by_small if _plain(w) == _plain(small)), None)
    if alike is not None:
        return by_small[alike]
    close = get_close_matches(small, by_small, n=1, cutoff=closeness)
    return by_small[close[0]] if close and not _may_be_opposites(small, close[0]) else None


_DENIALS = ("un", "non", "not", "no", "dis", "in")
_RETURN, _EARTH = frozenset({"grounded", "neutral"}), frozenset({"ground", "grounding", "earth", "earthing"})


def _plain(word: str) -> str:
    return re.sub(r"[^a-z0-9/]", "", word.lower())


def _may_be_opposites(one: str, other: str) -> bool:
    """Whether two words differ by a denial, or one speaks of the ground and the other of the grounded conductor."""
    first, second = (frozenset(re.findall(r"[a-z0-9]+", word)) for word in (one, other))
    if any(_plain(a) == denial + _plain(b) for a, b in ((one, other), (other, one)) for denial in _DENIALS):
        return True
    if (first ^ second) & set(_DENIALS) or {"covered", "uncovered"} <= first | second or {"fused", "unfused"} <= first | second:
        return True
    return any(bool(a & _EARTH) and bool(b & _RETURN) and not a & _RETURN for a, b in ((first, second), (second, first)))


def pointer(parts: Iterable[str | int]) -> str:
    """A JSON Pointer (RFC 6901) from its parts."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in parts)
