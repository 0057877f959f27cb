"""A paper as tagged PDF (PDF/UA-1): the same bytes for the same paper."""

import logging
from threading import Lock

from faultpath.present.documents.paper import SHEET_SIZE

# Layout shares font settings of the process.
_one_at_a_time = Lock()
# It warns of every style that only screens know.
logging.getLogger("weasyprint").setLevel(logging.CRITICAL)


def pdf(page: str, identifier: str) -> bytes:
    """A page as PDF. What it is called and when it was made it says in its head; `identifier` tells one document from another."""
    import weasyprint  # slow to import and needed for PDF only

    # A paper holds all that it shows.
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=())
    with _one_at_a_time:
        html = weasyprint.HTML(string=page, url_fetcher=nothing)
        sheet = weasyprint.CSS(string=f"@page {{ size: {SHEET_SIZE} }}", url_fetcher=nothing)
        found: bytes = html.write_pdf(stylesheets=[sheet], pdf_variant="pdf/ua-1", pdf_identifier=identifier.encode())
    return found
