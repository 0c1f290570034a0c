"""Curves in the checks: readings that contradict them, and sides that differ in theirs."""

import tomllib

from boxes import PRELUDE
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.errors import Faults
from mateline.survey import survey_of

BOX = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
[carcase.panels]
low = {{ edge = "A-B" }}
far = {{ edge = "B-C" }}
high = {{ edge = "C-D" }}
near = {{ edge = "D-A" }}
{sides}
"""
READ = """[carcase.{side}.readings]
A-B = 600
B-C = 800
C-D = 600
D-A = 800
A-C = 1000
B-D = 1000
[carcase.{side}.curves]
C-D = {curve}
"""


def findings(**curves):
    sides = "\n".join(READ.format(side=side, curve=curve) for side, curve in curves.items())
    faults = Faults("cabinet.toml")
    table = parsed(tomllib.loads(PRELUDE + BOX.format(sides=sides)), "cabinet.toml")
    return survey_of(settled(table, faults), {}).findings


def codes(**curves):
    return [each.code for each in findings(**curves)]


def test_a_reading_that_contradicts_a_curve_is_a_finding():
    right = "{ points = [[100, 35], [300, 62], [500, 35]] }"
    wrong = "{ points = [[100, 35], [200, 20], [300, 62], [500, 35]] }"
    assert "reading-suspect" not in codes(outline=right)
    (found,) = [each for each in findings(outline=wrong) if each.code == "reading-suspect"]
    assert "C-D point 2" in found.message


def test_sides_that_are_bowed_unlike_differ_in_their_outlines():
    alike = {"left": "{ rise = 40 }", "right": "{ rise = 41 }"}
    apart = {"left": "{ rise = 40 }", "right": "{ rise = 60 }"}
    assert "mirror-outline" not in codes(**alike)
    (found,) = [each for each in findings(**apart) if each.code == "mirror-outline"]
    assert "20" in found.message  # the tops of the two arcs are as far apart as their rises
