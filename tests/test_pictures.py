"""The one-line diagram: every part is there once, what is missing or wrong shows by more than colour, and the bytes do not change."""

import json
import re
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from faultpath.base.outcomes import Outcome
from faultpath.book.cases import example, house
from faultpath.document.installation import iri_of, read_document
from faultpath.judging.assessment import Law, assess
from faultpath.present.diagrams import svg
from faultpath.present.diagrams.one_line import PHONE, SHEET, beside, one_line
from faultpath.present.diagrams.outline import outline
from faultpath.present.diagrams.scene import Scene, scene
from generated import installations

SVG = "{http://www.w3.org/2000/svg}"
HOUSES = ("birch-lane", "cedar-court", "elm-cottage", "linden-walk")
HANGING = {"electrode": "electrodes", "joint": "electrodeJoints", "electrode-conductor": "electrodeConductors", "metal-body": "metalBodies"}
BROKEN, MENDED = example("alder-row-outdoor-disconnect"), example("alder-row-four-wire-feeder")


def seen(document: dict[str, Any], edition: int = 2020) -> Scene:
    return scene(assess(read_document(document), Law(edition)))


def drawn(document: dict[str, Any], width: float = SHEET) -> ElementTree.Element:
    return ElementTree.fromstring(one_line(assess(read_document(document), Law(2020)), width))


def groups(root: ElementTree.Element) -> dict[str, list[str]]:
    """The IRIs drawn, by what they are drawn as."""
    found: dict[str, list[str]] = {}
    for g in root.iter(f"{SVG}g"):
        found.setdefault(g.get("class", ""), []).append(g.get("data-iri", ""))
    return found


def crowded() -> dict[str, Any]:
    """A house of our own with more circuits than a row holds, a garage with its own panel, and a panel in that."""
    document = json.loads(json.dumps(MENDED))
    document["buildings"] = [{"id": "house"}, {"id": "garage"}]
    document["conventions"].remove("one-building")
    for item in document["equipment"]:
        item["building"] = "house"
    for number in range(15):
        document["equipment"].append({"id": f"outlet-{number}", "kind": "receptacle", "building": "house"})
        document["runs"].append({"id": f"circuit-{number}", "from": "panel", "to": f"outlet-{number}", "method": "NM"})
    for panel, feeding in (("garage-panel", "panel"), ("loft-panel", "garage-panel")):
        document["equipment"].append({"id": panel, "kind": "panelboard", "building": "garage"})
        document["runs"].append({"id": f"{panel}-feeder", "from": feeding, "to": panel})
    document["electrodes"] += [{"id": "garage-rod", "kind": "rod"}, {"id": "second-rod", "kind": "rod"}]
    document["electrodeConductors"] += [
        {"id": "garage-conductor", "from": "garage-panel/grounding-bar", "to": "garage-rod"},
        {"id": "rod-jumper", "from": "garage-rod", "to": "second-rod"},
    ]
    return document


@pytest.mark.parametrize("width", [SHEET, PHONE])
@pytest.mark.parametrize("document", [BROKEN, MENDED, crowded(), *map(house, HOUSES)], ids=["broken", "mended", "crowded", *HOUSES])
def test_every_part_is_drawn_once(document: dict[str, Any], width: float):
    normal, found = read_document(document).document, groups(drawn(document, width))
    parts = [*normal["sources"], *normal["equipment"]]
    assert sorted(found["equipment"]) == sorted(iri_of(part["id"]) for part in parts)
    assert sorted(found["run"]) == sorted(iri_of(run["id"]) for run in normal["runs"])
    for kind, key in HANGING.items():
        assert sorted(found.get(kind, [])) == sorted(iri_of(part["id"]) for part in normal.get(key, []))


@given(installations(complete=False))
@settings(max_examples=60)
def test_anything_that_can_be_read_can_be_drawn(document: dict[str, Any]):
    assessed = assess(read_document(document), Law(2023))
    for width in (SHEET, PHONE):
        root = ElementTree.fromstring(one_line(assessed, width))
        document, found = assessed.installation.document, groups(root)
        assert sorted(found["equipment"]) == sorted(iri_of(part["id"]) for key in ("equipment", "sources") for part in document.get(key, []))
        for kind, key in HANGING.items():
            assert sorted(found.get(kind, [])) == sorted(iri_of(part["id"]) for part in document.get(key, []))
        wide, high = (float(root.get(side, "0")) for side in ("width", "height"))
        for text in root.iter(f"{SVG}text"):
            assert 0 <= float(text.get("x", "0")) <= wide
            assert 0 <= float(text.get("y", "0")) <= high


def test_the_same_bytes_for_the_same_input():
    assert one_line(assess(read_document(BROKEN), Law(2020))) == one_line(assess(read_document(json.loads(json.dumps(BROKEN))), Law(2020)))


def test_each_group_has_the_iri_and_a_title_of_its_node():
    for g in drawn(BROKEN).iter(f"{SVG}g"):
        assert g.get("data-iri", "").startswith("https://")
        assert g.find(f"{SVG}title") is not None


def test_what_is_missing_and_what_is_wrong_is_marked():
    """The classic house after an outdoor disconnect: a three-wire feeder, a screw left in, a frame on the neutral."""
    found = seen(BROKEN)
    assert found.missing == {"outdoor-main-to-panel", "range-cable"}
    assert found.wrong == {"panel-screw", "range-strap"}
    picture = one_line(assess(read_document(BROKEN), Law(2020)))
    assert picture.count('stroke-dasharray="1.5 4"') == 3, "two runs and the legend"
    assert "should not be here" in picture
    mended = seen(MENDED)
    assert "panel-screw" not in mended.wrong
    assert "outdoor-main-to-panel" not in mended.missing


def test_every_finding_that_matters_has_one_number_and_stands_in_the_list():
    found, root = seen(BROKEN), drawn(BROKEN)
    tags = found.all_tags()
    assert [tag.number for tag in tags] == list(range(1, len(tags) + 1))
    assert {tag.outcome for tag in tags} == {Outcome.FAILS, Outcome.UNDECIDED}
    words = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
    for tag in tags:
        assert f"{tag.about}: {'fails' if tag.outcome is Outcome.FAILS else 'cannot be decided'}" in words
        shown = str(tag.number) if tag.outcome is Outcome.FAILS else f"{tag.number}?"
        assert len([t for t in root.iter(f"{SVG}text") if t.text == shown]) >= 2, "on the part and in the list"


def test_at_most_twelve_circuits_hang_in_a_row():
    root = drawn(crowded())
    tops: dict[float, int] = {}
    for g in root.iter(f"{SVG}g"):
        if g.get("class") == "equipment" and "outlet-" in g.get("data-iri", ""):
            box = g.find(f"{SVG}rect")
            assert box is not None
            tops[float(box.get("y", "0"))] = tops.get(float(box.get("y", "0")), 0) + 1
    assert max(tops.values()) <= 12
    assert len([t for t in root.iter(f"{SVG}text") if t.text == "panel, continued"]) == 1


def test_a_building_is_outlined_where_there_are_several():
    assert groups(drawn(crowded()))["building"] == [iri_of("house"), iri_of("garage")]
    assert "building" not in groups(drawn(BROKEN))


def test_a_building_is_cut_out_of_the_outline_of_the_one_that_feeds_it():
    outlines = {g.get("data-iri"): g for g in drawn(house("birch-lane")).iter(f"{SVG}g") if g.get("class") == "building"}
    assert {iri: len(g.findall(f"{SVG}line")) for iri, g in outlines.items()} == {iri_of("house"): 0, iri_of("garage"): 4}


def test_a_phone_is_never_asked_to_show_more_than_its_width():
    assert float(drawn(crowded(), PHONE).get("width", "0")) <= 360


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_text_contrasts_with_the_paper():
    """WCAG 2.2, 1.4.3: 4.5 to 1. Light words stand on the dark square of a failing finding only."""
    root = drawn(crowded())
    for fill in {text.get("fill", "") for text in root.iter(f"{SVG}text")}:
        ground = svg.FAILS if fill == svg.PAPER else svg.PAPER
        lighter, darker = sorted((luminance(fill), luminance(ground)), reverse=True)
        assert (lighter + 0.05) / (darker + 0.05) >= 4.5, fill


def test_before_and_after_stand_side_by_side():
    root = ElementTree.fromstring(beside(seen(BROKEN), seen(MENDED)))
    inner = root.findall(f"{SVG}svg")
    assert [t.text for t in root.findall(f"{SVG}text")] == ["Before", "After"]
    assert float(inner[0].get("x", "0")) + float(inner[0].get("width", "0")) <= float(inner[1].get("x", "0"))
    stacked = ElementTree.fromstring(beside(seen(BROKEN), seen(MENDED), PHONE)).findall(f"{SVG}svg")
    assert float(stacked[0].get("height", "0")) < float(stacked[1].get("y", "0"))


@pytest.mark.parametrize("document", [BROKEN, crowded()], ids=["broken", "crowded"])
def test_the_outline_tells_every_part_and_every_number(document: dict[str, Any]):
    found = seen(document)
    told = outline(found)
    for key in ("sources", "equipment", "runs", "electrodes", "electrodeConductors", "metalBodies"):
        for part in found.listed(key):
            assert re.search(rf"(?<![\w-]){re.escape(part['id'])}(?![\w-])", told), part["id"]
    for tag in found.all_tags():
        assert re.search(rf"\b{tag.number} (fails|cannot be decided)", told)


def bond_group(root: ElementTree.Element, bond: str) -> ElementTree.Element:
    return next(g for g in root.iter(f"{SVG}g") if g.get("data-iri") == iri_of(bond) and g.get("class") == "bond")


def test_an_undecided_bond_has_another_form_than_one_that_is_decided() -> None:
    """Not by color alone: the line is broken and the square open; in the outline a word says so. Leaving a fact out never makes a bond look decided."""
    root = drawn(BROKEN)
    undecided = bond_group(root, "outdoor-main-jumper")
    assert any(line.get("stroke-dasharray") for line in undecided.iter(f"{SVG}line"))
    assert "cannot be decided" in (undecided.find(f"{SVG}title").text or "")  # type: ignore[union-attr]
    wrong = bond_group(root, "panel-screw")
    assert len(list(wrong.iter(f"{SVG}line"))) == 3, "struck through"
    assert not any(line.get("stroke-dasharray") for line in wrong.iter(f"{SVG}line"))
    legend = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
    assert "bond that cannot be decided" in legend
    assert "bond that should not be here" in legend
