"""Main bonding jumpers by the supply-side table, and one eighth of the area above it.

Source: NFPA 70, Table 250.102(C)(1) with its notes (before 2014 Table 250.66 with the 12.5 percent text); the areas are
recomputed here by hand from the circular mils of Chapter 9 Table 8. Worked values such as 250 kcmil for four sets of
500 kcmil copper circulate in code digests; standing partly.
"""

import pytest

from faultpath.base.terms import INST
from faultpath.derivation.run import derive
from faultpath.document.installation import iri_of, read_document


def required(size: str, sets: int, material: str, jumper: str) -> tuple[object, object]:
    """The required area and size of a wire-type main bonding jumper at a panel fed by these conductors."""
    document = {
        "id": "invented-shop",
        "sources": [{"id": "utility", "kind": "utility"}],
        "equipment": [
            {
                "id": "panel",
                "kind": "panelboard",
                "disconnect": {"designation": "service-disconnect"},
                "bonds": [{"id": "jumper", "kind": "main-bonding-jumper", "form": "wire", "material": jumper, "from": "grounded-bar", "to": "frame"}],
            }
        ],
        "runs": [
            {
                "id": "service",
                "from": "utility",
                "to": "panel",
                "parallelSets": sets,
                "conductors": [{"role": "ungrounded", "count": 3, "size": size, "material": material}],
            }
        ],
    }
    graph = derive(read_document(document).graph, 2023).graph
    return graph.value(iri_of("jumper"), INST + "requiredAreaCircularMils"), graph.value(iri_of("jumper"), INST + "requiredSize")


@pytest.mark.parametrize(
    ("size", "sets", "material", "jumper", "area", "expected"),
    [
        ("2 AWG", 1, "copper", "copper", 16510, "8-AWG"),
        ("1/0 AWG", 1, "aluminum", "copper", 16510, "8-AWG"),
        ("2/0 AWG", 1, "aluminum", "copper", 26240, "6-AWG"),
        ("250 kcmil", 1, "copper", "copper", 66360, "2-AWG"),
        ("3/0 AWG", 2, "copper", "copper", 66360, "2-AWG"),
        ("3/0 AWG", 2, "copper", "aluminum", 105600, "1/0-AWG"),
        ("250 kcmil", 3, "copper", "copper", 133100, "2/0-AWG"),
        ("500 kcmil", 2, "aluminum", "copper", 133100, "2/0-AWG"),
        ("400 kcmil", 3, "copper", "copper", 150000, "3/0-AWG"),
        ("500 kcmil", 4, "copper", "copper", 250000, "250-kcmil"),
        ("400 kcmil", 5, "copper", "copper", 250000, "250-kcmil"),
        ("600 kcmil", 5, "copper", "copper", 375000, "400-kcmil"),
        ("600 kcmil", 10, "copper", "copper", 750000, "750-kcmil"),
    ],
)
def test_a_main_bonding_jumper_has_the_size_of_the_table(size: str, sets: int, material: str, jumper: str, area: int, expected: str) -> None:
    assert required(size, sets, material, jumper) == (area, INST + expected)


@pytest.mark.parametrize(
    ("size", "sets", "material", "jumper", "area", "expected"),
    [
        ("900 kcmil", 2, "aluminum", "copper", 175000, "4/0-AWG"),  # 425 A: 700 kcmil copper
        ("600 kcmil", 3, "aluminum", "copper", 187500, "4/0-AWG"),  # 340 A: 500 kcmil copper
        ("400 kcmil", 3, "copper", "aluminum", 225000, "250-kcmil"),  # 335 A: 600 kcmil aluminum
    ],
)
def test_mixed_metals_above_the_table_are_sized_by_equal_ampacity(size: str, sets: int, material: str, jumper: str, area: int, expected: str) -> None:
    """The supply is replaced by one of the jumper's metal that carries as much at 75 degrees; the ampacities are NFPA 70, Table 310.16."""
    assert required(size, sets, material, jumper) == (area, INST + expected)
