"""What all work steps share: how they are written, and the words of the ontology that they take."""

from collections.abc import Iterable
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.alias_generators import to_camel
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from faultpath.base.terms import INST
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part
from faultpath.document.models import Identifier, Number, WholeNumber, Year
from faultpath.planning.site import Site

__all__ = ["FURTHER_FACTS", "Code", "Facts", "Identifier", "Number", "Said", "Step", "WholeNumber", "Year", "facts", "spoken"]


class CodeWord:
    """Says of a text that it is a code word of a class of the ontology, or, with `kinds`, the word for a kind of a class."""

    def __init__(self, cls: str, *, kinds: bool = False) -> None:
        self.cls, self.kinds = INST + cls, kinds

    def words(self) -> Iterable[str]:
        """The words that may stand here."""
        return vocabulary().item_kinds(self.cls) if self.kinds else vocabulary().codes[self.cls]

    def check(self, value: Any) -> Any:
        """The word itself; a wire size may be spoken, as `2 AWG`."""
        word = "-".join(value.split()) if isinstance(value, str) else value
        if word not in self.words():
            raise PydanticCustomError("literal_error", "is not one of the words", {"expected": " or ".join(f"'{word}'" for word in self.words())})
        return word

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        spoken = [vocabulary().labels[iri] for iri in vocabulary().codes[self.cls].values()] if self.cls == INST + "Size" else []
        return {"type": "string", "enum": [*spoken, *self.words()]}


def spoken(cls: str, word: str) -> str:
    """A code word of a class as people say it."""
    return vocabulary().labels[vocabulary().codes[INST + cls][word]]


class Code:
    """The code words and kinds that steps take."""

    Size = Annotated[str, CodeWord("Size")]
    Material = Annotated[str, CodeWord("Material")]
    Method = Annotated[str, CodeWord("WiringMethod")]
    Role = Annotated[str, CodeWord("ConductorRole")]
    Designation = Annotated[str, CodeWord("Designation")]
    ListingMark = Annotated[str, CodeWord("ListingMark")]
    Marking = Annotated[str, CodeWord("Marking")]
    MarkingFormat = Annotated[str, CodeWord("MarkingFormat")]
    Location = Annotated[str, CodeWord("Location")]
    BondForm = Annotated[str, CodeWord("BondForm")]
    Covering = Annotated[str, CodeWord("Covering")]
    System = Annotated[str, CodeWord("System")]
    FurnishedReceptacles = Annotated[str, CodeWord("FurnishedReceptacles")]
    Bond = Annotated[str, CodeWord("Bond", kinds=True)]
    Electrode = Annotated[str, CodeWord("Electrode", kinds=True)]
    DisconnectingEquipment = Annotated[str, CodeWord("DisconnectingEquipment", kinds=True)]
    Appliance = Annotated[str, CodeWord("Appliance", kinds=True)]
    Source = Annotated[str, CodeWord("Source", kinds=True)]


Facts = dict[str, Any]
FURTHER_FACTS = "Further facts, by the keys of the installation document."
Said = Annotated[str | None, Field(description="The work in one sentence, for people.", max_length=300)]


class Step(BaseModel):
    """One step of planned work. `carry_out` changes the document or raises Unfit; `told` says it in a sentence."""

    model_config = ConfigDict(extra="forbid", frozen=True, alias_generator=lambda name: to_camel(name.rstrip("_")), allow_inf_nan=False)
    work: str
    _KEYS: ClassVar[tuple[str, ...]] = ()

    def carry_out(self, site: Site) -> None:
        """Do the work on a document."""
        raise NotImplementedError

    def describe(self) -> str:
        """The work in one sentence."""
        raise NotImplementedError

    def written(self) -> dict[str, Any]:
        """The step as data, without what it does not say."""
        dumped = self.model_dump(mode="json", by_alias=True, exclude_none=True)
        return {key: value for key, value in dumped.items() if value != {}}


def facts(step: Step, *names: str) -> Part:
    """The facts that a step states, by the key of the document."""
    given = step.model_dump(by_alias=True, exclude_none=True)
    return {key: given[key] for key in map(to_camel, names) if key in given}


Work = Literal["new", "replacement"]


class ConductorFacts(BaseModel):
    """A conductor of a new run."""

    model_config = ConfigDict(extra="forbid", frozen=True, alias_generator=to_camel)
    role: Code.Role = Field(description="What the conductor does.")
    count: WholeNumber | None = Field(None, description="How many alike.")
    size: Code.Size | None = Field(None, description="Wire size.")
    material: Code.Material | None = Field(None, description="Conductor metal.")
    insulated: bool | None = Field(None, description="Whether it is insulated.")
    covering_in_supply_enclosure: Code.Covering | None = Field(None, description="What covers a bare conductor inside the enclosure that feeds it.")
