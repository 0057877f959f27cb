"""A net of impedances and sources at one frequency, solved by modified nodal analysis.

Phasors are complex root-mean-square values. A branch leads from `start` to `end`; its current is counted that way, and

    V(start) - V(end) + volts = ohms * amperes

so a branch with volts is a source that drives current out of its end. A branch without ohms fixes a voltage; its current
is an unknown of its own. Before the matrix is built, dead ends are set aside, because they carry no current, and branches
one behind the other are taken as one, because they carry the same; both are put back exactly.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

MOST_NODES = 600
# No name of a branch begins like this.
_SERIES = "\0"


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


def solve(branches: Sequence[Branch], reference: str) -> Solution:
    """Voltages and currents of a net.

    `reference` is the zero of its island; any other island takes its first node. Raises TooLarge, and ValueError where
    branches without ohms run in a circle, so that nothing fixes their currents.
    """
    nodes = list(dict.fromkeys(node for branch in branches for node in (branch.start, branch.end)))
    circulating, hanging = _set_aside(branches, reference)
    core, merged = _in_series(circulating, reference)
    kept = list(dict.fromkeys(node for branch in core for node in (branch.start, branch.end)))
    unknowns = len(kept) + sum(1 for branch in core if branch.ohms == 0)
    if unknowns > MOST_NODES:
        raise TooLarge(f"{len(kept)} nodes")
    islands = _islands(nodes, branches)
    zeros = _zeros(kept, islands, reference)
    volts, amperes = _solve_core(core, kept, zeros)
    _take_apart(merged, volts, amperes)
    if reference in islands:
        volts.setdefault(reference, 0j)
    _hang(hanging, volts)
    return Solution(volts, {branch.name: amperes.get(branch.name, 0j) for branch in branches}, islands, unknowns)


def _set_aside(branches: Sequence[Branch], reference: str) -> tuple[list[Branch], list[Branch]]:
    """The branches that can carry current, and those that lead to a dead end, in the order in which they fall away."""
    at: dict[str, dict[int, None]] = {}
    for number, branch in enumerate(branches):
        at.setdefault(branch.start, {})[number] = None
        at.setdefault(branch.end, {})[number] = None
    hanging: list[int] = []
    waiting = [node for node, found in at.items() if len(found) == 1 and node != reference]
    while waiting:
        node = waiting.pop()
        if len(at[node]) != 1:
            continue
        number = next(iter(at[node]))
        hanging.append(number)
        branch = branches[number]
        for end in (branch.start, branch.end):
            del at[end][number]
            if len(at[end]) == 1 and end != reference:
                waiting.append(end)
    gone = set(hanging)
    return [b for n, b in enumerate(branches) if n not in gone], [branches[n] for n in hanging]


class _Merged(NamedTuple):
    """A branch that stands for two, one leading on from the other; the signs say which of them were turned round for it."""

    whole: Branch
    first: Branch
    second: Branch
    first_sign: int
    second_sign: int


def _turned(branch: Branch, start: str) -> Branch:
    """The branch as it leads away from one of its nodes."""
    return branch if branch.start == start else Branch(branch.name, branch.end, branch.start, branch.ohms, -branch.volts)


def _in_series(branches: Sequence[Branch], reference: str) -> tuple[list[Branch], list[_Merged]]:
    """The branches with those one behind the other taken as one, and each such one with the two that it stands for."""
    at: dict[str, dict[str, Branch]] = {}
    for branch in branches:
        at.setdefault(branch.start, {})[branch.name] = branch
        at.setdefault(branch.end, {})[branch.name] = branch
    merged: list[_Merged] = []
    waiting = list(at)
    while waiting:
        node = waiting.pop()
        if node == reference or len(at[node]) != 2 or any(branch.ohms == 0 for branch in at[node].values()):
            continue
        one, other = at[node].values()
        first, second = _turned(one, one.end if one.start == node else one.start), _turned(other, node)
        if first.start == second.end or node in (first.start, second.end):
            continue
        whole = Branch(f"{_SERIES}{len(merged)}", first.start, second.end, first.ohms + second.ohms, first.volts + second.volts)
        merged.append(_Merged(whole, first, second, 1 if first is one else -1, 1 if second is other else -1))
        for end, part in ((first.start, first), (second.end, second)):
            del at[end][part.name]
            at[end][whole.name] = whole
        at[node] = {}
    return list({branch.name: branch for found in at.values() for branch in found.values()}.values()), merged


def _take_apart(merged: Sequence[_Merged], volts: dict[str, complex], amperes: dict[str, complex]) -> None:
    """The voltages and currents inside branches that stand for two; what was merged last is taken apart first."""
    for whole, first, second, first_sign, second_sign in reversed(merged):
        current = amperes[whole.name]
        volts[first.end] = volts[first.start] + first.volts - first.ohms * current
        amperes[first.name], amperes[second.name] = first_sign * current, second_sign * current


def _hang(hanging: Sequence[Branch], volts: dict[str, complex]) -> None:
    """The voltages of what carries no current: those of where it hangs, a source on the way added. What fell last hangs nearest."""
    for branch in reversed(hanging):
        if branch.start not in volts:
            volts[branch.start] = volts.setdefault(branch.end, 0j) - branch.volts
        else:
            volts[branch.end] = volts[branch.start] + branch.volts


def _islands(nodes: Iterable[str], branches: Iterable[Branch]) -> dict[str, int]:
    onward: dict[str, list[str]] = {node: [] for node in nodes}
    for branch in branches:
        onward[branch.start].append(branch.end)
        onward[branch.end].append(branch.start)
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


def _solve_core(core: Sequence[Branch], nodes: Sequence[str], zeros: set[str]) -> tuple[dict[str, complex], dict[str, complex]]:
    """Kirchhoff's current law at every node but the zeros, and Ohm's law for every branch that fixes a voltage."""
    place = {node: number for number, node in enumerate(node for node in nodes if node not in zeros)}
    fixed = [branch for branch in core if branch.ohms == 0]
    size = len(place) + len(fixed)
    matrix = np.zeros((size, size), dtype=complex)
    right = np.zeros(size, dtype=complex)
    for branch in core:
        start, end = place.get(branch.start), place.get(branch.end)
        if branch.ohms == 0:
            continue
        siemens = 1 / branch.ohms
        for here, there, sign in ((start, end, 1), (end, start, -1)):
            if here is not None:
                matrix[here, here] += siemens
                right[here] -= sign * siemens * branch.volts
                if there is not None:
                    matrix[here, there] -= siemens
    for row, branch in enumerate(fixed, len(place)):
        for node, sign in ((place.get(branch.start), 1), (place.get(branch.end), -1)):
            if node is not None:
                matrix[node, row] += sign
                matrix[row, node] += sign
        right[row] = -branch.volts
    try:
        found = np.linalg.solve(matrix, right) if size else right
    except np.linalg.LinAlgError as error:
        raise ValueError("branches without ohms run in a circle") from error
    volts = {**dict.fromkeys(zeros, 0j), **{node: complex(found[number]) for node, number in place.items()}}
    amperes = {branch.name: (volts[branch.start] - volts[branch.end] + branch.volts) / branch.ohms for branch in core if branch.ohms != 0}
    amperes.update({branch.name: complex(found[row]) for row, branch in enumerate(fixed, len(place))})
    return volts, amperes
