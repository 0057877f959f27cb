"""An installation under one edition: everything derived, every rule that answers judged on every node it is about."""

from collections.abc import Collection
from dataclasses import dataclass

from faultpath.derive import Derived, derive
from faultpath.installation import Installation
from faultpath.judge import Bench, Judgement, judge, targets
from faultpath.rulebook import Rule, rules


@dataclass(frozen=True)
class Assessed:
    """The judgements of one installation under one edition, in the order of the book.

    `not_encoded` are the rules that do not answer for the edition because nobody checked it.
    """

    installation: Installation
    edition: int
    derived: Derived
    bench: Bench
    judgements: tuple[tuple[Rule, Judgement], ...]
    not_encoded: tuple[str, ...]


def assess(installation: Installation, edition: int, only: Collection[str] = (), about: Collection[str] = ()) -> Assessed:
    """Judge an installation under an edition; `only` narrows it to rules by key, `about` to nodes by IRI."""
    derived = derive(installation.graph, edition)
    bench = Bench(derived.graph)
    judgements: list[tuple[Rule, Judgement]] = []
    not_encoded: list[str] = []
    for rule in rules().values():
        if only and rule.key not in only:
            continue
        text = rule.text_in(edition)
        if text is None:
            not_encoded.append(rule.key)
            continue
        judgements.extend((rule, judge(bench, text, node)) for node in targets(derived.graph, text) if not about or node in about)
    return Assessed(installation, edition, derived, bench, tuple(judgements), tuple(not_encoded))
