"""The installation document as Pydantic models, made from the ontology: a new property there is a new field here."""

import re
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, StringConstraints, WithJsonSchema, create_model
from pydantic_core import PydanticCustomError

from faultpath.base.problems import Problem, pointer
from faultpath.base.terms import CODE_WORD, CONTEXT, INST, INSTALLATION, QUDT_UNIT, XSD, short
from faultpath.book.hints import hint
from faultpath.book.vocabulary import Property, vocabulary

LOCAL_ID = r"[A-Za-z0-9_][A-Za-z0-9._-]*(?:/[A-Za-z0-9._-]+)*"
ABSOLUTE_IRI = r"(?:https?://|urn:)[^\s<>\"{}|\\^`]{1,500}"
Identifier = Annotated[str, StringConstraints(pattern=rf"^(?:{LOCAL_ID}|{ABSOLUTE_IRI})$", max_length=600)]
YEARS = QUDT_UNIT + "YR"
CONTEXT_NAMES = ("context.jsonld", CONTEXT)
FIRST_YEAR, LAST_YEAR = 1880, 2100


def _whole_number(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        raise PydanticCustomError("whole_number", "is not a whole number")
    return value


def _decimal(value: Any) -> Any:
    """Numbers as Decimal by their shortest text, so that 0.625 stays 0.625; the normal form writes fractions as text."""
    if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
        raise PydanticCustomError("number", "is not a number")
    return value if isinstance(value, Decimal) else str(value)


def _plausible(number: Decimal) -> Decimal:
    if number.is_nan() or number.is_infinite() or len(number.as_tuple().digits) > 12 or abs(number.adjusted()) > 12:
        raise PydanticCustomError("number", "is not a plain number of at most twelve digits")
    return number


def _size_word(value: Any) -> Any:
    """`2 AWG` as its code word `2-AWG`."""
    return re.sub(r"\s+", "-", value.strip()) if isinstance(value, str) else value


WholeNumber = Annotated[int, BeforeValidator(_whole_number), Field(gt=0, le=10_000_000)]
Year = Annotated[int, BeforeValidator(_whole_number), Field(ge=FIRST_YEAR, le=LAST_YEAR)]
Number = Annotated[Decimal, BeforeValidator(_decimal), AfterValidator(_plausible), Field(gt=0)]
_LITERALS: dict[str, Any] = {
    XSD + "string": Annotated[str, StringConstraints(max_length=200)],
    XSD + "boolean": StrictBool,
    XSD + "integer": WholeNumber,
    XSD + "decimal": Number,
}


class Item(BaseModel):
    """What every part of a document has in common: no key may be unknown."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def _value_type(prop: Property) -> Any:
    words = vocabulary()
    if prop.range.startswith(XSD):
        kind: Any = Year if prop.unit == YEARS else _LITERALS[prop.range]
    elif words.is_a(prop.range, CODE_WORD):
        choice = Literal[tuple(words.codes[prop.range])]  # type: ignore[valid-type]
        kind = choice
        if prop.range == INST + "Size":
            spoken = [words.labels[iri] for iri in words.codes[prop.range].values()]
            kind = Annotated[choice, BeforeValidator(_size_word), WithJsonSchema({"enum": [*spoken, *words.codes[prop.range]], "type": "string"})]
    elif prop.nested:
        kind = model_of(prop.range)
    else:
        kind = Identifier
    return list[kind] if prop.many else kind


@cache
def model_of(cls: str) -> type[Item]:
    """The model of a class that documents describe."""
    words = vocabulary()
    properties = words.document_properties(cls)
    kinds = words.item_kinds(cls)
    lists = tuple(p.key for p in properties.values() if p.kind == "list")
    fields: dict[str, Any] = {}
    for key, prop in properties.items():
        note = Field(alias=key, description=prop.definition) if prop.required else Field(None, alias=key, description=prop.definition)
        fields[key + "_"] = (_value_type(prop) if prop.required else _value_type(prop) | None, note)
    written_alone = any(p.range == cls and p.kind == "list" for p in words.properties.values()) or cls == INSTALLATION
    needs_id = written_alone and cls != INST + "Conductor" and cls != INST + "Terminal"
    fields["id_"] = (Identifier, Field(alias="id")) if needs_id else (Identifier | None, Field(None, alias="id"))
    kind_words = tuple(kinds) or (short(cls),)
    kind_type = Literal[kind_words]  # type: ignore[valid-type]
    fields["kind_"] = (kind_type, Field(alias="kind")) if kinds else (kind_type | None, Field(None, alias="kind"))
    if lists:
        complete = list[Literal[lists]]  # type: ignore[valid-type]
        fields["complete_"] = (complete | None, Field(None, alias="complete", description="The lists of this part that hold all there is."))
    if cls == INSTALLATION:
        fields["context_"] = (Literal[CONTEXT_NAMES] | None, Field(None, alias="@context"))
    model: type[Item] = create_model(short(cls), __base__=Item, __doc__=words.labels[cls], **fields)
    return model


def installation_schema() -> dict[str, Any]:
    """The JSON Schema of an installation document."""
    return model_of(INSTALLATION).model_json_schema(by_alias=True)


_EXPECTED = {
    "greater_than": "Expected a number greater than {gt}.",
    "greater_than_equal": "Expected {ge} or more.",
    "less_than_equal": "Expected {le} or less.",
    "literal_error": "Expected one of: {expected}.",
    "whole_number": "Expected a whole number.",
    "number": "Expected a number.",
    "bool_type": "Expected true or false.",
    "string_type": "Expected a text.",
    "string_pattern_mismatch": "Expected an id of letters, digits, dot, dash and underscore, or a full IRI.",
    "list_type": "Expected a list.",
    "model_type": "Expected an object with named keys.",
}


def explain(error: dict[str, Any]) -> Problem:
    """A Pydantic error as a problem: where, what was found, what was expected, the nearest defined term."""
    where = [part for part in error["loc"] if not (isinstance(part, str) and part.startswith("function-"))]
    kind, found = error["type"], error["input"]
    if kind == "extra_forbidden":
        known = vocabulary_keys(where)
        close = hint(str(where[-1]), known)
        return Problem(pointer(where), f"The key {where[-1]!r} is not defined here.", "Expected one of: " + ", ".join(sorted(known)) + ".", close)
    if kind == "missing":
        return Problem(pointer(where[:-1]), f"The key {where[-1]!r} is missing.", "It must be stated.")
    expected = _EXPECTED.get(kind, "{msg}.").format(msg=error["msg"], **error.get("ctx", {}))
    close = None
    if kind == "literal_error":
        close = hint(str(found), re.findall(r"'([^']+)'", str(error["ctx"]["expected"])))
    shown = repr(found) if isinstance(found, str | int | float | bool) or found is None else f"a {type(found).__name__}"
    return Problem(pointer(where), f"{shown[:80]} does not fit.", expected, close)


def vocabulary_keys(where: list[str | int]) -> list[str]:
    """The keys that are defined for the object that the last part of a location stands in."""
    words = vocabulary()
    cls = INSTALLATION
    for part in where[:-1]:
        prop = words.document_properties(cls).get(part) if isinstance(part, str) else None
        cls = prop.range if prop is not None else cls
    return ["id", "kind", "complete", *words.document_properties(cls)]
