"""The service, run from the command line."""

from typing import Annotated

import typer

from faultpath.book.checks import sound_book
from faultpath.cli.exit_codes import BAD_INPUT, NOTHING_FAILS

# By name: the one adapter starts the other without importing it.
_SERVICE = "faultpath.http.app:create_app"


def serve(
    host: Annotated[str, typer.Option(help="Address to listen at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to listen at.")] = 8000,
) -> int:
    """Serve the answers over HTTP until interrupted."""
    import uvicorn  # slow to import, as the service is, and no other command needs them

    sound_book()
    try:
        uvicorn.run(_SERVICE, factory=True, host=host, port=port, server_header=False, ws="none")
    except SystemExit as stopped:
        return BAD_INPUT if stopped.code else NOTHING_FAILS
    return NOTHING_FAILS
