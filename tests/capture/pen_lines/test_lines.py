"""Scanned lines become regions at true size.

Sheets have eight pixels to a mm. A scene stands for many; all of them with `-m scenes`.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from mateline.capture.pen_lines.lines import lines_traced
from mateline.capture.pen_lines.region_names import Wanted
from mateline.capture.pen_lines.true_size import OnFace, Resolution
from mateline.capture.picture import Picture
from mateline.curves import Chain, Segment, flattened
from mateline.errors import InputError
from scenes.camera import standing
from scenes.design import design
from scenes.judging import _samples
from scenes.pen import linear, photographed, scanned
from scenes.photograph import decoded, linear_of
from scenes.ruled import box, ruled, with_dot

DPI = 8 * 25.4
BOX = box(10, 10, 50, 30)


def traced(lines, size=(60, 40), wanted=None, **sheet):
    picture = lines if isinstance(lines, Picture) else ruled(lines, size, **sheet)
    return lines_traced(picture, Resolution(DPI), wanted or Wanted())


def corners(result):
    """All ends of segments, rounded to a tenth of a mm."""
    return {
        (round(x, 1) + 0.0, round(y, 1) + 0.0)
        for border in result.traced.borders for x, y in border.chain.points
    }  # fmt: skip


def test_a_box_parted_by_a_line_is_two_regions_with_the_corners_where_the_pen_turned():
    result = traced([BOX, [(30, 10), (30, 30)]])
    assert [each.colour for each in result.traced.regions] == ["region-1", "region-2"]
    expected = {(0, 0), (40, 0), (40, 20), (0, 20), (20, 0), (20, 20)}
    assert corners(result) == expected
    assert sum(len(each.chain.segments) for each in result.traced.borders) == 7
    assert result.pen == pytest.approx(0.8, abs=0.2)


def test_two_lines_that_cross_share_one_node():
    result = traced([BOX, [(30, 10), (30, 30)], [(10, 20), (50, 20)]])
    ends = [node for each in result.traced.borders for node in (each.start, each.end)]
    assert sorted(ends.count(node) for node in set(ends)) == [3, 3, 3, 3, 4]
    assert len(result.traced.regions) == 4


def test_a_circle_within_is_a_hole_of_the_region_around_it_and_one_circle():
    ring = [(30 + 6 * math.cos(t), 20 + 6 * math.sin(t)) for t in np.linspace(0, math.tau, 200)]
    result = traced([BOX, ring])
    outer = max(result.traced.regions, key=lambda each: len(each.loops))
    assert len(outer.loops) == 2
    (circle,) = [each for each in result.traced.borders if -1 not in (each.left, each.right)]
    assert {each.centre is None for each in circle.chain.segments} == {False}
    centre = circle.chain.segments[0].centre
    assert centre == pytest.approx((20, 10), abs=0.02)
    assert math.dist(centre, circle.chain.start) == pytest.approx(6, abs=0.02)


def test_a_break_is_told_as_guessed_and_drawn_through():
    result = traced([BOX, [(30, 10), (30, 18.5)], [(30, 21.5), (30, 30)]])
    (line,) = [each for each in result.traced.borders if -1 not in (each.left, each.right)]
    assert len(line.chain.segments) == 1
    assert any(
        low < 10 < high for low, high in line.guessed
    )  # in the middle of 20 mm, whichever way it runs


def test_a_dot_colours_the_region_that_it_lies_in_and_draws_no_line():
    palette = {"red": linear_of("#b3271e"), "teal": linear_of("#1f8a85")}
    sheet = ruled([BOX, [(30, 10), (30, 30)]], (60, 40))
    sheet = with_dot(with_dot(sheet, 20, 20, palette["teal"]), 38, 22, palette["red"])
    result = traced(sheet, wanted=Wanted(palette=palette))
    assert [each.colour for each in result.traced.regions] == ["teal", "red"]
    assert len(result.traced.borders) == 3
    assert result.unnamed == ()


def test_points_name_regions_in_mm_from_the_lower_left_corner_of_the_tracing():
    wanted = Wanted(points=[(5, 5, "navy"), (35, 5, "cream")])
    result = traced([BOX, [(30, 10), (30, 30)]], wanted=wanted)
    assert [each.colour for each in result.traced.regions] == ["navy", "cream"]


def test_the_faces_outline_bounds_what_is_traced_and_gives_the_scale():
    # drawn 1 % too large, as a scan that says nothing of its size: the face is 40 by 20
    points = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)]
    outline = Chain(points[-1], tuple(Segment(at) for at in points))
    drawn = [BOX, [(26, 10), (26, 30)]]
    sheet = ruled([[(x * 1.01, y * 1.01) for x, y in run] for run in drawn], (62, 42))
    result = lines_traced(sheet, OnFace(outline))
    assert result.residual.worst < 0.05
    assert corners(result) == {*points, (16.0, 0.0), (16.0, 20.0)}
    rims = [each for each in result.traced.borders if -1 in (each.left, each.right)]
    away = [
        abs(shapely.linearrings(points).distance(shapely.Point(at)))
        for each in rims
        for at in each.chain.points
    ]
    assert max(away) < 1e-5


def test_lines_that_close_nothing_are_refused():
    with pytest.raises(InputError, match="No line of the scan is closed"):
        traced([[(10, 10), (50, 10)], [(10, 20), (50, 20)]])


def test_a_blank_sheet_is_refused():
    with pytest.raises(InputError, match="No line of the scan is closed"):
        traced([[(-50, -50), (-40, -40)]])


def test_the_same_scan_gives_the_same_result():
    sheet = ruled([BOX, [(30, 10), (33, 30)]], (60, 40))
    assert repr(traced(sheet)) == repr(traced(replace(sheet, light=sheet.light.copy())))


def away_from_strokes(result, scan):
    """Distances of what was traced from the strokes' centres, and how much of these was missed."""
    inner = [each for each in result.traced.borders if -1 not in (each.left, each.right)]
    lines = shapely.multilinestrings(
        [shapely.linestrings(flattened(each.chain, 0.002)) for each in inner]
    )
    truth = scan.inner
    shapely.prepare(truth)
    shapely.prepare(lines)
    away = shapely.distance(shapely.points(_samples(lines)), truth)
    back = shapely.distance(shapely.points(_samples(truth)), lines)
    return away[away < 2], float(np.mean(back > 2))


def on_its_face(scan, palette=None):
    points = [(float(x), float(y)) for x, y in scan.design.corners]
    outline = Chain(points[-1], tuple(Segment(at) for at in points))
    picture = Picture("scan.jpg", linear(scan), scan.dpi)
    return lines_traced(picture, OnFace(outline), Wanted(palette=palette))


def test_a_scan_with_breaks_creases_stains_and_marks_is_traced():
    face = design(1, 150, 200)
    scan = scanned(face, dpi=150, pen_mm=0.5, breaks=15, seed=1, marked=1.0)
    palette = {name: linear_of(ink) for name, ink in face.palette.items()}
    result = on_its_face(scan, palette)
    away, missed = away_from_strokes(result, scan)
    assert np.sqrt(np.mean(away**2)) < 0.1
    assert missed < 0.01
    assert len(scan.marks) >= 6
    named = [each for each in result.traced.regions if not each.colour.startswith("region-")]
    assert len(named) >= len(scan.marks) - 1


def clear_of_others(scan, result):
    """Distances from the strokes' centres of what was traced, where no other stroke is near."""
    inner = [each for each in result.traced.borders if -1 not in (each.left, each.right)]
    lines = shapely.multilinestrings(
        [shapely.linestrings(flattened(each.chain, 0.002)) for each in inner]
    )
    spots = shapely.points(_samples(lines))
    tree = shapely.STRtree(list(scan.strokes))
    near = tree.query(spots, predicate="dwithin", distance=2.5)[0]
    alone = np.bincount(near, minlength=len(spots)) == 1
    return shapely.distance(spots[alone], scan.inner)


def regions_told_apart(result, face, least=5.0):
    """How many regions of a design, of `least` mm², are in no region of what was traced, and how
    many share one with another.
    """
    traced = [shapely.polygons(ring_of(result.traced, each)) for each in result.traced.regions]
    found = []
    for region in face.pattern.regions:
        if region.area.area > least:
            spot = shapely.Point(shapely.maximum_inscribed_circle(region.area, 0.1).coords[0])
            around = [(each.area, at) for at, each in enumerate(traced) if each.contains(spot)]
            found.append(min(around)[1] if around else None)
    return found.count(None), len(found) - len(set(found))


def ring_of(traced, region):
    """The outer loop of a region, without its holes."""
    points = []
    for half in region.loops[0]:
        run = flattened(traced.borders[max(half, ~half)].chain)
        points.append(run if half >= 0 else run[::-1])
    return np.vstack(points)


def rms_of_a_photo(face, k1, size):
    """The rms by which a photo at a slant, laid on the face by its outline, leaves the strokes."""
    scan = scanned(face, dpi=170, pen_mm=0.7, breaks=6, seed=1)
    across = face.outline.bounds[2] - face.outline.bounds[0]
    camera = standing(
        face.outline, size, 0.73 * size[0] / across, yaw_deg=17.0, pitch_deg=-9.0, k1=k1
    )
    light = decoded(photographed(scan, camera) / 255.0).astype(np.float32)
    points = [(float(x), float(y)) for x, y in face.corners]
    outline = Chain(points[-1], tuple(Segment(at) for at in points))
    result = lines_traced(Picture("photo.jpg", light), OnFace(outline))
    away, missed = away_from_strokes(result, scan)
    assert missed < 0.02
    return result, float(np.sqrt(np.mean(away**2)))


def test_a_photo_of_a_tracing_at_a_slant_is_straightened_by_the_outline():
    result, rms = rms_of_a_photo(design(1, 100, 133), -0.06, (760, 1000))
    assert result.kind == "slanted, with its lens"
    assert result.residual.rms < 0.1
    assert rms < 0.15


@pytest.mark.scenes
@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize("k1", [0.0, -0.06])
def test_photos_of_tracings_are_straightened(seed, k1):
    result, rms = rms_of_a_photo(design(seed, 150, 200), k1, (1150, 1500))
    assert result.kind.startswith("slanted")
    assert rms < 0.15


def test_an_outline_that_is_not_the_faces_is_refused():
    points = [(0.0, 0.0), (40.0, 0.0), (40.0, 90.0), (20.0, 20.0)]
    other = Chain(points[-1], tuple(Segment(at) for at in points))
    with pytest.raises(InputError, match="is not the face's outline"):
        lines_traced(ruled([BOX, [(30, 10), (30, 30)]], (60, 40)), OnFace(other))


@pytest.mark.scenes
@pytest.mark.parametrize("seed", range(8))
def test_scans_of_many_designs_are_traced_with_all_their_regions(seed):
    pens = (0.8, 0.5, 1.2, 0.7)
    inks = ("#23262e", "#1f3fa0", "#a3202a", "#1f6b3a")
    face = design(seed, 300, 400)
    scan = scanned(
        face, seed=seed, breaks=40, marked=0.8 * (seed % 2 == 0),
        pen=inks[seed % 4], pen_mm=pens[seed % 4],
    )  # fmt: skip
    result = on_its_face(scan, {name: linear_of(ink) for name, ink in face.palette.items()})
    away, missed = away_from_strokes(result, scan)
    clear = clear_of_others(scan, result)
    assert np.sqrt(np.mean(clear**2)) < 0.05
    assert np.sqrt(np.mean(away**2)) < 0.12  # two lines nearer than the pen is wide are one
    assert missed < 0.005
    assert regions_told_apart(result, face) == (0, 0)
    assert len(result.clashes) == 0
