"""The generic band of opening times: the published points lie on it, and it behaves as a breaker must."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultpath.circuit.protection import opening_time

EDITION = 2020


@pytest.mark.parametrize(("rating", "seconds"), [(15, 120), (30, 120), (40, 240), (100, 360), (200, 600)])
def test_at_twice_the_rating_the_slow_edge_is_the_calibration_limit(rating: float, seconds: float):
    """UL 489, from memory: 2 minutes up to 30 A, 4 up to 50 A, 6 up to 100 A, 10 up to 225 A."""
    assert opening_time(EDITION, 2 * rating, rating).most_seconds == pytest.approx(seconds)


def test_the_fast_edge_passes_the_point_of_the_published_zone():
    """IEC 60898-1: not sooner than 1 s at 2.55 times the rating, never at 1.13 times."""
    assert opening_time(EDITION, 2.55 * 20, 20).least_seconds == pytest.approx(1)
    assert opening_time(EDITION, 1.13 * 20, 20).least_seconds is None


def test_the_magnetic_trip():
    assert opening_time(EDITION, 101, 20).least_seconds == 0.01
    assert opening_time(EDITION, 101, 20).most_seconds == pytest.approx(14.6, abs=0.1), "five times: the thermal element may have to do it"
    assert opening_time(EDITION, 400, 20).most_seconds == 0.1


def test_what_a_rod_lets_through_opens_nothing():
    """120 V over 25 ohm is 4.8 A."""
    assert opening_time(EDITION, 4.8, 15) == opening_time(EDITION, 0, 15)
    assert opening_time(EDITION, 4.8, 15).least_seconds is None
    assert opening_time(EDITION, 4.8, 15).most_seconds is None


@given(st.floats(0.01, 60), st.floats(0.01, 60), st.sampled_from((15, 20, 30, 50, 60, 100, 125, 200, 400, 2000, 10_000)))
def test_more_current_never_takes_longer_and_the_fast_edge_is_the_fast_one(one: float, other: float, rating: float):
    low, high = sorted((one, other))
    slower, faster = opening_time(EDITION, low * rating, rating), opening_time(EDITION, high * rating, rating)
    never = float("inf")
    for found in (slower, faster):
        assert (found.least_seconds or never) <= (found.most_seconds or never)
    assert (faster.least_seconds or never) <= (slower.least_seconds or never)
    assert (faster.most_seconds or never) <= (slower.most_seconds or never)
