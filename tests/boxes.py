"""Small cabinets from TOML, that the tests of the cabinet and of art share."""

import tomllib

import pytest

from mateline.cabinet.cabinet import cabinet_of
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.errors import Faults, InputError, InputFaultsError

PRELUDE = """
title = "A test"
[tape]
unit = "mm"
graduation = 1
accuracy = "II"
[palette]
base = "cream"
[palette.colours]
cream = { paint = "#f4ead2", letter = "C" }
"""

# A square side, 400 deep and 500 high: A is the lower front corner.
SQUARE = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = {board}
{more}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, 500]
[carcase.panels]
front = {{ edge = "D-A" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
bottom = {{ edge = "A-B" }}
"""


def built(text):
    faults = Faults("cabinet.toml")
    stated = settled(parsed(tomllib.loads(PRELUDE + text), "cabinet.toml"), faults)
    return cabinet_of(stated.carcases, stated.hardware, stated.tape, faults)


def square(more="", after="", board=18):
    """The square box with `more` in its carcase and `after` at the end of the file."""
    return built(SQUARE.format(more=more, board=board) + after)


def faults_of(make):
    """Every fault that `make` raises, as its own text."""
    with pytest.raises((InputError, InputFaultsError)) as caught:
        make()
    error = caught.value
    return [str(fault) for fault in getattr(error, "faults", (error,))]
