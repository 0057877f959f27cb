"""When an overcurrent device opens: a generic inverse-time model of a thermal-magnetic breaker, as a band.

    time ─┐ slow edge: opens in the end at its opening multiple, within the longest time at twice the rating
          │   ╲
          │ fast edge: holds at its holding multiple, at least the shortest time at one point of the published zone
          └──────────── magnetic trip: may act above one multiple, has acted above another ──── current over rating

Both thermal edges are the heating of one body: t = tau ln(m^2 / (m^2 - m0^2)), m the current over the rating, m0 the one
that is carried for ever. The points are data of the book with their sources; no manufacturer's curve is used.
"""

import math
from dataclasses import dataclass

from faultpath.book.quantities import quantities, value
from faultpath.book.tables import rows_with


@dataclass(frozen=True, slots=True)
class OpeningTime:
    """Seconds until a device opens, by its fast and by its slow edge; None where it need not open at all."""

    least_seconds: float | None
    most_seconds: float | None


def opening_time(edition: int, amperes: float, rating_amperes: float) -> OpeningTime:
    """When a breaker of a rating opens at a steady current, both in amperes."""
    multiple = amperes / rating_amperes
    known = quantities(edition)
    magnetic, at_once = known["instantaneous-multiple"], known["instantaneous-time"]
    holds, opens = value(edition, "holds-multiple"), value(edition, "must-open-multiple")
    point, shortest = value(edition, "quickest-point-multiple"), value(edition, "quickest-point-time")
    fast = at_once.least if multiple > magnetic.least else _heating(multiple, holds, point, shortest)
    slow = at_once.most if multiple >= magnetic.most else _heating(multiple, opens, 2, _longest_at_twice(edition, rating_amperes))
    return OpeningTime(fast, slow)


def _heating(multiple: float, carried: float, known_multiple: float, known_seconds: float) -> float | None:
    """The time at a multiple on the heating curve through a known point; None where the current is carried for ever."""
    if multiple <= carried:
        return None
    return known_seconds * _heated(multiple, carried) / _heated(known_multiple, carried)


def _heated(multiple: float, carried: float) -> float:
    return -math.log1p(-((carried / multiple) ** 2))


def _longest_at_twice(edition: int, rating_amperes: float) -> float:
    rows = rows_with(edition, "deviceOverAmperes", "secondsAtTwiceRating")
    fitting = [row for row in rows if rating_amperes <= float(str(row["deviceNotOverAmperes"]))]
    return float(str((fitting or rows)[0 if fitting else -1]["secondsAtTwiceRating"]))
