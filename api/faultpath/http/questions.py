"""The questions as routes: each row is one, and all are answered in the same way."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from faultpath.document.intake import read_json
from faultpath.http.bodies import media_of, read_asked, read_body
from faultpath.http.description import asks, gives
from faultpath.http.replies import reply, wanted
from faultpath.service.media import JSON
from faultpath.service.questions import QUESTIONS, QuestionRow


def _answer(asked: QuestionRow[Any], request: Request, data: bytes, media: str, accepted: str) -> BaseModel | bytes:
    """What was asked, answered in the accepted format. Raises BadInput and EnginesDiffer."""
    other = asked.without_house
    if other is not None and media == JSON and other.is_meant(parsed := read_json(data)):
        return other.ask(parsed)
    installation, question = read_asked(request, data, media, asked.question, asked.request)
    if asked.show is None or accepted == JSON:
        return asked.ask(installation, question)
    return asked.show(accepted, installation, question)


def _route(asked: QuestionRow[Any]) -> Callable[[Request], Any]:
    async def answered(request: Request) -> Response:
        media, accepted = media_of(request), wanted(request, JSON, *asked.media)
        data = await read_body(request)
        return await run_in_threadpool(lambda: reply(_answer(asked, request, data, media, accepted), accepted))

    return answered


router = APIRouter(prefix="/v1", tags=["questions"])
for _asked in QUESTIONS:
    router.post(
        _asked.path,
        operation_id=_asked.operation,
        summary=_asked.summary,
        description=_asked.says,
        response_model=_asked.answer,
        responses=gives(400, 406, 413, 415, 422, 500, other_media=_asked.media),
        openapi_extra=asks(_asked.request, _asked.question, beside=_asked.without_house.request if _asked.without_house else None),
    )(_route(_asked))
