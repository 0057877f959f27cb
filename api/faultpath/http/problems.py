"""What goes wrong, as problem documents (RFC 9457) or as a page for who reads pages: one table from what was raised to what is answered."""

import json
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, ConfigDict, Field
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from faultpath.base.problems import BadInput, Problem, nearest, pointer
from faultpath.base.terms import BASE
from faultpath.http.negotiation import choose
from faultpath.present.documents.landing import problem_page
from faultpath.present.documents.paper import policy
from faultpath.service.assessing import EnginesDiffer
from faultpath.service.media import HTML, JSON

MEDIA = "application/problem+json"
TYPES = BASE + "problems/"
KINDS: dict[str, tuple[int, str]] = {
    "unreadable": (400, "The body cannot be read"),
    "not-found": (404, "There is nothing here"),
    "method-not-allowed": (405, "The method is not allowed here"),
    "not-acceptable": (406, "None of the formats asked for can be had"),
    "too-large": (413, "The body is too large"),
    "unsupported-media-type": (415, "The media type of the body is not read"),
    "bad-installation": (422, "The installation cannot be judged as it is described"),
    "bad-change": (422, "The planned work does not fit the installation"),
    "bad-request": (422, "The request does not say what is needed"),
    "unknown-edition": (422, "The edition is not in the book"),
    "unknown-place": (422, "The place is not in the book"),
    "engines-differ": (500, "The two engines differ, so there is no answer"),
    "internal": (500, "Something went wrong inside the service"),
    "not-ready": (503, "The service is not ready yet"),
}
_KIND_OF_STATUS = {404: "not-found", 405: "method-not-allowed", 406: "not-acceptable", 413: "too-large", 415: "unsupported-media-type"}


class Defect(BaseModel):
    """One defect of a request."""

    model_config = ConfigDict(title="Defect")

    pointer: str = Field(description="JSON Pointer into the request body; for a body in RDF, into the normal form of its installation.")
    found: str = Field(description="What was found there, in one sentence.")
    expected: str = Field(description="What was expected instead, in one sentence.")
    nearest: str | None = Field(description="The nearest defined term where a term is unknown; null where there is none.")


class ProblemDocument(BaseModel):
    """A problem document (RFC 9457)."""

    model_config = ConfigDict(title="ProblemDocument")

    type: str = Field(description="IRI of the kind of problem.")
    title: str = Field(description="What this kind of problem is.")
    status: int = Field(description="The HTTP status.")
    detail: str = Field(description="What is wrong this time.")
    instance: str | None = Field(None, description="Path of the request.")
    problems: list[Defect] = Field(description="Every defect found, each with where it stands and how to mend it.")


def problem_document(kind: str, status: int, problems: Sequence[Problem], instance: str | None = None) -> dict[str, Any]:
    """A problem document as JSON data."""
    title = KINDS[kind][1] if kind in KINDS else HTTPStatus(status).phrase
    first = f"{problems[0].found} {problems[0].expected}" if problems else title + "."
    detail = first if len(problems) < 2 else f"{len(problems)} problems were found. The first: {first}"
    listed = [{"pointer": p.pointer, "found": p.found, "expected": p.expected, "nearest": p.nearest} for p in problems]
    where = {} if instance is None else {"instance": instance}
    return {"type": TYPES + kind, "title": title, "status": status, "detail": detail, **where, "problems": listed}


def respond(request: Request, kind: str, status: int, problems: Sequence[Problem], headers: dict[str, str] | None = None) -> Response:
    """A problem document as a response."""
    body = problem_document(kind, status, problems, request.scope.get("raw_path", b"").decode("ascii", "replace") or request.url.path)
    if _reads_pages(request):
        page = problem_page(body)
        return Response(page, status, (headers or {}) | {"Content-Security-Policy": policy(), "Vary": "Accept"}, HTML)
    # ASCII only: what is echoed from a request may hold characters that UTF-8 cannot.
    return Response(json.dumps(body), status, headers, MEDIA)


def _reads_pages(request: Request) -> bool:
    """Whether whoever asks would rather read a page than JSON, as browsers do."""
    try:
        return choose(", ".join(request.headers.getlist("accept")) or None, (MEDIA, JSON, HTML)) == HTML
    except BadInput:
        return False


def _bad_input(request: Request, error: Exception) -> Response:
    assert isinstance(error, BadInput)
    return respond(request, error.kind, error.status, error.problems)


def _invalid_parameters(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    found = [Problem(pointer(e["loc"][1:]), f"{str(e['input'])[:80]!r} does not fit.", f"{e['msg']}.") for e in error.errors()]
    return respond(request, "bad-request", 422, found)


def _http_exception(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    kind = _KIND_OF_STATUS.get(error.status_code, "internal" if error.status_code >= 500 else "bad-request")
    headers = dict(error.headers or {})
    path = request.url.path
    if error.status_code == 404:
        known = request.app.openapi()["paths"]
        problem = Problem("", f"Nothing is at {path[:200]}.", "Expected a path of /openapi.json.", nearest(path[:200], known))
    elif error.status_code == 405:
        problem = Problem("", f"{request.method[:20]} is not allowed here.", f"Expected {headers.get('Allow') or headers.get('allow', 'another method')}.")
    else:
        problem = Problem("", f"{error.detail}.", "Expected a request as /openapi.json describes it.")
    return respond(request, kind, error.status_code, [problem], headers)


def _engines_differ(request: Request, error: Exception) -> Response:
    assert isinstance(error, EnginesDiffer)
    return respond(request, "engines-differ", 500, error.problems)


def _gone(request: Request, error: Exception) -> Response:  # noqa: ARG001  nobody reads this; it keeps the log quiet
    return respond(request, "unreadable", 400, [Problem("", "The client went away.", "Expected the whole body.")])


def _unexpected(request: Request, error: Exception) -> Response:  # noqa: ARG001  what it says stays in the log
    problem = Problem("", "The request met a fault of the service.", "Expected an answer; nothing about the installation follows from this.")
    # The server hangs up after a fault; who asks should know it and not ask again over the same connection.
    return respond(request, "internal", 500, [problem], {"Connection": "close"})


HANDLERS = {
    BadInput: _bad_input,
    RequestValidationError: _invalid_parameters,
    HTTPException: _http_exception,
    EnginesDiffer: _engines_differ,
    ClientDisconnect: _gone,
    Exception: _unexpected,
}


def handle_problems(app: FastAPI) -> None:
    """Answer everything that is raised with a problem document."""
    for raised, handler in HANDLERS.items():
        app.add_exception_handler(raised, handler)
