"""A wrap that runs on from one carcase to another, where their boards lie in one plane.

        150 .--. 50        the head stands on the box, 50 from its front (y from the front)
400 +-------+--+------+ 0
    |                 |    left: x runs from the back, so x = 400 - y
    +-----------------+
"""

import numpy as np
import pytest

from boxes import SQUARE, built
from mateline.placing.wrap import UnreachableError, wraps

HEAD = SQUARE.replace('name = "box"', 'name = "head"').replace("400", "100").replace("500", "80")
ON = 'stands_on = {{ carcase = "box", edge = "D-C", offset = 50, across = {across} }}'


def stacked(width=300, across=0):
    head = HEAD.replace("width = 300", f"width = {width}")
    more = ON.format(across=across)
    return built(SQUARE.format(more="", board=18) + head.format(more=more, board=18))


#  left: x = 400 - y, and the head's own x is 150 - y; right: x = y, and the head's is y - 50
@pytest.mark.parametrize(("side", "x"), [("left", 250), ("right", 50)])
def test_sides_in_one_plane_run_on_unturned(side, x):
    cabinet = stacked()
    faces = [cabinet.face(f"{name}-{side}") for name in ("box", "head")]
    _, matrix = wraps(faces)
    np.testing.assert_allclose(matrix, [[1, 0, x], [0, 1, 500]], atol=1e-9)
    _, back = wraps(faces[::-1])
    np.testing.assert_allclose(back, [[1, 0, -x], [0, 1, -500]], atol=1e-9)


@pytest.mark.parametrize(("across", "meets"), [(0, True), (5, False), (-5, False)])
def test_sides_in_two_planes_do_not_meet(across, meets):
    cabinet = stacked(across=across)
    for side in ("left", "right"):
        faces = [cabinet.face(f"{name}-{side}") for name in ("box", "head")]
        if meets:
            assert len(wraps(faces)) == 2
        else:
            with pytest.raises(UnreachableError, match=f"head-{side}"):
                wraps(faces)


def test_boards_of_one_carcase_and_boards_that_look_the_other_way_are_not_in_one_plane():
    cabinet = stacked()
    for names in (
        ("box-left", "box-right"),
        ("box-left", "head-front"),
        ("box-top", "head-bottom"),
    ):
        with pytest.raises(UnreachableError):
            wraps([cabinet.face(name) for name in names])
