"""The real service on a free port of this machine, in a thread, as long as a test module needs it."""

import gc
import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import uvicorn

from faultpath.http.app import create_app

ROOT = Path(__file__).parent.parent
HOUSE_FILE = ROOT / "examples" / "alder-row-outdoor-disconnect.json"
EDITION = "2020"
JSON = "application/json"


def house() -> dict[str, Any]:
    """The invented house with the outdoor disconnect, fresh."""
    found: dict[str, Any] = json.loads(HOUSE_FILE.read_text())
    return found


@contextmanager
def running() -> Iterator[httpx.Client]:
    """A client of the running service."""
    thresholds = gc.get_threshold()
    # A connection stays open as long as a slow machine may need between two requests.
    server = uvicorn.Server(uvicorn.Config(create_app(), port=0, log_level="critical", ws="none", timeout_keep_alive=600))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            assert thread.is_alive(), "the service did not start"
            time.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60) as client:
            yield client
    finally:
        server.should_exit = True
        thread.join()
        gc.unfreeze()
        gc.set_threshold(*thresholds)
