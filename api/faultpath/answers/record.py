"""What every answer carries: the caution, and the record of what decided."""

import hashlib
from datetime import UTC, datetime
from uuid import uuid4

import pyoxigraph as ox
from pydantic import BaseModel, ConfigDict, Field

import faultpath
from faultpath.base.triples import Graph, serialize
from faultpath.book.loader import load_book
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Law

CAUTION = (
    "An aid to reading the code, not a design, an approval or legal advice. Local amendments and the authority having "
    "jurisdiction decide. Work only by qualified persons, de-energised and verified."
)


class Answer(BaseModel):
    """What all answer models share."""

    model_config = ConfigDict(frozen=True)


class Record(Answer):
    """What decided: enough to ask the same question again and get the same answer."""

    decision: str = Field(description="Id of this decision, a UUID.")
    installation: str = Field(description="Id of the installation judged.")
    graph_digest: str = Field(description="SHA-256 of the asserted graph as canonical N-Triples.")
    book_digest: str = Field(description="SHA-256 over the files of ontology/ and shapes/.")
    edition: str | None = Field(description="Edition judged by, null where several are compared.")
    place: str | None = Field(description="Place whose amendments were applied, null for none.")
    chosen_by: str | None = Field(description="What chose the edition, and how far that was checked; null where the request named it.")
    practices: list[str] = Field(description="Named practices that the request chose instead of the strict reading.")
    software: str = Field(description="Version of faultpath.")
    time: datetime = Field(description="When the decision was made, UTC.")


def digest(graph: Graph) -> str:
    """SHA-256 of a graph in canonical form. Without blank nodes RDFC-1.0 comes down to sorted N-Triples."""
    lines = sorted(serialize(graph, ox.RdfFormat.N_TRIPLES).splitlines())
    return hashlib.sha256("".join(line + "\n" for line in lines).encode()).hexdigest()


def new_record(installation: Installation, law: Law | None) -> Record:
    """The record of a decision made now."""
    return Record(
        decision=str(uuid4()),
        installation=installation.id,
        graph_digest=digest(installation.graph),
        book_digest=load_book().digest,
        edition=None if law is None else str(law.edition),
        place=law.places[-1] if law and law.places else None,
        chosen_by=law.chosen_by or None if law else None,
        practices=sorted(law.practices) if law else [],
        software=faultpath.__version__,
        time=datetime.now(UTC).replace(microsecond=0),
    )
