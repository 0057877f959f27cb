"""Path to answer: the questions about planned work."""

import json
from typing import Any

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool

from faultpath.answers.law import Candidates
from faultpath.answers.remedies import RemediesAnswer
from faultpath.answers.what_if import WhatIfAnswer
from faultpath.http.bodies import media_of, read_asked, read_body
from faultpath.http.description import asks, described, gives, media_content
from faultpath.http.negotiation import JSON, PAPER_MEDIA
from faultpath.http.routes import SCHEMA_MEDIA, shown, wanted, written
from faultpath.http.work_messages import RemediesQuestion, RemediesRequest, WhatIfQuestion, WhatIfRequest, ask_remedies, ask_what_if, what_if_in
from faultpath.terms import BASE
from faultpath.work.change import change_schema

router = APIRouter(prefix="/v1")
CHANGE_SCHEMA_IRI = BASE + "v1/schema/change"


@router.post(
    "/what-if",
    operation_id="whatIf",
    summary="What planned work would change",
    response_model=WhatIfAnswer | Candidates[WhatIfAnswer],
    responses=gives(400, 406, 413, 415, 422, 500, other_media=PAPER_MEDIA),
    openapi_extra=asks(WhatIfRequest, WhatIfQuestion),
    tags=["questions"],
)
async def _what_if(request: Request) -> Response:
    """Judges the installation before and after the work: what starts failing, what stops, what can no longer be told, and what did it."""
    media, accepted = media_of(request), wanted(request, JSON, *PAPER_MEDIA)
    data = await read_body(request)

    def answer() -> Response:
        installation, question = read_asked(request, data, media, WhatIfQuestion, WhatIfRequest)
        return written(ask_what_if(installation, question)) if accepted == JSON else shown(what_if_in(accepted, installation, question), accepted)

    return await run_in_threadpool(answer)


@router.post(
    "/remedies",
    operation_id="remedies",
    summary="The smallest sets of work that cure what fails",
    response_model=RemediesAnswer | Candidates[RemediesAnswer],
    responses=gives(400, 406, 413, 415, 422, 500),
    openapi_extra=asks(RemediesRequest, RemediesQuestion),
    tags=["questions"],
)
async def _remedies(request: Request) -> Response:
    """Gives plans, each judged again in full, least disruptive first, and the questions that settle what cannot be decided."""
    media, _ = media_of(request), wanted(request, JSON)
    data = await read_body(request)
    return await run_in_threadpool(lambda: written(ask_remedies(*read_asked(request, data, media, RemediesQuestion, RemediesRequest))))


@router.get(
    "/schema/change",
    operation_id="changeSchema",
    summary="JSON Schema of planned work",
    response_class=Response,
    responses=gives(406, 500) | {200: {"content": media_content(SCHEMA_MEDIA, {"type": "object"}), "description": "The schema."}},
    tags=["book"],
)
def _change_schema(request: Request) -> Response:
    """Describes every work step; its words are those of the ontology."""
    media = wanted(request, SCHEMA_MEDIA, JSON)
    return Response(json.dumps(change_document()), media_type=media, headers={"Vary": "Accept"})


def change_document() -> dict[str, Any]:
    """The published JSON Schema of a planned change."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": CHANGE_SCHEMA_IRI, **described(change_schema())}
