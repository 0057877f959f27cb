"""Sizes: published answers and tables, the metals, the arithmetic, and what is answered while a fact is missing.

The numbers follow NFPA 70, Tables 250.66, 250.102(C)(1) and 250.122, in the editions named; where a published answer exists its source is named.
"""

import json
from typing import Any

import pytest

from faultpath.answers.sizing import Sizing, answer_sizing
from faultpath.base.problems import BadInput
from faultpath.book.cases import example
from faultpath.book.rules import editions
from faultpath.document.forms import forms
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.service.sizing import ask_conductor
from wired import Part, conductors, service, with_circuit


def one(conductor: str, edition: int = 2020, **given: Any) -> Sizing:
    answer = ask_conductor({"conductor": conductor, "edition": str(edition), **given})
    (sizing,) = answer.sizes  # type: ignore[union-attr]
    return sizing


def sizes(sizing: Sizing) -> dict[str, str]:
    return {sized.material: sized.size for sized in sizing.alternatives}


WATER, ROD, FOOTING = ({"electrode": kind} for kind in ("underground-water-pipe", "rod", "concrete-encased-electrode"))


@pytest.mark.parametrize(
    ("size", "metal", "sets", "electrode", "copper", "aluminum"),
    [
        ("350 kcmil", "copper", 1, WATER, "2 AWG", "1/0 AWG"),  # ecmweb.com, code quiz 106
        ("250 kcmil", "copper", 4, WATER, "2/0 AWG", "4/0 AWG"),
        ("500 kcmil", "aluminum", 4, WATER, "3/0 AWG", "250 kcmil"),  # a published key forgets three of the four sets
        ("250 kcmil", "aluminum", 1, WATER, "4 AWG", "2 AWG"),
        ("600 kcmil", "copper", 5, WATER, "3/0 AWG", "250 kcmil"),  # no eighth of the area here
        ("600 kcmil", "copper", 3, FOOTING, "4 AWG", "250 kcmil"),  # the ceiling of a concrete-encased electrode is one of copper
        ("600 kcmil", "copper", 3, ROD, "6 AWG", "4 AWG"),
        ("4 AWG", "copper", 1, WATER, "8 AWG", "6 AWG"),
        ("2/0 AWG", "copper", 1, WATER, "4 AWG", "2 AWG"),
        ("4/0 AWG", "aluminum", 2, WATER, "2 AWG", "1/0 AWG"),
        ("1/0 AWG", "aluminum", 1, WATER, "8 AWG", "6 AWG"),  # the first row; circulating copies misprint it as 1 AWG
        ("2/0 AWG", "aluminum", 1, WATER, "6 AWG", "4 AWG"),
        ("350 kcmil", "copper", 4, WATER, "3/0 AWG", "250 kcmil"),
    ],
)
def test_electrode_conductor(size: str, metal: str, sets: int, electrode: dict[str, str], copper: str, aluminum: str) -> None:
    found = one("electrode", ungroundedSize=size, ungroundedMaterial=metal, parallelSets=sets, **electrode)
    assert (sizes(found)["copper"], sizes(found)["aluminum"], sizes(found)["copper-clad-aluminum"]) == (copper, aluminum, aluminum)
    assert found.missing[0].fact == "material", "which of them is required depends on the metal that was chosen"
    assert one("electrode", ungroundedSize=size, ungroundedMaterial=metal, parallelSets=sets, conductorMaterial="copper", **electrode).required.size == copper  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("size", "metal", "sets", "copper"),
    [
        ("500 kcmil", "copper", 4, "250 kcmil"),  # an eighth of 2000 kcmil
        ("600 kcmil", "copper", 5, "400 kcmil"),  # 375 kcmil is no standard size
        ("400 kcmil", "copper", 3, "3/0 AWG"),
        ("400 kcmil", "copper", 5, "250 kcmil"),
        ("3/0 AWG", "copper", 1, "4 AWG"),
    ],
)
def test_main_bonding_jumper(size: str, metal: str, sets: int, copper: str) -> None:
    found = one("main-bonding-jumper", ungroundedSize=size, ungroundedMaterial=metal, parallelSets=sets, conductorMaterial="copper")
    assert found.required is not None
    assert found.required.size == copper
    assert found.rows
    assert any(step.what == "required area" or step.what == "required size" for step in found.steps)


@pytest.mark.parametrize(
    ("amperes", "phases", "copper", "aluminum"),
    [(90, "3 AWG", "8 AWG", "6 AWG"), (200, "3/0 AWG", "6 AWG", "4 AWG"), (225, "4/0 AWG", "4 AWG", "2 AWG"), (400, "500 kcmil", "3 AWG", "1 AWG")],
)
def test_equipment_grounding_conductor(amperes: int, phases: str, copper: str, aluminum: str) -> None:
    given = {"overcurrentAmperes": amperes, "ungroundedSize": phases, "ungroundedMaterial": "copper", "method": "EMT", "neededUngroundedSize": phases}
    found = one("equipment-grounding", **given, conductorMaterial="copper")
    assert found.required is not None
    assert (found.required.size, sizes(found)["copper"], sizes(found)["aluminum"]) == (copper, copper, aluminum)
    assert any(row.table == "equipment-grounding-conductor-sizes" for row in found.rows)


def test_an_increase_is_shown_step_by_step() -> None:
    """200 A, 3/0 needed and 500 kcmil laid: 6 AWG grows to 1 AWG (26,240 x 500,000 / 167,800 = 78,188.3, so 78,189 circular mils)."""
    given = {"overcurrentAmperes": 200, "ungroundedSize": "500 kcmil", "ungroundedMaterial": "copper", "method": "EMT", "neededUngroundedSize": "3/0 AWG"}
    found = one("equipment-grounding", 2017, **given, neededUngroundedSizeUncorrected="3/0 AWG", conductorMaterial="copper")
    assert found.required is not None
    assert found.required.size == "1 AWG"
    assert any("78189" in f"{step.value} {step.given}" for step in found.steps), found.steps


def test_a_conductor_never_has_to_be_larger_than_those_of_the_circuit() -> None:
    given = {"overcurrentAmperes": 60, "ungroundedSize": "14 AWG", "ungroundedMaterial": "copper", "method": "EMT", "neededUngroundedSize": "14 AWG"}
    found = one("equipment-grounding", **given, conductorMaterial="copper")
    assert found.required is not None
    assert found.required.size == "14 AWG"


def test_the_grounded_conductor_of_parallel_sets_has_a_floor() -> None:
    given = {"ungroundedSize": "3/0 AWG", "ungroundedMaterial": "copper", "conductorMaterial": "copper"}
    assert one("grounded-service", **given).required.size == "4 AWG"  # type: ignore[union-attr]
    apart = one("grounded-service", **given, parallelSets=2, arrangement="sets-in-separate-raceways")
    assert apart.required.size == "1/0 AWG"  # type: ignore[union-attr]
    open_ended = one("grounded-service", **given, parallelSets=2)
    assert open_ended.required is None
    assert [fact.fact for fact in open_ended.missing] == ["parallelArrangement"]
    tried = {p.value: p.required for p in open_ended.possible[0].sizes}
    assert tried["sets in separate raceways"] == "1/0 AWG"


def test_what_is_left_out_is_asked_for_and_every_value_answered() -> None:
    found = one("electrode", ungroundedSize="500 kcmil", ungroundedMaterial="copper")
    assert found.required is None
    assert found.missing[0].fact == "electrode"
    tried = {p.value: p.required for p in found.possible[0].sizes}
    assert tried["rod"] == "6 AWG copper, 4 AWG aluminum, 4 AWG copper-clad-aluminum"
    assert tried["ground ring"] is None, "that depends on the ring"


def test_amperes_do_not_size_an_electrode_conductor() -> None:
    """The table is entered with the conductor; without one there is no size, whatever the service is rated."""
    found = one("electrode", **WATER, conductorMaterial="aluminum")
    assert (found.required, found.alternatives) == (None, [])
    assert [fact.fact for fact in found.missing] == ["size"]


@pytest.mark.parametrize(
    ("given", "at", "close"),
    [
        ({"conductor": "electrodes"}, "/conductor", "electrode"),
        ({"conductor": "electrode", "ungroundedSze": "2 AWG"}, "/ungroundedSze", "ungroundedSize"),
        ({"conductor": "electrode", "electrode": "rodd"}, "/electrode", "rod"),
        ({"conductor": "electrode", "electrode": "rod", "ungroundedSize": "2 AWG!"}, "/ungroundedSize", None),
        ({"conductor": "equipment-grounding", "overcurrentAmperes": -5}, "/overcurrentAmperes", None),
        ({"conductor": "equipment-grounding", "editoin": "2020"}, "/editoin", None),
    ],
)
def test_a_form_filled_in_wrongly_says_where(given: dict[str, Any], at: str, close: str | None) -> None:
    with pytest.raises(BadInput) as raised:
        ask_conductor({"edition": "2020", **given})
    assert raised.value.problems[0].pointer == at
    if close:
        assert raised.value.problems[0].nearest == close


@pytest.mark.parametrize("key", forms())
@pytest.mark.parametrize("edition", editions())
def test_an_empty_form_is_answered_with_questions(key: str, edition: int) -> None:
    found = one(key, edition)
    assert found.required is None
    assert found.missing or found.alternatives == []


def test_a_house_is_sized_whole() -> None:
    house = example("alder-row-outdoor-disconnect")
    answer = answer_sizing(read_document(house), Law(2020))
    found = {sizing.about: sizing for sizing in answer.sizes}
    assert found["gec"].required.size == "8 AWG"  # type: ignore[union-attr]
    assert found["gec"].will_do is True
    assert found["outdoor-main-to-panel"].conductor == "equipment grounding conductor that is not there"
    assert sizes(found["outdoor-main-to-panel"])["copper"] == "8 AWG"
    assert sizes(found["range-cable"])["copper"] == "10 AWG"
    assert "range-strap" not in found, "no table sizes the strap of an appliance"
    assert answer.caution
    assert answer.record.edition == "2020"


def lamps(many: int) -> Part:
    """A house with so many branch circuits whose overcurrent devices nobody read."""
    document = service()
    for number in range(many):
        document = with_circuit(document, f"lamp-{number}", 10, conductors("14 AWG", "14 AWG"))
        document["runs"][-1]["overcurrent"] = {"id": f"lamp-{number}-breaker"}
    return document


def test_a_house_with_too_much_to_try_says_so_and_asks_the_same() -> None:
    house = read_document(lamps(1))
    whole = answer_sizing(house, Law(2020))
    assert whole.not_tried is None
    assert any(sizing.possible for sizing in whole.sizes)
    cut = answer_sizing(house, Law(2020), most_tried=1_000)
    assert cut.not_tried is not None
    assert "fewer conductors" in cut.not_tried
    assert cut.sizes == [sizing.model_copy(update={"possible": []}) for sizing in whole.sizes]


def test_a_large_house_of_unknown_ratings_is_past_the_limit() -> None:
    document = lamps(25)
    answer = answer_sizing(read_document(document), Law(2020))
    assert answer.not_tried is not None
    assert any(sizing.missing for sizing in answer.sizes)
    assert not any(sizing.possible for sizing in answer.sizes)
    (one_of_them,) = [sizing for sizing in answer_sizing(read_document(document), Law(2020), ["lamp-3-cable/conductor-3"]).sizes if sizing.missing]
    assert one_of_them.possible


def test_what_was_worked_out_before_changes_no_size() -> None:
    house = read_document(example("alder-row-outdoor-disconnect"))
    assert answer_sizing(house, Law(2020), reuse=assess(house, Law(2020))).sizes == answer_sizing(house, Law(2020)).sizes


def test_what_is_too_small_is_said_to_be() -> None:
    house = json.loads(json.dumps(example("alder-row-outdoor-disconnect")))
    next(c for c in house["electrodeConductors"] if c["id"] == "gec")["size"] = "10 AWG"
    (gec,) = answer_sizing(read_document(house), Law(2020), ["gec"]).sizes
    assert gec.will_do is False


def test_only_what_is_asked_about_is_sized() -> None:
    answer = answer_sizing(read_document(example("alder-row-outdoor-disconnect")), Law(2020), ["outdoor-main"])
    assert {sizing.within for sizing in answer.sizes} == {"outdoor-main"}
