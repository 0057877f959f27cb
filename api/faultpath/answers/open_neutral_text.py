"""What is said of an open neutral and of a neutral current that divides, in numbers and in sentences."""

from collections.abc import Iterable, Iterator

from pydantic import Field

from faultpath.answers.consequences import Between, Carrying, said
from faultpath.answers.reasons import MissingFact
from faultpath.answers.record import Answer

_FELT_VOLTS = 1.0


class LegVoltage(Answer):
    """The voltage between a leg and the neutral at one piece of equipment, before and after."""

    about: str = Field(description="Id of the equipment.")
    leg: str = Field(description="The leg.")
    before_volts: Between = Field(description="With the neutral whole, in volts.")
    after_volts: Between = Field(description="With the neutral open, in volts.")


class FrameRise(Answer):
    """The voltage of a frame to earth, before and after."""

    about: str = Field(description="Id of the equipment.")
    before_volts: Between = Field(description="With the neutral whole, in volts.")
    after_volts: Between = Field(description="With the neutral open, in volts.")
    body_amperes: Between = Field(description="Current through a body between the frame and earth, of the resistance named in the limits, in amperes.")


class SplitVoltage(Answer):
    """What the legs would stand at if the loads behind the break were split this way."""

    first_leg_share: float = Field(description="Share of the line-to-neutral load, by power, that is on the first leg.")
    leg_volts: list[Between] = Field(description="Voltage of the first and of the second leg to the neutral, in volts.")
    frame_volts: Between | None = Field(description="Voltage to earth of the frame of the equipment behind the break, in volts; null where nothing fixes it.")


class NeutralOpening(Answer):
    """The grounded conductor of one run opened."""

    about: str = Field(description="Id of the run whose neutral is open.")
    source: str = Field(description="Id of the source.")
    says: str = Field(description="The answer in a few sentences.")
    legs: list[LegVoltage] = Field(description="The voltages at every piece of equipment behind the break that has loads stated.")
    frames: list[FrameRise] = Field(description="The frames that stand at a volt or more to earth, before or after.")
    returns: list[Carrying] = Field(description="The ways that carry the neutral's current once it is open, with their share of what it carried.")
    by_split: list[SplitVoltage] = Field(description="The voltages by the split of the loads, whatever they are; empty where one leg arrives.")
    split_watts: float | None = Field(description="Power of the loads that were split, in watts.")
    missing: list[MissingFact] = Field(description="The facts that are needed, or that would make the numbers better.")


class Division(Answer):
    """A neutral current that does not come back by the neutral alone: current on metal that should carry none."""

    about: str = Field(description="Id of the run.")
    source: str = Field(description="Id of the source.")
    says: str = Field(description="The answer in one sentence.")
    unbalance_amperes: Between = Field(description="What the legs of the run leave over for its neutral, in amperes.")
    ways: list[Carrying] = Field(description="The ways that it takes, the greatest first.")
    missing: list[MissingFact] = Field(description="The facts that the shares wait for.")


def opening_sentences(opening: NeutralOpening) -> Iterator[str]:
    """An open neutral in words."""
    if not opening.legs:
        yield f"What the loads behind {opening.about} draw is not known, so no voltage can be told."
        if opening.by_split:
            first, last = opening.by_split[0].first_leg_share, opening.by_split[-1].first_leg_share
            legs = _across(volts for at in opening.by_split for volts in at.leg_volts)
            frames = [at.frame_volts for at in opening.by_split if at.frame_volts is not None]
            above = f", and the frame behind the break at {said(_across(frames), 'V')} to earth" if frames else ""
            yield f"With {first:.0%} to {last:.0%} of them on the first leg, a leg would stand at {said(legs, 'V')} to the neutral{above}."
        return
    low = min(opening.legs, key=lambda leg: leg.after_volts.least)
    high = max(opening.legs, key=lambda leg: leg.after_volts.most)
    yield f"With the neutral of {opening.about} open, {low.leg} at {low.about} falls to {said(low.after_volts, 'V')}" + (
        f" and {high.leg} at {high.about} rises to {said(high.after_volts, 'V')}." if (high.about, high.leg) != (low.about, low.leg) else "."
    )
    risen = [rise for rise in opening.frames if rise.after_volts.most >= _FELT_VOLTS and rise.after_volts.most > rise.before_volts.most]
    if risen:
        worst = max(rise.after_volts.most for rise in risen)
        names = ", ".join(rise.about for rise in risen)
        top = next(rise for rise in risen if rise.after_volts.most == worst)
        yield f"The frames of {names} rise to earth, {top.about} to {said(top.after_volts, 'V')}."
    else:
        yield "No frame rises."
    if opening.returns:
        yield f"Current of the neutral then flows through {', '.join(way.join for way in opening.returns)}."


def _across(ranges: Iterable[Between]) -> Between:
    """The range that holds some ranges."""
    found = list(ranges)
    return Between(least=min(one.least for one in found), most=max(one.most for one in found))


def division_sentence(division: Division) -> str:
    """A divided neutral current in words."""
    if division.missing:
        ids = ", ".join(dict.fromkeys(fact.about for fact in division.missing))
        return f"The neutral current of {division.about} divides over metal; how much cannot be told before more is known of {ids}."
    ways = ", ".join(f"{way.join} {said(way.amperes, 'A')}" for way in division.ways if way.amperes is not None)
    return f"The neutral current of {division.about}, {said(division.unbalance_amperes, 'A')}, divides: {ways}."
