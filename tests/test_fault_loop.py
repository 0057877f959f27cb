"""The fault loop of frames in installation documents, against worked values and against what must follow."""

from typing import Any

import pytest

from faultpath.answers.consequences import Between
from faultpath.answers.fault_loop import FaultLoopAnswer, answer_fault_loop
from faultpath.answers.fault_loop_text import Clearing, FaultLoop
from faultpath.base.problems import BadInput
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law
from serving import house
from wired import Part, conductors, service, with_circuit

LAW = Law(2020)


def asked(document: Part, *about: str, **criterion: Any) -> FaultLoopAnswer:
    return answer_fault_loop(read_document(document), LAW, about, **criterion)


def loop_of(document: Part, about: str, **criterion: Any) -> FaultLoop:
    (found,) = asked(document, about, **criterion).loops
    return found


def near(between: Between | None, value: float, rel: float = 3e-3) -> bool:
    return between is not None and between.least == pytest.approx(value, rel=rel) and between.most == pytest.approx(value, rel=rel)


# Documents of the worked loops of nets.json


@pytest.mark.parametrize(
    ("feet", "size", "ground", "amperes", "current", "touch"),
    [
        (100, "12 AWG", "12 AWG", 20, 303.03, 60.0),  # fl-01
        (150, "8 AWG", "10 AWG", 50, 396.43, 73.736),  # fl-03
        (300, "6 AWG", "12 AWG", 20, 161.88, 96.155),  # fl-04: clears faster, but the frame stands higher
        (300, "12 AWG", "12 AWG", 20, 101.01, 60.0),  # fl-06
    ],
)
def test_worked_loops(feet: float, size: str, ground: str, amperes: int, current: float, touch: float):
    loop = loop_of(with_circuit(service(), "heater", feet, conductors(size, ground), amperes=amperes), "heater")
    assert near(loop.fault_amperes, current, 6e-3)
    assert near(loop.touch_volts, touch, 6e-3)
    assert near(loop.multiple, current / amperes, 6e-3)
    assert loop.clears is Clearing.OPENS
    assert [step.join for step in loop.path] == ["heater-cable ground", "jumper", "drop neutral"]
    assert loop.disconnection_seconds == 0.8


def test_aluminum_takes_its_own_column():
    """fl-07 with the reactance that the worked net leaves out: (0.201 + 0.508 + j 0.092) ohm for 1000 ft, 200 ft."""
    document = with_circuit(service(), "shed", 200, conductors("1/0 AWG", "4 AWG", material="aluminum"), amperes=125)
    assert near(loop_of(document, "shed").fault_amperes, 120 / (0.2 * abs(0.709 + 0.092j)), 0.02)


def test_cold_wires_carry_more_and_an_unknown_temperature_gives_the_range():
    """fl-10: 368 A cold against 303 A warm."""
    document = with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG"))
    del document["runs"][1]["conductorTemperatureCelsius"]
    found = asked(document, "heater")
    current = found.loops[0].fault_amperes
    assert current is not None
    assert current.least == pytest.approx(303.03, rel=6e-3)
    assert current.most == pytest.approx(368.49, rel=6e-3)
    assert {assumed.quantity for assumed in found.assumed} >= {"conductor-temperature"}


def test_a_frame_on_the_neutral_returns_by_the_neutral():
    """fl-11: it works as long as the neutral is whole."""
    document = with_circuit(service(), "dryer", 100, conductors("12 AWG"))
    document["equipment"][1] |= {"kind": "clothes-dryer", "bonds": [{"id": "strap", "kind": "strap", "from": "grounded-terminal", "to": "frame"}]}
    loop = loop_of(document, "dryer")
    assert near(loop.fault_amperes, 303.03, 6e-3)
    assert [step.join for step in loop.path] == ["strap", "dryer-cable neutral", "drop neutral"]


# The earth


def pole() -> Part:
    """A pole with two wires and a rod of its own, no equipment grounding conductor."""
    document = with_circuit(service(), "pole", 1, conductors("12 AWG"))
    document["electrodes"].append({"id": "pole-rod", "kind": "rod", "resistanceOhms": 25})
    document["electrodeConductors"] = [{"id": "pole-wire", "from": "pole-rod", "to": "pole/frame"}]
    return document


def test_a_rod_clears_no_breaker():
    """earth-02: 120 V over 25 and 5 ohm is 4 A; the pole stands at 100 V, and nothing opens."""
    loop = loop_of(pole(), "pole")
    assert near(loop.fault_amperes, 4.0)
    assert near(loop.touch_volts, 120.0 - 20.0 + 20.0, 0.01), "against the bonded metal of the panel, which rises too, it is 120 V"
    assert loop.metallic_path is False
    assert loop.clears is Clearing.DOES_NOT_OPEN
    assert loop.path == []
    assert {c.join for c in loop.returns} == {"pole-rod earth", "pole-wire", "utility earth"}
    assert "only way back" in loop.says


def test_every_loop_shows_what_a_rod_alone_would_be_worth():
    loop = loop_of(with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG")), "heater")
    assert loop.earth_alone is not None
    assert loop.earth_alone.opens is Clearing.DOES_NOT_OPEN
    assert loop.earth_alone.amperes.most < 5
    assert loop.earth_alone.touch_volts.least > 80


def test_a_rod_is_worth_nothing_where_the_source_stands_on_no_electrode():
    conductors = [{"role": "ungrounded"}, {"role": "equipment-grounding"}]
    source = {"id": "supply", "kind": "generator", "system": "120/240V-single-phase-3-wire", "availableFaultCurrentAmperes": 8000}
    document = {
        "id": "invented-house",
        "sources": [source],
        "equipment": [{"id": "unit", "kind": "meter-enclosure"}],
        "runs": [{"id": "line", "from": "supply", "to": "unit", "conductors": conductors}],
    }
    (loop,) = answer_fault_loop(read_document(document), Law(2020)).loops
    assert loop.earth_alone is None


def test_nothing_at_all_leads_back():
    document = with_circuit(service(), "heater", 100, conductors("12 AWG"))
    loop = loop_of(document, "heater")
    assert loop.clears is Clearing.DOES_NOT_OPEN
    assert loop.fault_amperes == Between(least=0, most=0)
    assert "stays at full voltage" in loop.says


def test_the_metal_of_a_raceway_returns_the_current_by_a_model_that_is_named():
    wires = conductors("12 AWG")
    document = with_circuit(service(), "pump", 100, wires, method="EMT", tradeSize="1/2-inch")
    found = asked(document, "pump")
    loop = found.loops[0]
    assert loop.path[0].join == "pump-cable metal"
    assert loop.fault_amperes is not None
    assert loop.fault_amperes.least == pytest.approx(120 / abs(0.198 + 0.0068j + 3 * 0.09297), rel=0.01), "a thick wall carries alternating current worse"
    assert loop.fault_amperes.most == pytest.approx(120 / abs(0.198 + 0.0068j + 0.07748), rel=0.01)
    assert {"raceway-steel-conductivity", "raceway-steel-skin-effect"} <= {assumed.quantity for assumed in found.assumed}
    stated = with_circuit(service(), "pump", 100, wires, method="EMT", metalPathOhms=0.2)
    assert near(loop_of(stated, "pump").fault_amperes, 120 / 0.398, 0.01)
    (missing,) = loop_of(with_circuit(service(), "pump", 100, wires, method="EMT"), "pump").missing
    assert (missing.about, missing.fact) == ("pump-cable", "tradeSize")


# Criterion, interrupter, device


def test_the_published_length_of_a_12_awg_ground():
    """fl-02, NEMA bulletin 97: 400 % and 40 V lost give 253 ft; at 500 % and 50 V 177 ft; bolted at 5 times 303 ft."""
    document = with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG"))
    for criterion, feet in (({}, 252.5), ({"multiple": 5, "arc_volts": 50}, 176.8), ({"multiple": 5, "arc_volts": 0}, 303.0)):
        limit = loop_of(document, "heater", **criterion).length_limit
        assert limit is not None
        assert limit.feet == pytest.approx(feet, rel=0.01)
        assert limit.met
    longer = loop_of(with_circuit(service(), "heater", 260, conductors("12 AWG", "12 AWG")), "heater").length_limit
    assert longer is not None
    assert not longer.met


def test_an_interrupter_opens_on_a_ground_but_sees_nothing_of_a_frame_on_the_neutral():
    opened = with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG"), overcurrent={"ratingAmperes": 20, "groundFaultCircuitInterrupter": True})
    loop = loop_of(opened, "heater")
    assert loop.interrupter is not None
    assert loop.interrupter.opens is True
    assert loop.earth_alone is not None
    assert loop.earth_alone.interrupter_opens is True
    assert "on which the ground-fault circuit interrupter would open" in loop.says
    opened["runs"][1]["conductors"] = conductors("12 AWG")
    opened["equipment"][1]["bonds"] = [{"id": "strap", "kind": "strap", "from": "grounded-terminal", "to": "frame"}]
    assert "does not see it" in loop_of(opened, "heater").says
    blind = loop_of(opened, "heater").interrupter
    assert blind is not None
    assert blind.opens is False


def test_ahead_of_the_service_disconnect_no_device_of_the_premises_stands():
    assert loop_of(service(), "panel").clears is Clearing.NO_DEVICE


# What is missing


def test_facts_that_the_current_waits_for_are_asked_and_nothing_is_guessed():
    document = with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG"))
    del document["runs"][1]["lengthFeet"]
    del document["runs"][1]["conductors"][2]["size"]
    loop = loop_of(document, "heater")
    assert loop.clears is Clearing.NOT_KNOWN
    assert loop.fault_amperes is None
    assert loop.metallic_path is True
    assert {(m.about, m.fact) for m in loop.missing} == {("heater-cable", "lengthFeet"), ("heater-cable/conductor-3", "size")}


def test_an_unknown_source_is_a_range_that_is_named():
    document = with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG"))
    document["sources"][0] = {"id": "utility", "kind": "utility", "system": "120/240V-single-phase-3-wire"}
    found = asked(document, "heater")
    current = found.loops[0].fault_amperes
    assert current is not None
    assert current.least < current.most
    assert {a.quantity for a in found.assumed} >= {"available-fault-current", "source-reactance-to-resistance", "source-earth-resistance"}


def test_transformer_data_stand_for_the_fault_current():
    document = service()
    document["sources"][0] |= {"transformerKilovoltamperes": 25, "transformerImpedancePercent": 2}
    del document["sources"][0]["availableFaultCurrentAmperes"]
    document["runs"][0]["lengthFeet"] = 1
    current = loop_of(document, "panel").fault_amperes
    assert current is not None
    # 5,208 A between the legs at the terminals; to the midpoint 1 to 1.67 times that, less the foot of drop and the jumper.
    assert 3_500 < current.least < 5_208 < current.most < 8_700


def test_the_classic_house_tells_its_path_and_asks_for_the_cord():
    loops = {loop.about: loop for loop in asked(house()).loops}
    assert loops["panel"].clears is Clearing.OPENS
    assert loops["range-1"].path[0].join == "range-strap"
    assert ("range-cord", "lengthFeet") in {(m.about, m.fact) for m in loops["range-1"].missing}
    assert {m.fact for m in loops["meter"].missing} == {"bonds"}


def test_a_system_without_a_ground_has_no_loop():
    document = service(system="ungrounded-system")
    assert "no leg whose voltage to ground is known" in loop_of(document, "panel").says


def test_only_equipment_has_a_frame():
    with pytest.raises(BadInput, match="has no frame"):
        asked(service(), "rod")


def test_other_lengths_pass_through_the_stated_one():
    loop = loop_of(with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG")), "heater", by_length=True)
    assert [at.fault_amperes for at in loop.by_length if at.feet == 100] == [loop.fault_amperes]
    currents = [at.fault_amperes.least for at in loop.by_length]
    assert currents == sorted(currents, reverse=True)
