"""Random examples are the same on every machine, so that what fails once fails again.

`pytest --hypothesis-profile=search` looks for new ones.
"""

import builtins

import pytest
from hypothesis import settings

# No deadline: a clock in a test fails on a machine that is busy.
settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", print_blob=True, deadline=None)
settings.load_profile("same")


@pytest.fixture(autouse=True)
def one_core(monkeypatch):
    """Builds in this process do all of their work here; tests of the crew say otherwise."""
    monkeypatch.setattr("mateline.crew.cores", lambda: 1)


@pytest.fixture
def no_nester(monkeypatch):
    """As where the package that nests pieces is not installed."""
    real = builtins.__import__

    def absent(name, *rest):
        if name == "spyrrow":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", absent)
