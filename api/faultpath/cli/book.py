"""What stands in the book: rules, editions, places, practices, and how far they go."""

from pathlib import Path
from typing import Annotated

import typer

from faultpath.answers import lists
from faultpath.answers.book import edition_list, rule_detail, rule_list, rule_text
from faultpath.answers.lists import EditionList, PlaceList, PracticeList, RuleList
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.book.blank_rule import blank_rule
from faultpath.book.checks import faults
from faultpath.book.coverage import coverage_page
from faultpath.book.loader import BrokenBook, book_root, read_book
from faultpath.book.rules import rules as every_rule
from faultpath.cli.exit_codes import NOTHING_FAILS, SOMETHING_FAILS
from faultpath.cli.options import AsJson
from faultpath.cli.printing import print_body, tell
from faultpath.judging.trial import try_rule
from faultpath.present.text.book import print_editions, print_place, print_places, print_practices, print_rule, print_rule_text, print_rules
from faultpath.service.jurisdiction import year_of


def rules(
    key: Annotated[str | None, typer.Argument(metavar="[KEY]", help="Only this rule, in full.")] = None,
    edition: Annotated[str | None, typer.Option(help="Its conditions in this edition.")] = None,
    as_json: AsJson = False,
) -> int:
    """The rules of the book; with a key, one of them."""
    if key is None:
        if edition is not None:
            raise BadInput([Problem("", "An edition is given without a rule.", "Expected the key of a rule before --edition.")])
        tell(RuleList(rules=rule_list()), as_json, print_rules)
        return NOTHING_FAILS
    detail = rule_detail(key)
    if edition is None:
        tell(detail, as_json, print_rule)
    else:
        tell(rule_text(key, str(year_of(edition))), as_json, print_rule_text)
    return NOTHING_FAILS


def editions(as_json: AsJson = False) -> int:
    """The editions that the book knows."""
    tell(EditionList(editions=edition_list()), as_json, print_editions)
    return NOTHING_FAILS


def places(key: Annotated[str | None, typer.Argument(metavar="[KEY]", help="Only this place, in full.")] = None, as_json: AsJson = False) -> int:
    """The places of the book; with a key, what one adopted and amended."""
    if key is None:
        tell(PlaceList(places=place_list()), as_json, print_places)
    else:
        tell(place_detail(key), as_json, print_place)
    return NOTHING_FAILS


def practices(as_json: AsJson = False) -> int:
    """The named practices: readings of contested rules that can be chosen instead of the strict ones."""
    tell(PracticeList(practices=practice_list()), as_json, print_practices)
    return NOTHING_FAILS


def coverage() -> int:
    """Which sections of the code are encoded, how far they were checked, and what is not encoded, as Markdown."""
    print_body(coverage_page())
    return NOTHING_FAILS


def check_book(
    folder: Annotated[
        str | None, typer.Argument(metavar="[FOLDER]", help="The folder that holds ontology/ and shapes/; left out, the book that comes along.")
    ] = None,
) -> int:
    """Whether a book can be judged by: every fault in it with file and line."""
    root = book_root() if folder is None else Path(folder)
    if not ((root / "ontology").is_dir() and (root / "shapes").is_dir()):
        raise BadInput([Problem("", f"{str(root)[:200]} holds no book.", "Expected a folder with ontology/ and shapes/ in it.")])
    book = read_book(root)
    found = faults(book)
    if found:
        raise BrokenBook(found)
    print_body(f"No fault in {len(book.turtle)} files.")
    return NOTHING_FAILS


def new_rule(
    chapter: Annotated[str, typer.Argument(metavar="CHAPTER", help="The folder of shapes/ that the rule belongs in.")],
    key: Annotated[str, typer.Argument(metavar="KEY", help="The rule as a statement in small letters, such as panel-is-listed.")],
    edition: Annotated[str | None, typer.Option(help="The oldest edition that it is printed in; left out, the newest that rules cite.")] = None,
) -> int:
    """Make the folder of a new rule, which passes its own trial, to be filled in."""
    shapes = book_root() / "shapes"
    chapters = sorted({path.parent.parent.name for path in shapes.glob("*/*/rule.ttl")})
    if chapter not in chapters:
        raise BadInput([Problem("", f"No chapter is called {chapter[:80]!r}.", "Expected one of: " + ", ".join(chapters) + ".", nearest(chapter, chapters))])
    if key in every_rule():
        raise BadInput([Problem("", f"There is a rule {key}.", "Expected a key of its own.")])
    cited = max(edition for rule in every_rule().values() for edition in rule.citations)
    files = blank_rule(chapter, key, cited if edition is None else year_of(edition))
    for name, text in files.items():
        path = shapes / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    print_body("\n".join(f"shapes/{name}" for name in files))
    return NOTHING_FAILS


def test_rule(
    key: Annotated[str, typer.Argument(metavar="KEY", help="The rule to try.")],
    every: Annotated[bool, typer.Option("--every", help="Run the reference engine on every case, not on one of each outcome of each text.")] = False,  # noqa: PT028
) -> int:
    """A rule tried on its worked cases: outcomes, reasons, questions, every condition in every state, and pySHACL beside the judge."""
    found = try_rule(rule_detail(key).key, every=every)
    print_body(f"{key}: {found.cases} cases in {found.judgements} judgements, {found.conditions} conditions.")
    print_body("\n".join(f"{p.pointer}: {p.found} {p.expected}" for p in found.problems) or "All of it as expected.")
    return SOMETHING_FAILS if found.problems else NOTHING_FAILS


def version(as_json: AsJson = False) -> int:
    """The version of the software and the digest of the book."""
    found = lists.version()
    print_body(found.model_dump_json() if as_json else f"faultpath {found.software}, book {found.book_digest}")
    return NOTHING_FAILS
