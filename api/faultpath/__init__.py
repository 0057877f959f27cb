"""Grounding and bonding rules as a knowledge graph: what holds, what fails, what cannot be decided, and why."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("faultpath")
except PackageNotFoundError:  # run from a checkout that was never installed
    __version__ = "0+checkout"
