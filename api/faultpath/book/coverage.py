"""The page that says which sections of the code the book encodes, how far they were checked, and what is not encoded."""

import csv
import io
import re
from collections.abc import Iterator, Sequence

from faultpath.book.loader import load_book
from faultpath.book.overlays import every_overlay
from faultpath.book.rules import Rule, editions, rules

_SECTIONS = "shapes/sections.csv"
_HEAD = """# What is encoded, and what is not

Made from the book by `faultpath coverage`; the tests hold it current. Sections are numbered as the newest edition that was checked prints
them; a rule stands under every section that any of its citations names. `partly` and `memory` say that not all of the substance was read
in a published source. An edition that is not listed for a rule is *not encoded*, and the rule gives no answer for it.
"""


def coverage_page() -> str:
    """The page in Markdown."""
    lines = [_HEAD]
    rows = list(csv.DictReader(io.StringIO(load_book().files[_SECTIONS])))
    for part in dict.fromkeys(row["part"] for row in rows):
        lines += [f"## {part}", "", "| section | subject | rules: editions, how far checked | not encoded |", "|---|---|---|---|"]
        lines += [_row(row) for row in rows if row["part"] == part]
        lines.append("")
    lines += ["## Sections cited beyond these", "", *_others([row["section"] for row in rows]), ""]
    lines += ["## What the rules leave out", "", *_left_out(), ""]
    lines += ["## Readings and amendments laid over", "", *_overlays(), ""]
    lines += ["## By edition", "", "| edition | rules that answer | not encoded |", "|---|---|---|"]
    for year in editions():
        answering = sum(rule.text_in(year) is not None for rule in rules().values())
        lines.append(f"| {year} | {answering} | {len(rules()) - answering} |")
    return "\n".join(lines) + "\n"


def _row(row: dict[str, str]) -> str:
    found = [rule for rule in rules().values() if row["section"] in cited_sections(rule)]
    told = "<br>".join(f"[{rule.key}]({rule.chapter}/{rule.key}/rule.ttl): {_span(rule)}, {rule.standing}" for rule in found)
    reason = row["not_encoded"] or ("" if found else "no rule cites it")
    return f"| {row['section']} | {row['subject']} | {told} | {reason} |"


def cited_sections(rule: Rule) -> set[str]:
    """The sections that the citations of a rule name, without their subdivisions."""
    return {section for citation in rule.citations.values() for section in re.findall(r"\b\d{3}[.-]\d+", citation.section)}


def _span(rule: Rule) -> str:
    years = sorted(rule.citations)
    return f"{years[0]} to {years[-1]}" if len(years) > 1 else str(years[0])


def _others(listed: Sequence[str]) -> Iterator[str]:
    cited: dict[str, list[str]] = {}
    for rule in rules().values():
        for section in cited_sections(rule):
            if section not in listed:
                cited.setdefault(section, []).append(rule.key)
    for section in sorted(cited, key=lambda text: ([int(number) for number in re.findall(r"\d+", text)], text)):
        yield f"- {section}: {', '.join(sorted(cited[section]))}"


def _left_out() -> Iterator[str]:
    for rule in rules().values():
        for text in rule.leaves_out:
            yield f"- {rule.key}: {text}"


def _overlays() -> Iterator[str]:
    for overlay in every_overlay():
        where = f"place {overlay.place}, editions {', '.join(map(str, overlay.citations))}" if overlay.place else "named practice"
        yield f"- {overlay.key} ({where}; {overlay.standing}): {overlay.says}"
    for rule in rules().values():
        if rule.place:
            yield f"- {rule.place}/{rule.key} (place {rule.place}, editions {', '.join(map(str, rule.citations))}; {rule.standing}): {rule.requires}"
