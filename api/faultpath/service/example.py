"""The invented house that comes along, with what is asked about it: the first page, the description and the command line show it."""

import json
from functools import cache
from importlib.resources import files
from typing import Any

from faultpath.book import cases


@cache
def example() -> dict[str, Any]:
    """The house as `installation`, and what is asked about it by the keys of the requests."""
    asked: dict[str, Any] = json.loads((files("faultpath.service") / "example.json").read_text("utf-8"))
    return {"installation": cases.example(asked["house"]), **asked}
