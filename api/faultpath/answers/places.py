"""The places of the book: what they adopted, and what they made of rules."""

from pydantic import Field

from faultpath.answers.record import Answer
from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.book.overlays import amendments, practices
from faultpath.book.places import Place, places
from faultpath.book.rules import Overlay, rules

_MODEL = "How the code is adopted: statewide, hybrid, dual-track, local and the like."


class AdoptionDetail(Answer):
    """An edition that a place is known to have in force."""

    occupancy: str = Field(description="all, one-two-family or other.")
    edition: str
    effective: str | None = Field(description="First day in force; null where it was not read.")
    known_until: str | None = Field(description="Last day for which it is known to be in force.")
    alternatives: list[str] = Field(description="Editions that another source gives, or that a later change may have brought.")
    standing: str
    source: str
    note: str | None


class PlaceSummary(Answer):
    """A place in a list."""

    key: str
    name: str
    model: str = Field(description=_MODEL)
    amendments: int = Field(description="How many of its amendments are in the book.")


class OverlayDetail(Answer):
    """A practice or an amendment."""

    key: str
    label: str
    says: str = Field(description="What it changes, in one sentence.")
    place: str | None = Field(description="The place of an amendment; null for a practice.")
    rules: list[str] = Field(description="Keys of the rules that it replaces, withdraws or adds.")
    editions: list[str] = Field(description="Editions that it changes; for a practice those of its rules.")
    sections: dict[str, str] = Field(description="Where an amended edition prints it.")
    sources: list[str]
    standing: str


class PlaceDetail(Answer):
    """A place with its adoptions and amendments."""

    key: str
    name: str
    within: list[str] = Field(description="The wider places whose amendments hold here too.")
    model: str = Field(description=_MODEL)
    date_counts: str | None = Field(description="What happens on the date that chooses the edition; null where nobody read it.")
    asks: str | None = Field(description="What has to be found out locally before the edition is known.")
    amends: bool | None = Field(description="Whether it is known to have amendments of its own; null where nobody read of any.")
    note: str | None
    adoptions: list[AdoptionDetail]
    amendments: list[OverlayDetail] = Field(description="The amendments that are in the book, which need not be all there are.")


def place_list() -> list[PlaceSummary]:
    """Every place of the book."""
    return [PlaceSummary(key=p.key, name=p.name, model=p.model, amendments=len(_amended(p))) for p in places().values()]


def place_detail(key: str) -> PlaceDetail:
    """A place. Raises BadInput (404) for a key that the book does not have."""
    if key not in places():
        raise BadInput([Problem("", f"No place has the key {key[:80]!r}.", "Expected a key of GET /v1/places.", nearest(key, places()))], "not-found", 404)
    place = places()[key]
    return PlaceDetail(
        key=place.key,
        name=place.name,
        within=list(place.chain[:-1]),
        model=place.model,
        date_counts=place.date_counts or None,
        asks=place.asks_locally or None,
        amends=True if place.amends else None,
        note=place.note or None,
        adoptions=[
            AdoptionDetail(
                occupancy=a.occupancy,
                edition=str(a.edition),
                effective=a.effective.isoformat() if a.effective else None,
                known_until=a.known_until.isoformat() if a.known_until else None,
                alternatives=[str(year) for year in a.alternatives],
                standing=a.standing,
                source=a.source,
                note=a.note or None,
            )
            for a in place.adoptions
        ],
        amendments=_amended(place),
    )


def _amended(place: Place) -> list[OverlayDetail]:
    """What a place and those around it amend, rules that only they have included."""
    own = [_overlay(overlay) for within in place.chain for overlay in amendments(within)]
    added = [
        OverlayDetail(
            key=f"{rule.place}/{rule.key}",
            label=rule.label,
            says=rule.requires,
            place=rule.place,
            rules=[rule.key],
            editions=[str(year) for year in rule.citations],
            sections={str(year): citation.section for year, citation in rule.citations.items()},
            sources=list(rule.sources),
            standing=rule.standing,
        )
        for rule in rules().values()
        if rule.place in place.chain
    ]
    return own + added


def practice_list() -> list[OverlayDetail]:
    """Every named practice."""
    return [_overlay(overlay) for overlay in practices().values()]


def _overlay(overlay: Overlay) -> OverlayDetail:
    keys = [*overlay.texts, *overlay.withdraws]
    years = set(overlay.citations) or {year for key in keys for year in rules()[key].citations}
    return OverlayDetail(
        key=overlay.key,
        label=overlay.label,
        says=overlay.says,
        place=overlay.place or None,
        rules=keys,
        editions=[str(year) for year in sorted(years)],
        sections={str(year): citation.section for year, citation in overlay.citations.items()},
        sources=list(overlay.sources),
        standing=overlay.standing,
    )
