"""What in planned work caused a finding to change: the facts that flipped, each with the stated fact it goes back to."""

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

from pydantic import Field

from faultpath.answers.findings import shown
from faultpath.answers.record import Answer
from faultpath.base.terms import COMPLETE, TYPE
from faultpath.base.triples import Term, Triple, is_literal
from faultpath.book.vocabulary import Property, vocabulary
from faultpath.derivation.run import Derived
from faultpath.document.installation import id_of
from faultpath.judging.judge import Judgement

MOST_CAUSES = 4
_BARE = {"has": "have", "carries": "carry", "lies": "lie"}


class Cause(Answer):
    """A fact that is another one after the work, and why."""

    about: str = Field(description="Id of the part that the fact is about.")
    says: str = Field(description="What is different and what caused it, in one sentence.")
    step: int | None = Field(description="Position of the step that caused it; null where no single step did.")


class Causes:
    """Two states of an installation, and which step touched which part last."""

    def __init__(self, before: Derived, after: Derived, touched: Mapping[str, int]) -> None:
        self._before, self._after, self._touched = before, after, touched

    @cached_property
    def _owners(self) -> dict[str, str]:
        """Parts that their owner has only one of go by their owner's id."""
        return {part: id_of(owner) for part, owner in self._inside(p.iri for p in vocabulary().properties.values() if p.nested and not p.many)}

    @cached_property
    def _written_in(self) -> dict[str, str]:
        """The part that a part is written inside of."""
        return dict(self._inside(p.iri for p in vocabulary().properties.values() if p.nested))

    def _inside(self, properties: Iterable[str]) -> Iterator[tuple[str, str]]:
        """The parts that are values of some properties, with whose they are; as after the work where they are there before and after it."""
        for iri in properties:
            for graph in (self._before.asserted, self._after.asserted):
                for owner, values in graph.table(iri).by_subject.items():
                    yield from ((str(value), owner) for value in values)

    def _step(self, node: str) -> int | None:
        """The step that touched a part last; a part that came or went did so with what it is written inside of."""
        step = self._touched.get(id_of(node), self._touched.get(self._name(node)))
        while step is None and node in self._written_in and not all(state.asserted.properties(node) for state in (self._before, self._after)):
            node = self._written_in[node]
            step = self._touched.get(id_of(node))
        return step

    def of(self, was: Judgement | None, now: Judgement | None) -> list[Cause]:
        """Why a judgement changed: for each condition that flipped, the facts behind it that came or went."""
        if was is None or now is None:
            judgement = now or was
            assert judgement is not None, "a pair was judged in one state at least"
            return [self._of_node(judgement.about, came=was is None)]
        came, went = dict[tuple[str, str], Triple](), dict[tuple[str, str], Triple]()
        for new, old in self._flipped(was, now):
            for triple in new:
                came.setdefault(triple[:2], triple)
            for triple in old:
                went.setdefault(triple[:2], triple)
        told = [(t, "is now") for t in came.values()] + [(t, "is no longer") for pair, t in went.items() if pair not in came]
        told = [(t, verb) for t, verb in told if t[1] not in (TYPE, COMPLETE)] or told
        decided = [(t, verb) for t, verb in told if _is_decision(t)]
        return [
            self._cause(self._after, self._before, t, verb) if verb == "is now" else self._cause(self._before, self._after, t, verb)
            for t, verb in (decided or told)[:MOST_CAUSES]
        ]

    def _of_node(self, node: str, *, came: bool) -> Cause:
        here, there = (self._after, self._before) if came else (self._before, self._after)
        if not there.asserted.properties(node):
            words = "is new" if came else "is gone"
        else:
            words = "is now something that the rule speaks about" if came else "is no longer something that the rule speaks about"
        name, step = self._name(node), self._step(node)
        if step is None:
            kinds = (self._cause(here, there, (node, TYPE, cls), "is now") for cls in here.graph.values(node, TYPE) if (node, TYPE, cls) in here.because)
            step = next((kind.step for kind in kinds if kind.step is not None), None)
        return Cause(about=name, says=f"{name} {words}.", step=step)

    def _flipped(self, was: Judgement, now: Judgement) -> Iterator[tuple[list[Triple], list[Triple]]]:
        """The triples that came and went in the evidence of each leaf that came out otherwise."""
        earlier = {leaf.condition: leaf for part in was.parts() for leaf in part.leaves()}
        later = {leaf.condition: leaf for part in now.parts() for leaf in part.leaves()}
        for iri in dict.fromkeys([*later, *earlier]):
            one, other = earlier.get(iri), later.get(iri)
            if one is None or other is None or one.outcome is not other.outcome:
                yield (
                    [t for t in (other.evidence if other else ()) if t not in self._before.graph],
                    [t for t in (one.evidence if one else ()) if t not in self._after.graph],
                )

    def _cause(self, there: Derived, not_there: Derived, triple: Triple, verb: str) -> Cause:
        root = self._root(there, not_there, triple)
        says = self._said(triple, verb)
        if root is not None and root != triple:
            says += ", because " + self._said(root, "is" if verb == "is now" else "was")
        return Cause(about=self._name(triple[0]), says=says + ".", step=self._step((root or triple)[0]))

    def _root(self, there: Derived, not_there: Derived, triple: Triple) -> Triple | None:
        """The stated fact that a fact goes back to and that the other state has not: a decision or a measure rather than a reference."""
        waiting, seen = [triple], dict.fromkeys([triple])
        roots: list[Triple] = []
        for current in waiting:
            reason = there.because.get(current)
            if reason is None:
                if current[1] not in (TYPE, COMPLETE) and current[1] in vocabulary().properties:
                    roots.append(current)
                continue
            for premise in reason.premises:
                if premise not in seen and premise not in not_there.graph:
                    seen[premise] = None
                    waiting.append(premise)
        words = [root for root in roots if vocabulary().properties[root[1]].range in vocabulary().codes]
        return next(iter([*words, *filter(_is_decision, roots), *roots]), None)

    def _said(self, triple: Triple, verb: str) -> str:
        """A fact as people say it; `verb` is what stands for `is` in it."""
        subject, predicate, obj = triple
        name, prop = self._name(subject), vocabulary().properties.get(predicate)
        if prop is None:
            what = f"a {vocabulary().labels.get(str(obj), shown(obj))}" if predicate == TYPE else f"known in full as to {shown(obj)}"
            return f"{name} {verb} {what}"
        words, denied = _words(prop, obj), obj is False and bool(prop.spoken)
        if denied and verb == "is now" and (subject, predicate, True) not in self._before.graph:
            verb = "is"
        value = shown(obj) if is_literal(obj) else vocabulary().labels.get(str(obj), self._name(str(obj)))
        return f"{name} {_with_verb(words.replace('{}', value), _DENIED[verb] if denied else verb)}"

    def _name(self, node: str) -> str:
        return self._owners.get(node, id_of(node))


_DENIED = {"is now": "is no longer", "is no longer": "is now", "is": "is not", "was": "was not"}


def _is_decision(triple: Triple) -> bool:
    """Whether a fact is a measure, a yes or no, or a word, rather than a reference to another part."""
    prop = vocabulary().properties.get(triple[1])
    return is_literal(triple[2]) or (prop is not None and prop.range in vocabulary().codes)


def _words(prop: Property, value: Term) -> str:
    """How a fact is said: as the ontology has it, else by its label."""
    if prop.spoken:
        return prop.spoken
    return f"answers {'yes' if value else 'no'} to {prop.label!r}" if isinstance(value, bool) else f"has the {prop.label} {{}}"


def _with_verb(words: str, verb: str) -> str:
    """`is designated x` with another verb; words that start with a verb of their own take an adverb."""
    if words.startswith("is "):
        return f"{verb} {words.removeprefix('is ')}"
    first, _, rest = words.partition(" ")
    if verb == "is not":
        return f"does not {_BARE.get(first, first.removesuffix('s'))} {rest}"
    return {"is now": f"now {words}", "is": words, "was": f"{words} before", "was not": f"did not {_BARE.get(first, first.removesuffix('s'))} {rest}"}.get(
        verb, f"no longer {words}"
    )
