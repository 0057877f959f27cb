"""The page of what is encoded is made from the book, and says of every listed section what became of it."""

import csv
import re

import pytest

from faultpath.book.coverage import cited_sections, coverage_page
from faultpath.book.loader import book_root
from faultpath.book.rules import rules

ROWS = list(csv.DictReader((book_root() / "shapes" / "sections.csv").read_text().splitlines()))


def test_the_page_is_current():
    """Made again with `faultpath coverage > shapes/COVERAGE.md`."""
    assert (book_root() / "shapes" / "COVERAGE.md").read_text() == coverage_page()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["section"])
def test_a_section_is_encoded_or_says_why_not(row: dict[str, str]):
    encoded = [key for key, rule in rules().items() if row["section"] in cited_sections(rule)]
    assert encoded or row["not_encoded"], "no rule cites it and no reason is given"


def test_the_parts_of_the_article_are_all_there():
    """NFPA 70-2023, Article 250 Parts I to VII; the list of sections is from memory."""
    parts = [row["part"] for row in ROWS if row["part"].startswith("Article 250")]
    assert list(dict.fromkeys(parts)) == [f"Article 250 Part {number}" for number in ("I", "II", "III", "IV", "V", "VI", "VII")]
    sections = [row["section"] for row in ROWS if row["part"].startswith("Article 250")]
    assert sections == sorted(sections, key=lambda text: int(re.findall(r"\d+", text)[1]))


def test_every_rule_stands_on_the_page():
    page = coverage_page()
    assert [key for key in rules() if key not in page] == []
