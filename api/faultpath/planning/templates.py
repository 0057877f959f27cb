"""Work of a remedy as the book writes it: steps with gaps that are filled by walking from the part that fails.

    {"for": {"run": "circuitRun"},
     "steps": [{"work": "replace-run", "run": "{run}", "method": "NM", "conductors": "four-wire"},
               {"each": {"strap": "bond[joinsGroundedConductorToFrame=true]"}, "work": "remove-bond", "bond": "{strap}"}]}

`for` names alternatives, `each` repeats a step; a list alone is its steps. DEVELOPERS.md describes paths.
"""

import json
import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from faultpath.base.terms import INST, NODE, TYPE, short
from faultpath.base.triples import Graph, Term, decimal_text, is_literal
from faultpath.document.installation import id_of

Bindings = dict[str, Term]
_SEGMENT = re.compile(r"(?P<back>\^?)(?P<name>[A-Za-z]+)(?P<filters>(?:\[[^\]]*\])*)")
_FILTER = re.compile(r"\[(?P<not>!?)(?:a (?P<cls>\w+)|(?P<name>\w+)(?:(?P<sign>!?=)(?P<value>[^\]]*))?)\]")
_GAP = re.compile(r"\{([^{}]+)\}")


class Unfilled(Exception):
    """A gap for which the graph has no value."""


@lru_cache(maxsize=512)
def read_template(text: str) -> tuple[dict[str, str], list[dict[str, Any]]]:
    """The alternatives and the steps of a template. Raises ValueError for what is none."""
    data = json.loads(text)
    alternatives, steps = ({}, data) if isinstance(data, list) else (data.get("for", {}), data.get("steps"))
    if not isinstance(steps, list) or not steps or not all(isinstance(step, dict) and "work" in step for step in steps):
        raise ValueError("a template has steps, and each says which work it is")
    for path in (*alternatives.values(), *(path for step in steps for path in step.get("each", {}).values())):
        for way in path.split(" | "):
            _parse(way)
    return alternatives, steps


def instances(text: str, graph: Graph, about: str) -> Iterator[list[dict[str, Any]]]:
    """The steps of a template for a node, once for each combination of its alternatives; none where a gap cannot be filled."""
    alternatives, steps = read_template(text)
    for bound in _combinations(alternatives, graph, {"about": about}):
        try:
            yield [
                _filled({k: v for k, v in step.items() if k != "each"}, graph, inner)
                for step in steps
                for inner in _combinations(step.get("each", {}), graph, bound)
            ]
        except Unfilled:
            continue


def _combinations(paths: Mapping[str, str], graph: Graph, bound: Bindings) -> Iterator[Bindings]:
    """Bindings for each combination of the values of some paths; a later path may start from an earlier one."""
    if not paths:
        yield bound
        return
    (name, path), *rest = paths.items()
    for value in walk(path, graph, bound):
        yield from _combinations(dict(rest), graph, {**bound, name: value})


def walk(path: str, graph: Graph, bound: Bindings) -> list[Term]:
    """The values at the end of a path: from the part judged, from `$name`, or from `all Class`; ` | ` joins several."""
    found: dict[Term, None] = {}
    for way in path.split(" | "):
        start, segments = _parse(way)
        if start.startswith("all "):
            frontier: list[Term] = list(graph.instances(INST + start[4:].split("[")[0]))
            frontier = [node for node in frontier if _fits(graph, node, start[4:].partition("[")[2] and "[" + start[4:].partition("[")[2])]
        else:
            frontier = [bound[start]]
        for back, name, filters in segments:
            reached: dict[Term, None] = {}
            for node in frontier:
                if not is_literal(node):
                    reached.update(dict.fromkeys([node] if name == "self" else _step(graph, str(node), INST + name, back)))
            frontier = [node for node in reached if _fits(graph, node, filters)]
        found.update(dict.fromkeys(frontier))
    return list(found)


@lru_cache(maxsize=2048)
def _parse(path: str) -> tuple[str, tuple[tuple[bool, str, str], ...]]:
    start, _, rest = path.partition("/") if path.startswith(("$", "all ")) else ("$about", "", path)
    segments = []
    for piece in filter(None, re.split(r"/(?![^\[]*\])", rest)):
        match = _SEGMENT.fullmatch(piece)
        if match is None or _FILTER.sub("", match["filters"]):
            raise ValueError(f"{path!r} is no path")
        segments.append((match["back"] == "^", match["name"], match["filters"]))
    return start.removeprefix("$"), tuple(segments)


def _step(graph: Graph, node: str, predicate: str, back: bool) -> list[Term]:
    if not back:
        return graph.values(node, predicate)
    return list(graph.table(predicate).by_object.get(node, ()))


def _fits(graph: Graph, node: Term, filters: str) -> bool:
    for match in _FILTER.finditer(filters):
        if match["cls"]:
            fits = (str(node), TYPE, INST + match["cls"]) in graph
        else:
            values = [spoken(value) for value in graph.values(str(node), INST + match["name"])]
            fits = (
                bool(values) if match["sign"] is None else match["value"] in values if match["sign"] == "=" else bool(values) and match["value"] not in values
            )
        if fits is bool(match["not"]):
            return False
    return True


def spoken(term: Term) -> str:
    """A term as a document writes it: an id, a code word, a number, true or false."""
    if isinstance(term, bool):
        return str(term).lower()
    if not isinstance(term, str):
        return str(term) if isinstance(term, int) else decimal_text(term)
    return str(term) if is_literal(term) else id_of(term) if term.startswith(NODE) or not term.startswith(INST) else short(term)


def _filled(value: Any, graph: Graph, bound: Bindings) -> Any:
    if isinstance(value, dict):
        return {key: _filled(inner, graph, bound) for key, inner in value.items() if not _may_stay_open(inner, graph, bound)}
    if isinstance(value, list):
        return [_filled(inner, graph, bound) for inner in value]
    if not isinstance(value, str):
        return value
    whole = _GAP.fullmatch(value)
    if whole is not None:
        term = _gap(whole[1], graph, bound)
        return term if isinstance(term, bool | int) else spoken(term)
    return _GAP.sub(lambda match: spoken(_gap(match[1], graph, bound)), value)


def _may_stay_open(value: Any, graph: Graph, bound: Bindings) -> bool:
    """Whether a value is a gap that may stay open, and there is nothing to fill it with."""
    whole = _GAP.fullmatch(value) if isinstance(value, str) else None
    return whole is not None and whole[1].endswith("?") and not walk(whole[1].rstrip("?"), graph, bound)


def _gap(name: str, graph: Graph, bound: Bindings) -> Term:
    found = [bound[name]] if name in bound else walk(name.rstrip("?"), graph, bound)
    if not found:
        raise Unfilled(name)
    return found[0]
