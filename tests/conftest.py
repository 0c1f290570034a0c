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


#  markers of tests that take long, and how long
ON_REQUEST = {
    "judge": "half an hour",
    "kernels": "minutes",
    "moments": "minutes",
    "scenes": "minutes",
    "stories": "minutes",
    "simulation": "minutes",
    "fuzz": "an hour",
}


def pytest_collection_modifyitems(config, items):
    """Long tests run only where their marker is asked for by `-m`, and as long as they take."""
    asked = config.option.markexpr
    for item in items:
        for name, long in ON_REQUEST.items():
            if item.get_closest_marker(name):
                item.add_marker(pytest.mark.timeout(0))
                if name not in asked:
                    item.add_marker(pytest.mark.skip(reason=f"takes {long}: pytest -m {name}"))


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
