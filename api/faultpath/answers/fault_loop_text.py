"""What is said of the loop of one frame, in numbers and in sentences."""

from collections.abc import Iterator
from enum import StrEnum

from pydantic import Field

from faultpath.answers.consequences import Between, Carrying, said
from faultpath.answers.reasons import MissingFact
from faultpath.answers.record import Answer


class Clearing(StrEnum):
    """Whether the overcurrent device opens on the fault."""

    OPENS = "opens"
    MAY_NOT_OPEN = "may_not_open"
    DOES_NOT_OPEN = "does_not_open"
    NO_DEVICE = "no_device"
    NOT_KNOWN = "not_known"


class Opening(Answer):
    """When the device opens, in seconds, by the fast and the slow edge of the band; null where it need not open at all."""

    least_seconds: float | None = Field(description="By the fast edge at the greatest current, in seconds.")
    most_seconds: float | None = Field(description="By the slow edge at the least current, in seconds.")


class Interrupter(Answer):
    """What a ground-fault circuit interrupter ahead of the frame sees."""

    run: str = Field(description="Id of the run that it protects.")
    missing_amperes: Between = Field(description="Current that does not come back through the conductors that it watches, in amperes.")
    opens: bool | None = Field(description="Whether that makes it open; null between the two limits of its class.")


class EarthAlone(Answer):
    """The same fault if the frame had nothing but a rod: what a rod instead of a conductor is worth."""

    amperes: Between = Field(description="Fault current, in amperes.")
    touch_volts: Between = Field(description="Voltage of the frame to earth, in volts.")
    opens: Clearing = Field(description="Whether the overcurrent device opens on it.")
    interrupter_opens: bool | None = Field(
        description="Whether a ground-fault circuit interrupter ahead opens on it, all of it missing from the conductors that it watches."
    )


class LengthLimit(Answer):
    """How long the last run could be, the rest as it is, before the criterion is missed."""

    run: str = Field(description="Id of the run.")
    feet: float | None = Field(description="Greatest length in feet at the least fault current; null where even no length meets the criterion.")
    stated_feet: float = Field(description="Length stated, in feet.")
    met: bool = Field(description="Whether the stated length is within it.")


class AtLength(Answer):
    """The loop with the last run of another length."""

    feet: float = Field(description="Length of the last run, in feet.")
    fault_amperes: Between = Field(description="Fault current, in amperes.")
    touch_volts: Between | None = Field(description="Voltage of the frame until the device opens, in volts.")


class FaultLoop(Answer):
    """One frame that a leg touches, behind one source."""

    about: str = Field(description="Id of the equipment whose frame is touched.")
    source: str | None = Field(description="Id of the source; null where none is known to supply it.")
    leg: str | None = Field(description="The leg that touches the frame.")
    clears: Clearing = Field(description="Whether the overcurrent device opens.")
    says: str = Field(description="The answer in a few sentences.")
    metallic_path: bool | None = Field(description="Whether an unbroken metal path leads back to the source; null while not known.")
    path: list[Carrying] = Field(description="The joins of the best metal path from the frame back to the source, with their currents where these are known.")
    returns: list[Carrying] = Field(description="Every join that carries returning current, the greatest first.")
    fault_amperes: Between | None = Field(description="Fault current, in amperes.")
    loop_ohms: Between | None = Field(description="Impedance of the whole loop, in ohms; null where no current may flow.")
    device_amperes: int | None = Field(description="Rating of the overcurrent device ahead, in amperes.")
    multiple: Between | None = Field(description="Fault current over that rating.")
    opening: Opening | None = Field(description="When the device opens.")
    touch_volts: Between | None = Field(description="Voltage of the frame until then, in volts: to earth or to the metal at the service, whichever is more.")
    body_amperes: Between | None = Field(description="Current that this drives through a body of the resistance named in the limits, in amperes.")
    disconnection_seconds: float | None = Field(description="Longest disconnection time that IEC 60364-4-41 sets at this voltage, for comparison, in seconds.")
    interrupter: Interrupter | None = Field(description="What a ground-fault circuit interrupter ahead sees; null where none is stated.")
    earth_alone: EarthAlone | None = Field(description="The same fault with a rod in place of the metal path.")
    length_limit: LengthLimit | None = Field(description="How long the last run could be.")
    by_length: list[AtLength] = Field(description="The same with other lengths of the last run; empty where it was not asked for.")
    missing: list[MissingFact] = Field(description="The facts that are needed.")
    left_out: list[str] = Field(description="What is not in the net, in sentences.")


_ALONE = {
    Clearing.OPENS: ", the device would open",
    Clearing.MAY_NOT_OPEN: ", the device might not open",
    Clearing.DOES_NOT_OPEN: ", the device would not open",
}


def sentences(loop: FaultLoop) -> Iterator[str]:
    """A worked-out loop in words: the current and its way, the device, the touch voltage, and what a rod would be worth."""
    current, touch = loop.fault_amperes, loop.touch_volts
    assert current is not None
    if current.most == 0:
        yield f"No path leads from the frame of {loop.about} back to the source, not even through the earth: it stays at full voltage and nothing opens."
    elif loop.metallic_path:
        yield f"The fault current of {said(current, 'A')} returns through {', '.join(step.join for step in loop.path)}."
    else:
        yield f"The only way back from the frame of {loop.about} is through the earth, and it carries {said(current, 'A')}."
    device = f"The {loop.device_amperes} A device" if loop.device_amperes else "The device ahead"
    opening = loop.opening
    if loop.clears is Clearing.OPENS and opening is not None:
        least, most = opening.least_seconds or 0.0, opening.most_seconds or 0.0
        yield f"{device} opens after {said(Between(least=least, most=most), 's')}."
    elif loop.clears is Clearing.MAY_NOT_OPEN:
        yield f"{device} may never open at this current."
    elif loop.clears is Clearing.DOES_NOT_OPEN:
        yield f"{device} carries this current without opening."
    elif loop.clears is Clearing.NO_DEVICE:
        yield "No overcurrent device on the premises stands ahead of it; only the utility's own protection does."
    else:
        yield "Which device protects it is not known."
    if touch is not None and current.most > 0:
        until = "Until then the frame stands" if loop.clears in (Clearing.OPENS, Clearing.MAY_NOT_OPEN) else "The frame stays"
        yield f"{until} at {said(touch, 'V')}."
    if loop.interrupter is not None and loop.interrupter.opens:
        yield "The ground-fault circuit interrupter opens."
    elif loop.interrupter is not None and loop.interrupter.opens is False:
        yield "The ground-fault circuit interrupter does not see it: the current comes back through the conductors that it watches."
    if loop.earth_alone is not None and loop.metallic_path:
        alone = loop.earth_alone
        ending = _ALONE.get(alone.opens, "")
        if alone.interrupter_opens:
            ending = ", on which the ground-fault circuit interrupter would open"
        yield f"With a rod in place of that path {said(alone.amperes, 'A')} would flow{ending}, and the frame would stand at {said(alone.touch_volts, 'V')}."
