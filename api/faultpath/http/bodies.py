"""Bodies, read raw: size, media type, depth and doubled keys are checked before anything parses them."""

from collections.abc import Sequence
from typing import Any, TypeVar, get_origin

from fastapi import Request
from pydantic import BaseModel

from faultpath.base.problems import BadInput, Problem, pointer
from faultpath.document.installation import Installation, read_document
from faultpath.document.intake import MOST_BYTES, SUFFIXES, read_installation, read_json
from faultpath.service.media import JSON
from faultpath.service.requests import Question, read_question

READ = tuple(SUFFIXES.values())
Q = TypeVar("Q", bound=Question)
_WORDS = {"true": True, "false": False}


def media_of(request: Request) -> str:
    """The media type of the body. Raises BadInput (415) for one that is not read, and for encodings of it."""
    expected = "Expected one of: " + ", ".join(READ) + "."
    given = request.headers.get("content-type", "")
    media, *parameters = (piece.strip().lower() for piece in given.split(";"))
    if media not in READ:
        raise _unsupported(f"{media[:100]} is not read." if media else "The request has no Content-Type.", expected)
    encoding = request.headers.get("content-encoding", "identity").strip().lower()
    if encoding != "identity":
        raise _unsupported(f"The content encoding {encoding[:40]!r} is not read.", "Expected the body as it is.")
    for parameter in parameters:
        name, _, value = parameter.partition("=")
        if name.strip() == "charset" and value.strip().strip('"') not in ("utf-8", "utf8", "us-ascii"):
            raise _unsupported(f"The character set {value[:40]!r} is not read.", "Expected UTF-8.")
    return media


def _unsupported(found: str, expected: str) -> BadInput:
    return BadInput([Problem("", found, expected)], kind="unsupported-media-type", status=415)


async def read_body(request: Request, most: int = MOST_BYTES) -> bytes:
    """The body, refused as soon as more has come than is read, whatever its stated length. Raises BadInput (413)."""
    stated = request.headers.get("content-length", "")
    if stated.isascii() and stated.isdigit() and len(stated) < 20 and int(stated) > most:
        raise _too_large(f"The body has {stated} bytes.", most)
    chunks, size = [], 0
    async for chunk in request.stream():
        size += len(chunk)
        if size > most:
            raise _too_large(f"The body has more than {most} bytes.", most)
        chunks.append(chunk)
    return b"".join(chunks)


def _too_large(found: str, most: int) -> BadInput:
    return BadInput([Problem("", found, f"Expected at most {most}.")], kind="too-large", status=413)


def read_asked(request: Request, data: bytes, media: str, question: type[Q], envelope: type[Q]) -> tuple[Installation, Q]:
    """What is asked about which installation. Raises BadInput.

    A JSON body is the envelope that holds both. In any other media type the body is the installation and the question
    stands in the query string.
    """
    if media == JSON:
        _no_query(request)
        asked = read_question(envelope, read_json(data))
        try:
            return read_document(getattr(asked, "installation")), asked  # noqa: B009  every envelope has one
        except BadInput as bad:
            moved = [Problem("/installation" + p.pointer, p.found, p.expected, p.nearest) for p in bad.problems]
            raise BadInput(moved, bad.kind, bad.status) from bad
    asked = read_question(question, _query(request, question))
    return read_installation(data, media), asked


def _no_query(request: Request) -> None:
    if request.query_params:
        key = next(iter(request.query_params))
        found = f"The query string says {key[:40]!r}, but a JSON body holds the whole request."
        raise BadInput([Problem(pointer([key[:40]]), found, "Expected it in the body.")], kind="bad-request")


def _query(request: Request, question: type[BaseModel]) -> dict[str, Any]:
    """The query string as the data of a question: lists are repeated keys, true and false are words."""
    given = request.query_params
    found: dict[str, Any] = {}
    for key in dict.fromkeys(given):
        values: Sequence[str] = given.getlist(key)
        field = question.model_fields.get(key)
        if field is not None and get_origin(field.annotation) is list:
            found[key] = list(values)
        elif len(values) > 1:
            raise BadInput([Problem(pointer([key[:40]]), f"{key[:40]!r} is given {len(values)} times.", "Expected it once.")], kind="bad-request")
        else:
            is_switch = field is not None and field.annotation is bool
            found[key] = _WORDS.get(values[0], values[0]) if is_switch else values[0]
    return found
