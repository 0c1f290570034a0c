"""A piece whose rims, moved in and out again, touch along a line that GEOS leaves beside areas."""

import math
from pathlib import Path

import shapely

from mateline.stencil.narrow_places import narrow_places

PIECE = Path(__file__).parent / "a_line_where_two_rims_touch.wkt"


def test_a_line_that_is_left_is_no_arm():
    area = shapely.from_wkt(PIECE.read_text(encoding="utf-8"))
    assert area.is_valid
    assert narrow_places(area, 6.0, math.radians(12.0)) == ()
