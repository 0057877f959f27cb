"""The served OpenAPI description is valid, describes every field, and its examples are what the service takes and says."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from faultpath.service.example import example
from serving import house, running

METHODS = {"get", "post"}
PROBLEM = "application/problem+json"


@pytest.fixture(scope="module")
def client() -> Iterator[httpx.Client]:
    with running() as found:
        yield found


@pytest.fixture(scope="module")
def description(client: httpx.Client) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/openapi.json").json()
    return found


def operations(description: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, item in description["paths"].items():
        for method, operation in item.items():
            assert method in METHODS
            yield path, method, operation


def fits(instance: Any, schema: dict[str, Any], description: dict[str, Any]) -> None:
    Draft202012Validator({**schema, "components": description["components"]}).validate(instance)


def test_the_description_is_valid(description: dict[str, Any]) -> None:
    assert description["openapi"].startswith("3.1")
    OpenAPIV31SpecValidator(description).validate()


def test_operations_are_named_by_nouns(description: dict[str, Any]) -> None:
    named = {operation["operationId"]: (method, path) for path, method, operation in operations(description)}
    assert len(named) == sum(1 for _ in operations(description))
    assert named["findings"] == ("post", "/v1/findings")
    assert named["origin"] == ("post", "/v1/origin")
    assert named["compareEditions"] == ("post", "/v1/editions/comparison")
    assert {"rules", "rule", "ruleInEdition", "editions", "table"} <= set(named)


def test_every_field_parameter_and_operation_has_a_description(description: dict[str, Any]) -> None:
    bare = []
    for name, schema in description["components"]["schemas"].items():
        bare += [f"{name}.{field}" for field, said in schema.get("properties", {}).items() if not said.get("description")]
    for path, method, operation in operations(description):
        bare += [f"{method} {path} {p['name']}" for p in operation.get("parameters", []) if not p.get("description")]
        bare += [f"{method} {path}" for key in ("summary", "description") if not operation.get(key)]
        bare += [f"{method} {path} {status}" for status, answer in operation["responses"].items() if not answer.get("description")]
    assert not bare


def test_the_published_schema_describes_every_field_too(client: httpx.Client) -> None:
    schema = client.get("/v1/schema/installation").json()
    Draft202012Validator.check_schema(schema)
    for part in (schema, *schema["$defs"].values()):
        assert [name for name, field in part.get("properties", {}).items() if not field.get("description")] == []


def test_every_operation_documents_its_problems_as_problem_documents(description: dict[str, Any]) -> None:
    posted = {"400", "406", "413", "415", "422", "500"}
    for path, method, operation in operations(description):
        answers = operation["responses"]
        if method == "post":
            assert posted <= set(answers), path
        if any(parameter["in"] == "path" for parameter in operation.get("parameters", [])):
            assert "404" in answers, path
        for status, answer in answers.items():
            if status != "200":
                assert list(answer["content"]) == [PROBLEM]
                for shown in answer["content"][PROBLEM]["examples"].values():
                    fits(shown["value"], answer["content"][PROBLEM]["schema"], description)


def test_every_example_request_works_and_every_example_answer_fits(client: httpx.Client, description: dict[str, Any]) -> None:
    asked = 0
    for path, method, operation in operations(description):
        if method == "post":
            content = operation["requestBody"]["content"]["application/json"]
            answer = client.post(path, json=content["example"])
            assert answer.status_code == 200, (path, answer.text)
            shown = operation["responses"]["200"]["content"]["application/json"]
            fits(answer.json(), shown["schema"], description)
            fits(shown["example"], shown["schema"], description)
            asked += 1
    assert asked == len([path for path, method, _ in operations(description) if method == "post"]) > 5


def test_every_path_works_with_the_examples_of_its_parameters(client: httpx.Client, description: dict[str, Any]) -> None:
    for path, method, operation in operations(description):
        if method == "get":
            keys = {p["name"]: p["example"] for p in operation.get("parameters", []) if p["in"] == "path"}
            answer = client.get(path.format(**keys))
            assert answer.status_code == 200, path
            media = answer.headers["content-type"].partition(";")[0]
            assert media in operation["responses"]["200"]["content"], path
            schema = operation["responses"]["200"]["content"][media]["schema"]
            if media == "application/json":
                fits(answer.json(), schema, description)


def test_the_example_is_the_invented_house_of_the_examples() -> None:
    assert example()["installation"] == house()


def test_no_year_and_no_key_of_the_book_is_left_to_a_client_to_guess(description: dict[str, Any]) -> None:
    schemas = description["components"]["schemas"]
    assert schemas["FindingsRequest"]["properties"]["installation"]["$ref"] == "#/components/schemas/Installation"
    assert schemas["FindingsRequest"]["additionalProperties"] is False
    assert set(schemas["FindingsRequest"]["required"]) == {"installation"}, "a place and a date may choose the edition"
