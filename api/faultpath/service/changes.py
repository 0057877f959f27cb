"""The steps of planned work in a request."""

from typing import Any

from faultpath.base.problems import BadInput, Problem
from faultpath.document.intake import read_json
from faultpath.planning.change import Work, read_change

_CHANGE = "The planned work, step by step, as GET /v1/schema/change describes it; in a query string each step is a JSON text."
_Change = list[dict[str, Any] | str]


def work_of(change: _Change) -> tuple[Work, ...]:
    """The steps, those of a query string read first. Raises BadInput."""
    return read_change([_step(number, step) if isinstance(step, str) else step for number, step in enumerate(change)])


def _step(number: int, text: str) -> Any:
    try:
        return read_json(text.encode())
    except (BadInput, UnicodeEncodeError) as error:
        raise BadInput([Problem(f"/change/{number}", "The step is not JSON.", "Expected one JSON object for each step.")], kind="bad-change") from error
