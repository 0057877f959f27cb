"""Open neutrals and divided neutral currents in installation documents, against worked values and against what must follow."""

from typing import Any

import pytest

from faultpath.answers.open_neutral import OpenNeutralAnswer, answer_open_neutral
from faultpath.answers.open_neutral_text import NeutralOpening
from faultpath.base.problems import BadInput
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law
from wired import Part, conductors, service, with_circuit

LAW = Law(2020)


def asked(document: Part, *about: str) -> OpenNeutralAnswer:
    return answer_open_neutral(read_document(document), LAW, about)


def opened(document: Part, about: str) -> NeutralOpening:
    (found,) = asked(document, about).openings
    return found


def load(name: str, leg: int, watts: float) -> Part:
    return {"id": name, "connection": f"leg-{leg}-to-neutral", "watts": watts}


def volts(opening: NeutralOpening) -> dict[tuple[str, str], float]:
    return {(leg.about, leg.leg): (leg.after_volts.least + leg.after_volts.most) / 2 for leg in opening.legs}


def frames(opening: NeutralOpening) -> dict[str, float]:
    return {rise.about: rise.after_volts.most for rise in opening.frames}


def loaded(*loads: Part, **source: Any) -> Part:
    document = service(**source)
    document["equipment"][0]["loads"] = list(loads)
    return document


def test_a_multiwire_circuit():
    """on-01: 100 W and 200 W; the smaller load gets 160 V, the larger 80 V."""
    document = with_circuit(service(), "desk", 20, conductors("12 AWG", "12 AWG", legs=2), load={"loads": [load("lamp", 1, 100), load("heater", 2, 200)]})
    found = opened(document, "desk-cable")
    assert volts(found) == pytest.approx({("desk", "leg-1"): 160.0, ("desk", "leg-2"): 80.0}, rel=1e-3)
    # fl-15: on four wires the metal stays at zero.
    assert found.frames == []
    assert "No frame rises" in found.says


def test_the_service_neutral_with_the_earth_as_return():
    """on-03: 25 ohm rod, 5 ohm at the transformer, 1,200 W and 300 W: 65.5 and 174.5 V, and 45.5 V on all metal."""
    found = opened(loaded(load("stove", 1, 1200), load("lamp", 2, 300)), "drop")
    assert volts(found) == pytest.approx({("panel", "leg-1"): 65.455, ("panel", "leg-2"): 174.55}, rel=1e-3)
    assert frames(found)["panel"] == pytest.approx(45.455, rel=1e-3)
    assert [way.join for way in found.returns] == ["gec", "rod earth", "utility earth"]
    assert all(way.amperes is not None and way.amperes.most == pytest.approx(1.8182, rel=1e-3) for way in found.returns)


def test_a_water_pipe_to_the_neighbor_hides_it():
    """on-04: 119 and 121 V, while all 7.4 A flow in the pipe."""
    document = loaded(load("stove", 1, 1200), load("lamp", 2, 300))
    document["electrodes"].append({"id": "pipe", "kind": "underground-water-pipe", "pipingReturnOhms": 0.099})
    document["electrodeConductors"].append({"id": "pipe-wire", "from": "pipe", "to": "panel/grounded-bar"})
    found = opened(document, "drop")
    assert volts(found) == pytest.approx({("panel", "leg-1"): 119.26, ("panel", "leg-2"): 120.74}, rel=1e-3)
    assert frames(found) == {}
    piping = next(way for way in found.returns if way.join == "pipe piping")
    assert piping.amperes is not None
    assert piping.amperes.most == pytest.approx(7.4227, rel=2e-2)


def test_two_legs_of_a_wye():
    """on-06: 10 and 30 ohm on 208Y/120 V: 52 and 156 V."""
    document = with_circuit(service(system="208Y/120V-three-phase-4-wire"), "desk", 1, conductors("4 AWG", "8 AWG", legs=2))
    document["equipment"][1]["loads"] = [load("heater", 1, 1440), load("lamp", 2, 480)]
    document["runs"][0]["conductors"] = conductors("2/0 AWG", legs=3)
    found = volts(opened(document, "desk-cable"))
    assert found == pytest.approx({("desk", "leg-1"): 51.962, ("desk", "leg-2"): 155.88}, rel=2e-3)


def test_a_balanced_load_hides_it():
    found = opened(loaded(load("one", 1, 700), load("two", 2, 700)), "drop")
    assert volts(found) == pytest.approx({("panel", "leg-1"): 120.0, ("panel", "leg-2"): 120.0}, rel=1e-3)


def outbuilding(*, four_wires: bool, feet: float = 1) -> Part:
    document = loaded()
    shed: Part = {"id": "shed", "kind": "panelboard", "enclosure": {"metal": True}, "bonds": [], "loads": [load("saw", 1, 720), load("lamps", 2, 360)]}
    if not four_wires:
        shed["bonds"] = [{"id": "shed-screw", "kind": "main-bonding-jumper", "from": "grounded-bar", "to": "frame"}]
    document["equipment"].append(shed)
    wires = conductors("2 AWG", "6 AWG" if four_wires else None, legs=2, material="aluminum")
    document["runs"].append(
        {"id": "feeder", "from": "panel", "to": "shed", "lengthFeet": feet, "method": "PVC", "conductors": wires, "overcurrent": {"ratingAmperes": 60}}
    )
    document["electrodes"].append({"id": "shed-rod", "kind": "rod", "resistanceOhms": 25})
    document["electrodeConductors"].append({"id": "shed-wire", "from": "shed-rod", "to": "shed/frame"})
    return document


def test_a_separate_building_on_three_wires_rises_and_on_four_does_not():
    """fl-14 and fl-15; here the house's rod and the utility's earth of 5 ohm lie side by side: 25 + 4.167 ohm."""
    three = opened(outbuilding(four_wires=False), "feeder")
    earth = 25 + 25 * 5 / 30
    rise = (120 / 20 - 120 / 40) / (1 / 20 + 1 / 40 + 1 / earth)
    assert frames(three)["shed"] == pytest.approx(rise * 25 / earth, rel=2e-3)
    assert volts(three) == pytest.approx({("shed", "leg-1"): 120 - rise, ("shed", "leg-2"): 120 + rise}, rel=2e-3)
    four = opened(outbuilding(four_wires=True), "feeder")
    assert volts(four) == pytest.approx({("shed", "leg-1"): 80.0, ("shed", "leg-2"): 160.0}, rel=2e-3)
    assert frames(four) == {}


def test_a_three_wire_dryer_with_its_neutral_open():
    """Its 120 V motor of 24 ohm carries line voltage to the frame; through a body of 1,000 ohm 117 mA flow."""
    document = with_circuit(service(), "dryer", 30, conductors("10 AWG", legs=2), amperes=30, load={"loads": [load("motor", 1, 600)]})
    document["equipment"][1] |= {"kind": "clothes-dryer", "bonds": [{"id": "strap", "kind": "strap", "from": "grounded-terminal", "to": "frame"}]}
    (rise,) = opened(document, "dryer").frames
    assert rise.about == "dryer"
    assert rise.before_volts.most < 2
    assert rise.after_volts.least == pytest.approx(120, rel=2e-3)
    assert rise.body_amperes.most == pytest.approx(120 / 1024, rel=5e-3)


# Divided neutral currents


def test_a_neutral_bonded_again_past_the_service_shares_its_current_with_the_ground():
    document = outbuilding(four_wires=True, feet=100)
    assert asked(document, "feeder").divisions == []
    document["equipment"][1]["bonds"] = [{"id": "again", "kind": "misplaced-connection", "from": "grounded-bar", "to": "frame"}]
    (division,) = asked(document, "feeder").divisions
    shares = {way.join: way.share.most for way in division.ways if way.share is not None}
    ground, neutral = 0.0808 + 0.003, 0.0319  # 6 AWG and 2 AWG aluminum, 100 ft, and the three joints on the way
    assert shares["feeder ground"] == pytest.approx(neutral / (neutral + ground), rel=0.05)
    assert shares["feeder neutral"] + shares["feeder ground"] == pytest.approx(1, abs=0.01)
    del document["runs"][1]["lengthFeet"]
    (unknown,) = asked(document, "feeder").divisions
    assert unknown.ways == []
    assert {m.fact for m in unknown.missing} == {"lengthFeet"}


def test_a_water_pipe_beside_a_sound_neutral():
    """np-04: 2.5 of 20 A on the pipe does not prove a bad neutral."""
    document = loaded(load("stove", 1, 2400))
    document["runs"][0] |= {"lengthFeet": 100, "method": "SE"}
    document["electrodes"].append({"id": "pipe", "kind": "underground-water-pipe", "pipingReturnOhms": 0.109})
    document["electrodeConductors"].append({"id": "pipe-wire", "from": "pipe", "to": "panel/grounded-bar"})
    document["runs"][0]["conductorTemperatureCelsius"] = 75
    (division,) = asked(document).divisions
    ways = {way.join: way.amperes.most for way in division.ways if way.amperes is not None}
    assert ways["drop neutral"] == pytest.approx(17.474, rel=0.02)
    assert ways["pipe piping"] == pytest.approx(2.5258, rel=0.05)


# What is missing


def test_loads_that_nobody_stated_are_asked_for_and_the_split_is_shown():
    document = with_circuit(service(), "dryer", 30, conductors("10 AWG", "10 AWG", legs=2))
    found = opened(document, "dryer-cable")
    assert found.legs == []
    assert [(m.about, m.fact) for m in found.missing] == [("dryer", "loads")]
    assert [at.first_leg_share for at in found.by_split] == [n / 10 for n in range(1, 10)]
    for at in found.by_split:
        assert at.leg_volts[0].most == pytest.approx(240 * (1 - at.first_leg_share), rel=5e-3)
    assert "With 10% to 90% of them on the first leg, a leg would stand at 24 to 216 V to the neutral" in found.says
    assert "split-load" in {assumed.quantity for assumed in asked(document, "dryer-cable").assumed}


def test_a_load_without_a_size_and_a_leg_that_nobody_stated_are_asked_for():
    document = with_circuit(service(), "lamp", 30, conductors("14 AWG", "14 AWG"), load={"loads": [{"id": "bulb", "connection": "line-to-neutral"}]})
    assert {(m.about, m.fact) for m in opened(document, "lamp").missing} == {("bulb", "watts"), ("lamp-cable/conductor-1", "leg")}


def test_a_load_on_a_leg_that_does_not_arrive_is_said_to_be_left_out():
    document = with_circuit(service(), "lamp", 30, conductors("14 AWG", "14 AWG"), load={"loads": [load("bulb", 2, 60)]})
    assert asked(document, "lamp").left_out == ["The load bulb lies on a leg that does not arrive there."]


def test_current_and_power_together_give_the_power_factor():
    document = loaded({"id": "motor", "connection": "leg-1-to-neutral", "watts": 600, "amperes": 10}, load("lamp", 2, 600))
    found = volts(opened(document, "drop"))
    assert found[("panel", "leg-1")] != pytest.approx(120, rel=0.01)


def test_a_neutral_is_named_by_its_run_its_conductor_or_where_it_ends():
    document = loaded(load("stove", 1, 1200))
    about = {opened(document, name).about for name in ("drop", "drop/conductor-2", "panel")}
    assert about == {"drop"}
    for name in ("rod", "utility"):
        with pytest.raises(BadInput, match="No neutral belongs to"):
            asked(document, name)
