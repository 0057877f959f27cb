"""What commands read from files and write to them. Each raises BadInput that names the file."""

import sys
from pathlib import Path
from typing import Any

from faultpath.base.problems import BadInput, Problem
from faultpath.document.installation import Installation
from faultpath.document.intake import MOST_BYTES, SUFFIXES, read_installation, read_json
from faultpath.service.media import CSV, HTML, JSON, PDF, SVG

PAPERS = {".html": HTML, ".pdf": PDF, ".svg": SVG, ".csv": CSV, ".json": JSON}


def read_file(file: str, media: str | None) -> Installation:
    """The installation in a file, of the media type that its suffix tells where none is given; - is standard input."""
    if media is None and file != "-":
        suffix = Path(file).suffix.lower()
        if suffix not in SUFFIXES:
            raise _unusable(f"{file!r} does not end like a file that is read.", f"Expected one of {', '.join(SUFFIXES)}, or --media.")
        media = SUFFIXES[suffix]
    return read_installation(_bytes(file, "Expected a file with an installation.", standard_input=file == "-"), media or JSON)


def read_change(file: str) -> Any:
    """The planned work in a file, as parsed JSON."""
    return read_json(_bytes(file, "Expected a file with planned work."))


def _bytes(file: str, expected: str, *, standard_input: bool = False) -> bytes:
    """What is in a file, or so much of it that it is known to be too much."""
    try:
        if standard_input:
            return sys.stdin.buffer.read(MOST_BYTES + 1)
        with Path(file).open("rb") as opened:
            return opened.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise _unusable(f"{file!r} cannot be read: {why}.", expected) from error


def media_of(output: str, *known: str) -> str:
    """The media type that a file is written in, by its suffix."""
    suffix = Path(output).suffix.lower()
    if suffix not in known:
        raise _unusable(f"{output!r} does not end like a file that is written.", f"Expected one of {', '.join(known)}.")
    return PAPERS[suffix]


def write_file(output: str, data: bytes) -> None:
    """Write a file, in a folder that is there."""
    try:
        Path(output).write_bytes(data)
    except OSError as error:
        raise _unusable(f"{output!r} cannot be written: {error.strerror}.", "Expected a file in a folder that is there.") from error


def _unusable(found: str, expected: str) -> BadInput:
    return BadInput([Problem("", found, expected)], kind="unreadable", status=400)
