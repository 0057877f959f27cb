"""Work steps on the document: the classic change, each step's precondition, JSON Patch, and the templates of the book's remedies."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from faultpath.base.problems import BadInput
from faultpath.base.terms import INST, NODE
from faultpath.book.overlays import every_overlay
from faultpath.book.rules import Remedy, rules
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import Installation, read_document
from faultpath.planning.change import WORDS, carry_out, change_schema, read_change
from faultpath.planning.templates import instances, read_template
from generated import installations

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
CHANGE = json.loads((EXAMPLES / "alder-row-change.json").read_text())
NEW_SWITCH = ("outdoor-main", "statedEquipmentWork", "new")


def house(name: str) -> Installation:
    return read_document(json.loads((EXAMPLES / f"alder-row-{name}.json").read_text()))


def done(change: list[dict[str, Any]], name: str = "before") -> Installation:
    return carry_out(house(name), read_change(change), 2020).installation


def part(installation: Installation, identifier: str) -> dict[str, Any]:
    waiting: list[Any] = [installation.document]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            if value.get("id") == identifier:
                return value
            waiting.extend(value.values())
        elif isinstance(value, list):
            waiting.extend(value)
    raise KeyError(identifier)


@pytest.mark.parametrize(("steps", "name"), [(1, "outdoor-disconnect"), (4, "four-wire-feeder")])
def test_the_classic_steps_lead_to_the_example_houses(steps: int, name: str) -> None:
    """Besides, the new switch is said to be new."""
    after, wanted = set(done(CHANGE[:steps]).graph), set(house(name).graph)
    assert wanted <= after
    assert {tuple(str(term).rsplit("/", 1)[-1].rsplit("#", 1)[-1] for term in triple) for triple in after - wanted} == {NEW_SWITCH}


def test_the_result_is_an_ordinary_document() -> None:
    after = done(CHANGE)
    assert read_document(json.loads(json.dumps(after.document))).graph == after.graph


def test_no_work_changes_nothing() -> None:
    assert done([]).graph == house("before").graph


def test_a_disconnect_taken_out_again_leaves_the_supply_as_it_was() -> None:
    after = done([CHANGE[0], {"work": "remove-disconnect", "disconnect": "outdoor-main"}])
    assert [(run["from"], run["to"]) for run in after.document["runs"]][:2] == [("utility", "meter"), ("meter", "panel")]


def test_a_grounding_wire_without_a_size_takes_the_one_of_the_tables() -> None:
    assert part(done(CHANGE), "outdoor-main-to-panel/conductor-3")["size"] == "6-AWG"


def made_up(change: list[dict[str, Any]], stated: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The panel and the outlet of the range after work on a range circuit, facts of them stated before."""
    before = [{"work": "alter-part", "part": identifier, "facts": facts} for identifier, facts in stated.items()]
    after = done([*before, *change])
    return part(after, "panel"), part(after, "range-outlet")


NEW_CIRCUIT = {"work": "replace-run", "run": "range-cable", "method": "NM", "conductors": "four-wire", "groundMadeUp": True}


def test_the_grounding_wire_of_a_new_circuit_is_made_up_at_both_ends() -> None:
    panel, outlet = made_up([NEW_CIRCUIT], {"range-outlet": {"box": {"metal": True}}})
    assert panel["equipmentGroundsLandOn"] == "bar-bonded-to-the-cabinet"
    assert (outlet["groundsInBox"], outlet["boxGround"]) == ("joined-with-tails", "by-a-screw-of-its-own")


def test_where_no_metal_is_the_grounding_wire_is_made_up_another_way() -> None:
    panel, outlet = made_up([NEW_CIRCUIT], {"panel": {"enclosure": {"metal": False}}, "range-outlet": {"box": {"metal": False}}})
    assert panel["equipmentGroundsLandOn"] == "bar-joined-to-the-feeder-ground"
    assert outlet["groundReachesDevices"]
    assert "boxGround" not in outlet


def test_making_up_one_grounding_wire_says_nothing_of_what_was_there() -> None:
    feeder = {"work": "add-conductor", "run": "service-entrance", "role": "equipment-grounding"}
    runs = [run["id"] for run in house("before").document["runs"] if run["to"] == "panel"]
    panel, _ = made_up([{**feeder, "run": runs[0]}, NEW_CIRCUIT], {})
    assert "equipmentGroundsLandOn" not in panel
    panel, _ = made_up([NEW_CIRCUIT], {"panel": {"equipmentGroundsLandOn": "the-neutral-bar"}})
    assert panel["equipmentGroundsLandOn"] == "the-neutral-bar"


def test_a_bare_neutral_becomes_the_ground_of_its_circuit() -> None:
    reuse = {"work": "reuse-conductor", "conductor": "range-cable/conductor-2", "role": "equipment-grounding", "groundMadeUp": True}
    panel, outlet = made_up([reuse], {})
    assert panel["equipmentGroundsLandOn"] == "bar-bonded-to-the-cabinet"
    assert outlet["groundsInBox"] == "joined-with-tails"
    assert part(done([reuse]), "range-cable/conductor-2")["role"] == "equipment-grounding"


def test_a_gap_that_may_stay_open_takes_its_key_along() -> None:
    graph = house("before").graph
    [[step]] = instances(
        '[{"work": "alter-part", "part": "{about}", "facts": {"metal": true, "from": "{incomingRun?}", "kind": "{self?}"}}]', graph, NODE + "panel"
    )
    assert step["facts"] == {"metal": True, "kind": "panel"}


def test_a_rerouted_run_is_fed_by_another_enclosure_so_what_covered_its_neutral_is_not_known() -> None:
    cover = {"work": "cover-neutral", "run": "range-cable"}
    assert part(done([cover]), "range-cable/conductor-2")["coveringInSupplyEnclosure"] == "covered-with-listed-insulation"
    after = done([CHANGE[0], cover, {"work": "reroute-run", "run": "range-cable", "from": "outdoor-main"}])
    assert "coveringInSupplyEnclosure" not in part(after, "range-cable/conductor-2")
    assert part(after, "range-cable")["installed"] == 1978


def test_a_conductor_can_be_moved_to_a_bar_that_nothing_landed_on_before_and_on_from_there() -> None:
    moves = [{"work": "move-electrode-conductor", "conductor": "gec", "to": f"panel/{bar}"} for bar in ("grounding-bar", "grounded-bar")]
    assert done(moves).graph == house("before").graph


def test_a_generator_comes_with_transfer_equipment_and_a_run_of_its_own() -> None:
    wires = {"method": "PVC", "conductors": "four-wire", "size": "6 AWG", "material": "copper"}
    after = done(
        [
            {"work": "add-generator", "id": "generator", "transfer": "transfer", "between": ["meter", "panel"], "transferFacts": {"hasDisconnect": False}},
            {"work": "add-run", "id": "generator-run", "from": "generator", "to": "transfer", **wires},
        ]
    )
    assert part(after, "transfer")["work"] == "new"
    assert {run["to"] for run in after.document["runs"]} >= {"transfer", "panel"}


def test_a_feeder_to_a_new_building() -> None:
    after = done(
        [
            {"work": "add-building", "id": "garage"},
            {"work": "add-equipment", "id": "garage-panel", "kind": "panelboard", "building": "garage", "facts": {"hasDisconnect": False, "bonds": []}},
            {"work": "add-run", "id": "garage-feeder", "from": "panel", "to": "garage-panel", "conductors": "four-wire", "size": "6 AWG", "material": "copper"},
        ]
    )
    assert part(after, "garage-panel")["building"] == "garage"
    assert part(after, "garage-feeder")["work"] == "new"


def problems_of(change: list[dict[str, Any]]) -> list[str]:
    """Where a change does not fit, nowhere if it does."""
    try:
        done(change)
    except BadInput as bad:
        return [problem.pointer for problem in bad.problems]
    return []


BAD: list[tuple[list[Any], str, str | None]] = [
    ([{"work": "insert-disconect"}], "/change/0/work", "insert-disconnect"),
    ([{"work": "remove-bond", "bond": "panel-scew"}], "/change/0/bond", "panel-screw"),
    ([CHANGE[0], CHANGE[0]], "/change/1/id", None),
    ([{**CHANGE[0], "between": ["meter", "range-1"]}], "/change/0/between", None),
    ([{**CHANGE[0], "between": ["metre", "panel"]}], "/change/0/between/0", "meter"),
    ([{"work": "cover-neutral", "run": "drop", "covering": "with tape"}], "/change/0/covering", None),
    ([{"work": "remove-bond", "bond": "panel-screw", "by": "me"}], "/change/0/by", None),
    ([{"work": "replace-run", "run": "panel", "conductors": "four-wire"}], "/change/0/run", None),
    ([{"work": "alter-part", "part": "panel", "facts": {"location": "upstairs"}}], "/change/0", None),
    ([{"work": "alter-part", "part": "panel", "facts": {"id": "other"}}], "/change/0/facts/id", None),
    ([{"work": "remove-part", "part": "rod"}], "/change/0/part", None),
    ([{"op": "remove", "path": "/equipment/17"}], "/change/0/path", None),
    ([{"op": "replace", "path": "/equipment/0/location", "value": "upstairs"}], "/change/0", None),
    ([3], "/change/0/work", None),
]


@pytest.mark.parametrize(("change", "where", "close"), BAD)
def test_a_step_that_does_not_fit_is_named_with_what_was_expected(change: list[Any], where: str, close: str | None) -> None:
    with pytest.raises(BadInput) as bad:
        done(change)
    assert bad.value.kind == "bad-change"
    problem = bad.value.problems[0]
    assert problem.pointer == where
    assert problem.found
    assert problem.expected
    assert close is None or problem.nearest == close


def test_a_json_patch_is_a_change_too() -> None:
    after = done(
        [
            {"op": "test", "path": "/equipment/1/id", "value": "panel"},
            {"op": "replace", "path": "/equipment/1/location", "value": "outdoors"},
            {"op": "add", "path": "/equipment/-", "value": {"id": "box", "kind": "junction-box", "bonds": []}},
            {"op": "add", "path": "/equipment/0/bonds", "value": []},
        ]
    )
    assert part(after, "panel")["location"] == "outdoors"
    assert part(after, "box")["complete"] == ["bonds"]
    assert "bonds" in part(after, "meter")["complete"]


VALUES = st.sampled_from((None, 1, "x", [], {}, [3], ["x"], {"id": "x"}, [{"id": "y"}], {"kind": 3}, [[]]))
KEYS = st.sampled_from(("conductors", "bonds", "disconnect", "complete", "from", "to", "overcurrent", "title", "terminals"))
THINGS = st.sampled_from(("panel", "riser", "range-1", "gec", "utility", "alder-row-4", "water"))


@given(THINGS, KEYS, VALUES)
@settings(max_examples=150, deadline=None)
def test_any_facts_are_stated_or_told(identifier: str, key: str, value: Any) -> None:
    change = [{"work": "alter-part", "part": identifier, "facts": {key: value}}, *CHANGE]
    assert all(pointer.startswith("/change/") for pointer in problems_of(change))


def test_a_patch_cannot_blow_the_document_up() -> None:
    doubling = [{"op": "copy", "from": "/equipment", "path": f"/equipment/{number}/more"} for number in range(4) for _ in range(20)]
    assert problems_of(doubling)
    nesting = [{"op": "copy", "from": "/metalBodies", "path": "/metalBodies/0"} for _ in range(60)]
    assert problems_of(nesting)


POINTERS = st.sampled_from(("", "/", "/runs", "/runs/0", "/runs/0/from", "/equipment/-", "/id", "/kind", "/complete", "/equipment/0/complete", "/runs/9/to"))


@given(
    st.sampled_from(("add", "remove", "replace", "move", "copy", "test")),
    POINTERS,
    POINTERS,
    st.sampled_from((None, 1, "x", [], {}, {"id": "x"}, [{"id": "y"}])),
)
@settings(max_examples=150, deadline=None)
def test_any_patch_is_carried_out_or_told(op: str, path: str, start: str, value: Any) -> None:
    told = problems_of([{"op": op, "path": path, "from": start, "value": value}])
    assert all(pointer.startswith("/change/0") for pointer in told)


@given(st.booleans().flatmap(lambda complete: installations(complete=complete)))
@settings(max_examples=40, deadline=None)
def test_a_document_without_work_comes_back_as_it_was(document: dict[str, Any]) -> None:
    installation = read_document(document)
    assert carry_out(installation, (), 2020).installation.graph == installation.graph


def test_the_schema_describes_every_step() -> None:
    described = {name for name, schema in change_schema()["$defs"].items() if "work" in schema.get("properties", {})}
    assert described == {step.__name__ for step in WORDS.values()}
    for schema in change_schema()["$defs"].values():
        assert schema["description"]


# The remedies of the book


def remedies() -> list[tuple[str, Remedy]]:
    found = [(key, remedy) for key, rule in rules().items() for remedy in rule.remedies]
    return found + [(overlay.key, remedy) for overlay in every_overlay() for remedy in overlay.remedies]


@pytest.mark.parametrize(("key", "remedy"), remedies(), ids=lambda value: value if isinstance(value, str) else value.key)
def test_a_remedy_has_work_steps_or_says_why_not(key: str, remedy: Remedy) -> None:
    assert bool(remedy.work) is not bool(remedy.no_work), f"{key}: code:work, or code:noWork"
    if not remedy.work:
        assert remedy.no_work.endswith(".")
        return
    alternatives, steps = read_template(remedy.work)
    paths = [*alternatives.values(), *(path for step in steps for path in step.get("each", {}).values()), *gaps(steps)]
    bound = {"about", *alternatives, *(name for step in steps for name in step.get("each", {}))}
    for path in paths:
        if path not in bound:
            check_path(path, bound)
    for step in steps:
        model = WORDS[step["work"]]
        known = {field.alias or name: field for name, field in model.model_fields.items()}
        assert set(step) - {"each"} <= set(known), step["work"]
        assert {name for name, field in known.items() if field.is_required()} <= set(step), step["work"]
        stated = {prop.key for prop in vocabulary().properties.values() if not prop.derived_by}
        for facts in ("facts", "groundFacts", "runFacts"):
            assert set(step.get(facts, {})) <= stated, step[facts]
        plain = {name: value for name, value in step.items() if name != "each" and "{" not in json.dumps(value).strip("{}")}
        assert validated(model, plain) == []


def gaps(value: Any) -> list[str]:
    return [gap.removesuffix("?") for gap in re.findall(r"\{([^{}\":,]+)\}", json.dumps(value))]


def check_path(path: str, bound: set[str]) -> None:
    """Every property and class that a path names is in the ontology, and every start is bound."""
    words = vocabulary()
    for cls in re.findall(r"all (\w+)|\ba (\w+)\]", path):
        assert INST + next(filter(None, cls)) in words.labels, path
    for start in re.findall(r"\$(\w+)", path):
        assert start in bound, path
    plain = re.sub(r"\$\w+|all \w+|\[a \w+\]", "", path)
    for name in re.findall(r"(?:^|[/|] ?|\[!?)\^?([A-Za-z]+)", re.sub(r"=[^\]]*", "", plain)):
        assert name == "self" or INST + name in words.properties, (path, name)


def validated(model: Any, data: dict[str, Any]) -> list[str]:
    """The keys of the data that do not fit, those left out aside."""
    try:
        model.model_validate(data)
    except ValidationError as error:
        return [str(e["loc"][0]) for e in error.errors() if e["type"] != "missing"]
    return []
