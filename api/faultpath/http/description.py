"""The OpenAPI description: bodies that are read raw, formats, problem documents and examples, all from what the code uses."""

import json
from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from faultpath.answers.book import table_list
from faultpath.base.problems import Problem
from faultpath.base.terms import INSTALLATION
from faultpath.book.places import places
from faultpath.book.rules import rules
from faultpath.document.intake import SUFFIXES
from faultpath.document.models import model_of
from faultpath.http import problems
from faultpath.http.examples import example_answers, example_request
from faultpath.planning.change import change_schema
from faultpath.service.example import example
from faultpath.service.media import JSON
from faultpath.service.requests import Question

Schema = dict[str, Any]
_REF = "#/components/schemas/"
TITLE = "faultpath"
SAYS = (
    "Grounding and bonding rules as a knowledge graph: which hold for an installation under an edition of the code, which fail, which "
    "cannot be decided and which fact would decide them, each with its conditions and evidence. Undecided is never fine. Every problem "
    "is a problem document (RFC 9457) whose `problems` say where, what was found, what was expected and the nearest defined term."
)
# What a field means wherever it stands, for models that do not say it again.
COMMON = {
    "about": "Id of the part of the installation that this is about.",
    "changes": "What the text changed from one edition to the next.",
    "citations": "Where each edition that was checked prints the rule.",
    "dated": "The rows by the edition that brought them in, oldest first.",
    "disturbs": "What the work disturbs.",
    "earlier": "The earlier edition.",
    "fails": "How many findings fail.",
    "findings": "One finding per rule and part, in the order of the book.",
    "holds": "How many findings hold.",
    "later": "The later edition.",
    "leaves_out": "Conditions of the printed rule that are not covered: the rule is judged without them.",
    "not_applicable": "How many findings say that the rule does not apply.",
    "outcomes": "The outcome in each edition, oldest first.",
    "paths": "One path per piece of equipment.",
    "premises": "The triples that it follows from.",
    "remedies": "The field fixes that cure a failing condition.",
    "requirement": "What is required where the rule applies.",
    "name": "Name, for people.",
    "note": "What else is known of it; null where nothing is.",
    "place": "Key of the place; null where no place's amendments apply.",
    "places": "Keys of the places whose amendments apply.",
    "adoptions": "The editions that it is known to have in force, oldest first.",
    "candidates": "One answer for each edition that may be in force, the one last read to be first; where none was read, the one most rules answer for.",
    "answer": "The answer under this edition.",
    "practices": "Keys of the named practices that were chosen.",
    "says": "What it says, in one sentence.",
    "ask": "The question that a person can answer on site.",
    "fact": "Key of the property in the document, or of the field in a form.",
    "material": "The metal, as documents write it.",
    "missing": "The facts that would tell, where it is not known.",
    "sizes": "The sizes, one for each conductor or value.",
    "table": "Key of the table.",
    "value": "The value, as people read it.",
    "requires": "What the rule requires, in one sentence.",
    "rows": "The rows.",
    "see_also": "Keys of related rules.",
    "since": "The edition from which this is in force.",
    "stages": "The stages, from the source on.",
    "summary": "How many findings came to each outcome.",
    "triple": "Subject, predicate and object, as people read them.",
    "undecided": "How many findings cannot be decided.",
    "work": "Which work it is.",
    "why": "Why the trade asks for it.",
    "caution": "What the answer is not; show it with every answer.",
    "chapter": "Chapter of the book.",
    "citation": "Where the edition prints the rule.",
    "contested": "Where the field reads the rule in two ways; null where it does not.",
    "description": "What it gives, in one sentence.",
    "edition": "Edition of the code, by its year.",
    "editions": "Editions of the code, by their years.",
    "exception": "Whether this branch is an allowance rather than the main requirement.",
    "id": "Id of this part, unique in the document; other parts refer to it by this.",
    "key": "Key in the book; it is also the last part of the path.",
    "kind": "What kind of thing this is.",
    "label": "Name in trade words.",
    "outcome": "holds, fails, undecided or not_applicable.",
    "path": "The path of properties that is walked; null where there is none.",
    "parts": "The parts, in order.",
    "record": "What decided: enough to ask the same question again and get the same answer.",
    "rule": "Key of the rule.",
    "rules": "Keys of rules.",
    "section": "Section that prints it.",
    "source": "Where the content was taken from.",
    "sources": "Where the content was taken from.",
    "standing": "How far the content was checked: verified, partly or memory.",
    "title": "Title, for people.",
    "@context": "The published JSON-LD context, which makes the document JSON-LD.",
}


def media_content(media: str, schema: Schema) -> Schema:
    """The content of one media type."""
    return {media: {"schema": schema}}


def asks(envelope: type[Question], question: type[Question], beside: type[Question] | None = None) -> Schema:
    """The request body of an operation, `beside` a second way to ask in JSON, and the query string that goes with a body in RDF."""
    references = [{"$ref": _REF + model.__name__} for model in (envelope, beside) if model is not None]
    content: Schema = {JSON: {"schema": references[0] if beside is None else {"oneOf": references}, "example": example_request(envelope)}}
    for media in SUFFIXES.values():
        if media != JSON:
            schema = {"type": "string", "description": f"The installation in {media}; the rest of the question stands in the query string."}
            content[media] = {"schema": schema if media != "application/ld+json" else {"type": "object", "description": schema["description"]}}
    described_fields = question.model_json_schema()["properties"]
    parameters = [
        {
            "name": name,
            "in": "query",
            "required": False,
            "description": f"{field['description']} Only where the body is the installation itself.",
            "schema": {key: value for key, value in field.items() if key not in ("description", "title", "default")},
        }
        for name, field in described_fields.items()
    ]
    return {"requestBody": {"required": True, "description": "The request, or an installation in RDF.", "content": content}, "parameters": parameters}


def gives(*statuses: int, other_media: Iterable[str] = ()) -> dict[int | str, dict[str, Any]]:
    """The problem documents of an operation, and the formats that it offers beside JSON."""
    found: dict[int | str, dict[str, Any]] = {status: _problem(status) for status in statuses}
    if other := list(other_media):
        found[200] = {"description": "The answer.", "content": {media: {"schema": {"type": "string"}} for media in other}}
    return found


def _kinds(status: int) -> list[str]:
    return [kind for kind, (usual, _) in problems.KINDS.items() if usual == status]


def _problem(status: int) -> dict[str, Any]:
    kinds = _kinds(status)
    says = "; or ".join(problems.KINDS[kind][1] for kind in kinds) + "."
    return {"description": says, "content": media_content(problems.MEDIA, {"$ref": _REF + "ProblemDocument"})}


def _example_problem(kind: str) -> Problem:
    if kind == "bad-installation":
        return Problem("/installation/runs/0/methods", "The key 'methods' is not defined here.", "Expected one of: from, to, method.", "method")
    if kind == "bad-change":
        return Problem("/change/0/bond", "Nothing has the id 'panel-scew'.", "Expected the id of a bond, one of: panel-screw, range-strap.", "panel-screw")
    if kind == "unknown-edition":
        return Problem("/edition", "'next' is not an edition of the book.", "Expected one of: " + ", ".join(example()["editions"]) + ".", None)
    return Problem("", problems.KINDS[kind][1] + ".", "Expected a request as this description has it.")


def complete(document: dict[str, Any], bodies: Iterable[type[BaseModel]]) -> dict[str, Any]:
    """The description with the schemas of raw bodies, of installations and of problems, and every field described."""
    schemas = document.setdefault("components", {}).setdefault("schemas", {})
    for unused in ("HTTPValidationError", "ValidationError"):
        schemas.pop(unused, None)
    for path in document["paths"].values():
        for operation in path.values():
            if _REF + "HTTPValidationError" in json.dumps(operation["responses"].get("422", {})):
                del operation["responses"]["422"]
    own = [(model, "validation") for model in (*bodies, problems.ProblemDocument, model_of(INSTALLATION))]
    _, made = models_json_schema(own, ref_template=_REF + "{model}")  # type: ignore[arg-type]
    for name, schema in made["$defs"].items():
        if schemas.setdefault(name, schema) != schema:
            raise ValueError(f"two schemas are named {name}")
        if name in {model.__name__ for model in bodies} and "installation" in schema["properties"]:
            schema["properties"]["installation"] = {"$ref": _REF + "Installation", "description": schema["properties"]["installation"]["description"]}
    _describe_changes(schemas, bodies)
    for schema in schemas.values():
        described(schema)
    _add_examples(document["paths"])
    return document


def _describe_changes(schemas: dict[str, Schema], bodies: Iterable[type[BaseModel]]) -> None:
    """Describe planned work by the schema of its steps, in every body that holds some."""
    change = change_schema(_REF + "{model}")
    for name, schema in change.pop("$defs").items():
        if schemas.setdefault(name, schema) != schema:
            raise ValueError(f"two schemas are named {name}")
    schemas["Change"] = change
    for model in bodies:
        properties = schemas[model.__name__]["properties"]
        if "change" in properties:
            properties["change"] = {"$ref": _REF + "Change", "description": properties["change"]["description"]}


def _add_examples(paths: dict[str, Any]) -> None:
    """Keys of the book as examples of parameters, what the example requests are answered, and a problem of each kind.

    They are added to the finished description because FastAPI drops every null from what it is given.
    """
    rule = next(iter(rules().values()))
    keys = {"rule": rule.key, "ruleInEdition": rule.key, "place": next(iter(places())), "table": next(iter(table_list()), ""), "ontologyFile": "installation"}
    for path in paths.values():
        for operation in path.values():
            for parameter in operation.get("parameters", []):
                if parameter["in"] == "path":
                    parameter["example"] = str(max(rule.citations)) if parameter["name"] == "edition" else keys[operation["operationId"]]
            for status, answer in operation["responses"].items():
                if content := answer.get("content", {}).get(problems.MEDIA):
                    found = {kind: problems.problem_document(kind, int(status), [_example_problem(kind)]) for kind in _kinds(int(status))}
                    content["examples"] = {kind: {"value": value} for kind, value in found.items()}
    for name, answered in example_answers().items():
        paths[name]["post"]["responses"]["200"]["content"][JSON]["example"] = answered


def described(schema: Schema) -> Schema:
    """A schema whose fields all have a description: their own, or what their name means everywhere."""
    for name, field in schema.get("properties", {}).items():
        if "description" not in field and name in COMMON:
            field["description"] = COMMON[name]
    for inner in schema.get("$defs", {}).values():
        described(inner)
    return schema
