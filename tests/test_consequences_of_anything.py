"""Whatever is drawn, the answers on currents come: no fault of ours, no number that is none, ranges the right way round."""

import math
from typing import Any

from hypothesis import given, settings

from faultpath.answers.consequences import Between
from faultpath.answers.fault_loop import answer_fault_loop
from faultpath.answers.open_neutral import answer_open_neutral
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law
from generated import installations
from test_properties import EITHER

LAW = Law(2023)


def numbers(value: Any) -> None:
    """Every number is finite and every range rises."""
    if isinstance(value, dict):
        if value.keys() == Between.model_fields.keys():
            assert value["least"] <= value["most"]
        for inner in value.values():
            numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            numbers(inner)
    elif isinstance(value, float):
        assert math.isfinite(value)


@given(EITHER)
@settings(max_examples=40)
def test_fault_loops(document: dict[str, Any]):
    answer = answer_fault_loop(read_document(document), LAW)
    numbers(answer.model_dump())
    for loop in answer.loops:
        assert loop.says
        assert loop.missing or loop.fault_amperes is not None or "no leg" in loop.says or "No ungrounded" in loop.says
        if loop.fault_amperes is None:
            assert loop.clears == "not_known"


@given(installations(complete=True))
@settings(max_examples=25)
def test_open_neutrals(document: dict[str, Any]):
    answer = answer_open_neutral(read_document(document), LAW)
    numbers(answer.model_dump())
    assert all(opening.says for opening in answer.openings)
