"""How long a page takes, warm: `PYTHONPATH=api:tests python tests/benchmarks/benchmark_pages.py`.

Prints the median and the slowest of twenty requests for each kind of page over a socket of this machine, and of three for the papers.
A script for people: nothing is asserted.
"""

import statistics
import sys
import time
from collections.abc import Callable

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
        body = {"installation": house(), "edition": EDITION}
        for media in PAPERS:
            timed(f"POST /v1/findings {media}", lambda media=media: client.post("/v1/findings", json=body, headers={"Accept": media}), 3)  # type: ignore[misc]


if __name__ == "__main__":
    main()
