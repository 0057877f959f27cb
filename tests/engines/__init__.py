"""SHACL engines that we did not write and that are not the reference: what each finds on a graph, by shapes of the book.

`shacl` is written in Rust and comes from PyPI, `rdf-validate-shacl` is written in JavaScript and comes from npm.
"""

import json
import subprocess
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

import pyoxigraph as ox
import shacl

from faultpath.base.triples import Graph, serialize
from faultpath.book.rules import as_shapes
from faultpath.judging.reference import attributed

HERE = Path(__file__).parent


@cache
def _written(texts: frozenset[str]) -> str:
    return serialize(as_shapes(sorted(texts)), ox.RdfFormat.N_TRIPLES)


@cache
def _compiled(texts: frozenset[str]) -> shacl.Shapes:
    return shacl.Shapes.from_text(_written(texts), format="ntriples")


def rust_pairs(graph: Graph, texts: frozenset[str]) -> frozenset[tuple[str, str]]:
    """The failing (text, node) pairs that the engine in Rust finds."""
    report = _compiled(texts).validate_text(serialize(graph, ox.RdfFormat.N_TRIPLES), format="ntriples")
    return attributed(((r.focus_node.strip("<>"), (r.source_shape or "").strip("<>")) for r in report.results), texts)


def javascript_pairs(asked: Sequence[tuple[Graph, frozenset[str]]]) -> list[frozenset[tuple[str, str]]]:
    """The failing (text, node) pairs that the engine in JavaScript finds, for each graph and set of texts, in one process."""
    if not (HERE / "node_modules").is_dir():
        subprocess.run(["npm", "install", "--silent", "--no-audit", "--no-fund"], cwd=HERE, check=True)
    done = subprocess.run(["node", "validate.mjs"], cwd=HERE, input="".join(_lines(asked)), capture_output=True, text=True, check=True)
    found = [json.loads(line) for line in done.stdout.splitlines()]
    return [attributed([(node, shape) for node, shape in pairs], texts) for pairs, (_, texts) in zip(found, asked, strict=True)]


def _lines(asked: Iterable[tuple[Graph, frozenset[str]]]) -> Iterable[str]:
    told: frozenset[str] | None = None
    for graph, texts in asked:
        if texts != told:
            yield json.dumps({"shapes": _written(texts)}) + "\n"
            told = texts
        yield json.dumps({"data": serialize(graph, ox.RdfFormat.N_TRIPLES)}) + "\n"
