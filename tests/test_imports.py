"""Which way imports point is the contract in pyproject.toml; here, that the picture of them is the one of today."""

from import_picture import DEVELOPERS, arrows_up, drawn


def test_the_picture_of_imports_is_of_today() -> None:
    text = DEVELOPERS.read_text()
    assert drawn(text) == text, "draw it anew: python tests/import_picture.py"


def test_no_import_leads_up() -> None:
    assert arrows_up() == []
