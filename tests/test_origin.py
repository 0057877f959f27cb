"""The supply path is named stage by stage, and says what decided it: designation, not looks."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from faultpath.answers.origin import SupplyPath, answer_origin
from faultpath.base.problems import BadInput
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"


def house(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((EXAMPLES / f"alder-row-{name}.json").read_text())
    return found


def path_of(document: dict[str, Any], edition: int, about: str) -> SupplyPath:
    (path,) = answer_origin(read_document(document), Law(edition), [about]).paths
    return path


def roles(path: SupplyPath) -> list[tuple[str, str | None]]:
    return [(stage.id, stage.role) for stage in path.stages]


def test_the_range_starts_at_the_service_equipment_before_the_work() -> None:
    path = path_of(house("before"), 2020, "range-1")
    assert path.origin == "panel"
    assert roles(path)[:5] == [
        ("utility", None),
        ("drop", "service conductors"),
        ("meter", "supply-side equipment"),
        ("riser", "service conductors"),
        ("panel", "service equipment"),
    ]


def test_the_same_panel_is_feeder_supplied_after_it() -> None:
    path = path_of(house("outdoor-disconnect"), 2020, "range-1")
    assert path.origin == "panel"
    assert dict(roles(path))["outdoor-main"] == "service equipment"
    assert dict(roles(path))["outdoor-main-to-panel"] == "feeder"
    assert dict(roles(path))["panel"] == "feeder-supplied equipment"


@pytest.mark.parametrize(("edition", "panel"), [(2017, "feeder-supplied equipment"), (2020, "service equipment"), (2023, "service equipment")])
def test_the_designation_decides_what_the_same_switch_is(edition: int, panel: str) -> None:
    path = path_of(house("emergency-disconnect"), edition, "panel")
    assert dict(roles(path))["panel"] == panel
    decided = {derivation.triple for stage in path.stages for derivation in stage.decided_by}
    assert ("panel", "suppliedAs", panel.replace(" equipment", "") if panel.startswith("feeder") else "service-equipment") in decided


def test_the_listing_mark_overrides_the_designation_from_2023() -> None:
    only = copy.deepcopy(house("emergency-disconnect"))
    next(e for e in only["equipment"] if e["id"] == "outdoor-main")["disconnect"]["listingMark"] = "suitable-only-for-use-as-service-equipment"
    assert dict(roles(path_of(only, 2020, "panel")))["panel"] == "service equipment"
    assert dict(roles(path_of(only, 2023, "panel")))["panel"] == "feeder-supplied equipment"


def test_an_unstated_designation_is_asked_for_and_nothing_downstream_is_guessed() -> None:
    open_question = copy.deepcopy(house("outdoor-disconnect"))
    del next(e for e in open_question["equipment"] if e["id"] == "outdoor-main")["disconnect"]["designation"]
    path = path_of(open_question, 2020, "panel")
    panel = path.stages[-1]
    assert panel.role is None
    assert [(fact.about, fact.fact) for fact in panel.missing] == [("outdoor-main/disconnect", "designation")]


def test_an_unknown_id_is_a_problem_with_the_nearest_one() -> None:
    with pytest.raises(BadInput) as raised:
        answer_origin(read_document(house("before")), Law(2020), ["range-2"])
    (problem,) = raised.value.problems
    assert (problem.pointer, problem.nearest) == ("/about/0", "range-1")
