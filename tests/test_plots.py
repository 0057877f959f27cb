"""The pictures: well-formed, the same bytes each time, and with the limits and the safety sentence in them."""

import xml.etree.ElementTree as ET

import pytest

from faultpath.answers.fault_loop import answer_fault_loop
from faultpath.answers.open_neutral import answer_open_neutral
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law
from faultpath.present.charts import Chart, Series, small_svg, svg
from faultpath.present.plots import plot_fault_loop, plot_open_neutral
from serving import house
from wired import conductors, service, with_circuit

LAW = Law(2020)
SVG = "{http://www.w3.org/2000/svg}"


def texts(picture: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(picture).iter(f"{SVG}text")]


def test_fault_current_and_touch_voltage_by_length():
    document = read_document(with_circuit(service(), "heater", 100, conductors("12 AWG", "12 AWG")))
    pictures = {plot_fault_loop(answer_fault_loop(document, LAW, ["heater"], by_length=True)) for _ in range(2)}
    assert len(pictures) == 1, "no clock and no chance in it"
    found = texts(pictures.pop())
    assert {"heater: fault current", "100 ft stated", "4 times 20 A", "50 V, IEC 60364-4-41", "length of heater-cable, ft"} <= set(found)
    assert any("De-energise" in text for text in found)


def test_voltage_by_split():
    answer = answer_open_neutral(read_document(house()), LAW, ["range-1"])
    found = texts(plot_open_neutral(answer))
    assert "Neutral of range-cord open, 1,500 W of line-to-neutral load" in found
    assert {"leg 1 to neutral", "leg 2 to neutral", "frame to earth"} <= set(found)


def test_where_nothing_can_be_drawn_the_picture_says_so():
    answer = answer_fault_loop(read_document(house()), LAW, ["range-1"], by_length=True)
    assert any("facts are missing" in text for text in texts(plot_fault_loop(answer)))


def test_names_cannot_break_out_of_the_picture():
    picture = svg("<script>&", [Chart('a"<b>', "<x>", "&", (Series("<&>", ((0, 1, 2), (1, 2, 3))),))], "<note>")
    assert "<script" not in picture
    assert 'a"<b>' in texts(picture)


@pytest.mark.parametrize("top", [0, 0.003, 1, 7, 99.9, 12_345])
def test_axes_end_at_round_numbers_above_the_greatest_value(top: float):
    found = texts(svg("t", [Chart("c", "x", "y", (Series("s", ((0, 0, 0), (10, top, top))),))], ""))
    assert max(float(text.replace(",", "")) for text in found if text.replace(",", "").replace(".", "").isdigit()) >= top


def test_a_logarithmic_chart_has_decades_and_a_band_for_a_range():
    chart = Chart("c", "A", "s", (Series("band", ((20, 5, 9_000), (300, 0.02, 0.1))),), (), (("fault current", 90, 120),), logarithmic=True)
    picture = small_svg(chart)
    found = texts(picture)
    assert {"10", "100", "1,000", "0.01", "10,000", "fault current", "band"} <= set(found)
    across = [float(line.get("x1", "0")) for line in ET.fromstring(picture).iter(f"{SVG}line") if line.get("stroke-dasharray") == "3 3"]
    decades = [float(line.get("x1", "0")) for line in ET.fromstring(picture).iter(f"{SVG}line") if line.get("stroke") == "#eeeeee"]
    assert decades[0] < across[0] < decades[1] < across[1] < decades[2], "90 A and 120 A lie on both sides of 100 A"
