"""Which size each grounding and bonding conductor must have: the table row, the arithmetic, the metals to choose from, and whether it is there.

Sizes are concluded by the derivations of the book; here they are read, with what each step rests on. Another metal, and every possible value
of a fact that nobody stated, is tried by stating it and deriving again.
"""

from collections.abc import Collection, Iterable, Iterator
from functools import cache

from pydantic import Field

from faultpath.answers.arithmetic import ArithmeticStep, TableRowUsed, chain_of, rows_of, steps_of
from faultpath.answers.findings import known_nodes
from faultpath.answers.reasons import MissingFact, missing_fact
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.answers.unknown_inputs import MOST_TRIED, Possible, Trials, gaps_of, sizing_properties, with_sizes
from faultpath.base.outcomes import Gap
from faultpath.base.terms import AREA, CIRCULAR_MILS, COMPLETE, IN_METAL, INST, MATERIAL, REQUIRED_AREA, REQUIRED_SIZE, SIZE, TYPE, WIRE, XSD, short
from faultpath.base.triples import Graph, Term, Triple
from faultpath.book.loader import load_book
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.run import Derived, derive
from faultpath.document.consistency import Part, walk
from faultpath.document.installation import Installation, id_of, iri_of
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.judging.judge import missing_facts

ROLE, RUN, IN_RUN, TABLE_ROW, GROUNDS = INST + "role", INST + "Run", INST + "inRun", INST + "tableRow", INST + "equipmentGroundingConductor"
ELECTRODE_CONDUCTOR, GROUND_ROLE = INST + "ElectrodeConductor", INST + "equipment-grounding"
# Conductors that carry current in normal use: their metal is given, not chosen.
CARRYING = (INST + "ungrounded", INST + "grounded")


class Sized(Answer):
    """A wire size in a metal."""

    material: str
    size: str = Field(description="Wire size, as documents write it.")
    circular_mils: int = Field(description="Its area in circular mils.")


class RuleUsed(Answer):
    """A rule that judges the size."""

    rule: str
    section: str
    standing: str
    outcome: str


class Sizing(Answer):
    """The required size of one conductor."""

    about: str = Field(description="Id of the conductor, jumper or electrode conductor; of the run where the conductor is not there.")
    conductor: str = Field(description="What it is, in trade words.")
    within: str | None = Field(description="Id of the run or equipment that it is part of.")
    required: Sized | None = Field(description="The least size in the metal that is there; null while it cannot be told.")
    alternatives: list[Sized] = Field(description="The least size in each metal.")
    installed: Sized | None = Field(description="What is there; null where its size or metal is not stated.")
    will_do: bool | None = Field(description="Whether what is there is large enough; null while it cannot be told.")
    rows: list[TableRowUsed]
    steps: list[ArithmeticStep] = Field(description="The arithmetic, each step after those that it rests on.")
    rules: list[RuleUsed] = Field(description="The rules of the edition that judge the size.")
    missing: list[MissingFact]
    possible: list[Possible] = Field(description="For each missing fact, the sizes for each value that it can have.")


class SizingAnswer(Answer):
    """The required sizes."""

    record: Record
    caution: str
    open_lists: list[MissingFact] = Field(description="What is there was not stated in full: further conductors may have to be sized.")
    sizes: list[Sizing]
    not_tried: str | None = Field(
        description="Why the sizes for each value of a missing fact are not given: there are too many in an installation of this size. Null where they are."
    )


def answer_sizing(
    installation: Installation, law: Law, about: Collection[str] = (), reuse: Assessed | None = None, most_tried: int = MOST_TRIED
) -> SizingAnswer:
    """The size of each conductor that the book sizes, or of those asked about: by their id or that of what they are part of. Raises BadInput.

    `reuse` is an assessment of the same installation under the same law, of which what was worked out is used again.
    Past `most_tried` triples read and derived again, possible values of missing facts are not tried and the answer says so.
    """
    wanted = known_nodes(installation, about)
    assessed = assess(installation, law, reuse=reuse)
    metals = {word: derive(_in_metal(assessed, metal), law.edition, assessed.derived.memory) for word, metal in _metals().items()}
    sized = with_sizes(installation)
    waiting = assessed if sized is None else assess(sized, law, reuse=assessed)
    owners = owners_in(installation.document)
    found = [
        _sizing(assessed, waiting, metals, node, owners)
        for node in assessed.derived.graph.instances(WIRE)
        if node in wanted or (_is_sized(assessed, metals, node) and (not wanted or iri_of(owners.get(id_of(node), "")) in wanted))
    ]
    trials = Trials(assessed, [gap for _, gaps in found for gap in gaps], most_tried)
    sizes = [sizing.model_copy(update={"possible": trials.possible(iri_of(sizing.about), gaps)}) for sizing, gaps in found]
    sizes += [_absent(assessed, run) for run in assessed.derived.graph.instances(RUN) if (not wanted or run in wanted) and _lacks_ground(assessed, run)]
    return SizingAnswer(
        record=new_record(installation, law),
        caution=CAUTION,
        open_lists=[missing_fact(gap) for gap in assessed.open_lists()],
        sizes=sizes,
        not_tried=trials.not_tried,
    )


def _metals() -> dict[str, str]:
    return vocabulary().codes[vocabulary().properties[MATERIAL].range]


def owners_in(document: Part) -> dict[str, str]:
    """The id of the part that each part is written inside of, the installation itself left out."""
    found: dict[str, str] = {}
    at: dict[str, str] = {}
    for pointer, _, part in walk(document):
        at[pointer] = part["id"]
        above = pointer.rpartition("/")[0]
        while above and above not in at:
            above = above.rpartition("/")[0]
        if above:
            found[part["id"]] = at[above]
    return found


def _is_sized(assessed: Assessed, metals: dict[str, Derived], node: str) -> bool:
    """Whether the book sizes the wire, in one metal at least, or would if more than its metal were known."""
    if any(derived.graph.value(node, REQUIRED_AREA) is not None for derived in (assessed.derived, *metals.values())):
        return True
    if assessed.derived.graph.value(node, ROLE) in CARRYING:
        return False
    return any(gap.property not in (REQUIRED_AREA, MATERIAL) for gap in missing_facts(assessed.bench, Gap(node, REQUIRED_AREA)))


def _lacks_ground(assessed: Assessed, run: str) -> bool:
    """Whether no wire of a run past the service disconnect is an equipment grounding conductor, and the book says how large one would be."""
    graph = assessed.derived.graph
    sized = any(graph.value(run, prop) is not None for prop in _sizes_of_runs().values())
    return sized and (run, COMPLETE, GROUNDS) in graph and not graph.values(run, GROUNDS)


@cache
def _sizes_of_runs() -> dict[str, str]:
    """The properties that say how large an equipment grounding conductor of a run has to be, by its metal."""
    return {short(str(metal)): prop for prop, predicate, metal in load_book().ontology if predicate == IN_METAL}


def _absent(assessed: Assessed, run: str) -> Sizing:
    """The size of the equipment grounding conductor that a run does not have."""
    graph = assessed.derived.graph
    found = {metal: (run, prop, size) for metal, prop in _sizes_of_runs().items() if (size := graph.value(run, prop)) is not None}
    chain = list(dict.fromkeys(triple for wanted in found.values() for triple in chain_of(assessed.derived, wanted)))
    return Sizing(
        about=id_of(run),
        conductor=f"{vocabulary().labels[GROUND_ROLE]} that is not there",
        within=None,
        required=None,
        alternatives=[sized for metal, (_, _, size) in found.items() if (sized := _sized(metal, size)) is not None],
        installed=None,
        will_do=None,
        rows=list(rows_of(chain)),
        steps=list(steps_of(assessed.derived, chain)),
        rules=[],
        missing=[],
        possible=[],
    )


def _in_metal(assessed: Assessed, metal: str) -> Graph:
    """What is stated with every wire in one metal, except those that carry current: they stay what they are."""
    graph = assessed.derived.graph
    wires = dict.fromkeys(wire for wire in graph.instances(WIRE) if graph.value(wire, ROLE) not in CARRYING)
    kept = (triple for triple in assessed.installation.graph if triple[0] not in wires or triple[1] != MATERIAL)
    return Graph([*kept, *((wire, MATERIAL, metal) for wire in wires)])


def _sizing(assessed: Assessed, waiting: Assessed, metals: dict[str, Derived], node: str, owners: dict[str, str]) -> tuple[Sizing, list[Gap]]:
    """The size of one wire, and the missing facts whose values are worth trying."""
    graph = assessed.derived.graph
    metal = graph.value(node, MATERIAL)
    material = None if metal is None else short(str(metal))
    known = _conclusions(assessed.derived, node, material)
    others = {} if graph.value(node, ROLE) in CARRYING else {m: next(iter(_conclusions(other, node, m)), None) for m, other in metals.items()}
    required = known[0] if known else None
    gaps = gaps_of(waiting, node) if required is None else ()
    # While an increase or a ceiling is open the row of the table is known already.
    rows = [(node, TABLE_ROW, row) for row in graph.values(node, TABLE_ROW)]
    chain = [triple for start in [*known, *rows][:1] for triple in chain_of(assessed.derived, start)]
    sizing = Sizing(
        about=id_of(node),
        conductor=_kind(graph, node),
        within=owners.get(id_of(node)),
        required=_sized(material, required[2]) if material and required else None,
        alternatives=[sized for m, found in others.items() if found is not None and (sized := _sized(m, found[2])) is not None],
        installed=_sized(material, graph.value(node, SIZE)) if material else None,
        will_do=_will_do(graph, node),
        rows=list(rows_of(chain)),
        steps=list(steps_of(assessed.derived, chain)),
        rules=list(_rules(assessed, node)),
        missing=[missing_fact(gap) for gap in gaps],
        possible=[],
    )
    return sizing, [gap for gap in gaps if gap != Gap(node, MATERIAL)]


def _conclusions(derived: Derived, node: str, material: str | None) -> list[Triple]:
    """What says how large a wire has to be: for the equipment grounding conductor of a run what is left under its ceiling, then what the tables ask."""
    graph, found = derived.graph, list[Triple]()
    run, of_run = graph.value(node, IN_RUN), _sizes_of_runs().get(material or "")
    if run is not None and of_run is not None and graph.value(node, ROLE) == GROUND_ROLE:
        found += [(str(run), of_run, size) for size in graph.values(str(run), of_run)]
    return found + [(node, REQUIRED_SIZE, size) for size in graph.values(node, REQUIRED_SIZE)]


def _will_do(graph: Graph, node: str) -> bool | None:
    """Whether what is there is large enough: as the derivations conclude it, else by its area."""
    concluded = [graph.value(node, prop) for prop in _enough()]
    if any(isinstance(value, bool) for value in concluded):
        return True in concluded
    there, needed = graph.value(node, AREA), graph.value(node, REQUIRED_AREA)
    return int(str(there)) >= int(str(needed)) if there is not None and needed is not None else None


@cache
def _enough() -> tuple[str, ...]:
    """The yes-or-no properties by which the derivations of required sizes say that a wire is large enough."""
    return tuple(
        sorted(
            p for p in sizing_properties() if (stated := vocabulary().properties.get(p)) and stated.range == XSD + "boolean" and short(p).startswith("reaches")
        )
    )


def _kind(graph: Graph, node: str) -> str:
    """What a wire is, in trade words: its role in a run, else what it was stated to be."""
    role = graph.value(node, ROLE)
    if role is not None:
        return vocabulary().labels[str(role)]
    stated = [str(cls) for cls in graph.values(node, TYPE) if str(cls) in vocabulary().kinds.values() or str(cls) == ELECTRODE_CONDUCTOR]
    return vocabulary().labels[stated[0]] if stated else vocabulary().labels[WIRE]


def _sized(material: str, size: Term | None) -> Sized | None:
    return None if size is None else Sized(material=material, size=short(str(size)).replace("-", " "), circular_mils=_areas()[str(size)])


@cache
def _areas() -> dict[str, int]:
    return {subject: int(str(value)) for subject, predicate, value in load_book().ontology if predicate == CIRCULAR_MILS}


def _rules(assessed: Assessed, node: str) -> Iterator[RuleUsed]:
    """The rules whose judgement of the wire rests on its required area."""
    for rule, judgement in assessed.judgements:
        if judgement.about == node and _rests_on(assessed.derived, judgement.evidence(), node):
            citation = rule.citations[assessed.law.edition]
            yield RuleUsed(rule=rule.key, section=citation.section, standing=citation.standing, outcome=judgement.outcome.value)


def _rests_on(derived: Derived, evidence: Iterable[Triple], node: str) -> bool:
    """Whether evidence follows from the required area of a wire."""
    return any(subject == node and predicate == REQUIRED_AREA for triple in evidence for subject, predicate, _ in chain_of(derived, triple))
