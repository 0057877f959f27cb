"""A net of impedances and sources at one frequency, solved by modified nodal analysis.

Phasors are complex root-mean-square values. A branch leads from `start` to `end`; its current is counted that way, and

    V(start) - V(end) + volts = ohms * amperes

so a branch with volts is a source that drives current out of its end. A branch without ohms fixes a voltage; its current
is an unknown of its own. Before the matrix is built, dead ends are set aside, because they carry no current, and branches
one behind the other are taken as one, because they carry the same; both are put back exactly. How a net hangs together is
worked out once for all ohms and volts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

MOST_NODES = 600
# A question solves a few nets again and again with other ohms.
_SHAPES = 16


class TooLarge(Exception):
    """A net of more nodes than are solved at once."""


@dataclass(frozen=True, slots=True)
class Branch:
    """An impedance in ohms between two nodes, in series with a source of so many volts (usually none)."""

    name: str
    start: str
    end: str
    ohms: complex
    volts: complex = 0


@dataclass(frozen=True, slots=True)
class Solution:
    """Node voltages in volts, each against the reference of its island, and branch currents in amperes, all complex.

    An island is a part of the net that no branch joins to the rest; `islands` numbers that of each node. `unknowns` is the
    size of the matrix.
    """

    volts: dict[str, complex]
    amperes: dict[str, complex]
    islands: dict[str, int]
    unknowns: int

    def between(self, node: str, other: str) -> complex | None:
        """The voltage of a node against another, None where nothing fixes it because no branch joins them."""
        if node not in self.islands or self.islands.get(node) != self.islands.get(other):
            return None
        return self.volts[node] - self.volts[other]


class _Link(NamedTuple):
    """A branch without its values: where it leads, and whether it fixes a voltage because it has no ohms."""

    start: str
    end: str
    is_fixed: bool


class _Merged(NamedTuple):
    """Two branches one behind the other, by number, the node between them, and the signs that say which were turned round to follow each other."""

    first: int
    second: int
    between: str
    first_sign: int
    second_sign: int


@dataclass(frozen=True, slots=True)
class _Shape:
    """How a net hangs together. `links` are its branches and, behind them, one for each pair of `merged`, in that order.

    `hanging` are the branches that lead to a dead end, in the order in which they fall away, `core` those that are left to be solved, all by
    number; `place` is the row of each node in the matrix, `zeros` the nodes that count as zero volts.
    """

    links: tuple[_Link, ...]
    hanging: tuple[int, ...]
    merged: tuple[_Merged, ...]
    core: tuple[int, ...]
    place: dict[str, int]
    zeros: frozenset[str]
    islands: dict[str, int]


def solve(branches: Sequence[Branch], reference: str) -> Solution:
    """Voltages and currents of a net.

    `reference` is the zero of its island; any other island takes its first node. Raises TooLarge, and ValueError where
    branches without ohms run in a circle, so that nothing fixes their currents.
    """
    shape = _shape(tuple(_Link(branch.start, branch.end, branch.ohms == 0) for branch in branches), reference)
    ohms, sources = [branch.ohms for branch in branches], [branch.volts for branch in branches]
    for pair in shape.merged:
        ohms.append(ohms[pair.first] + ohms[pair.second])
        sources.append(pair.first_sign * sources[pair.first] + pair.second_sign * sources[pair.second])
    volts, amperes = _solve_core(shape, ohms, sources)
    _take_apart(shape, ohms, sources, volts, amperes)
    if reference in shape.islands:
        volts.setdefault(reference, 0j)
    _hang(shape, sources, volts)
    unknowns = len(shape.place) + len(shape.zeros) + sum(1 for number in shape.core if shape.links[number].is_fixed)
    return Solution(volts, {branch.name: amperes.get(number, 0j) for number, branch in enumerate(branches)}, shape.islands, unknowns)


@lru_cache(maxsize=_SHAPES)
def _shape(links: tuple[_Link, ...], reference: str) -> _Shape:
    """How branches hang together. Raises TooLarge."""
    hanging = _set_aside(links, reference)
    gone = set(hanging)
    whole, core, merged = _in_series(links, [number for number in range(len(links)) if number not in gone], reference)
    kept = list(dict.fromkeys(node for number in core for node in (whole[number].start, whole[number].end)))
    if len(kept) + sum(1 for number in core if whole[number].is_fixed) > MOST_NODES:
        raise TooLarge(f"{len(kept)} nodes")
    islands = _islands(links)
    zeros = _zeros(kept, islands, reference)
    place = {node: number for number, node in enumerate(node for node in kept if node not in zeros)}
    return _Shape(tuple(whole), tuple(hanging), tuple(merged), tuple(core), place, frozenset(zeros), islands)


def _set_aside(links: Sequence[_Link], reference: str) -> list[int]:
    """The branches that lead to a dead end, in the order in which they fall away."""
    at: dict[str, dict[int, None]] = {}
    for number, link in enumerate(links):
        at.setdefault(link.start, {})[number] = None
        at.setdefault(link.end, {})[number] = None
    hanging: list[int] = []
    waiting = [node for node, found in at.items() if len(found) == 1 and node != reference]
    while waiting:
        node = waiting.pop()
        if len(at[node]) != 1:
            continue
        number = next(iter(at[node]))
        hanging.append(number)
        for end in (links[number].start, links[number].end):
            del at[end][number]
            if len(at[end]) == 1 and end != reference:
                waiting.append(end)
    return hanging


def _in_series(links: Sequence[_Link], circulating: Sequence[int], reference: str) -> tuple[list[_Link], list[int], list[_Merged]]:
    """All links with one more for each two taken as one, the numbers of those that are left to be solved, and the pairs."""
    whole, merged = list(links), list[_Merged]()
    at: dict[str, dict[int, None]] = {}
    for number in circulating:
        at.setdefault(links[number].start, {})[number] = None
        at.setdefault(links[number].end, {})[number] = None
    waiting = list(at)
    while waiting:
        node = waiting.pop()
        if node == reference or len(at[node]) != 2 or any(whole[number].is_fixed for number in at[node]):
            continue
        first, second = at[node]
        comes, goes = whole[first].end == node, whole[second].start == node
        start = whole[first].start if comes else whole[first].end
        end = whole[second].end if goes else whole[second].start
        if start == end or node in (start, end):
            continue
        new = len(whole)
        whole.append(_Link(start, end, False))
        merged.append(_Merged(first, second, node, 1 if comes else -1, 1 if goes else -1))
        for outer, part in ((start, first), (end, second)):
            del at[outer][part]
            at[outer][new] = None
        at[node] = {}
    return whole, list(dict.fromkeys(number for found in at.values() for number in found)), merged


def _take_apart(shape: _Shape, ohms: Sequence[complex], sources: Sequence[complex], volts: dict[str, complex], amperes: dict[int, complex]) -> None:
    """The voltages and currents inside branches that stand for two; what was merged last is taken apart first."""
    given = len(shape.links) - len(shape.merged)
    for number, pair in reversed(list(enumerate(shape.merged, given))):
        current = amperes[number]
        volts[pair.between] = volts[shape.links[number].start] + pair.first_sign * sources[pair.first] - ohms[pair.first] * current
        amperes[pair.first], amperes[pair.second] = pair.first_sign * current, pair.second_sign * current


def _hang(shape: _Shape, sources: Sequence[complex], volts: dict[str, complex]) -> None:
    """The voltages of what carries no current: those of where it hangs, a source on the way added. What fell last hangs nearest."""
    for number in reversed(shape.hanging):
        link = shape.links[number]
        if link.start not in volts:
            volts[link.start] = volts.setdefault(link.end, 0j) - sources[number]
        else:
            volts[link.end] = volts[link.start] + sources[number]


def _islands(links: Iterable[_Link]) -> dict[str, int]:
    onward: dict[str, list[str]] = {}
    for link in links:
        onward.setdefault(link.start, []).append(link.end)
        onward.setdefault(link.end, []).append(link.start)
    found: dict[str, int] = {}
    number = 0
    for node in onward:
        if node in found:
            continue
        reached = [node]
        while reached:
            here = reached.pop()
            if here not in found:
                found[here] = number
                reached.extend(onward[here])
        number += 1
    return found


def _zeros(nodes: Sequence[str], islands: dict[str, int], reference: str) -> set[str]:
    """The node of each island that counts as zero volts."""
    zeros: dict[int, str] = {}
    for node in nodes:
        zeros.setdefault(islands[node], node)
    if reference in nodes:
        zeros[islands[reference]] = reference
    return set(zeros.values())


def _solve_core(shape: _Shape, ohms: Sequence[complex], sources: Sequence[complex]) -> tuple[dict[str, complex], dict[int, complex]]:
    """Kirchhoff's current law at every node but the zeros, and Ohm's law for every branch that fixes a voltage."""
    import numpy as np  # slow to import, and most questions need no net

    place, links = shape.place, shape.links
    fixed = [number for number in shape.core if links[number].is_fixed]
    size = len(place) + len(fixed)
    matrix = np.zeros((size, size), dtype=complex)
    right = np.zeros(size, dtype=complex)
    for number in shape.core:
        link = links[number]
        if link.is_fixed:
            continue
        start, end = place.get(link.start), place.get(link.end)
        siemens = 1 / ohms[number]
        for here, there, sign in ((start, end, 1), (end, start, -1)):
            if here is not None:
                matrix[here, here] += siemens
                right[here] -= sign * siemens * sources[number]
                if there is not None:
                    matrix[here, there] -= siemens
    for row, number in enumerate(fixed, len(place)):
        for node, sign in ((place.get(links[number].start), 1), (place.get(links[number].end), -1)):
            if node is not None:
                matrix[node, row] += sign
                matrix[row, node] += sign
        right[row] = -sources[number]
    try:
        found = np.linalg.solve(matrix, right) if size else right
    except np.linalg.LinAlgError as error:
        raise ValueError("branches without ohms run in a circle") from error
    volts = {**dict.fromkeys(shape.zeros, 0j), **{node: complex(found[row]) for node, row in place.items()}}
    amperes = {n: (volts[links[n].start] - volts[links[n].end] + sources[n]) / ohms[n] for n in shape.core if not links[n].is_fixed}
    amperes.update({number: complex(found[row]) for row, number in enumerate(fixed, len(place))})
    return volts, amperes
