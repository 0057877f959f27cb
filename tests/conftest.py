"""Hypothesis draws the same examples on every run and never fails for being slow: nothing here is timed."""

from hypothesis import HealthCheck, Phase, settings

settings.register_profile("same", derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))
# For work on the book: the first failing example as drawn, without minutes of looking for the smallest one.
settings.register_profile("first", settings.get_profile("same"), phases=(Phase.explicit, Phase.generate))
settings.load_profile("same")
