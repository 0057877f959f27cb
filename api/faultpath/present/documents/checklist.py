"""Missing facts as a checklist for the site: each asked once, with the part, what waits for it, and what can be answered."""

from collections.abc import Sequence
from dataclasses import dataclass

from faultpath.answers.findings import Finding
from faultpath.answers.reasons import MissingFact
from faultpath.base.terms import XSD, short
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.present.documents.paper import plain

# More answers than these are written, not ticked.
_MOST_BOXES = 8


@dataclass(frozen=True)
class Fact:
    """A question to answer on site; `boxes` are the answers to tick, none where it is to be written.

    `numbers` are the findings that wait for it, none where only a current or a voltage does.
    """

    about: str
    fact: str
    ask: str
    unit: str
    boxes: tuple[str, ...]
    numbers: tuple[int, ...]


def checklist(numbered: Sequence[tuple[int, Finding]], beside: Sequence[MissingFact] = ()) -> tuple[Fact, ...]:
    """The missing facts of numbered findings, and those asked beside them, part by part, what most findings wait for first."""
    waiting: dict[tuple[str, str, str], list[int]] = {}
    for number, finding in numbered:
        for missing in finding.missing:
            waiting.setdefault((missing.about, missing.fact, missing.ask), []).append(number)
    for missing in beside:
        waiting.setdefault((missing.about, missing.fact, missing.ask), [])
    facts = []
    for (about, fact, ask), numbers in waiting.items():
        stated = next((found for found in vocabulary().properties.values() if found.key == fact and found.asks == ask), None)
        unit = short(stated.unit) if stated and stated.unit else ""
        facts.append(Fact(about, fact, ask, unit, _boxes(stated) if stated else (), tuple(numbers)))
    order = {about: min(-len(f.numbers) for f in facts if f.about == about) for about in dict.fromkeys(f.about for f in facts)}
    return tuple(sorted(facts, key=lambda f: (order[f.about], f.about, -len(f.numbers))))


def _boxes(stated: Property) -> tuple[str, ...]:
    if stated.many:
        return ()
    if stated.range == XSD + "boolean":
        return ("yes", "no")
    codes = vocabulary().codes.get(stated.range, {})
    return tuple(vocabulary().labels.get(iri, plain(word)) for word, iri in codes.items()) if len(codes) <= _MOST_BOXES else ()
