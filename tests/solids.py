"""Boards of every kind of edge and hole, that the tests of solids and meshes share. mm.

300 +---------------------------+
    |  (e)        [d]   <c>     |    a round, b slot, c rounded rectangle, d rectangle,
    |                           |    e countersunk; all turned but a and e
    |   (a)    (==b==)          |
  0 +---------------------------+
    0                          400
"""

import math

from mateline.cabinet.hole import Hole
from mateline.cabinet.joints import Bevel, Round, section
from mateline.cabinet.panel import Edge, Frame, Panel

THICK = 18.0
SQUARE = math.pi / 2
# A frame that is turned in all three axes: rotations by 0.5 about X and then 0.3 about Z.
TILTED = Frame(
    (100.0, -50.0, 700.0),
    (math.cos(0.3), math.sin(0.3), 0.0),
    (-math.sin(0.3) * math.cos(0.5), math.cos(0.3) * math.cos(0.5), math.sin(0.5)),
)
HOLES = (
    Hole("a", "round", (100.0, 100.0), 20.0, 20.0),
    Hole("b", "slot", (200.0, 100.0), 60.0, 20.0, turn=0.3),
    Hole("c", "rectangle", (300.0, 200.0), 60.0, 40.0, turn=0.7, corner=5.0),
    Hole("d", "rectangle", (200.0, 200.0), 30.0, 40.0, turn=0.1),
    Hole("e", "countersunk", (60.0, 240.0), 6.6, 6.6, head=13.44, head_angle=SQUARE),
)
PLAIN = section("over", THICK, THICK, SQUARE, None)
BEVEL = section("over", THICK, THICK, SQUARE, Bevel(8.0))
ROUND_6 = section("over", THICK, THICK, SQUARE, Round(6.0))
ROUND_9 = section("over", THICK, THICK, 1.3, Round(9.0))
UNDER = section("under", THICK, THICK, 1.2, None)
MITRED = section("mitre", THICK, THICK, SQUARE, Round(10.0))
BLUNT = section("over", THICK, THICK, 2.0, None)  # longer inside than outside

ENDS = {
    "plain": (PLAIN,) * 4,
    "bevelled all round": (BEVEL,) * 4,
    "rounded all round": (ROUND_6,) * 4,
    "two bevels": (PLAIN, BEVEL, PLAIN, BEVEL),
    "one of each": (ROUND_6, PLAIN, BEVEL, UNDER),
    "unlike rounds meeting": (ROUND_6, ROUND_9, MITRED, UNDER),
    "mitred rounds": (MITRED,) * 4,
    "round against bevel": (ROUND_9, ROUND_6, ROUND_9, BEVEL),
    "longer inside": (BLUNT, BEVEL, BLUNT, ROUND_6),
}
OUTLINE = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
SKEWED = ((0.0, 0.0), (400.0, -60.0), (430.0, 310.0), (40.0, 330.0))
STEPPED = (
    (0.0, 0.0),
    (500.0, 0.0),
    (500.0, 180.0),
    (250.0, 260.0),  # an inside corner
    (200.0, 500.0),
    (0.0, 500.0),
)


def panel(ends, holes=(), outline=OUTLINE, thickness=THICK, name="front"):
    """A board in the tilted frame; `ends` are sections, one for each edge of `outline`."""
    edges = tuple(Edge("none", end) for end in ends)
    names = (None,) * len(outline)
    return Panel(name, "body", thickness, TILTED, outline, names, edges, tuple(holes))
