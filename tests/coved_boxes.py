r"""A stepped cabinet with an inside corner, whose edge may be hollow, and what is worked of it.

            D____C
           /     |      The deck rises by `rise` degrees to the back, and the screen leans back by
      ____/E     |      `lean`: their outward normals turn by 90° less both. Boards are 18 thick,
    F |          |      sides lie over all others, so that the deck is 300 - 2 * 18 wide.
    A +----------+ B

A cove of radius r is tangent to both faces r tan(turn / 2) from the sharp corner E. In section it
adds r² (tan(turn / 2) - turn / 2), and its strip is r turn wide: each board has half of both.
"""

import math

from boxes import built

LONG = 300 - 2 * 18
TEXT = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F"]
width = 300
board = 18
joints = [{joints}]
edges = {{ {edges} }}
at = {{ x = 0, y = 0, z = 0, turn = {turn} }}
[carcase.outline.points]
A = [0, 0]
B = [700, 0]
C = [700, {high}]
D = [{dy}, {high}]
E = [{ey}, {ez}]
F = [0, 200]
[carcase.panels]
bottom = {{ edge = "A-B" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
screen = {{ edge = "D-E"{screen} }}
deck = {{ edge = "E-F"{deck} }}
front = {{ edge = "F-A" }}
"""
# (rise, lean): a square corner, the same turned, 60° and two lopsided ones
CORNERS = {"90": (0, 0), "turned": (20, -20), "60": (15, 15), "71.7": (7, 11.3), "113": (-9, -14)}


def coved(corner, edge="round = 40", more=(), joints="", turn=0, **boards):
    """The cabinet with `edge` where deck and screen meet, and `more` edges as they are written."""
    rise, lean = (math.radians(each) for each in corner)
    ey, ez = 300 * math.cos(rise), 200 + 300 * math.sin(rise)
    high = ez + 280 * math.cos(lean)
    here = [f'"deck and screen" = {{ {edge} }}'] if edge else []
    words = {name: f", {boards[name]}" if name in boards else "" for name in ("deck", "screen")}
    return built(
        TEXT.format(
            joints=joints, turn=turn, edges=", ".join([*here, *more]), high=high,
            dy=ey + 280 * math.sin(lean), ey=ey, ez=ez, **words,
        )
    )  # fmt: skip


def turn_of(corner):
    return math.radians(90 - sum(corner))


def added(radius, turn):
    """What a cove adds in section, mm²."""
    return radius**2 * (math.tan(turn / 2) - turn / 2)
