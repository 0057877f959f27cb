"""What whoever runs the service asks of it: is it up, is it ready, which version is it."""

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, Field

from faultpath.answers.lists import Version, version
from faultpath.base.problems import BadInput, Problem
from faultpath.book.rules import editions, rules
from faultpath.http.description import gives

router = APIRouter(tags=["operations"])


class Health(BaseModel):
    """The process answers."""

    healthy: bool = Field(description="True; a process that is not healthy does not answer.")


class Readiness(BaseModel):
    """The book is read and the service takes questions."""

    ready: bool = Field(description="True; while the book is being read the answer is a problem with status 503.")
    rules: int = Field(description="How many rules the book holds.")
    editions: int = Field(description="How many editions the book knows.")


def _plain(model: BaseModel) -> Response:
    return Response(model.model_dump_json(), media_type="application/json", headers={"Cache-Control": "no-store"})


@router.get("/healthz", operation_id="health", summary="Whether the process answers", response_model=Health)
def _health() -> Response:
    """Answers as long as the process does."""
    return _plain(Health(healthy=True))


@router.get("/readyz", operation_id="readiness", summary="Whether questions are taken", response_model=Readiness, responses=gives(503))
def _readiness(request: Request) -> Response:
    """Answers 200 once the book is read and warm."""
    if not getattr(request.app.state, "warm", False):
        raise BadInput([Problem("", "The book is not read yet.", "Expected a moment of patience.")], kind="not-ready", status=503)
    return _plain(Readiness(ready=True, rules=len(rules()), editions=len(editions())))


@router.get("/version", operation_id="version", summary="Version of the software and digest of the book", response_model=Version)
def _version() -> Response:
    """Says which software and which book decide; every answer's record says the same."""
    return _plain(version())
