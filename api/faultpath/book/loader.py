"""The loader of the book: finds `ontology/` and `shapes/`, reads them, and digests them.

The only module that reads the disk for the book. Beside the package in a wheel, two levels up in a checkout.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pyoxigraph as ox

from faultpath.base.problems import Problem
from faultpath.base.terms import BASE, RULES
from faultpath.base.triples import Graph, parse


@dataclass(frozen=True)
class LoadedBook:
    """Everything that the book says, as read from the disk.

    `ontology` and `shapes` are merged graphs; `files` maps the path of every other file, relative to the book, to its
    text; `turtle` does so for the Turtle files; `digest` is a SHA-256 over all of them.
    """

    ontology: Graph
    shapes: Graph
    files: dict[str, str]
    turtle: dict[str, str]
    digest: str

    def file_of(self, subject: str) -> str:
        """The Turtle file that describes a subject, by the IRI or the blank node that stands for it; empty if none does."""
        if subject.startswith("_:file"):
            return list(self.turtle)[int(subject.removeprefix("_:file").split("-")[0]) - 1]
        return next((name for name in self.turtle if base_of(name) == subject.split("#")[0]), "")


class BrokenBook(Exception):
    """A book that cannot be judged by. The pointers of its `problems` are file and line."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(f"{p.pointer}: {p.found} {p.expected}" for p in self.problems))


def book_root() -> Path:
    """The folder that holds `ontology/` and `shapes/`. Raises FileNotFoundError if there is none."""
    here = Path(__file__).resolve().parent.parent
    for root in (here, here.parent.parent):
        if (root / "ontology").is_dir() and (root / "shapes").is_dir():
            return root
    raise FileNotFoundError("no ontology/ and shapes/ beside the package or two levels above it")


def base_of(path: str) -> str:
    """The base IRI of a Turtle file of the book: a rule's key carries no chapter, so a rule can move between chapters."""
    parts = path.removesuffix(".ttl").split("/")
    if parts[0] == "shapes" and len(parts) > 3 and parts[1] != "tables":
        if parts[1] in ("practices", "amendments") and parts[-1] != "rule":
            return BASE + "/".join(parts[1:] if parts[-1] not in ("practice", "amendment") else parts[1:-1])
        if parts[1] == "amendments":
            return RULES + parts[3]
        if parts[3] == "rule":
            return RULES + parts[2]
        return RULES + "/".join(parts[2:])
    return BASE + "/".join(parts[1:])


@cache
def load_book() -> LoadedBook:
    """The book that comes along, read once. Raises BrokenBook."""
    return read_book(book_root())


def read_book(root: Path) -> LoadedBook:
    """A book from the folder that holds `ontology/` and `shapes/`. Raises BrokenBook for Turtle that cannot be read.

    Cases are evidence about rules, not rules: they are left out.
    """
    ontology, shapes = Graph(), Graph()
    files: dict[str, str] = {}
    turtle: dict[str, str] = {}
    broken: list[Problem] = []
    digest = hashlib.sha256()
    for folder in ("ontology", "shapes"):
        for path in sorted((root / folder).rglob("*")):
            if not path.is_file() or path.suffix not in {".ttl", ".rq", ".csv", ".json"}:
                continue
            name = path.relative_to(root).as_posix()
            data = path.read_bytes()
            if "/cases/" in name:
                continue
            digest.update(name.encode() + b"\0" + hashlib.sha256(data).digest())
            if path.suffix != ".ttl":
                files[name] = data.decode()
                continue
            turtle[name] = data.decode()
            target = ontology if folder == "ontology" else shapes
            try:
                read = parse(data, ox.RdfFormat.TURTLE, base_of(name))
            except SyntaxError as error:
                broken.append(Problem(f"{name}, line {error.lineno}", f"{str(error.msg).split(': ', 1)[-1]}.", "Expected Turtle."))
                continue
            for subject, predicate, obj in read:
                target.add((_apart(subject, len(turtle)), predicate, _apart(obj, len(turtle)) if isinstance(obj, str) else obj))
    if broken:
        raise BrokenBook(broken)
    return LoadedBook(ontology, shapes, files, turtle, digest.hexdigest())


def _apart(term: str, number: int) -> str:
    """Keep blank nodes of different files apart when their graphs are merged."""
    return f"_:file{number}-{term[2:]}" if term.startswith("_:") else term
