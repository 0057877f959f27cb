"""How a paper is made: templates, the one stylesheet, and the policy that keeps a browser from running or fetching anything."""

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import Any
from xml.etree import ElementTree

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import RULES
from faultpath.present.diagrams import svg

# A page that fits on letter and on A4 without being scaled: as wide as the narrower, as high as the lower.
SHEET_SIZE = "210mm 279mm"
WORDS = {
    "holds": "holds",
    "fails": "fails",
    "undecided": "cannot be decided",
    "not_applicable": "does not apply",
    "not_encoded": "not checked",
    "withdrawn": "withdrawn",
}
STANDING = {
    "verified": "content read in a source that can be checked",
    "partly": "content checked in part",
    "memory": "content from memory, not checked against a source",
}


@cache
def style() -> str:
    """The stylesheet."""
    return (files("faultpath.present.documents") / "templates" / "style.css").read_text("utf-8")


@cache
def policy() -> str:
    """The content security policy of every paper: its own style, its own forms, no script and no other host."""
    return f"{_own_style()}; form-action 'self'; frame-ancestors 'none'"


def _own_style() -> str:
    digest = base64.b64encode(hashlib.sha256(style().encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'"


@cache
def _environment() -> Environment:
    found = Environment(
        loader=PackageLoader("faultpath.present.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals |= {"style": Markup(style()), "own_policy": _own_style(), "words": WORDS, "standings": STANDING, "tag": tag}
    found.filters |= {"key_of": key_of, "plain": plain, "listed": listed}
    return found


def render(template: str, /, **said: Any) -> str:
    """A paper as HTML."""
    return _environment().get_template(template).render(said)


@cache
def tag(number: int, outcome: str) -> Markup:
    """The number of a finding as it stands in the picture."""
    root = ElementTree.Element("svg", {"viewBox": "0 0 24 24", "width": "24", "height": "24", "aria-hidden": "true", "class": "tag"})
    root.set("font-family", svg.FONT)
    svg.tag_symbol(root, 12, 12, number, fails=outcome == Outcome.FAILS)
    return inline(root)


def inline(root: ElementTree.Element) -> Markup:
    """A drawing to stand inside a page. Its text was escaped when it was written."""
    root.set("xmlns", "http://www.w3.org/2000/svg")
    return Markup(ElementTree.tostring(root, encoding="unicode"))


def key_of(iri: str) -> str:
    """The last part of an IRI of the book, as people read it."""
    return plain(iri.removeprefix(RULES).rpartition("#")[2] or iri)


def plain(word: str) -> str:
    """A key or code word with spaces."""
    return word.replace("-", " ").replace("_", " ")


def listed(words: list[str], last: str = "and") -> str:
    """Words as people list them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else ""
