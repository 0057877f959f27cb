"""A condition tree folded to what matters: what is not met or not known stands open, what is met is one line that opens."""

from collections.abc import Iterator
from dataclasses import dataclass

from faultpath.answers.findings import ConditionResult
from faultpath.base.outcomes import Outcome
from faultpath.book.rules import condition_label

_MET = {Outcome.HOLDS: "met", Outcome.FAILS: "not met", Outcome.UNDECIDED: "not known", Outcome.NOT_APPLICABLE: "does not apply"}
_COMBINES = {"all": "all of these", "any": "any one of these", "not": "must not be so"}


@dataclass(frozen=True)
class TreeLine:
    """A line of a folded tree: the word for what it came to, what it says, and the lines below it."""

    outcome: str
    word: str
    says: str
    notes: str
    is_open: bool
    parts: tuple["TreeLine", ...]


def fold(why: ConditionResult) -> tuple[TreeLine, ...]:
    """The lines of a tree; what would put the part outside the rule is told apart from what is required."""
    return tuple(_top(why))


def _top(why: ConditionResult) -> Iterator[TreeLine]:
    parts = why.parts if any(part.outside for part in why.parts) else [why]
    outside = [part for part in parts if part.outside]
    passed = tuple(_branch(part) for part in outside if part.outcome is Outcome.FAILS)
    for part in outside:
        label = condition_label(part.condition)
        if part.outcome is Outcome.HOLDS:
            yield TreeLine("not_applicable", "set aside", f"The rule does not apply where this is so: {label}.", "", False, _parts(part))
        elif part.outcome is not Outcome.FAILS:
            yield TreeLine("undecided", "not known", f"The rule is set aside if this is so: {label}.", "", True, _parts(part))
    if passed and len(passed) == len(outside):
        yield TreeLine("holds", "applies", "Nothing sets the rule aside here.", "", False, passed)
    yield from (_branch(part) for part in parts if not part.outside)


def _parts(why: ConditionResult) -> tuple[TreeLine, ...]:
    return tuple(_branch(part) for part in why.parts)


def _branch(why: ConditionResult) -> TreeLine:
    notes = [_COMBINES[why.combines]] if why.combines and why.parts else []
    notes += ["an allowance"] if why.exception else []
    is_open = why.outcome in (Outcome.FAILS, Outcome.UNDECIDED)
    # What a leaf found is told as it was found; everything else as the condition that it is.
    is_found = why.outcome is Outcome.FAILS and not why.parts
    says = why.says if is_found else f"{condition_label(why.condition)}."
    return TreeLine(why.outcome.value, "found" if is_found else _MET[why.outcome], says, "; ".join(notes), is_open, _parts(why))
