"""The last few things that were made, kept for who asks again at once."""

import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

V = TypeVar("V")


class Cache(Generic[V]):
    """At most so many values by key, each for so many seconds. Threads may share it; two that ask at the same time may both make."""

    def __init__(self, most: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._seconds, self._clock = most, seconds, clock
        self._values: OrderedDict[Hashable, tuple[float, V]] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], V]) -> V:
        """The value that is kept, or one made now. What fails to be made is not kept."""
        with self._lock:
            made, value = self._values.get(key, (None, None))
            if made is not None and value is not None and self._clock() - made < self._seconds:
                self._values.move_to_end(key)
                return value
        fresh = make()
        with self._lock:
            self._values[key] = self._clock(), fresh
            self._values.move_to_end(key)
            while len(self._values) > self._most:
                self._values.popitem(last=False)
        return fresh
