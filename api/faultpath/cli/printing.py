"""How an answer comes out: as people read it, or exactly as HTTP would send it."""

import sys
from collections.abc import Callable
from typing import TypeVar

from faultpath.answers.law import Candidates
from faultpath.answers.record import Answer
from faultpath.present.text.candidates import print_candidates
from faultpath.present.text.page import Page

A = TypeVar("A", bound=Answer)


def tell(answer: A | Candidates[A], as_json: bool, print_one: Callable[[Page, A], None]) -> None:
    """The answer, or one for each edition that may be in force."""
    if as_json:
        print_body(answer.model_dump_json())
    elif isinstance(answer, Candidates):
        print_candidates(Page(), answer, print_one)
    else:
        print_one(Page(), answer)


def print_body(text: str) -> None:
    """Exactly the bytes that HTTP would send, and a line end."""
    sys.stdout.buffer.write(text.rstrip("\n").encode() + b"\n")
