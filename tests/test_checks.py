"""A book with a fault is refused: file, line, what was expected, and the nearest name."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from faultpath.book.checks import faults
from faultpath.book.loader import BrokenBook, book_root, read_book

KEY = "service-disconnects-few-grouped-and-apart"
RULE = f"shapes/services/{KEY}"
TEXT, RECORD = f"{RULE}/2020.ttl", f"{RULE}/rule.ttl"
PATH, MEMBERS = "sh:path    inst:mainsInCompartments", "sh:in      ( true )"
GROUP = "sh:and     ( was:six-mains-at-most was:six-service-disconnects-at-most was:alone-or-grouped :mains-have-compartments )"
OTHER = ":few-grouped-and-apart a sh:NodeShape ;"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("book")
    for folder in ("ontology", "shapes"):
        shutil.copytree(book_root() / folder, root / folder, ignore=shutil.ignore_patterns("cases", "houses"))
    return root


@pytest.fixture
def edited(copy: Path) -> Iterator[Path]:
    kept = {name: (copy / name).read_text() for name in (TEXT, RECORD)}
    yield copy
    for name, text in kept.items():
        (copy / name).write_text(text)


def command(api: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command line of the package in a folder."""
    environment = {**os.environ, "PYTHONPATH": str(api)}
    return subprocess.run([sys.executable, "-m", "faultpath", *arguments], capture_output=True, text=True, check=False, env=environment)


def test_the_book_has_no_fault() -> None:
    assert faults(read_book(book_root())) == []


@pytest.mark.parametrize(
    ("name", "old", "new", "said", "near"),
    [
        (TEXT, PATH, "sh:path    inst:mainsInCompartment", "'mainsInCompartment' is not defined", "mainsInCompartments"),
        (TEXT, PATH, "sh:path    inst:lengthFeet", "lengthFeet is no property of a DisconnectingEquipment", None),
        (TEXT, PATH, "sh:path    [ sh:alternativePath ( inst:mainsInCompartments inst:location ) ]", "is not read", None),
        (TEXT, PATH, "sh:path    [ sh:zeroOrMorePath inst:mainsInCompartments ]", "is not read", None),
        (TEXT, PATH, "sh:path    [ sh:inversePath inst:mainsInCompartments ]", "is not read", None),
        (TEXT, PATH, "sh:path    inst:mainsInCompartments , inst:location", "has 2 of sh:path", None),
        (TEXT, PATH + " ;", "", "has 0 of sh:path", None),
        (TEXT, MEMBERS, "sh:in      ( )", "no list with something in it", None),
        (TEXT, MEMBERS, "sh:in      ( 1 )", "1 is no value", None),
        (TEXT, MEMBERS, "sh:in      ( true false )", "cannot fail", None),
        (TEXT, MEMBERS, "sh:minCount 0", "cannot fail", None),
        (TEXT, MEMBERS, "sh:hasValue 10000.0", "10000.0 is no value", None),
        (TEXT, MEMBERS, "sh:minLength 1", "uses sh:minLength", None),
        (TEXT, MEMBERS, "sh:in      ( true ) ; sh:minCount 1", "has 2 constraints", None),
        (TEXT, MEMBERS, "sh:lessThanOrEquals inst:location", "compares what is no number", None),
        (TEXT, 'sh:message "Several mains share the enclosure."@en', 'rdfs:comment "none"', "has 0 of sh:message", None),
        (TEXT, GROUP, "sh:or      ( )", "no list with something in it", None),
        (TEXT, GROUP, GROUP.replace(":mains-have-compartments", ":mains-have-compartment"), "No shape is called", "mains-have-compartments"),
        (TEXT, GROUP, "sh:not :mains-have-compartments , was:alone-or-grouped", "has 2 of sh:not", None),
        (TEXT, GROUP, GROUP.replace(":mains-have-compartments", ":few-grouped-and-apart"), "leads back to a shape", None),
        (TEXT, ":mains-have-compartments a sh:PropertyShape", ":mains-have-compartments a sh:PropertyShape , code:Outside", "inside another", None),
        (TEXT, OTHER, OTHER + " rdfs:seeAlso inst:Rodd ;", "'Rodd' is not defined", "Rod"),
        (TEXT, "inst:DisconnectingEquipment", "inst:DisconectingEquipment", "'DisconectingEquipment' is not defined", "DisconnectingEquipment"),
        (TEXT, "sh:targetClass inst:DisconnectingEquipment ;", "", "has 0 of sh:targetClass", None),
        (TEXT, "sh:targetClass inst:DisconnectingEquipment", "sh:targetClass inst:DisconnectingEquipment , inst:Panelboard", "has 2 of sh:targetClass", None),
        (TEXT, "a sh:PropertyShape ;", "a sh:PropertyShape", "dot is expected", None),
        (RECORD, "code:Verified", "code:Verifed", "'Verifed' is not defined", "Verified"),
        (RECORD, "code:standing  code:Verified", "code:standing  code:UtilityInvolved", "UtilityInvolved is no standing", None),
        (RECORD, "edition:2023", "edition:2022", "'2022' is not an edition", "2026"),
        (
            RECORD,
            "<service-disconnects-few-grouped-and-apart/2020#mains-have-compartments>",
            "<service-disconnects-few-grouped-and-apart/2020#x>",
            "No condition",
            None,
        ),
        (RECORD, "code:why ", "code:whys ", "'whys' is not defined", "why"),
    ],
)
def test_a_fault_is_told_with_file_and_line(edited: Path, name: str, old: str, new: str, said: str, near: str | None) -> None:
    text = (edited / name).read_text()
    assert old in text
    (edited / name).write_text(text.replace(old, new))
    try:
        found = faults(read_book(edited))
    except BrokenBook as broken:
        found = list(broken.problems)
    matching = [problem for problem in found if said in problem.found]
    assert matching, found
    first = text[: text.index(old)].count("\n") + 1
    where, _, line = matching[0].pointer.rpartition(", line ")
    assert where == name
    # The line of the fault, or of the shape that lacks something.
    assert first - 8 <= int(line) <= first + 8
    assert matching[0].expected.endswith(".")
    if near:
        assert matching[0].nearest == near


def test_the_command_lists_faults_and_refuses(edited: Path) -> None:
    def run() -> subprocess.CompletedProcess[str]:
        return command(book_root() / "api", "check-book", str(edited))

    sound = run()
    assert (sound.returncode, sound.stderr) == (0, "")
    (edited / TEXT).write_text((edited / TEXT).read_text().replace("inst:mainsInCompartments", "inst:mainsInCompartment"))
    broken = run()
    assert broken.returncode == 2
    assert broken.stdout == ""
    assert f"At {TEXT}, line 22: 'mainsInCompartment' is not defined. Expected a term of the ontology. Nearest: mainsInCompartments." in broken.stderr


def test_a_new_rule_passes_its_own_trial(tmp_path: Path) -> None:
    """In a copy of the checkout, by the two commands alone."""
    for folder in ("api", "ontology", "shapes"):
        shutil.copytree(book_root() / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))

    made = command(tmp_path / "api", "new-rule", "services", "equipment-is-listed-here", "--edition", "2020")
    assert made.returncode == 0, made.stderr
    assert len(made.stdout.splitlines()) == 5
    tried = command(tmp_path / "api", "test-rule", "equipment-is-listed-here")
    assert (tried.returncode, tried.stdout) == (0, "equipment-is-listed-here: 3 cases in 3 judgements, 1 conditions.\nAll of it as expected.\n"), tried.stderr
    text = tmp_path / "shapes/services/equipment-is-listed-here/2020.ttl"
    text.write_text(text.read_text().replace("inst:listed ;", "inst:field-evaluated ;"))
    broken = command(tmp_path / "api", "test-rule", "equipment-is-listed-here")
    assert broken.returncode == 1
    assert "holds-panel-is-listed.json: Under 2020 it comes to fails. Expected holds." in broken.stdout
