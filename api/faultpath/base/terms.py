"""Every IRI that the code speaks by name. Rules, editions, codes and sections are data and are not here."""

from functools import lru_cache

BASE = "https://w3id.org/faultpath/"
NODE = BASE + "node/"
INST = BASE + "installation#"
CODE = BASE + "rulebook#"
RULES = BASE + "rules/"
PRACTICES = BASE + "practices/"
AMENDMENTS = BASE + "amendments/"
EDITIONS = BASE + "editions/"
DERIVATIONS = BASE + "derivations/"
TABLES = BASE + "tables/"
CONTEXT = BASE + "context.jsonld"

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
RDFS = "http://www.w3.org/2000/01/rdf-schema#"
OWL = "http://www.w3.org/2002/07/owl#"
SH = "http://www.w3.org/ns/shacl#"
SKOS = "http://www.w3.org/2004/02/skos/core#"
DCT = "http://purl.org/dc/terms/"
EARL = "http://www.w3.org/ns/earl#"
PROV = "http://www.w3.org/ns/prov#"
QUDT_UNIT = "http://qudt.org/vocab/unit/"
XSD = "http://www.w3.org/2001/XMLSchema#"

TYPE = RDF + "type"
FIRST = RDF + "first"
REST = RDF + "rest"
NIL = RDF + "nil"
LABEL = RDFS + "label"
DOMAIN = RDFS + "domain"
RANGE = RDFS + "range"
SUBCLASS = RDFS + "subClassOf"
DEFINITION = SKOS + "definition"
ALT_LABEL = SKOS + "altLabel"

INSTALLATION = INST + "Installation"
SOURCES = INST + "source"
EQUIPMENT = INST + "equipment"
RUNS = INST + "run"
COMPLETE = INST + "complete"
CODE_WORD = INST + "Code"
OCCUPANCY = INST + "Occupancy"
WIRE = INST + "Wire"
SIZE = INST + "size"
MATERIAL = INST + "material"
AREA = INST + "areaCircularMils"
REQUIRED_SIZE = INST + "requiredSize"
REQUIRED_AREA = INST + "requiredAreaCircularMils"
CIRCULAR_MILS = INST + "circularMils"
IN_METAL = CODE + "inMetal"
DERIVED_BY = CODE + "derivedBy"
COUNT = QUDT_UNIT + "NUM"
CARRIES_GROUND = INST + "carriesEquipmentGround"
JOINS_FRAME = INST + "joinsGroundedConductorToFrame"

PREFIXES = {
    "inst": INST,
    "code": CODE,
    "node": NODE,
    "rule": RULES,
    "edition": EDITIONS,
    "derivation": DERIVATIONS,
    "table": TABLES,
    "dct": DCT,
    "earl": EARL,
    "owl": OWL,
    "prov": PROV,
    "rdf": RDF,
    "rdfs": RDFS,
    "sh": SH,
    "skos": SKOS,
    "unit": QUDT_UNIT,
    "xsd": XSD,
}


@lru_cache(maxsize=4096)
def short(iri: str) -> str:
    """The local name of an IRI, as people read it: `inst:designation` is `designation`, a node is its document id."""
    if iri.startswith(NODE):
        return iri[len(NODE) :]
    return iri.rsplit("#", 1)[-1] if "#" in iri else iri.rsplit("/", 1)[-1]
