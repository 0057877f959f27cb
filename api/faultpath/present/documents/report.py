"""The report on one installation: what was asked, the picture, what fails, what cannot be decided, the site checklist, sizes and editions."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from markupsafe import Markup

from faultpath.answers.editions import ComparisonAnswer, ComparisonRow, TextChange, compare
from faultpath.answers.figures import figures
from faultpath.answers.findings import Finding, FindingsAnswer, Summary, answer_findings
from faultpath.answers.record import Record
from faultpath.answers.remedies import RemediesAnswer, RemedyPlan, remedies
from faultpath.answers.sizing import Sizing, answer_sizing
from faultpath.base.outcomes import Outcome
from faultpath.book.overlays import practices
from faultpath.book.places import places
from faultpath.book.rules import Rule, editions
from faultpath.judging.assessment import Assessed
from faultpath.present.diagrams.one_line import PHONE, SHEET, sheet
from faultpath.present.diagrams.outline import outline
from faultpath.present.diagrams.scene import Scene, scene
from faultpath.present.documents.checklist import Fact, checklist
from faultpath.present.documents.figure_tables import Figured, figured
from faultpath.present.documents.paper import WORDS, inline, render
from faultpath.present.documents.pdf import pdf
from faultpath.present.documents.trees import TreeLine, fold

# A drawing wider than this, and wider than high, is printed across the page.
_UPRIGHT = 900
# In a larger installation, in triples, no plans are looked for.
_SMALL = 600
_PLANS = 3
# Sizes for each possible value of what is missing are tried for less than where only sizes are asked about.
_MOST_TRIED = 10_000
# A larger one is not judged under every edition.
_COMPARABLE = 6_000


@dataclass(frozen=True)
class Shown:
    """A finding as the report shows it, under its number in the picture."""

    number: int
    finding: Finding
    rule: Rule
    tree: tuple[TreeLine, ...]
    remedies: tuple[str, ...]

    @property
    def says(self) -> str:
        """The finding without the name of the part."""
        return self.finding.says.removeprefix(f"{self.finding.about}: ")


@dataclass(frozen=True)
class ShownPlan:
    """A set of work as the report shows it, with what it leaves to be found out: the part and the rule of each."""

    plan: RemedyPlan
    opened: tuple[tuple[str, Rule], ...]


@dataclass(frozen=True)
class Span:
    """A rule on a part, with the outcomes from edition to edition as runs of the same word."""

    rule: str
    about: str
    runs: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Glance:
    """What is seen first: the verdict, the picture and the findings that matter."""

    title: str
    record: Record
    caution: str
    verdict: str
    summary: Summary
    failing: tuple[Shown, ...]
    undecided: tuple[Shown, ...]
    pictures: dict[str, Markup]
    is_wide: bool
    outline: str


@dataclass(frozen=True)
class Report(Glance):
    """All that the report says."""

    place: str | None
    practices: tuple[str, ...]
    others: tuple[tuple[Finding, Rule], ...]
    not_judged: tuple[str, ...]
    facts: tuple[Fact, ...]
    figures: Figured | None
    sizes: tuple[Sizing, ...]
    sizes_not_tried: str | None
    remedies: RemediesAnswer | None
    plans: tuple[ShownPlan, ...]
    spans: tuple[Span, ...]
    steady: int | None
    changes: tuple[TextChange, ...]
    rules: tuple[tuple[Rule, str], ...]


def glance(assessed: Assessed) -> Glance:
    """The verdict, the picture and the findings of an assessed installation."""
    return Glance(**_glanced(assessed, answer_findings(assessed)))


def _glanced(assessed: Assessed, answer: FindingsAnswer) -> dict[str, Any]:
    found, book = scene(assessed), assessed.law.book
    numbers = {(tag.rule, tag.about): tag.number for tag in found.all_tags()}
    shown = [_shown(numbers[f.rule, f.about], f, book[f.rule]) for f in answer.findings if (f.rule, f.about) in numbers]
    shown.sort(key=lambda one: one.number)
    pictures, is_wide = _pictures(found)
    return {
        "title": found.title,
        "record": answer.record,
        "caution": answer.caution,
        "verdict": verdict(answer.summary),
        "summary": answer.summary,
        "failing": tuple(one for one in shown if one.finding.outcome is Outcome.FAILS),
        "undecided": tuple(one for one in shown if one.finding.outcome is Outcome.UNDECIDED),
        "pictures": pictures,
        "is_wide": is_wide,
        "outline": outline(found),
    }


def report(assessed: Assessed, *, about: Collection[str] = (), only: Collection[str] = (), verified: bool | None = None) -> Report:
    """The report on an assessed installation, told for the same rules and parts as it was assessed for."""
    answer = answer_findings(assessed, verified=verified)
    seen = _glanced(assessed, answer)
    book = assessed.law.book
    compared = _compared(assessed, only, about)
    spans = tuple(_spans(compared.rows, book))
    sizing = answer_sizing(assessed.installation, assessed.law, about, assessed, _MOST_TRIED)
    numbers = {(one.finding.rule, one.finding.about): one.number for one in (*seen["failing"], *seen["undecided"])}
    shown = figured(figures(assessed), numbers, assessed.law.edition)
    found = _plans(assessed, seen["failing"]) if len(assessed.installation.graph) <= _SMALL and answer.summary.fails else None
    judged = dict.fromkeys(f.rule for f in answer.findings if f.outcome is not Outcome.NOT_APPLICABLE)
    return Report(
        **seen,
        place=places()[assessed.law.places[-1]].name if assessed.law.places else None,
        practices=tuple(practices()[key].label for key in answer.record.practices),
        others=tuple((f, book[f.rule]) for f in answer.findings if f.outcome is Outcome.HOLDS),
        not_judged=tuple(book[key].label for key in answer.summary.not_encoded),
        facts=checklist([(one.number, one.finding) for one in (*seen["failing"], *seen["undecided"])], shown.asked if shown else ()),
        figures=shown,
        sizes=tuple(sizing.sizes),
        sizes_not_tried=sizing.not_tried,
        remedies=found,
        plans=tuple(ShownPlan(plan, tuple((one.about, book[one.rule]) for one in plan.leaves_undecided)) for plan in found.plans) if found else (),
        spans=spans,
        steady=len(compared.rows) - len(spans) if len(compared.editions) > 1 else None,
        changes=_changes(compared, {span.rule for span in spans}, book),
        rules=tuple((book[key], _standing(answer, key)) for key in judged),
    )


def verdict(summary: Summary) -> str:
    """The outcome in a sentence that cannot be read as fine where it is not."""
    open_, fails = summary.undecided, summary.fails
    told = f"{open_} cannot be decided until more is known"
    if fails:
        return f"{fails} {'fails' if fails == 1 else 'fail'}" + (f", and {told}." if open_ else ".")
    if open_:
        return f"Not settled: nothing was found to fail, but {told}."
    if summary.holds:
        return "Nothing that was judged fails." if summary.not_encoded else "Nothing fails."
    return "Nothing was judged: no rule of the book is about what is described here."


def _shown(number: int, finding: Finding, rule: Rule) -> Shown:
    known = {r.key: r.label for remedies in (rule.remedies, *(o.remedies for o in rule.overlays)) for r in remedies}
    return Shown(number, finding, rule, fold(finding.why) if finding.why else (), tuple(known.get(key, key) for key in finding.remedies))


def _plans(assessed: Assessed, failing: Collection[Shown]) -> RemediesAnswer:
    """Plans for what fails. Only that is asked about: the report asks what is undecided on its own."""
    rules, parts = {one.finding.rule for one in failing}, {one.finding.about for one in failing}
    return remedies(assessed.installation, assessed.law, rules, parts, limit=_PLANS, reuse=assessed)


def _standing(answer: FindingsAnswer, key: str) -> str:
    return next(f.standing for f in answer.findings if f.rule == key)


def _pictures(found: Scene) -> tuple[dict[str, Markup], bool]:
    drawn = {"sheet": sheet(found, SHEET, listed=False), "phone": sheet(found, PHONE, listed=False)}
    wide, high = (float(drawn["sheet"].get(side, "0")) for side in ("width", "height"))
    return {name: inline(root) for name, root in drawn.items()}, wide > max(_UPRIGHT, high)


def _compared(assessed: Assessed, only: Collection[str], about: Collection[str]) -> ComparisonAnswer:
    years = editions() if len(assessed.installation.graph) <= _COMPARABLE else (assessed.law.edition,)
    laws = [replace(assessed.law, edition=year) for year in years]
    return compare(assessed.installation, laws, only, about, assessed)


def _spans(rows: Sequence[ComparisonRow], book: dict[str, Rule]) -> Iterator[Span]:
    """The rows that are not the same in every edition that answers, as runs of editions."""
    for row in rows:
        if not row.differs:
            continue
        runs = []
        for outcome, run in groupby(row.outcomes, lambda one: one.outcome):
            years = [one.edition for one in run]
            runs.append((years[0] if len(years) == 1 else f"{years[0]} to {years[-1]}", outcome, WORDS[outcome]))
        yield Span(book[row.rule].label if row.rule in book else row.rule, row.about, tuple(runs))


def _changes(compared: ComparisonAnswer, labels: set[str], book: dict[str, Rule]) -> tuple[TextChange, ...]:
    """What the texts changed in the rules whose outcome is not the same in every edition."""
    return tuple(
        change.model_copy(update={"rule": book[change.rule].label})
        for change in compared.changes
        if change.rule in book and book[change.rule].label in labels and (change.added or change.dropped)
    )


def report_html(found: Report, *, on_site: bool = False) -> str:
    """The report as one HTML document that needs nothing else; `on_site` adds the way back to the pages of the service."""
    return render("report.html", report=found, on_site=on_site)


def report_pdf(found: Report) -> bytes:
    """The report as tagged PDF."""
    return pdf(report_html(found), found.record.decision)
