"""How a command ends: its exit code, and plain sentences instead of a traceback whatever happens.

Exit codes: 0 nothing fails, 1 something fails, 3 nothing fails and something is undecided, 2 bad input, 4 no answer
because of a fault of ours or because the two engines differ.
"""

import os
import signal
import sys
from collections.abc import Callable, Collection
from functools import wraps
from typing import ParamSpec

import typer

from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput, Problem
from faultpath.book.loader import BrokenBook
from faultpath.service.assessing import EnginesDiffer

NOTHING_FAILS, SOMETHING_FAILS, BAD_INPUT, UNDECIDED, NO_ANSWER = range(5)
INTERRUPTED = 128 + signal.SIGINT
P = ParamSpec("P")


def code(*, fails: bool, undecided: bool) -> int:
    """The exit code of an answer."""
    return SOMETHING_FAILS if fails else UNDECIDED if undecided else NOTHING_FAILS


def worst(outcomes: Collection[str]) -> int:
    """The exit code of the outcomes of rules."""
    return code(fails=Outcome.FAILS in outcomes, undecided=Outcome.UNDECIDED in outcomes)


def plainly(command: Callable[P, int]) -> Callable[P, None]:
    """A command whose return value is the exit code, and that ends without a traceback whatever happens."""

    @wraps(command)
    def ended(*args: P.args, **kwargs: P.kwargs) -> None:
        raise typer.Exit(_code_of(lambda: command(*args, **kwargs)))

    return ended


def _code_of(command: Callable[[], int]) -> int:
    try:
        found = command()
        sys.stdout.flush()
    except BadInput as bad:
        return _told(bad.problems, BAD_INPUT)
    except BrokenBook as broken:
        print("The book has faults, so nothing is judged by it.", file=sys.stderr)  # noqa: T201
        return _told(broken.problems, BAD_INPUT)
    except EnginesDiffer as differ:
        print("The two engines differ, so there is no answer.", file=sys.stderr)  # noqa: T201
        return _told(differ.problems, NO_ANSWER)
    except BrokenPipeError:
        # Whoever reads has gone; keep the interpreter from complaining about it on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 128 + signal.SIGPIPE
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as fault:
        print(f"faultpath met a fault of its own ({type(fault).__name__}) and gives no answer.", file=sys.stderr)  # noqa: T201
        return NO_ANSWER
    return found


def _told(problems: tuple[Problem, ...], found: int) -> int:
    for problem in problems:
        where = f"At {problem.pointer}: " if problem.pointer else ""
        close = f" Nearest: {problem.nearest}." if problem.nearest else ""
        said = f"{where}{problem.found} {problem.expected}{close}"
        print("".join(c if c.isprintable() else repr(c)[1:-1] for c in said), file=sys.stderr)  # noqa: T201
    return found
