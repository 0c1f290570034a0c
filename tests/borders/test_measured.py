"""What is reported of chains is measured on them, and what does not measure up is not written."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline import curves
from mateline.borders import refit as module
from mateline.borders.arc_fitting import bows_of
from mateline.borders.measured import _swollen, measured, swept, written
from mateline.borders.polylines import polylines_of
from mateline.borders.refit import refitted
from mateline.drawing.flattening import flattened
from mateline.drawing.shapes import Shape
from mateline.drawing.svg.path_data import ellipse, subpaths
from mateline.pattern.pattern import pattern_of

FACE = box(0, 0, 400, 300)
AS_IS = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
WAVE = "M50 100 C100 40 150 160 200 100 C250 40 300 160 350 100 V250 H50 Z"


def pattern(path=WAVE):
    (outline,) = subpaths(path)
    ring = flattened(outline, AS_IS, curves.FACET)
    return pattern_of([Shape(Polygon(ring), "#ff0000", "wave")], FACE, base="#ffffff")


def one_arc(height, sweep=math.pi):
    """A half circle of radius 10 in 60 facets, and one arc for it whose middle is off by
    `height`.
    """
    angle = sweep * np.arange(61) / 60
    points = 10 * np.column_stack([np.cos(angle), np.sin(angle)])
    lines = replace(
        polylines_of(pattern(), 0.02),
        points=points, offsets=np.array([0, 61]), owner=np.zeros(61, dtype=int),
        free=np.array([False]), rim=np.array([False]),
    )  # fmt: skip
    bows = bows_of(points, np.array([0]), np.array([60]), 0.02)
    half = 2 * math.atan((10 + height) / 10)
    sin, cos = np.array([math.sin(half)]), np.array([math.cos(half)])
    return lines, replace(bows, sin=sin, cos=cos)


@pytest.mark.parametrize("height", [0.0, 0.5, -0.5, 3.0])
def test_the_distance_is_the_one_plane_geometry_has(height):
    # The arc's middle is 10 + height over the chord, that of the facets 10: no other is farther.
    lines, bows = one_arc(height)
    sagitta = 10 * (1 - math.cos(math.pi / 120))
    (found,) = measured(lines, bows, written(bows))
    assert found == pytest.approx(max(abs(height), sagitta), abs=sagitta + 1e-9)
    assert found >= abs(height) - 1e-9


@pytest.mark.parametrize(
    "hook",
    [
        [(0, 0), (-0.06, -0.01), (0, 10)],  # back along the line before, and on beside its own
        [(0, 0), (-0.06, -0.01), (-0.04, -0.02), (0, 10)],
        [(0, 0), (0, 4), (-0.06, -0.01), (0, 10)],
    ],
)
def test_where_facets_go_back_a_little_the_segment_is_held_against_them(hook):
    points = np.array([(-10, 0), *hook], dtype=float)
    count = len(points)
    lines = replace(
        polylines_of(pattern(), 0.02),
        points=points, offsets=np.array([0, count]), owner=np.zeros(count, dtype=int),
        free=np.array([False]), rim=np.array([False]),
    )  # fmt: skip
    first, last = np.array([0, 1]), np.array([1, count - 1])
    none = np.zeros(2)
    bows = replace(
        bows_of(points, first, last, 0.02), start=points[first], end=points[last], sin=none,
        cos=none + 1,
    )  # fmt: skip
    (found,) = measured(lines, bows, written(bows))
    along = shapely.points(np.zeros(100_001), np.linspace(0, 10, 100_001))
    farthest = shapely.distance(along, shapely.LineString(points)).max()
    assert found == pytest.approx(farthest, abs=1e-4)


@pytest.mark.parametrize("field", ["start", "end", "centre"])
@pytest.mark.parametrize("value", [math.nan, math.inf, 1e16])
def test_no_number_that_is_none_and_no_wild_one_passes(field, value):
    lines, bows = one_arc(0.0)
    made = written(bows)
    wild = replace(made, **{field: np.full((1, 2), value)})
    assert measured(lines, bows, wild).item() == math.inf


def test_an_arc_that_goes_the_other_way_round_does_not_pass():
    lines, bows = one_arc(0.0)
    made = written(bows)
    assert measured(lines, bows, replace(made, left=~made.left)).item() > 9


def test_segments_that_do_not_meet_do_not_pass():
    shape = pattern()
    lines = polylines_of(shape, 0.02)
    bows = module._bows(lines, 0.02, None)
    torn = replace(bows, start=bows.start + 1e-12)
    assert np.isinf(measured(lines, torn, written(torn))).all()


def test_the_reported_deviation_is_that_of_the_chains():
    shape = pattern()
    found = refitted(shape)
    worst = 0.0
    for border, chain in zip(shape.borders, found.chains, strict=True):
        fine = curves.flattened(chain, 1e-6)
        facets = shapely.LineString(border.points)
        worst = max(worst, shapely.distance(facets, shapely.points(fine)).max())
        middles = shapely.line_interpolate_point(facets, np.linspace(0, facets.length, 4000))
        worst = max(worst, shapely.distance(shapely.LineString(fine), middles).max())
    assert found.largest_deviation == pytest.approx(worst, abs=1e-4)


@pytest.mark.parametrize("harm", [1e16, 0.5])
def test_a_border_that_does_not_measure_up_is_written_as_its_facets(harm, monkeypatch):
    shape = pattern()
    sound = refitted(shape)

    def spoilt(lines, *given):
        bows = kept(lines, *given)
        rows = np.flatnonzero(bows.sin != 0)[:1]
        end = bows.end.copy()
        end[rows] += harm
        return replace(bows, end=end)

    kept = module._bows
    monkeypatch.setattr(module, "_bows", spoilt)
    monkeypatch.setattr(module, "uncrossed", lambda _, bows, *__: bows)
    found = refitted(shape)
    assert len(found.faceted) == 1
    assert found.largest_deviation <= 0.02
    at = found.faceted[0]
    assert all(segment.centre is None for segment in found.chains[at].segments)
    assert len(found.chains[at].segments) > len(sound.chains[at].segments)
    assert [c for k, c in enumerate(found.chains) if k != at] == [
        c for k, c in enumerate(sound.chains) if k != at
    ]


@pytest.mark.parametrize(("over", "faceted"), [(0.5e-9, False), (2e-9, True)])
def test_what_measures_more_than_the_tolerance_by_rounding_stays(over, faceted, monkeypatch):
    """By half a billionth of it; a fit may use the tolerance up."""
    kept = module.measured
    sizes = iter([0.02 * (1 + over)])

    def measuring(lines, bows, made, *enough):
        away = kept(lines, bows, made, *enough)
        away[-1] = next(sizes, away[-1])
        return away

    monkeypatch.setattr(module, "measured", measuring)
    assert bool(refitted(pattern()).faceted) == faceted


def test_a_circle_s_joints_may_leave_its_vertices():
    ring = flattened(ellipse(200, 150, 90, 90)[0], AS_IS, curves.FACET)
    shape = pattern_of([Shape(Polygon(ring), "#ff0000", "disc")], FACE, base="#ffffff")
    found = refitted(shape)
    assert found.faceted == ()
    assert found.largest_deviation <= 1.001 * curves.FACET


def test_areas_of_regions_within_lines_and_arcs_fill_the_outline():
    ring = flattened(ellipse(200, 150, 90, 90)[0], AS_IS, curves.FACET)
    shape = pattern_of([Shape(Polygon(ring), "#ff0000", "disc")], FACE, base="#ffffff")
    lines = polylines_of(shape, 0.02)
    bows = module._bows(lines, 0.02, None)
    areas = np.bincount(lines.owner[bows.first], weights=swept(written(bows)))
    assert sorted(abs(areas)) == pytest.approx([math.pi * 8100, 120_000], rel=1e-12)
    lost = replace(shape, regions=shape.regions[1:])
    with pytest.raises(RuntimeError, match="within an outline"):
        module._areas(lost, lines, bows, written(bows))


def test_an_arc_that_takes_in_more_area_than_its_distance_does_not_pass():
    lines, bows = one_arc(0.0)
    made = written(bows)
    assert not _swollen(lines, bows, made, np.array([0.01])).any()
    far = replace(bows, sin=-bows.sin)
    assert _swollen(lines, far, written(far), np.array([0.01])).all()
