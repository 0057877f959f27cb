"""What is kept for who asks again: fresh, few, and never another's."""

import pytest

from faultpath.service.cache import Cache


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_who_asks_again_in_time_gets_the_same_and_later_a_new_one() -> None:
    clock, made = Clock(), iter(range(10))
    kept: Cache[int] = Cache(2, 60, clock)
    assert [kept.get("a", lambda: next(made)) for _ in range(2)] == [0, 0]
    clock.now = 59
    assert kept.get("a", lambda: next(made)) == 0
    clock.now = 60
    assert kept.get("a", lambda: next(made)) == 1
    assert kept.get("b", lambda: next(made)) == 2


def test_what_nobody_asked_for_longest_goes_first() -> None:
    made = iter(range(10))
    kept: Cache[int] = Cache(2, 60)
    for key in ("a", "b", "a", "c"):
        kept.get(key, lambda: next(made))
    assert kept.get("a", lambda: next(made)) == 0
    assert kept.get("b", lambda: next(made)) == 3


def test_what_cannot_be_made_is_not_kept() -> None:
    kept: Cache[int] = Cache(2, 60)
    with pytest.raises(ZeroDivisionError):
        kept.get("a", lambda: 1 // 0)
    assert kept.get("a", lambda: 1) == 1
