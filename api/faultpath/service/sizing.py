"""Sizes of the conductors of a house, or of one conductor by a form of the book."""

from collections.abc import Mapping
from typing import Any

from pydantic import ConfigDict, Field

from faultpath.answers.law import Candidates, per_law
from faultpath.answers.reasons import MissingFact
from faultpath.answers.sizing import Sizing, SizingAnswer, answer_sizing
from faultpath.answers.unknown_inputs import Possible, PossibleSize
from faultpath.base.problems import BadInput, Problem, nearest, pointer
from faultpath.document.forms import Field as FormField
from faultpath.document.forms import Form, forms
from faultpath.document.installation import Installation, read_document
from faultpath.judging.assessment import Law
from faultpath.service.jurisdiction import laws_of
from faultpath.service.requests import ABOUT, INSTALLATION, Name, UnderLaw, of_request, read_question

_CONDUCTOR = "Which conductor to size without a house, a key of GET /v1/sizing; the fields of its form stand beside it."


class SizingQuestion(UnderLaw):
    """Which sizes, under which law."""

    about: list[Name] = Field(default=[], description=ABOUT, max_length=1000)


class SizingRequest(SizingQuestion):
    """An installation and the conductors of it to size."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


class ConductorQuestion(UnderLaw):
    """One conductor to size without a house. The fields of its form are further keys; what is left out stays unknown."""

    model_config = ConfigDict(extra="allow", frozen=True)

    conductor: Name = Field(description=_CONDUCTOR)


def ask_sizing(installation: Installation, question: SizingQuestion) -> SizingAnswer | Candidates[SizingAnswer]:
    """The sizes, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_sizing(installation, law, question.about)))


def is_of_a_form(data: Any) -> bool:
    """Whether parsed JSON asks about a conductor without a house."""
    return isinstance(data, Mapping) and "conductor" in data and "installation" not in data


def ask_conductor(data: Any) -> SizingAnswer | Candidates[SizingAnswer]:
    """The size of one conductor by a form. Raises BadInput that names the field."""
    question = read_question(ConductorQuestion, data)
    form = forms().get(question.conductor)
    if form is None:
        found = f"No form has the key {question.conductor[:80]!r}."
        raise BadInput([Problem("/conductor", found, "Expected one of: " + ", ".join(forms()) + ".", nearest(question.conductor, forms()))], "bad-request")
    values = question.model_extra or {}
    unknown = [key for key in values if key not in form.fields]
    if unknown:
        expected = "Expected one of: " + ", ".join(form.fields) + "."
        raise BadInput(
            [Problem(pointer([key]), f"The key {key[:80]!r} is not in this form.", expected, nearest(key, form.fields)) for key in unknown], "bad-request"
        )
    unsaid = next((field for field in form.fields.values() if field.states is None and field.key not in values), None)
    if unsaid is not None:
        return _each_kind(form, unsaid, question, values)
    installation = _filled(form, values)
    return per_law(laws_of(question, installation), lambda law: answer_sizing(installation, law, [form.about]))


def _each_kind(form: Form, unsaid: FormField, question: ConductorQuestion, values: Mapping[str, Any]) -> SizingAnswer | Candidates[SizingAnswer]:
    """The sizes for each kind that a field can name, where the request leaves it out: nothing is taken for granted."""
    houses = {word: _filled(form, {**values, unsaid.key: word}) for word in unsaid.words}

    def answer(law: Law) -> SizingAnswer:
        found = {word: answer_sizing(house, law, [form.about]) for word, house in houses.items()}
        sizes = [PossibleSize(value=word.replace("-", " "), required=_by_metal(one.sizes[0])) for word, one in found.items()]
        first = next(iter(found.values()))
        asked = MissingFact(about=form.key, fact=unsaid.key, ask=f"Which of these is it: {', '.join(unsaid.words)}?")
        open_ended = first.sizes[0].model_copy(
            update={
                **{key: [] for key in ("alternatives", "rows", "steps", "rules")},
                **dict.fromkeys(("required", "will_do")),
                "missing": [asked, *first.sizes[0].missing],
                "possible": [Possible(about=form.key, fact=unsaid.key, ask=asked.ask, sizes=sizes)],
            }
        )
        return first.model_copy(update={"sizes": [open_ended]})

    return per_law(laws_of(question, next(iter(houses.values()))), answer)


def _by_metal(sizing: Sizing) -> str | None:
    """The size, or the size in each metal while the metal is not known."""
    if sizing.required is not None:
        return sizing.required.size
    return ", ".join(f"{sized.size} {sized.material}" for sized in sizing.alternatives) or None


def _filled(form: Form, values: Mapping[str, Any]) -> Installation:
    """The installation of a form. Raises BadInput whose pointers lead to the fields."""
    try:
        return read_document(form.filled(values))
    except BadInput as bad:
        told = [Problem(pointer([field]) if (field := form.field_at(p.pointer)) else "", p.found, p.expected, p.nearest) for p in bad.problems]
        raise BadInput(told, "bad-request") from bad
