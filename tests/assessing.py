"""What several tests ask of the book's cases."""

import json
from functools import cache
from typing import Any

from faultpath.book.loader import book_root


@cache
def written(path: str) -> dict[str, Any]:
    """A case as its file has it."""
    found: dict[str, Any] = json.loads((book_root() / path).read_text())
    return found
