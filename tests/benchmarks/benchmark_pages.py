"""How long a page takes, warm: `PYTHONPATH=api:tests python tests/benchmarks/benchmark_pages.py`.

Prints the median and the slowest of twenty requests for each kind of page over a socket of this machine, and of five for the papers: asked
again, and asked about a house that was not asked about before.
A script for people: nothing is asserted.
"""

import itertools
import json
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import httpx

from serving import EDITION, HOUSE_FILE, house, running

PAGES = ["/", "/judge", "/rules", "/rules/range-and-dryer-frames-grounded", "/editions", "/places", "/places/us-ma", "/practices", "/tables"]
PAGES += ["/tables/equipment-grounding-conductor-sizes", "/docs", "/rules/nothing"]
PAPERS = ["image/svg+xml", "text/html", "application/pdf"]


def timed(name: str, ask: Callable[[], httpx.Response], times: int) -> None:
    ask()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        ask()
        taken.append((time.perf_counter() - start) * 1000)
    sys.stdout.write(f"{name:60} {statistics.median(taken):8.1f} ms {max(taken):8.1f} ms\n")


def main() -> None:
    with running() as client:
        client.headers.update({"Accept": "text/html"})
        for path in PAGES:
            timed(path, lambda path=path: client.get(path), 20)  # type: ignore[misc]
        timed("POST /judge", lambda: client.post("/judge", data={"installation": HOUSE_FILE.read_text(), "edition": EDITION}), 10)
        folder = HOUSE_FILE.parent
        work = {"installation": json.loads((folder / "alder-row-before.json").read_text()), "edition": EDITION}
        work["change"] = json.loads((folder / "alder-row-change.json").read_text())
        number = itertools.count()
        for path, asked in (("/v1/findings", {"installation": house(), "edition": EDITION}), ("/v1/what-if", work)):
            for media in PAPERS:

                def again(path: str = path, asked: dict[str, Any] = asked, media: str = media) -> httpx.Response:
                    return client.post(path, json=asked, headers={"Accept": media})

                def anew(path: str = path, asked: dict[str, Any] = asked, media: str = media) -> httpx.Response:
                    installation = {**asked["installation"], "title": f"House {next(number)}"}
                    return client.post(path, json={**asked, "installation": installation}, headers={"Accept": media})

                timed(f"POST {path} {media}", again, 5)
                timed(f"POST {path} {media}, another house each time", anew, 5)


if __name__ == "__main__":
    main()
