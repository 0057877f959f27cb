"""The book over HTTP: its rules, editions, places, practices, tables, forms and schemas."""

import json
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BaseModel

from faultpath.answers.book import (
    EditionSummary,
    RuleDetail,
    RuleText,
    TableDetail,
    edition_detail,
    edition_list,
    edition_turtle,
    rule_detail,
    rule_list,
    rule_text,
    rule_turtle,
    table_detail,
    text_turtle,
)
from faultpath.answers.lists import EditionList, FormList, PlaceList, PracticeList, RuleList, form_list
from faultpath.answers.places import PlaceDetail, place_detail, place_list, practice_list
from faultpath.base.terms import BASE
from faultpath.document.models import installation_schema
from faultpath.http.description import described, gives, media_content
from faultpath.http.replies import offered, reply, wanted
from faultpath.planning.change import change_schema
from faultpath.service.comparison import compared
from faultpath.service.jurisdiction import year_of
from faultpath.service.media import JSON, TURTLE

router = APIRouter(prefix="/v1", tags=["book"])
_SCHEMA = "application/schema+json"
_Handler = Callable[[Callable[..., Response]], Callable[..., Response]]
_Key = Annotated[str, Path(description="Key in the book.")]
_EditionKey = Annotated[str, Path(description="Edition, a key of GET /v1/editions.")]
_AmendingPlace = Annotated[str | None, Query(description="Place, a key of GET /v1/places, whose amendments apply; left out, the edition as published.")]
_ComparedEdition = Annotated[str | None, Query(description="One of two editions whose texts are compared, as sets of conditions.")]


def _part(path: str, name: str, summary: str, model: type[BaseModel], *media: str) -> _Handler:
    """Declares a part of the book in JSON, and in further formats; where the path has a key there may be none of that key."""
    statuses = (404, 406, 500) if "{" in path else (406, 500)
    return router.get(path, operation_id=name, summary=summary, response_model=model, responses=gives(*statuses, other_media=media))


@_part("/rules", "rules", "The rules of the book", RuleList)
def _rules(request: Request) -> Response:
    """Lists every rule in the order of the chapters."""
    return offered(request, {JSON: lambda: RuleList(rules=rule_list())})


@_part("/rules/{key}", "rule", "A rule with its history", RuleDetail, TURTLE)
def _rule(request: Request, key: _Key, earlier: _ComparedEdition = None, later: _ComparedEdition = None) -> Response:
    """Says what the rule requires and why, where each edition prints it, what cures it, and how well it was checked."""
    media = wanted(request, JSON, TURTLE)
    between = compared(earlier, later)
    return reply(rule_detail(key, between) if media == JSON else rule_turtle(key), media)


@_part("/rules/{key}/{edition}", "ruleInEdition", "The conditions of a rule in an edition", RuleText, TURTLE)
def _rule_in_edition(request: Request, key: _Key, edition: _EditionKey) -> Response:
    """Gives the conditions in force; 404 where nobody checked the edition."""
    media = wanted(request, JSON, TURTLE)
    rule_detail(key)
    year = str(year_of(edition, "", kind="not-found", status=404))
    return reply(rule_text(key, year) if media == JSON else text_turtle(key, year), media)


@_part("/editions", "editions", "The editions that the book knows", EditionList)
def _editions(request: Request) -> Response:
    """Lists every edition with the rules that answer for it and those that nobody checked."""
    return offered(request, {JSON: lambda: EditionList(editions=edition_list())})


@_part("/editions/{edition}", "edition", "An edition, and in Turtle its shapes in force", EditionSummary, TURTLE)
def _edition(request: Request, edition: _EditionKey, place: _AmendingPlace = None) -> Response:
    """Gives the rules that answer for the edition; in Turtle the SHACL Core shapes that any engine can run. With a place, as it amended them."""
    return offered(request, {JSON: lambda: edition_detail(edition, place), TURTLE: lambda: edition_turtle(edition, place)})


@_part("/places", "places", "The places of the book", PlaceList)
def _places(request: Request) -> Response:
    """Lists the places whose adoptions are in the book, as dated data to be checked again before relying on it."""
    return offered(request, {JSON: lambda: PlaceList(places=place_list())})


@_part("/places/{key}", "place", "A place with its adoptions and amendments", PlaceDetail)
def _place(request: Request, key: _Key) -> Response:
    """Says which editions the place is known to have in force from when, and what it made of rules."""
    return offered(request, {JSON: lambda: place_detail(key)})


@_part("/practices", "practices", "The named practices", PracticeList)
def _practices(request: Request) -> Response:
    """Lists the readings of contested rules that a request can choose instead of the strict ones."""
    return offered(request, {JSON: lambda: PracticeList(practices=practice_list())})


@_part("/tables/{key}", "table", "A printed table", TableDetail)
def _table(request: Request, key: _Key) -> Response:
    """Gives the rows in force from each edition that changed them."""
    return offered(request, {JSON: lambda: table_detail(key)})


@_part("/sizing", "sizingForms", "The conductors that can be sized without a house", FormList)
def _forms(request: Request) -> Response:
    """Lists the forms with their fields."""
    return offered(request, {JSON: form_list})


def _schema(name: str, operation: str, summary: str) -> _Handler:
    """Declares a published JSON Schema."""
    gives_it = gives(406, 500) | {200: {"content": media_content(_SCHEMA, {"type": "object"}), "description": "The schema."}}
    return router.get(f"/schema/{name}", operation_id=operation, summary=summary, response_class=Response, responses=gives_it)


def _published(request: Request, name: str, schema: Callable[[], dict[str, Any]]) -> Response:
    def text() -> str:
        return json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": f"{BASE}v1/schema/{name}", **described(schema())})

    return offered(request, {_SCHEMA: text, JSON: text})


@_schema("installation", "installationSchema", "JSON Schema of an installation document")
def _installation_schema(request: Request) -> Response:
    """Describes every key of an installation document; made from the ontology."""
    return _published(request, "installation", installation_schema)


@_schema("change", "changeSchema", "JSON Schema of planned work")
def _change_schema(request: Request) -> Response:
    """Describes every work step; its words are those of the ontology."""
    return _published(request, "change", change_schema)
