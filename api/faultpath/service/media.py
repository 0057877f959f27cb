"""The media types that are read and given."""

JSON = "application/json"
TURTLE = "text/turtle"
JSON_LD = "application/ld+json"
SVG = "image/svg+xml"
HTML = "text/html"
PDF = "application/pdf"
CSV = "text/csv"
TRIG = "application/trig"
N_QUADS = "application/n-quads"
RDF_MEDIA = (JSON_LD, TURTLE, TRIG, N_QUADS)
PAPER_MEDIA = (SVG, HTML, PDF)
