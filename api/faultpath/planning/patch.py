"""RFC 6902 JSON Patch on the normal form, operation by operation."""

from collections.abc import Mapping
from typing import Any, Literal

import jsonpatch
import jsonpointer
from pydantic import BaseModel, ConfigDict, Field

from faultpath.base.terms import INSTALLATION
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part, parts, walk
from faultpath.document.installation import plain_part
from faultpath.planning.site import Site, Unfit

# A copy can double a document, so what comes of each operation is measured.
MOST_VALUES, DEEPEST = 60_000, 32


class Operation(BaseModel):
    """One operation of a JSON Patch (RFC 6902); pointers lead into the normal form of the installation."""

    model_config = ConfigDict(extra="forbid", frozen=True, alias_generator=lambda name: name.rstrip("_"))
    op: Literal["add", "remove", "replace", "move", "copy", "test"] = Field(description="What to do.")
    path: str = Field(description="Where, as a JSON Pointer.", max_length=2000)
    from_: str | None = Field(None, description="Where to move or copy from, as a JSON Pointer.", max_length=2000)
    value: Any = Field(None, description="The value to add, to put there, or to test for.")

    def carry_out(self, site: Site) -> None:
        """Apply the operation."""
        try:
            changed = jsonpatch.JsonPatch([self.written()]).apply(site.document, in_place=True)
        except (jsonpatch.JsonPatchException, jsonpointer.JsonPointerException, TypeError, KeyError, IndexError) as error:
            raise Unfit(
                "path", f"The operation does not apply: {str(error)[:200]}.", "Expected a pointer into the normal form that fits the operation."
            ) from error
        if not isinstance(changed, dict):
            raise Unfit("value", "The whole document would be no object.", "Expected an installation.")
        if not _is_small(changed):
            raise Unfit("path", "The document would grow too large or too deep.", f"Expected at most {MOST_VALUES} values, {DEEPEST} levels deep.")
        site.document = changed
        self._note(site)

    def describe(self) -> str:
        """The work in one sentence."""
        return f"{self.op.capitalize()} {self.path}" + (f" from {self.from_}." if self.from_ else ".")

    def written(self) -> dict[str, Any]:
        """The operation as data; a value of null is a value."""
        given = self.model_dump(mode="json", by_alias=True, exclude_none=True)
        return given | {"value": self.value} if self.op in ("add", "replace", "test") else given

    def _note(self, site: Site) -> None:
        """Write out the conventions of what is new, and note which part was touched; what is no document is told when it is read."""
        try:
            _state(site.document, INSTALLATION)
            site.forget_places()
            for pointer in (self.path, *([self.from_] if self.from_ else [])):
                self._touch(site, [token.replace("~1", "/").replace("~0", "~") for token in pointer.split("/")[1:]])
        except (AttributeError, KeyError, TypeError, ValueError):
            return

    def _touch(self, site: Site, tokens: list[str]) -> None:
        classes = {id(part): cls for _, cls, part in walk(site.document)}
        value: Any = site.document
        owner: Part = site.document
        for token in tokens:
            if id(value) in classes:
                owner = value
            value = value.get(token) if isinstance(value, Mapping) else value[int(token)] if token.isdigit() and int(token) < len(value) else value[-1:]
        site.touched[owner["id"]] = None
        lists = [key for key, prop in vocabulary().document_properties(classes[id(owner)]).items() if prop.kind == "list"]
        if tokens and tokens[-1] in lists and "complete" in owner and self.op in ("add", "replace", "copy"):
            owner["complete"] = sorted({*owner["complete"], tokens[-1]})


def _is_small(document: Any) -> bool:
    """Whether JSON data stays within the limits; looked at without recursion, and no further than that."""
    waiting, seen = [(document, 1)], 0
    while waiting:
        value, depth = waiting.pop()
        seen += 1
        if seen > MOST_VALUES or depth > DEEPEST:
            return False
        if isinstance(value, dict | list):
            waiting.extend((inner, depth + 1) for inner in (value.values() if isinstance(value, dict) else value))
    return True


def _state(part: Part, cls: str) -> None:
    """Parts that do not say which of their lists are complete are new."""
    for prop, _, inner in parts(part, cls):
        if (
            "complete" not in inner
            and isinstance(inner.get("id"), str)
            and any(p.kind == "list" for p in vocabulary().document_properties(prop.range).values())
        ):
            plain_part(inner, prop.range)
        _state(inner, prop.range)
