"""Which of the formats that a route offers the client likes best (RFC 9110, section on Accept)."""

from collections.abc import Sequence
from dataclasses import dataclass

from faultpath.base.problems import BadInput, Problem


@dataclass(frozen=True)
class Range:
    """One media range of an Accept header with its weight."""

    kind: str
    subkind: str
    weight: float

    def matches(self, media: str) -> int:
        """How closely a media type is meant: 3 by name, 2 by its kind, 1 by `*/*`, 0 not at all."""
        kind, _, subkind = media.partition("/")
        if self.kind == "*":
            return 1 if self.subkind == "*" else 0
        if self.kind != kind:
            return 0
        return 2 if self.subkind == "*" else 3 if self.subkind == subkind else 0


def ranges(accept: str) -> list[Range]:
    """The media ranges of an Accept header; what is not one is passed over."""
    found = []
    for part in accept.split(","):
        name, *parameters = (piece.strip().lower() for piece in part.split(";"))
        kind, slash, subkind = name.partition("/")
        if not (kind and slash and subkind):
            continue
        weights = [value.strip() for key, _, value in (p.partition("=") for p in parameters) if key.strip() == "q"]
        found.append(Range(kind, subkind, _weight(weights[0]) if weights else 1.0))
    return found


def _weight(text: str) -> float:
    """A weight from 0 to 1; one that cannot be read counts as nothing wanted."""
    whole, _, fraction = text.partition(".")
    if whole not in ("0", "1") or not (fraction == "" or (fraction.isascii() and fraction.isdigit())):
        return 0.0
    return min(float(text), 1.0)


def choose(accept: str | None, offers: Sequence[str]) -> str:
    """The offer with the greatest weight, the earlier of equals; the first if nothing is asked. Raises BadInput (406)."""
    if accept is None or not accept.strip():
        return offers[0]
    asked = ranges(accept)
    weighed = [(_weight_of(offer, asked), -index, offer) for index, offer in enumerate(offers)]
    weight, _, best = max(weighed)
    if weight <= 0:
        found = f"None of the formats in {accept[:200]!r} can be had here."
        raise BadInput([Problem("", found, "Expected one of: " + ", ".join(offers) + ".")], kind="not-acceptable", status=406)
    return best


def _weight_of(media: str, asked: Sequence[Range]) -> float:
    closeness, weight = max(((r.matches(media), r.weight) for r in asked), default=(0, 0.0))
    return weight if closeness else 0.0
