"""What comes in is hostile: size, depth, syntax and remote references are checked before any parser that could be hurt."""

import json
from typing import Any, Literal, TypeAlias

import pyoxigraph as ox

from faultpath.base.problems import BadInput, Problem
from faultpath.base.terms import NODE
from faultpath.base.triples import Graph, parse
from faultpath.document.context import context
from faultpath.document.installation import Installation, read_document, read_graph
from faultpath.document.models import CONTEXT_NAMES

Media: TypeAlias = Literal["application/json", "application/ld+json", "text/turtle", "application/n-triples"]

MOST_BYTES = 1 << 20
DEEPEST = 32
MOST_TRIPLES = 30_000
LONGEST_TERM = 2_000
SUFFIXES: dict[str, Media] = {
    ".json": "application/json",
    ".jsonld": "application/ld+json",
    ".ttl": "text/turtle",
    ".nt": "application/n-triples",
}
_RDF = {"text/turtle": ox.RdfFormat.TURTLE, "application/n-triples": ox.RdfFormat.N_TRIPLES}


def read_json(data: bytes) -> Any:
    """JSON within the limits. Raises BadInput for what is too large, too deep, ambiguous or not JSON."""
    _within_limits(data)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _unreadable("The text is not UTF-8.", "Expected JSON in UTF-8.") from error
    _shallow(text)

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in keys if keys.count(key) > 1)
            raise _unreadable(f"The key {twice!r} stands twice in one object.", "Expected each key once.")
        return found

    def refuse(word: str) -> Any:
        raise _unreadable(f"{word} is not a JSON number.", "Expected plain numbers.")

    try:
        return json.loads(text, object_pairs_hook=once, parse_constant=refuse)
    except ValueError as error:
        raise _unreadable(f"The text is not JSON: {error}.", "Expected one JSON object.") from error


def read_installation(data: bytes, media: str) -> Installation:
    """An installation in JSON, JSON-LD, Turtle or N-Triples. Raises BadInput."""
    if media == "application/json":
        return read_document(read_json(data))
    if media == "application/ld+json":
        return read_graph(_from_json_ld(read_json(data)))
    if media not in _RDF:
        raise BadInput(
            [Problem("", f"{media} is not read.", "Expected application/json, application/ld+json, text/turtle or application/n-triples.")],
            kind="unsupported-media-type",
            status=415,
        )
    _within_limits(data)
    try:
        graph = parse(data, _RDF[media], NODE)
    except (SyntaxError, ValueError) as error:
        raise _unreadable(f"The text is not {media}: {error}.", "Expected well-formed triples.") from error
    return read_graph(_within_caps(graph))


def _from_json_ld(document: Any) -> Graph:
    from pyld import jsonld  # slow to import and needed for JSON-LD only

    if not isinstance(document, dict):
        raise _unreadable("The document is not an object.", "Expected one JSON-LD object.")
    given = document.get("@context")
    if given is not None and given not in CONTEXT_NAMES:
        raise BadInput([Problem("/@context", "Another context is named.", f"Expected {CONTEXT_NAMES[0]!r}, or expanded JSON-LD without a context.")])
    inner = {key: value for key, value in document.items() if key != "@context"}
    _no_context_inside(inner, "")
    own = context() if given is not None else {}
    try:
        quads = jsonld.to_rdf({**own, **inner}, {"format": "application/n-quads", "documentLoader": _refuse_remote, "base": NODE})
        graph = parse(quads.encode(), ox.RdfFormat.N_QUADS)
    except (jsonld.JsonLdError, SyntaxError, ValueError, TypeError, KeyError) as error:
        raise _unreadable(f"The text is not JSON-LD: {str(error)[:200]}.", "Expected JSON-LD under the published context.") from error
    return _within_caps(graph)


def _refuse_remote(url: str, _options: Any) -> Any:
    raise ValueError(f"{url} is not fetched; only the published context is known here")


def _no_context_inside(value: Any, at: str) -> None:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == "@context":
                raise BadInput([Problem(f"{at}/@context", "A context stands inside the document.", "Expected one context, at the top.")])
            _no_context_inside(inner, f"{at}/{key}")
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            _no_context_inside(inner, f"{at}/{index}")


def _unreadable(found: str, expected: str) -> BadInput:
    return BadInput([Problem("", found, expected)], kind="unreadable", status=400)


def _within_limits(data: bytes) -> None:
    if len(data) > MOST_BYTES:
        raise BadInput([Problem("", f"The text has {len(data)} bytes.", f"Expected at most {MOST_BYTES}.")], kind="too-large", status=413)


def _shallow(text: str) -> None:
    """Refuse nesting deeper than DEEPEST, counted outside strings, before a parser recurses on it."""
    depth, in_string, escaped = 0, False, False
    for character in text:
        if in_string:
            if escaped:
                escaped = False
            elif character == "\\":
                escaped = True
            elif character == '"':
                in_string = False
        elif character == '"':
            in_string = True
        elif character in "{[":
            depth += 1
            if depth > DEEPEST:
                raise _unreadable(f"The document nests deeper than {DEEPEST} levels.", "Expected a flatter document.")
        elif character in "}]":
            depth -= 1


def _within_caps(graph: Graph) -> Graph:
    if len(graph) > MOST_TRIPLES:
        raise BadInput([Problem("", f"There are {len(graph)} triples.", f"Expected at most {MOST_TRIPLES}.")], kind="too-large", status=413)
    for triple in graph:
        if any(isinstance(term, str) and len(term) > LONGEST_TERM for term in triple):
            raise BadInput([Problem("", "A name or text is too long.", f"Expected at most {LONGEST_TERM} characters.")])
    return graph
