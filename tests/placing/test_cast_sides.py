"""A drawing cast on one side of a plain box lies there as if it were put on that side's face.

What a viewer on that side has to the right and up is that of the face's own frame, and no other
board of a box looks that way.
"""

import pytest
from shapely import box

from boxes import square
from mateline.definition.art import art_of
from mateline.definition.schema import ArtTable
from mateline.drawing.shapes import Drawing, Shape
from mateline.placing.place import placed
from rulers import ruler

# 120 by 100 mm, y down, and not symmetric: a bar at the left and a dot at the lower right.
SIGN = Drawing(
    "sign.svg",
    (0.0, 0.0, 120.0, 100.0),
    (1.0, 0.0, 0.0, -1.0, 0.0, 100.0),
    (Shape(box(0, 0, 10, 100), "cream", "bar"), Shape(box(100, 90, 120, 100), "cream", "dot")),
    (),
    {"bar": (0,), "dot": (1,)},
    {"bar": (5.0, 50.0), "dot": (110.0, 95.0)},
)


def put(**art):
    reader = ruler()
    wanted = art_of((ArtTable(drawing="sign.svg", **art),), reader)
    found = placed(wanted, square(), {"sign.svg": SIGN}, reader.faults)
    reader.faults.settle()
    return {each.face: [shape.area.bounds for shape in each.shapes] for each in found}


@pytest.mark.parametrize("side", ["front", "back", "left", "right", "top"])
@pytest.mark.parametrize("where", [{}, {"anchor": "upper-right", "to": "upper-right"}])
def test_a_cast_is_what_is_put_on_the_only_face_of_that_side(side, where):
    cast, on = put(cast=side, **where), put(on=f"box-{side}", **where)
    assert set(cast) == set(on)
    for face, bounds in on.items():
        assert cast[face] == [pytest.approx(each) for each in bounds]


def test_the_dot_is_at_the_lower_right_of_whoever_looks():
    for side in ("front", "back", "left", "right", "top"):
        (areas,) = put(cast=side).values()
        assert areas == [pytest.approx((0, 0, 10, 100)), pytest.approx((100, 0, 120, 10))]


def test_a_wrap_is_laid_by_the_corners_of_its_first_face():
    where = {"anchor": "upper-right", "to": "upper-right"}
    wrapped, on = put(wrap=("box-left", "box-front"), **where), put(on="box-left", **where)
    assert wrapped["box-left"] == [pytest.approx(each) for each in on["box-left"]]
