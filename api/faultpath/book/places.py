"""Places, the editions that they adopted, and which edition a date and an occupancy choose, as far as that is known."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from itertools import pairwise

from faultpath.book.loader import load_book
from faultpath.book.rules import editions

_FOLDER = "shapes/amendments/"
# Adoption has lagged up to this far behind publication, as far as was read.
_LONGEST_LAG_YEARS = 18
ONE_OR_TWO_FAMILY = "one-two-family"
EVERY_OCCUPANCY = "all"


@dataclass(frozen=True)
class Adoption:
    """An edition that a place is known to have in force: from when (None: not read), known until when, and what else it might be."""

    occupancy: str
    edition: int
    effective: date | None
    known_from: date | None
    known_until: date | None
    alternatives: tuple[int, ...]
    grace_until: date | None
    grace_asks: str
    standing: str
    source: str
    note: str


@dataclass(frozen=True)
class Place:
    """A place with what it adopted. `chain` are the places it lies within and itself, the widest first."""

    key: str
    name: str
    chain: tuple[str, ...]
    model: str
    date_counts: str
    asks_locally: str
    amends: bool
    note: str
    adoptions: tuple[Adoption, ...]


@dataclass(frozen=True)
class Choice:
    """The editions that may be in force and the questions that would leave one of them. One means: known.

    `last_read` are those that an adoption which was read had in force last; none where none was read.
    """

    editions: tuple[int, ...]
    asks: tuple[str, ...]
    standing: str
    sources: tuple[str, ...]
    last_read: frozenset[int] = frozenset()


@cache
def places() -> dict[str, Place]:
    """Every place of the book by key."""
    rows = {row["place"]: row for row in _rows("places.csv")}
    adopted: dict[str, list[Adoption]] = {key: [] for key in rows}
    for row in _rows("adoptions.csv"):
        adopted[row["place"]].append(_adoption(row))
    found = {}
    for key, row in rows.items():
        chain = [key]
        while rows.get(chain[0], row)["within"] in rows:
            chain.insert(0, rows[chain[0]]["within"])
        own = next((adopted[place] for place in reversed(chain) if adopted[place]), [])
        asks = next((rows[place]["asks_locally"] for place in reversed(chain) if rows[place]["asks_locally"]), "")
        counts = next((rows[place]["date_counts"] for place in reversed(chain) if rows[place]["date_counts"]), "")
        found[key] = Place(key, row["name"], tuple(chain), row["model"], counts, asks, row["amends"] == "yes", row["note"], tuple(own))
    return found


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(load_book().files[_FOLDER + name])))


def _adoption(row: dict[str, str]) -> Adoption:
    return Adoption(
        occupancy=row["occupancy"],
        edition=int(row["edition"]),
        effective=date.fromisoformat(row["effective"]) if row["effective"] else None,
        known_from=_first_day(row["as_of"]),
        known_until=_last_day(row["as_of"]),
        alternatives=tuple(int(year) for year in row["alternatives"].split()),
        grace_until=date.fromisoformat(row["grace_until"]) if row["grace_until"] else None,
        grace_asks=row["grace_asks"],
        standing=row["standing"],
        source=row["source"],
        note=row["note"],
    )


def _first_day(text: str) -> date | None:
    """The first day of a day, a year or an interval (ISO 8601)."""
    first = text.split("/")[0]
    return None if not text else date.fromisoformat(first) if len(first) > len("YYYY") else date(int(first), 1, 1)


def _last_day(text: str) -> date | None:
    """The last day of a day, a year or an interval (ISO 8601)."""
    last = text.split("/")[-1]
    return None if not text else date.fromisoformat(last) if len(last) > len("YYYY") else date(int(last), 12, 31)


def choose_edition(place: Place, on: date | None, one_or_two_family: bool | None) -> Choice:
    """The edition in force in a place on a day for a kind of occupancy; None where the day or the occupancy is not known.

    Several editions come back with the questions that would settle it: what was read does not reach the day, sources
    disagree, the city decides, or a fact is missing. Nothing is assumed to go on past the day until which it is known.
    """
    tracks = {None: (ONE_OR_TWO_FAMILY, "other"), True: (ONE_OR_TWO_FAMILY,), False: ("other",)}[one_or_two_family]
    choices = [_choose(place, on, track) for track in tracks]
    asks = [question for choice in choices for question in choice.asks]
    if len({choice.editions for choice in choices}) > 1:
        asks.append("Is it a one- or two-family dwelling, or another occupancy?")
    return Choice(
        editions=tuple(dict.fromkeys(edition for choice in choices for edition in choice.editions)),
        asks=tuple(dict.fromkeys(asks)),
        standing=_weakest(choice.standing for choice in choices),
        sources=tuple(dict.fromkeys(source for choice in choices for source in choice.sources)),
        last_read=frozenset().union(*(choice.last_read for choice in choices)),
    )


def _choose(place: Place, on: date | None, track: str) -> Choice:
    rows = [row for row in place.adoptions if row.occupancy in (track, EVERY_OCCUPANCY)]
    if not rows:
        return Choice(_published(on), (place.asks_locally,), "memory", ())
    asks = [place.asks_locally] if place.asks_locally else []
    if on is None:
        asks.append(f"What is the date that counts here ({place.date_counts or 'most often the day on which the permit is applied for'})?")
        found = [edition for row in reversed(rows) for edition in (row.edition, *row.alternatives)]
    else:
        found = _on_a_day(place, rows, on, asks)
    begun = [row for row in rows if on is None or (row.effective or row.known_from or date.max) <= on]
    used = [row for row in rows if row.edition in found] or rows
    return Choice(
        editions=tuple(dict.fromkeys(found)),
        asks=tuple(asks),
        standing=_weakest(row.standing for row in used),
        sources=tuple(dict.fromkeys(row.source for row in used)),
        last_read=frozenset(row.edition for row in begun[-1:] if row.source),
    )


def _on_a_day(place: Place, rows: list[Adoption], on: date, asks: list[str]) -> list[int]:
    """The editions that may be in force on a day, adding to the questions."""
    begun = [row for row in rows if (row.effective or row.known_from or date.max) <= on]
    if not begun:
        asks.append(f"Which edition was in force in {place.name} on that day?")
        oldest = rows[0]
        older = [year for year in _published(on) if year < oldest.edition]
        return older if oldest.effective else [*([oldest.edition] if oldest.edition in _published(on) else []), *older]
    row = begun[-1]
    later = next((after for before, after in pairwise(rows) if before is row), None)
    found = [row.edition, *row.alternatives]
    if row.alternatives:
        asks.append(f"Which of the editions {', '.join(map(str, sorted(found)))} is in force in {place.name}? {row.note}".strip())
    if row.grace_until and on <= row.grace_until:
        asks.append(row.grace_asks)
        found.extend(before.edition for before, after in pairwise(rows) if after is row)
    if later is not None and later.effective is None and (row.known_until is None or on > row.known_until):
        asks.append(f"From which day on was the {later.edition} edition in force in {place.name}?")
        found.extend(year for year in _published(on) if row.edition < year <= later.edition)
    if later is None and (row.known_until is None or on > row.known_until):
        since = f" since {row.known_until.isoformat()}" if row.known_until else ""
        newer = [year for year in _published(on) if year > row.edition]
        if newer:
            asks.append(f"Has {place.name} adopted a later edition{since}?")
            found.extend(newer)
    return found


def _published(on: date | None) -> tuple[int, ...]:
    """The editions that can be in force somewhere on a day, newest first: one appears in the autumn before the year that it carries."""
    if on is None:
        return tuple(reversed(editions()))
    latest = (on + timedelta(days=120)).year
    return tuple(year for year in reversed(editions()) if on.year - _LONGEST_LAG_YEARS <= year <= latest)


def _weakest(standings: Iterable[str]) -> str:
    order = ("memory", "partly", "verified")
    return min(standings, key=order.index, default="memory")
