"""Named practices and amendments of places laid over the book: they replace, withdraw or add rules, and edit none.

shapes/practices/<practice>/practice.ttl                    another reading that a request may choose
shapes/practices/<practice>/<rule>/<year>.ttl
shapes/amendments/<place>/<rule>/amendment.ttl              what a place made of a rule, edition by edition
shapes/amendments/<place>/<rule>/<year>.ttl
shapes/amendments/<place>/<rule>/rule.ttl                   a rule that only the place has
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from faultpath.base.terms import CODE, DCT, LABEL, short
from faultpath.book.loader import load_book
from faultpath.book.rules import DatedText, Overlay, Rule, all_texts, latest, read_citations, read_remedies, read_standing, rules


def practices() -> dict[str, Overlay]:
    """Every named practice by key."""
    return {overlay.key: overlay for overlay in every_overlay() if not overlay.place}


def amendments(place: str) -> tuple[Overlay, ...]:
    """What a place amends."""
    return tuple(overlay for overlay in every_overlay() if overlay.place == place)


@cache
def book(practices_chosen: frozenset[str] = frozenset(), places: tuple[str, ...] = ()) -> dict[str, Rule]:
    """The rules in force in places, the widest first, under chosen practices. Raises KeyError for an unknown practice.

    What a place amended stands over a practice: law goes before a reading of it.
    """
    found = {key: rule for key, rule in rules().items() if not rule.place or rule.place in places}
    chosen = [practices()[key] for key in sorted(practices_chosen)]
    for overlay in (*chosen, *(overlay for place in places for overlay in amendments(place))):
        for key in overlay.texts.keys() & found.keys():
            found[key] = _replaced(found[key], overlay)
        for key in overlay.withdraws:
            found[key] = _withdrawn(found[key], overlay)
    return found


def _replaced(rule: Rule, overlay: Overlay) -> Rule:
    """A rule with the texts of an overlay where it speaks; a practice never stands over a newer text that it does not know of."""
    in_force = dict(rule.in_force)
    for edition in overlay.citations or rule.citations:
        text, own = latest(overlay.texts[rule.key], edition), rule.in_force.get(edition)
        if text is not None and (overlay.citations or (own is not None and own.year <= text.year)):
            in_force[edition] = text
    return replace(
        rule,
        citations=dict(sorted({**rule.citations, **overlay.citations}.items())),
        in_force=in_force,
        remedies=(*rule.remedies, *overlay.remedies),
        overlays=(*rule.overlays, overlay),
    )


def _withdrawn(rule: Rule, overlay: Overlay) -> Rule:
    """A rule without the editions in which an overlay takes it out."""
    return replace(
        rule,
        citations={edition: citation for edition, citation in rule.citations.items() if edition not in overlay.citations},
        in_force={edition: text for edition, text in rule.in_force.items() if edition not in overlay.citations},
        overlays=(*rule.overlays, overlay),
    )


@cache
def every_overlay() -> tuple[Overlay, ...]:
    """Every practice and amendment of the book."""
    graph = load_book().shapes
    texts: dict[str, list[DatedText]] = {}
    for text in all_texts():
        texts.setdefault(graph.text(text.iri, CODE + "by"), []).append(text)
    heads = [*graph.instances(CODE + "Practice"), *graph.instances(CODE + "Amendment")]
    return tuple(_read(iri, texts.get(iri, [])) for iri in sorted(heads))


def _read(iri: str, texts: list[DatedText]) -> Overlay:
    graph = load_book().shapes
    return Overlay(
        iri=iri,
        place=graph.text(iri, CODE + "place"),
        label=graph.text(iri, LABEL),
        says=graph.text(iri, CODE + "says"),
        sources=tuple(str(source) for source in graph.values(iri, DCT + "source")),
        standing=read_standing(graph, iri),
        citations=read_citations(graph, iri),
        remedies=read_remedies(graph, iri),
        texts={key: tuple(found) for key, found in _by_rule(texts).items()},
        withdraws=tuple(short(rule) for rule in graph.iris(iri, CODE + "withdraws")),
    )


def _by_rule(texts: Iterable[DatedText]) -> dict[str, list[DatedText]]:
    found: dict[str, list[DatedText]] = {}
    for text in texts:
        found.setdefault(text.rule, []).append(text)
    return found
