"""The form: an installation pasted or uploaded, within the same limits as any other body, and the law to judge it by."""

from collections.abc import AsyncGenerator
from pathlib import PurePath
from typing import Any
from urllib.parse import parse_qsl

from fastapi import Request
from starlette.datastructures import FormData, UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser

from faultpath.base.problems import BadInput, Problem
from faultpath.document.installation import Installation
from faultpath.document.intake import MOST_BYTES, SUFFIXES, read_installation
from faultpath.http.bodies import read_body
from faultpath.present.documents.landing import Given

URL_ENCODED, MULTIPART = "application/x-www-form-urlencoded", "multipart/form-data"
MOST_FIELDS = 120
# Percent signs treble a text on its way; what comes out of it is held to the limit of every installation.
MOST_FORM_BYTES = 3 * MOST_BYTES + (1 << 16)


async def read_form(request: Request) -> FormData:
    """The fields of a form. Raises BadInput for what is too large, no form, or broken."""
    media = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media not in (URL_ENCODED, MULTIPART):
        raise BadInput([Problem("", "This is not a form.", f"Expected {MULTIPART} or {URL_ENCODED}.")], kind="unsupported-media-type", status=415)
    data = await read_body(request, MOST_FORM_BYTES)
    try:
        if media == URL_ENCODED:
            return FormData(list[tuple[str, str | UploadFile]](parse_qsl(data.decode(), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")))
        parser = MultiPartParser(request.headers, _once(data), max_files=1, max_fields=MOST_FIELDS, max_part_size=MOST_FORM_BYTES)
        return await parser.parse()
    except (MultiPartException, ValueError, KeyError) as error:
        raise BadInput([Problem("", "The form cannot be read.", "Expected the fields of the form at /judge.")], kind="unreadable", status=400) from error


async def _once(data: bytes) -> AsyncGenerator[bytes, None]:
    yield data
    yield b""


def given_in(form: FormData) -> Given:
    """What stands in the form, to be shown again."""

    def text(name: str) -> str:
        found = form.get(name)
        return found if isinstance(found, str) else ""

    practices = [found for found in form.getlist("practices") if isinstance(found, str)]
    return Given(text("installation"), text("edition"), text("place"), text("date"), practices)


def law_in(given: Given) -> dict[str, Any]:
    """What the form says to judge by, as the data of a question; a field left empty says nothing."""
    said = {"edition": given.edition, "place": given.place, "date": given.date}
    return {name: value for name, value in said.items() if value} | {"practices": list(given.practices)}


async def upload_in(form: FormData) -> tuple[str, bytes] | None:
    """The name and the bytes of the file that was chosen, if one was."""
    found = form.get("file")
    if not isinstance(found, UploadFile) or not (found.filename or found.size):
        return None
    return found.filename or "", await found.read()


def installation_in(given: Given, upload: tuple[str, bytes] | None) -> Installation:
    """The installation of the form. Raises BadInput."""
    if upload is not None:
        suffix = PurePath(upload[0]).suffix.lower()
        return read_installation(upload[1], SUFFIXES.get(suffix, _looks_like(upload[1])))
    data = given.installation.strip().encode("utf-8", "replace")
    if not data:
        problem = Problem("", "No installation was given.", "Expected one in the text field, or a file.")
        raise BadInput([problem], kind="bad-request")
    return read_installation(data, _looks_like(data))


def _looks_like(data: bytes) -> str:
    return SUFFIXES[".json"] if data.lstrip()[:1] in (b"{", b"[", b"") else SUFFIXES[".ttl"]
