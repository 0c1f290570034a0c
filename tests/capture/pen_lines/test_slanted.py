"""A photo of a tracing straightened by what is known of it, as an independent solver does it."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from mateline.capture.pen_lines.true_size import (
    OnFace,
    Places,
    Spans,
    on_face,
    placed_by_marks,
    placed_by_spans,
    upright,
)
from mateline.curves import Chain, Segment
from mateline.errors import InputError

SHAPE = (1600, 1200)
#  places of the paper, mm, and where a camera at a slant sees them: the outside solver's map
SLANT = np.array([[6.0, 0.4, 120.0], [0.3, -6.2, 1500.0], [4e-4, -6e-4, 1.0]])
CAMERA = ProjectiveTransform(matrix=SLANT)
MARKS = np.array([(0, 0), (150, 0), (150, 200), (0, 200), (70, 90), (120, 40)], dtype=np.float64)
GRID = np.array([(x, y) for x in range(0, 160, 30) for y in range(0, 210, 40)], dtype=np.float64)


def bent(pixels, k1):
    """Pixels as a lens moves them: outwards by a share k1 r², r = 1 at the picture's ends."""
    middle = (np.array(SHAPE[::-1]) - 1) / 2
    straight, found = (pixels - middle) / 800, (pixels - middle) / 800
    for _ in range(30):
        found = straight / (1 + k1 * (found**2).sum(axis=1, keepdims=True))
    return found * 800 + middle


def places(pixels, known):
    return Places(tuple(zip(map(tuple, pixels), map(tuple, known), strict=True)))


def spans(pixels, known, pairs):
    return Spans(tuple(
        (tuple(pixels[a]), tuple(pixels[b]), float(np.hypot(*(known[a] - known[b]))))
        for a, b in pairs
    ))  # fmt: skip


@pytest.mark.parametrize("count", [4, 5])
def test_four_places_or_more_straighten_a_photo(count):
    seen = CAMERA(MARKS)
    placed = placed_by_marks(places(seen[:count], MARKS[:count]), "", SHAPE)
    assert placed.kind == "slanted"
    np.testing.assert_allclose(placed(CAMERA(GRID)), GRID, atol=1e-6)
    np.testing.assert_allclose([placed.pixel(tuple(at)) for at in GRID], CAMERA(GRID), atol=1e-5)


def test_places_that_do_not_agree_are_laid_as_an_outside_solver_lays_them():
    known = MARKS + np.random.default_rng(1).normal(0, 0.4, MARKS.shape)
    seen = CAMERA(MARKS)
    placed = placed_by_marks(places(seen, known), "", SHAPE)
    outside = ProjectiveTransform.from_estimate(seen, known)
    left = [np.hypot(*(map_of(seen) - known).T) for map_of in (placed, outside)]
    assert placed.residual.rms == pytest.approx(np.sqrt((left[0] ** 2).mean()), abs=1e-3)
    #  ours is the least sum of squares on the paper, theirs of an algebraic form of it
    assert (left[0] ** 2).sum() <= (left[1] ** 2).sum() + 1e-9
    assert np.abs(placed(seen) - outside(seen)).max() < 0.3


def test_six_places_tell_the_lens_where_it_shows():
    seen = bent(CAMERA(MARKS), -0.02)
    placed = placed_by_marks(places(seen, MARKS), "", SHAPE)
    assert placed.kind == "slanted, with its lens"
    np.testing.assert_allclose(placed(bent(CAMERA(GRID), -0.02)), GRID, atol=0.001)
    assert placed.pixel((70.0, 90.0)) == pytest.approx(tuple(seen[4]), abs=0.01)


def test_two_and_three_places_lay_a_flat_scan_and_are_told_so():
    flat = MARKS * (8, -8) + (24, 1518)
    assert placed_by_marks(places(flat[:2], MARKS[:2]), "", SHAPE).kind == "flat"
    three = placed_by_marks(places(flat[1:4], MARKS[1:4]), "", SHAPE)
    assert three.kind == "stretched"
    np.testing.assert_allclose(three(flat), MARKS, atol=1e-6)


@pytest.mark.parametrize(
    ("marks", "says"),
    [
        (MARKS[:1], "Fewer than two places"),
        (MARKS[[0, 1, 1]], "lie on each other"),
        (np.array([(0, 0), (50, 50), (70, 70), (90, 90.0)]), "No camera sees"),
        (MARKS[[0, 3, 2, 1]], "No camera sees"),
    ],
)
def test_places_that_say_nothing_are_refused(marks, says):
    seen = CAMERA(MARKS[: len(marks)] if marks[-1, 0] == 150 and len(marks) == 4 else marks)
    with pytest.raises(InputError, match=says):
        placed_by_marks(places(seen, marks), "scan.jpg", SHAPE)


def test_all_distances_among_four_marks_straighten_a_photo():
    seen = CAMERA(MARKS)
    placed = placed_by_spans(spans(seen, MARKS, combinations(range(4), 2)), 5.0, SHAPE)
    assert placed.kind == "slanted"
    assert placed.residual.worst < 1e-4
    found = placed(CAMERA(GRID))
    for a, b in ((0, 5), (3, 29), (7, 20)):
        assert np.hypot(*(found[a] - found[b])) == pytest.approx(
            float(np.hypot(*(GRID[a] - GRID[b]))), abs=1e-4
        )


def test_fewer_distances_lay_the_paper_flat():
    seen = CAMERA(MARKS)
    placed = placed_by_spans(spans(seen, MARKS, [(0, 1), (1, 2), (2, 3), (3, 0)]), 5.0, SHAPE)
    assert placed.kind == "flat"
    assert placed.residual.worst > 1


def test_a_scan_with_a_tapes_errors_stays_flat():
    flat = upright(8.0, 1600)
    seen = np.array([flat.pixel(tuple(at)) for at in MARKS])
    chance = np.random.default_rng(2)
    exact = spans(seen, MARKS, combinations(range(6), 2)).measured
    for _ in range(20):
        read = Spans(tuple((a, b, mm + chance.normal(0, 0.4)) for a, b, mm in exact))
        assert placed_by_spans(read, 8.0, SHAPE).kind == "flat"


@pytest.mark.parametrize("k1", [0.0, -0.02])
def test_the_outline_straightens_a_photo(k1):
    corners = np.array([(0.0, 0.0), (150.0, 0.0), (150.0, 90.0), (100.0, 200.0), (0.0, 200.0)])
    points = [tuple(at) for at in corners.tolist()]
    outline = Chain(points[-1], tuple(Segment(at) for at in points))
    ring = np.vstack([corners, corners[:1]])
    along = np.vstack([
        a + np.linspace(0, 1, 150, endpoint=False)[:, None] * (b - a) for a, b in pairwise(ring)
    ])  # fmt: skip
    placed = on_face(bent(CAMERA(along), k1), OnFace(outline), SHAPE)
    assert placed.kind == ("slanted, with its lens" if k1 else "slanted")
    np.testing.assert_allclose(placed(bent(CAMERA(along), k1)), along, atol=0.01)
