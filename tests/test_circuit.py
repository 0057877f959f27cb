"""The solver: worked nets, two other programs on the same nets, and what must hold of every net.

ngspice (Debian) and OpenDSS (PyPI) share no code with ours or with each other.
"""

import cmath
import json
import math
import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultpath.circuit.solver import MOST_NODES, Branch, TooLarge, solve

NETS: list[dict[str, Any]] = json.loads((Path(__file__).parent / "nets.json").read_text())
EARTH = "0"
AGREEMENT = 1e-3


def branches(net: dict[str, Any]) -> list[Branch]:
    return [
        Branch(
            b["name"], b["start"], b["end"], complex(b.get("ohms", 0), b.get("reactance", 0)), cmath.rect(b.get("volts", 0), math.radians(b.get("degrees", 0)))
        )
        for b in net["branches"]
    ]


@pytest.mark.parametrize("net", NETS, ids=lambda net: net["id"])
def test_worked_net(net: dict[str, Any]):
    """Hand algebra gives these values; each net says by which formula."""
    found = solve(branches(net), EARTH)
    assert net["source"]
    for expected in net["expects"]:
        value = found.amperes[expected["amperes"]] if "amperes" in expected else found.between(*expected["volts"])
        assert value is not None
        assert abs(value) == pytest.approx(expected["is"], rel=5e-5, abs=1e-6)
        if "degrees" in expected:
            assert math.degrees(cmath.phase(value)) == pytest.approx(expected["degrees"], abs=0.01)


def agrees(found: complex, other: complex, scale: float) -> bool:
    return abs(found - other) <= AGREEMENT * max(abs(other), AGREEMENT * scale)


# ngspice


def spice_netlist(net: Sequence[Branch]) -> str:
    """The net at 60 Hz; every branch is a resistor and, where it has reactance, an inductor behind it."""
    lines = ["* a net"]
    for number, branch in enumerate(net):
        start, end = (f"n_{node}" if node != EARTH else "0" for node in (branch.start, branch.end))
        if branch.volts:
            source = f"m{number}" if branch.ohms else start
            lines.append(f"V{number} {end} {source} dc 0 ac {abs(branch.volts):.12g} {math.degrees(cmath.phase(branch.volts)):.12g}")
            if not branch.ohms:
                continue
            end = source
        middle = f"x{number}" if branch.ohms.imag else end
        lines.append(f"R{number} {start} {middle} {max(branch.ohms.real, 1e-9):.12g}")
        if branch.ohms.imag:
            lines.append(f"L{number} {middle} {end} {branch.ohms.imag / (2 * math.pi * 60):.12g}")
    nodes = sorted({node for branch in net for node in (branch.start, branch.end)} - {EARTH})
    prints = [f"print v(n_{node})" for node in nodes]
    return "\n".join([*lines, ".ac lin 1 60 60", ".control", "set numdgt=12", "run", *prints, ".endc", ".end", ""])


def spice_volts(net: Sequence[Branch], folder: Path) -> dict[str, complex]:
    (folder / "net.cir").write_text(spice_netlist(net))
    done = subprocess.run(["ngspice", "-b", "net.cir"], cwd=folder, capture_output=True, text=True, check=False)
    number = r"([-+]?\d[-+.\deE]*)"
    return {node: complex(float(re_), float(im)) for node, re_, im in re.findall(rf"v\(n_(\w+)\) = {number},{number}", done.stdout)}


@pytest.mark.parametrize("net", NETS, ids=lambda net: net["id"])
def test_ngspice_agrees(net: dict[str, Any], tmp_path: Path):
    assert shutil.which("ngspice"), "install the Debian package ngspice; .ci/run does"
    ours = branches(net)
    found, theirs = solve(ours, EARTH), spice_volts(ours, tmp_path)
    nodes = {node for branch in ours for node in (branch.start, branch.end)} - {EARTH}
    assert set(theirs) == nodes
    scale = max(map(abs, theirs.values()))
    for node in nodes:
        assert agrees(found.volts[node], theirs[node], scale), (node, found.volts[node], theirs[node])


# OpenDSS


def dss_volts(net: Sequence[Branch]) -> dict[str, complex]:
    import opendssdirect as dss

    def bus(node: str) -> str:
        return "b.0" if node == EARTH else f"b_{node}.1"

    dss.Text.Command("clear")
    # A circuit must have a source of its own; this one feeds nothing.
    dss.Text.Command("new circuit.c bus1=aside.1 bus2=aside.0 phases=1 basekv=0.12 pu=1 angle=0 r1=1 x1=1e-9 r0=1 x0=1e-9")
    for number, branch in enumerate(net):
        if branch.volts:
            where = f"bus1={bus(branch.end)} bus2={bus(branch.start)}"
            size = f"basekv={abs(branch.volts) / 1000:.12g} pu=1 angle={math.degrees(cmath.phase(branch.volts)):.12g} frequency=60"
            dss.Text.Command(f"new vsource.v{number} {where} phases=1 {size} r1=1e-9 x1=1e-9 r0=1e-9 x0=1e-9")
        else:
            dss.Text.Command(
                f"new reactor.z{number} phases=1 bus1={bus(branch.start)} bus2={bus(branch.end)} r={branch.ohms.real:.12g} x={branch.ohms.imag:.12g}"
            )
    dss.Text.Command("set maxiterations=100 tolerance=1e-9")
    dss.Text.Command("solve mode=snap")
    found = {}
    for node in {node for branch in net for node in (branch.start, branch.end)} - {EARTH}:
        dss.Circuit.SetActiveBus(f"b_{node}")
        real, imaginary = dss.Bus.Voltages()[:2]
        found[node] = complex(real, imaginary)
    return found


@pytest.mark.parametrize("net", NETS, ids=lambda net: net["id"])
def test_opendss_agrees(net: dict[str, Any]):
    ours = branches(net)
    found, theirs = solve(ours, EARTH), dss_volts(ours)
    scale = max(map(abs, theirs.values()))
    for node, volts in theirs.items():
        assert agrees(found.volts[node], volts, scale), (node, found.volts[node], volts)


# What holds of every net


OHMS = st.builds(complex, st.floats(1e-3, 1e3), st.floats(0, 10))


@st.composite
def nets(draw: st.DrawFn) -> list[Branch]:
    """A few nodes, branches between any two of them, some with a source in series; loops, dead ends and islands come by themselves."""
    nodes = [EARTH, *"abcdefgh"][: draw(st.integers(2, 9))]
    found = []
    for number in range(draw(st.integers(1, 16))):
        start, end = draw(st.permutations(nodes))[:2]
        volts = draw(st.sampled_from((0, 0, 0, 120, -120, 120j)))
        found.append(Branch(f"z{number}", start, end, draw(OHMS), volts))
    return found


@given(nets())
def test_current_is_conserved(net: list[Branch]):
    """Kirchhoff's current law at every node, and his voltage law with Ohm's along every branch."""
    found = solve(net, EARTH)
    largest = max(abs(amperes) for amperes in found.amperes.values())
    for node in {node for branch in net for node in (branch.start, branch.end)}:
        arriving = sum(found.amperes[b.name] * ((b.end == node) - (b.start == node)) for b in net)
        assert abs(arriving) <= 1e-8 * max(largest, 1)
    for branch in net:
        drop = found.volts[branch.start] - found.volts[branch.end] + branch.volts
        assert abs(drop - branch.ohms * found.amperes[branch.name]) <= 1e-8 * 120


@given(nets())
def test_power_is_conserved(net: list[Branch]):
    """Tellegen: what the sources give is what the impedances take, and no resistance gives power."""
    found = solve(net, EARTH)
    given_ = sum(branch.volts * found.amperes[branch.name].conjugate() for branch in net)
    taken = sum(branch.ohms * abs(found.amperes[branch.name]) ** 2 for branch in net)
    assert abs(given_ - taken) <= 1e-8 * max(abs(taken), 1)
    assert taken.real >= 0


@given(nets(), st.sampled_from((2, 0.5, -1)))
def test_the_net_is_linear(net: list[Branch], factor: float):
    scaled = [Branch(b.name, b.start, b.end, b.ohms, b.volts * factor) for b in net]
    one, other = solve(net, EARTH), solve(scaled, EARTH)
    assert all(abs(other.amperes[name] - factor * amperes) < 1e-6 for name, amperes in one.amperes.items())


def test_dead_ends_carry_nothing_and_take_the_voltage_of_where_they_hang():
    found = solve([Branch("v", "0", "a", 0, 120), Branch("r", "a", "0", 10), Branch("tail", "a", "b", 5), Branch("battery", "b", "c", 1, 9)], EARTH)
    assert found.amperes["tail"] == found.amperes["battery"] == 0
    assert found.volts["b"] == found.volts["a"]
    assert found.volts["c"] == pytest.approx(129)


def test_nothing_is_said_of_the_voltage_between_islands():
    found = solve([Branch("r", "a", "0", 1), Branch("s", "c", "d", 1, 12)], EARTH)
    assert found.between("a", "c") is None
    assert found.between("a", "nowhere") is None
    assert found.between("d", "c") == pytest.approx(12)


def test_a_circle_without_ohms_is_refused():
    with pytest.raises(ValueError, match="circle"):
        solve([Branch("one", "a", "0", 0, 120), Branch("two", "a", "0", 0, 120)], EARTH)


def test_a_net_that_is_too_large_is_refused_and_a_tree_of_any_size_is_not():
    chain = [Branch(f"z{n}", str(n), str(n + 1), 1) for n in range(MOST_NODES + 10)]
    assert solve(chain, EARTH).unknowns == 0
    ring = solve([*chain, Branch("back", str(MOST_NODES + 10), EARTH, 1, 120)], EARTH)
    assert ring.unknowns < 5, "one behind the other counts as one"
    assert abs(ring.amperes["z7"]) == pytest.approx(120 / (MOST_NODES + 11))
    ladder = [*chain, *(Branch(f"rung{n}", str(n), EARTH, 1) for n in range(1, MOST_NODES + 10))]
    with pytest.raises(TooLarge):
        solve(ladder, EARTH)
