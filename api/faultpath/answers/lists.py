"""The lists of the book: editions, rules, places, practices and forms, and the version of what answers."""

from pydantic import Field

import faultpath
from faultpath.answers.book import EditionSummary, RuleSummary
from faultpath.answers.places import OverlayDetail, PlaceSummary
from faultpath.answers.record import Answer
from faultpath.book.loader import load_book
from faultpath.document.forms import forms


class PlaceList(Answer):
    """The places of the book."""

    places: list[PlaceSummary] = Field(description="Every place, by key.")


class PracticeList(Answer):
    """The named practices of the book."""

    practices: list[OverlayDetail] = Field(description="Every practice, by key.")


class RuleList(Answer):
    """The rules of the book."""

    rules: list[RuleSummary] = Field(description="Every rule, in the order of the chapters.")


class EditionList(Answer):
    """The editions of the code that the book knows."""

    editions: list[EditionSummary] = Field(description="Every edition, oldest first.")


class Version(Answer):
    """What answers here: the software and the book."""

    software: str = Field(description="Version of faultpath.")
    book_digest: str = Field(description="SHA-256 over the files of the ontology and the shapes.")


def version() -> Version:
    """The version of what answers."""
    return Version(software=faultpath.__version__, book_digest=load_book().digest)


class FieldDetail(Answer):
    """A field of a form."""

    key: str
    asks: str = Field(description="The question that it answers.")
    words: list[str] = Field(description="The words that it may take, where these are few.")


class FormDetail(Answer):
    """A conductor that can be sized without a house."""

    conductor: str = Field(description="Key of the form.")
    says: str = Field(description="What it sizes.")
    fields: list[FieldDetail] = Field(description="What can be filled in; none has to be.")


class FormList(Answer):
    """The conductors that can be sized without a house."""

    forms: list[FormDetail] = Field(description="Every form, by key.")


def form_list() -> FormList:
    """The forms of the book."""
    return FormList(
        forms=[
            FormDetail(
                conductor=form.key,
                says=form.says,
                fields=[FieldDetail(key=f.key, asks=f.states.asks if f.states else "Which of these is it?", words=list(f.words)) for f in form.fields.values()],
            )
            for form in forms().values()
        ]
    )
