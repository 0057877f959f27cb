"""Worked cases: a house, what is different about it, and the outcome that a rule must give. Evidence that a rule works.

A case starts from one of the invented houses in `shapes/houses/` and says only what differs, part by part, by id.
"""

import copy
import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from faultpath.base.outcomes import Outcome
from faultpath.book.loader import book_root


@dataclass(frozen=True)
class Case:
    """One case: where it stands, the document it judges, and what is expected of the rule that it stands beside.

    `because` are the local names of the conditions that must fail, `asks` the facts that must be asked for; `practices`
    and `place` are what the case is judged by beside the edition.
    """

    path: str
    rule: str
    says: str
    editions: tuple[int, ...]
    about: str
    outcome: Outcome
    because: tuple[str, ...]
    asks: tuple[str, ...]
    source: str
    standing: str
    installation: dict[str, Any]
    practices: tuple[str, ...] = ()
    place: str = ""


def house(name: str) -> dict[str, Any]:
    """An invented house that cases start from."""
    found: dict[str, Any] = json.loads((book_root() / "shapes" / "houses" / f"{name}.json").read_text())
    return found


def example(name: str) -> dict[str, Any]:
    """One of the example installations that come along."""
    found: dict[str, Any] = json.loads(example_text(name))
    return found


def example_text(name: str) -> str:
    """The text of an example as it was written."""
    return (book_root() / "examples" / f"{name}.json").read_text("utf-8")


def altered(document: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """A house with the differences of a case. Raises KeyError for an id that the house does not have.

    `without` drops parts by id, `with` merges into a part by id as RFC 7396 does (null drops a key, lists are replaced),
    `add` appends parts to top-level lists; the id of the house itself stands for its top level.
    """
    found = copy.deepcopy(document)
    for identifier in case.get("without", []):
        if not _drop(found, identifier):
            raise KeyError(identifier)
    for identifier, patch in case.get("with", {}).items():
        part = _find(found, identifier)
        if part is None:
            raise KeyError(identifier)
        _merge(part, patch)
    for key, parts in case.get("add", {}).items():
        found.setdefault(key, []).extend(copy.deepcopy(parts))
    return found


def _find(part: Any, identifier: str) -> dict[str, Any] | None:
    if isinstance(part, dict):
        if part.get("id") == identifier:
            return part
        part = list(part.values())
    if isinstance(part, list):
        return next((found for item in part if (found := _find(item, identifier)) is not None), None)
    return None


def _drop(part: Any, identifier: str) -> bool:
    if isinstance(part, dict):
        return any(_drop(value, identifier) for value in part.values())
    if isinstance(part, list):
        for index, item in enumerate(part):
            if isinstance(item, dict) and item.get("id") == identifier:
                del part[index]
                return True
            if _drop(item, identifier):
                return True
    return False


def _merge(part: dict[str, Any], patch: dict[str, Any]) -> None:
    for key, value in patch.items():
        if value is None:
            part.pop(key, None)
        elif isinstance(value, dict) and isinstance(part.get(key), dict):
            _merge(part[key], value)
        else:
            part[key] = copy.deepcopy(value)


@cache
def cases() -> tuple[Case, ...]:
    """Every case in the book, by path."""
    root = book_root()
    return tuple(_read(path.relative_to(root).as_posix(), json.loads(path.read_text())) for path in sorted(root.glob("shapes/**/cases/*.json")))


def _read(path: str, case: dict[str, Any]) -> Case:
    return Case(
        path=path,
        rule=path.split("/")[-3],
        says=case["says"],
        editions=tuple(case["editions"]),
        about=case["about"],
        outcome=Outcome(case["outcome"]),
        because=tuple(case.get("because", ())),
        asks=tuple(case.get("asks", ())),
        source=case["source"],
        standing=case["standing"],
        installation=altered(house(case["house"]), case),
        practices=tuple(case.get("practices", ())),
        place=case.get("place", ""),
    )
