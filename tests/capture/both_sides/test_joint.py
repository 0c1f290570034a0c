"""Each side gets behind its damage what the other shows.

The left is 100 by 60 mm, its pixels 0.5 mm: cream below y = 30, navy above, a red square from
(20, 10) to (40, 25), and a navy post at the foot from x = 82 to 88. The right is its mirror image
on a grid that begins elsewhere.
"""

from dataclasses import replace

import numpy as np
import pytest

from mateline.capture.both_sides.joint import joined
from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.labels import OUTSIDE, Labels

PITCH = 0.5
NAMES = ("cream", "navy", "red")
PAINTS = np.array([(0.8, 0.75, 0.6), (0.02, 0.04, 0.12), (0.45, 0.03, 0.02)], dtype=np.float32)


def side(*, mirrored=False, square=(20, 10, 40, 25), colour=2, light=1.0):
    """A side without damage: its pixels are mixtures at borders."""
    left = -1.25 if mirrored else 0.0
    grid = Grid(124, 206, PITCH, left, -1.0)
    fine = 4
    row, column = np.mgrid[0 : grid.rows * fine, 0 : grid.columns * fine]
    x = left + (column + 0.5) * PITCH / fine
    y = grid.low + grid.rows * PITCH - (row + 0.5) * PITCH / fine
    x = 100 - x if mirrored else x
    numbers = np.where(y > 30 + 0.05 * (x - 50), 1, 0)
    numbers[(x > 82) & (x < 88) & (y < 20)] = 1
    a, b, c, d = square
    numbers[(x > a) & (x < c) & (y > b) & (y < d)] = colour
    numbers[(x < 0) | (x > 100) | (y < 0) | (y > 60)] = 3
    paints = np.vstack([PAINTS * light, [(0.3, 0.3, 0.3)]]).astype(np.float32)
    cells = paints[numbers].reshape(grid.rows, fine, grid.columns, fine, 3)
    middle = numbers[fine // 2 :: fine, fine // 2 :: fine]
    middle = np.where(middle == 3, OUTSIDE, middle).astype(np.int16)
    inside = middle != OUTSIDE
    picture = FacePicture("side", grid, cells.mean(axis=(1, 3), dtype=np.float32), inside)
    sure = np.where(inside, 0.99, 0).astype(np.float32)
    return picture, Labels(grid, NAMES, middle, inside, sure, PAINTS * np.float32(light))


def hurt(of, box, guess=0):
    """A side with bare wood in a box (left, low, right, up), mm, of its own frame."""
    picture, labels = of
    grid = labels.grid
    row, column = np.mgrid[0 : grid.rows, 0 : grid.columns]
    places = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(float))
    x, y = places.T.reshape(2, grid.rows, grid.columns)
    gone = (x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3]) & labels.sound
    light = picture.light.copy()
    light[gone] = (0.4, 0.25, 0.1)
    return replace(picture, light=light), replace(
        labels,
        numbers=np.where(gone, guess, labels.numbers).astype(np.int16),
        sound=labels.sound & ~gone,
        sureness=np.where(gone, 0.6, labels.sureness).astype(np.float32),
    )


def right_share(got, whole):
    inside = whole[1].numbers != OUTSIDE
    return (got[1].numbers == whole[1].numbers)[inside].mean()


def test_what_one_side_lost_the_other_shows():
    both = joined(hurt(side(), (15, 5, 35, 20)), hurt(side(mirrored=True), (10, 35, 40, 55)))
    assert both.differences == ()
    for got, whole in ((both.left, side()), (both.right, side(mirrored=True))):
        assert right_share(got, whole) > 0.997
        assert got[1].sound[whole[1].sound].mean() > 0.998
    assert both.registered.rms < 0.05


def test_the_others_paint_is_seen_in_this_sides_light():
    both = joined(hurt(side(), (15, 5, 35, 20)), side(mirrored=True, light=0.6))
    away = np.abs(both.left[0].light - side()[0].light)[side()[1].sound]
    assert np.quantile(away, 0.99) < 0.1
    assert np.median(away) < 0.01


def test_what_both_lost_is_guessed_and_not_sound():
    # the same place, on the right mirrored
    both = joined(hurt(side(), (60, 5, 70, 15)), hurt(side(mirrored=True), (30, 5, 40, 15)))
    labels = both.left[1]
    row, column = round((61 - 10) / PITCH), round(65 / PITCH)
    assert not labels.sound[row, column]
    assert labels.numbers[row, column] == 0
    assert labels.sureness[row, column] < 0.95


def test_a_square_of_another_colour_is_told_and_each_side_keeps_its_own():
    both = joined(hurt(side(), (15, 5, 30, 12)), side(mirrored=True, colour=1))
    (found,) = both.differences
    assert (found.left, found.right) == ("red", "navy")
    assert found.box == pytest.approx((20, 10, 40, 25), abs=2.5)
    assert 20 < found.at[0] < 40
    assert 10 < found.at[1] < 25
    inside = both.left[1].numbers == 2
    assert inside.sum() * PITCH**2 > 0.8 * (20 * 15 - 10 * 2)
    assert not (both.right[1].numbers == 2).any()
    assert (both.left[1].numbers[78:82, 62:76] == 2).all()


def test_a_square_that_was_moved_is_told_where_it_is_missing_and_where_it_came():
    both = joined(side(), side(mirrored=True, square=(55, 8, 75, 23)))
    told = {(each.left, each.right): each.area for each in both.differences}
    assert told == {
        ("red", "cream"): pytest.approx(300, rel=0.1),
        ("cream", "red"): pytest.approx(300, rel=0.1),
    }
    assert right_share(both.left, side()) > 0.999


def test_a_colour_that_one_side_lacks_is_counted_on_both():
    left = side()
    few = side(mirrored=True, square=(0, 0, 0, 0))
    labels = replace(few[1], colours=NAMES[:2], paints=PAINTS[:2])
    both = joined(left, (few[0], labels))
    assert both.left[1].colours == both.right[1].colours == NAMES
    assert np.allclose(both.right[1].paints, PAINTS)
