"""The code speaks no rule of the trade: what is required is data, so that who checks the book need not read Python.

A section number, an edition's year or a rule's name in a module would be a requirement that no shape shows. Which way
imports point is the contract in pyproject.toml, checked by import-linter beside these tests.
"""

import re
from pathlib import Path

import pytest

import faultpath
from faultpath.book.rules import editions, rules
from faultpath.book.tables import tables

ROOT = Path(faultpath.__file__).parent
MODULES = sorted(ROOT.rglob("*.py"))
ADDRESS = re.compile(r"(?:https?|urn):[^\s\"'<>]*")  # the years in W3C namespaces are not editions
SECTION = re.compile(r"\b[1-9]\d{2}[.-]\d{1,3}(?:\([A-Z0-9]\))*(?![\d.]\d|\d)|\b(?:Article|Section|Table) \d{3}\b")
EDITION = re.compile(r"(?<![\d_.])(?:" + "|".join(map(str, editions())) + r")(?![\d_])")


def faults(text: str) -> list[str]:
    text = ADDRESS.sub("", text)
    keys = [key for key in (*rules(), *tables()) if re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", text)]
    return [*SECTION.findall(text), *EDITION.findall(text), *keys]


def test_modules_are_found():
    assert len(MODULES) > 15


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_module_names_no_rule(path: Path):
    assert faults(path.read_text()) == []


@pytest.mark.parametrize("text", ["see 250.140", "250-60", "250.66(A)", "Table 250", "if edition >= 2008:", "year == 2023", *list(rules())[:1]])
def test_the_walk_would_see_it(text: str):
    """Guards the guard."""
    assert faults(text)
