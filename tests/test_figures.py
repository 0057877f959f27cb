"""What findings would mean in amperes and volts: which parts are shown, published numbers, and questions instead of numbers where facts are missing."""

import io
import re
import xml.etree.ElementTree as ET
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings

from faultpath.answers.figures import MOST_FRAMES, MOST_NEUTRALS, Figures, figures
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.present.documents.report import Report, report, report_html, report_pdf
from generated import installations
from serving import house
from wired import Part, conductors, service, with_circuit

LAW = Law(2020)


def of(document: Part) -> Figures:
    return figures(assess(read_document(document), LAW))


def told(document: Part) -> Report:
    return report(assess(read_document(document), LAW))


def section(html: str) -> str:
    return html.split('<h2 id="faults">')[1].split("</section>")[0]


def heater() -> Part:
    """fl-06 of nets.json: 300 ft of 12 AWG copper both ways, 120 V: 101.01 A, 5.05 times 20 A, the frame at 60 V."""
    return with_circuit(service(), "heater", 300, conductors("12 AWG", "12 AWG"))


def test_a_worked_loop_stands_in_the_report_with_its_numbers() -> None:
    found = told(heater())
    assert found.figures is not None
    shown = next(one for one in found.figures.faults if one.about == "heater")
    assert (shown.current, shown.touch) == ("101 A", "60 V")
    assert shown.device.startswith("20 A, opens after ")
    row = re.search(r"<tr><th scope=\"row\"><span class=\"id\">heater</span></th>(.*?)</tr>", section(report_html(found)), re.DOTALL)
    assert row is not None
    assert re.findall(r"<td>(.*?)</td>", row[1]) == ["101 A", shown.device, "60 V"]
    text = " ".join(" ".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(report_pdf(found))).pages).split())
    assert "What a fault would do" in text
    assert "101 A" in text


def test_a_slow_device_is_drawn_and_one_that_opens_at_once_is_not() -> None:
    slow = told(heater()).figures
    quick = told(with_circuit(service(), "heater", 10, conductors("12 AWG", "12 AWG"))).figures
    assert slow is not None
    assert quick is not None
    (drawn,) = [one.chart for one in slow.faults if one.about == "heater"]
    assert drawn is not None
    root = ET.fromstring(drawn)
    assert root.get("role") == "img"
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "When the 20 A device ahead of heater opens"
    assert next(one.chart for one in quick.faults if one.about == "heater") is None
    assert told(heater()).figures == slow, "the same numbers and the same bytes each time"


def test_what_is_not_known_is_asked_and_gets_no_number() -> None:
    found = told(house())
    assert found.figures is not None
    shown = next(one for one in found.figures.faults if one.about == "range-1")
    assert (shown.current, shown.touch) == ("", "")
    assert {(fact.about, fact.fact) for fact in shown.missing} == {("range-cord", "conductors"), ("range-cord", "lengthFeet")}
    html = report_html(found)
    row = re.search(r"<tr><th scope=\"row\"><span class=\"id\">range-1</span></th>(.*?)</tr>", section(html), re.DOTALL)
    assert row is not None
    assert "cannot be told yet" in row[1]
    assert not re.search(r"\d [AV]\b", row[1])
    asked = html.split('<h2 id="checklist">')[1].split("</section>")[0]
    assert all(fact.ask in asked.replace("&#39;", "'") for fact in shown.missing)
    assert "For the currents and voltages above." in asked


def test_parts_that_fail_come_first_under_the_numbers_of_their_findings() -> None:
    found = told(house())
    assert found.figures is not None
    failing = {one.number for one in found.failing}
    assert failing.intersection(found.figures.faults[0].numbers)
    assert [bool(failing.intersection(one.numbers)) for one in found.figures.faults] == [True, True, False, False]
    about = {one.number: one.finding.about for one in (*found.failing, *found.undecided)}
    assert {about[number] for number in found.figures.faults[1].numbers} >= {"panel", "outdoor-main-to-panel"}


def test_an_open_neutral_lifts_the_frame_that_is_strapped_to_it() -> None:
    """With all load on one leg the frame comes to the voltage of the other; the neutral that carries it is the one shown first."""
    found = told(house())
    assert found.figures is not None
    first = found.figures.neutrals[0]
    assert first.about == "range-cord"
    assert first.columns == ("leg 1 to neutral", "leg 2 to neutral", "frame to earth")
    share, volts = first.rows[0]
    assert share == "10%"
    assert float(volts[0].split()[0]) == pytest.approx(0.9 * 240, rel=0.01), "a tenth of the load takes nine tenths of the voltage"
    assert first.chart is not None
    assert 'role="img"' in first.chart


def test_what_is_left_out_is_named() -> None:
    document = service()
    for number in range(6):
        document = with_circuit(document, f"pump-{number}", 50, conductors("12 AWG"), work="new")
    found = of(document)
    assert len(found.frames) == MOST_FRAMES
    assert len(found.neutrals) == MOST_NEUTRALS
    shown = {figure.loop.about for figure in found.frames}
    assert shown | set(found.frames_left_out) == {*(f"pump-{number}" for number in range(6)), "panel"}
    assert not shown.intersection(found.frames_left_out)
    assert "drop" in {figure.opening.about for figure in found.neutrals}, "two legs share it"
    html = section(report_html(told(document)))
    assert f"3 more frames are left out here: {', '.join(found.frames_left_out)}. Ask for the fault loop of any by its id." in html
    assert f"{len(found.neutrals_left_out)} more neutrals are left out here: {found.neutrals_left_out[0]}" in html


@pytest.mark.parametrize("limit", ["faultpath.answers.figures.MOST_TRIPLES", "faultpath.answers.consequences.MOST_WORK"])
def test_a_net_that_costs_too_much_is_told_without_a_number(monkeypatch: pytest.MonkeyPatch, limit: str) -> None:
    monkeypatch.setattr(limit, 10)
    found = of(heater())
    assert found.not_given is not None
    assert (found.frames, found.neutrals) == ([], [])
    html = section(report_html(told(heater())))
    assert "No figures are given." in html
    assert not re.search(r"\d [AV]\b", html)


def test_where_no_finding_is_about_wiring_the_report_has_no_such_section() -> None:
    found = told({"id": "empty-lot", "sources": [], "equipment": [], "runs": []})
    assert found.figures is None
    assert 'id="faults"' not in report_html(found)


@given(installations(complete=False))
@settings(max_examples=15)
def test_every_installation_gets_figures_or_questions(document: dict[str, Any]) -> None:
    for figure in of(document).frames:
        loop = figure.loop
        assert (loop.fault_amperes is not None) or loop.missing or loop.leg is None
        assert figure.findings
