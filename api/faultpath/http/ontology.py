"""The ontology over HTTP: the terms of a namespace from wherever they are written, and the files as they stand."""

import json
from functools import cache, partial
from typing import Annotated

import pyoxigraph as ox
from fastapi import APIRouter, Path, Request, Response

from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.base.terms import CODE, INST, PREFIXES
from faultpath.base.triples import Graph, serialize
from faultpath.book.loader import load_book
from faultpath.document.context import context
from faultpath.http.description import gives, media_content
from faultpath.http.replies import offered, reply, wanted
from faultpath.service.media import JSON, JSON_LD, TURTLE

router = APIRouter(tags=["ontology"])
_TRIPLES = "application/n-triples"
_TURTLE = gives(406, 500) | {200: {"description": "The terms.", "content": {TURTLE: {"schema": {"type": "string"}}, _TRIPLES: {"schema": {"type": "string"}}}}}
_CONTEXT = gives(406, 500) | {200: {"description": "The context.", "content": media_content(JSON_LD, {"type": "object"})}}


@cache
def namespace(iri: str, media: str) -> str:
    """Everything that the ontology says about a namespace and its terms, whichever file says it."""
    whole = load_book().ontology
    kept = Graph()
    waiting = [subject for subject in whole.subjects() if subject.startswith(iri) or subject == iri.rstrip("#")]
    seen = set(waiting)
    while waiting:
        subject = waiting.pop(0)
        for predicate, values in whole.properties(subject).items():
            for value in values:
                kept.add((subject, predicate, value))
                if isinstance(value, str) and value.startswith("_:") and value not in seen:
                    seen.add(value)
                    waiting.append(value)
    form = ox.RdfFormat.TURTLE if media == TURTLE else ox.RdfFormat.N_TRIPLES
    used = {name: PREFIXES[name] for name in PREFIXES if name != "node"}
    return serialize(kept, form, used if media == TURTLE else None)


def _terms(request: Request, iri: str) -> Response:
    return offered(request, {media: partial(namespace, iri, media) for media in (TURTLE, _TRIPLES)})


@router.get("/installation", operation_id="installationTerms", summary="The terms of installations", response_class=Response, responses=_TURTLE)
def _installation_terms(request: Request) -> Response:
    """Gives every class, property and code word with which an installation is described."""
    return _terms(request, INST)


@router.get("/rulebook", operation_id="rulebookTerms", summary="The terms of the rulebook", response_class=Response, responses=_TURTLE)
def _rulebook_terms(request: Request) -> Response:
    """Gives every class and property with which rules, texts, conditions and findings are described."""
    return _terms(request, CODE)


@router.get(
    "/ontology/{name}.ttl",
    operation_id="ontologyFile",
    summary="A file of the ontology",
    response_class=Response,
    responses=gives(404, 406, 500) | {200: {"description": "The file.", "content": media_content(TURTLE, {"type": "string"})}},
)
def _ontology_file(request: Request, name: Annotated[str, Path(description="Name of the file, without its suffix.")]) -> Response:
    """Gives a file of the ontology as it stands in the book."""
    media = wanted(request, TURTLE)
    names = {file.removeprefix("ontology/").removesuffix(".ttl"): file for file in load_book().turtle if file.startswith("ontology/") and file.count("/") == 1}
    if name not in names:
        problem = Problem("", f"No file of the ontology is named {name[:100]!r}.", "Expected one of: " + ", ".join(names) + ".", nearest(name[:100], names))
        raise BadInput([problem], kind="not-found", status=404)
    return Response(load_book().turtle[names[name]], media_type=media)


@router.get("/context.jsonld", operation_id="context", summary="The JSON-LD context of installation documents", response_class=Response, responses=_CONTEXT)
@router.get("/v1/context.jsonld", include_in_schema=False)
def _context(request: Request) -> Response:
    """Gives the context under which an installation document in JSON is also JSON-LD; made from the ontology."""
    return reply(json.dumps(context()), wanted(request, JSON_LD, JSON))
