"""The folder of a new rule, to be filled in: it passes its own trial from the start, so that each edit shows what it breaks."""

import json
import re

from faultpath.base.problems import BadInput, Problem
from faultpath.base.terms import RULES

KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")
_PREFIXES = """@prefix :        <#> .
@prefix code:    <https://w3id.org/faultpath/rulebook#> .
@prefix dct:     <http://purl.org/dc/terms/> .
@prefix edition: <https://w3id.org/faultpath/editions/> .
@prefix inst:    <https://w3id.org/faultpath/installation#> .
@prefix rdfs:    <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh:      <http://www.w3.org/ns/shacl#> .
"""
_RECORD = """# Write what the rule is about.
@base <{iri}> .
{prefixes}
<> a code:Rule ;
    rdfs:label     "{statement}"@en ;
    code:requires  "Write the requirement in your own words."@en ;
    code:why       "Write what happens where it is not met."@en ;
    code:leavesOut "Write what of the section the conditions do not ask, or take this line out."@en ;
    code:citation  [ code:edition edition:{edition} ; code:section "0.0" ] ;
    code:remedy    :mend-it ;
    dct:source     "Write the address of what was read, or a sentence." ;
    code:standing  code:FromMemory .

:mend-it a code:Remedy ;
    rdfs:label  "Write the work that cures it"@en ;
    code:cures  <{key}/{edition}#is-listed> ;
    code:noWork "Write code:work instead where steps can carry it out."@en ;
    code:effort code:WithinEnclosure .
"""
_TEXT = """# Write what the text asks, or what changed since the one before.
@base <{iri}/{edition}> .
{prefixes}
<> a sh:NodeShape , code:Text ;
    code:of        <../{key}> ;
    sh:targetClass inst:DistributionEquipment ;
    sh:property    :is-listed .

:is-listed a sh:PropertyShape ;
    rdfs:label  "The equipment is listed"@en ;
    sh:path     inst:approval ;
    sh:hasValue inst:listed ;
    sh:message  "The equipment is not listed."@en .
"""
# The outcome, the name behind it, what is stated of the panel, and what is expected beside the outcome.
_CASES: tuple[tuple[str, str, str, str | None, dict[str, list[str]]], ...] = (
    ("holds", "panel-is-listed", "The panel is listed.", "listed", {}),
    ("fails", "panel-is-not-listed", "The panel is neither listed nor evaluated.", "neither-listed-nor-evaluated", {"because": ["is-listed"]}),
    ("undecided", "approval-not-known", "Nobody looked at the panel's label.", None, {"asks": ["approval"]}),
)


def blank_rule(chapter: str, key: str, edition: int) -> dict[str, str]:
    """The files of a new rule by path below `shapes/`. Raises BadInput for a key that is no statement in small letters."""
    if not KEY.fullmatch(key):
        expected = "Expected a statement in small letters, such as panel-is-listed: with holds or fails after it, it reads as English."
        raise BadInput([Problem("", f"{key[:80]!r} is no key of a rule.", expected)])
    folder, iri = f"{chapter}/{key}", RULES + key
    words: dict[str, object] = {"iri": iri, "key": key, "edition": edition, "prefixes": _PREFIXES, "statement": key.replace("-", " ").capitalize()}
    files = {f"{folder}/rule.ttl": _RECORD.format(**words), f"{folder}/{edition}.ttl": _TEXT.format(**words)}
    for outcome, name, says, approval, beside in _CASES:
        case = {"says": says, "house": "alder-row", "with": {"panel": {"approval": approval}}, "editions": [edition], "about": "panel", "outcome": outcome}
        files[f"{folder}/cases/{outcome}-{name}.json"] = json.dumps({**case, **beside, "source": "Common practice.", "standing": "memory"}, indent=1) + "\n"
    return files
