"""What there is to draw of an assessed installation: its parts by name, how they hang together, and the findings on each."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from faultpath.answers.findings import Finding, finding_of
from faultpath.base.outcomes import Outcome
from faultpath.base.terms import CARRIES_GROUND, INST, JOINS_FRAME, short
from faultpath.base.triples import Triple
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part, class_of, walk
from faultpath.document.installation import id_of, iri_of
from faultpath.judging.assessment import Assessed

DRAWN = ("sources", "equipment", "runs", "electrodes", "electrodeJoints", "electrodeConductors", "metalBodies", "buildings")


@dataclass(frozen=True)
class Tag:
    """A finding that fails or is undecided, under the number that stands in the picture."""

    number: int
    outcome: Outcome
    about: str
    rule: str
    says: str
    citation: str


@dataclass
class Scene:
    """The parts of one installation, each as its document has it, and what was found about them.

    `owner` leads from any id to the id of the part that is drawn for it; `missing` are the runs that lack an equipment
    grounding conductor where a failing rule asks for it, `wrong` the bonds that a failing rule blames, `open` those that something undecided
    rests on.
    """

    title: str
    edition: str
    parts: dict[str, Part]
    classes: dict[str, str]
    owner: dict[str, str]
    roles: dict[str, str]
    tags: dict[str, list[Tag]] = field(default_factory=dict)
    missing: set[str] = field(default_factory=set)
    wrong: set[str] = field(default_factory=set)
    open: set[str] = field(default_factory=set)

    def verdict(self, bond: str) -> str:
        """What is to be said of a bond beside its kind; nothing where all about it is decided and none of it fails."""
        return "should not be here" if bond in self.wrong else "cannot be decided" if bond in self.open else ""

    def listed(self, key: str) -> list[Part]:
        """The parts of a list of the document."""
        found: list[Part] = self.parts[""].get(key, [])
        return found

    def is_a(self, identifier: str, word: str) -> bool:
        """Whether a part is of a class, by its local name."""
        return vocabulary().is_a(self.classes[identifier], INST + word)

    def kind(self, identifier: str) -> str:
        """What a part is, in trade words."""
        return vocabulary().labels[self.classes[identifier]]

    def outgoing(self, identifier: str) -> list[Part]:
        """The runs that start at a part."""
        return [run for run in self.listed("runs") if run["from"] == identifier]

    def incoming(self, identifier: str) -> list[Part]:
        """The runs that end at a part."""
        return [run for run in self.listed("runs") if run["to"] == identifier]

    def landing(self, identifier: str) -> list[Part]:
        """The electrode conductors that land on a terminal of equipment, from wherever they start."""
        return [conductor for conductor in self.listed("electrodeConductors") if identifier in self.ends(conductor)]

    def onward(self, identifier: str) -> list[Part]:
        """The electrode conductors from an electrode or a joint to another one."""
        return [c for c in self.landing(identifier) if not any(self.is_a(end, "Equipment") for end in self.ends(c) if end in self.classes)]

    def ends(self, conductor: Part) -> tuple[str, str]:
        """The two ends of an electrode conductor: an electrode, a joint, or the equipment that has the terminal."""
        one, other = str(conductor["from"]), str(conductor["to"])
        return self.owner.get(one, one), self.owner.get(other, other)

    def far_end(self, conductor: Part, here: str) -> str:
        """The end of an electrode conductor that is not here."""
        one, other = self.ends(conductor)
        return other if one == here else one

    def all_tags(self) -> list[Tag]:
        """Every tag, by number."""
        return sorted((tag for tags in self.tags.values() for tag in tags), key=lambda tag: tag.number)


def scene(assessed: Assessed) -> Scene:
    """The scene of an assessed installation."""
    document = assessed.installation.document
    parts: dict[str, Part] = {"": document}
    classes: dict[str, str] = {}
    owner: dict[str, str] = {}
    for at, cls, part in walk(document):
        keys = at.strip("/").split("/")
        parts[part["id"]] = part
        classes[part["id"]] = class_of(part, cls)
        above = _above(document, keys)
        owner[part["id"]] = part["id"] if len(keys) < 2 or keys[-2] in DRAWN or keys == [""] else owner.get(above, above)
    graph = assessed.derived.graph
    roles = {}
    for identifier in parts:
        for property_name in ("suppliedAs", "runRole"):
            role = graph.value(iri_of(identifier), INST + property_name) if identifier else None
            if role is not None:
                roles[identifier] = vocabulary().labels[str(role)]
    found = Scene(document.get("title") or document["id"], str(assessed.law.edition), parts, classes, owner, roles)
    _tag(found, assessed)
    _blame(found, assessed)
    return found


def _above(document: Part, keys: list[str]) -> str:
    """The id of the part that a part is written inside of."""
    at, name = document, document["id"]
    for key in keys[:-1]:
        at = at[int(key)] if isinstance(at, list) else at[key]
        if isinstance(at, dict):
            name = at["id"]
    return str(name)


def _tag(found: Scene, assessed: Assessed) -> None:
    matters = (Outcome.FAILS, Outcome.UNDECIDED)
    shown = [finding_of(assessed, rule, judgement, shown=False) for rule, judgement in assessed.judgements if judgement.outcome in matters]
    for number, finding in enumerate(sorted(shown, key=lambda f: f.outcome is Outcome.UNDECIDED), 1):
        tag = Tag(number, finding.outcome, finding.about, finding.rule, _without_name(finding), finding.citation.section)
        found.tags.setdefault(found.owner.get(finding.about, finding.about), []).append(tag)


def _without_name(finding: Finding) -> str:
    return finding.says.removeprefix(f"{finding.about}: ")


def _blame(found: Scene, assessed: Assessed) -> None:
    """The runs and bonds that failing conditions rest on, down to what was stated, and the bonds that undecided ones look at."""
    for _, judgement in assessed.judgements:
        if judgement.outcome is Outcome.UNDECIDED:
            leaves = [leaf for part in judgement.parts() for leaf in part.leaves()]
            met = {
                judgement.about,
                *(gap.node for leaf in leaves for gap in leaf.gaps),
                *(str(t) for leaf in leaves for triple in leaf.evidence for t in triple),
            }
            found.open.update(identifier for identifier in map(id_of, met) if identifier in found.classes and found.is_a(identifier, "Bond"))
        if judgement.outcome is not Outcome.FAILS:
            continue
        for part in judgement.parts():
            for leaf in part.leaves():
                if leaf.outcome is Outcome.FAILS:
                    for subject, predicate, value in _closure(assessed, leaf.evidence):
                        if predicate == CARRIES_GROUND and value is False:
                            found.missing.add(short(subject))
                    found.wrong.update(short(s) for s, p, value in leaf.evidence if p == JOINS_FRAME and value is True)


def _closure(assessed: Assessed, evidence: tuple[Triple, ...]) -> Iterator[Triple]:
    waiting, seen = list(evidence), set[Triple]()
    while waiting:
        triple = waiting.pop()
        if triple in seen:
            continue
        seen.add(triple)
        yield triple
        reason = assessed.derived.because.get(triple)
        if reason is not None:
            waiting.extend(reason.premises)
