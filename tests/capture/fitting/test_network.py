"""Networks of places that tracing and pen lines hand over."""

import numpy as np
import pytest

from mateline.capture.fitting.network import RING, Course, Network, fitted
from mateline.capture.fitting.planarity import tiled
from mateline.capture.traced import TracedRegion
from mateline.curves import Chain, Segment
from mateline.pattern.tiling import Tiling

SQUARE = Chain((0.0, 0.0), tuple(Segment(at) for at in ((100.0, 0.0), (100.0, 100.0), (0.0, 100.0),
                                                        (0.0, 0.0))))  # fmt: skip
NONE = np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool)


def course(start, end, left, right, places, error=0.05):
    count = len(places)
    return Course(start, end, left, right, np.array(places, dtype=float), np.full(count, error),
                  np.ones(count, dtype=bool))  # fmt: skip


def halves(places, error=0.05):
    """The square in two regions, 0 left of what runs from below up."""
    return Network(
        np.array([[50.0, 0.3], [49.0, 99.0]]),
        (
            course(0, 1, 0, 1, places, error),
            Course(0, 1, 1, -1, *NONE),
            Course(1, 0, 0, -1, *NONE),
        ),
        (TracedRegion("a", ((0, 2),)), TracedRegion("b", ((~0, 1),))),
    )


def test_places_on_a_line_make_a_line_that_ends_on_the_outline():
    y = np.linspace(3, 97, 80)
    made = fitted(halves(np.column_stack([50 + 0.1 * y, y])), SQUARE).traced
    (segment,) = made.borders[0].chain.segments
    assert made.borders[0].chain.start == pytest.approx((50, 0), abs=1e-3)
    assert segment.to == pytest.approx((60, 100), abs=1e-3)
    assert made.nodes == (made.borders[0].chain.start, segment.to)
    assert made.borders[1].chain.points[1:3] == ((100.0, 0.0), (100.0, 100.0))


def test_expected_errors_are_those_of_a_line_through_so_many_places():
    # A line through n places of error s leaves s sqrt(2 / n) rms at them (two unknowns). The
    # floor for what all places share, 0.003 mm, comes on top.
    y = np.linspace(3, 97, 80)
    made = fitted(halves(np.column_stack([50 + 0 * y, y]), 0.4), SQUARE).traced
    assert made.borders[0].error == pytest.approx(np.hypot(0.4 * np.sqrt(2 / 80), 0.003), rel=0.05)


def test_a_bend_of_less_than_its_errors_is_a_line_and_one_of_more_an_arc():
    y = np.linspace(3, 97, 80)
    bulge = (y - 3) * (97 - y) / 47**2
    flat = fitted(halves(np.column_stack([50 + 0.03 * bulge, y])), SQUARE).traced
    bent = fitted(halves(np.column_stack([50 + 0.8 * bulge, y])), SQUARE).traced
    assert [each.centre for each in flat.borders[0].chain.segments] == [None]
    (arc,) = bent.borders[0].chain.segments
    # s = 0.8 over half a chord of 47: R = (47² + 0.8²) / 1.6
    assert arc.centre is not None
    assert np.hypot(*np.subtract(arc.to, arc.centre)) == pytest.approx(1380.9, rel=0.01)


def test_borders_that_would_cross_fall_back_and_are_named():
    # Both borders of the lens were measured on one line: no lines have an area between them.
    y = np.linspace(30, 70, 60)
    shared = np.column_stack([50 + 0 * y, y])
    left = np.column_stack([50 - 2 * np.sin(np.pi * (y - 30) / 40), y])
    rough = Course(0, 1, 0, 1, shared, np.full(60, 0.05), np.ones(60, dtype=bool), left)
    network = Network(
        np.array([[50.0, 30.0], [50.0, 70.0]]),
        (
            rough,
            course(0, 1, 1, 0, shared),
            Course(RING, RING, 0, -1, *NONE),
        ),
        (TracedRegion("a", ((2,), (1, ~0))), TracedRegion("b", ((0, ~1),))),
    )
    network = Network(
        network.nodes, network.courses,
        (TracedRegion("a", ((2,), (0, ~1))), TracedRegion("b", ((1, ~0),))),
    )  # fmt: skip
    made = fitted(network, SQUARE)
    assert made.finer or made.rough
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert tiling == Tiling(0.0, 0.0, 0)
    assert len(wrong) == 0


def test_the_same_network_gives_the_same_borders():
    y = np.linspace(3, 97, 80)
    places = np.column_stack([50 + 4 * np.sin(y / 9), y])
    assert fitted(halves(places), SQUARE) == fitted(halves(places), SQUARE)


def test_where_labels_cross_what_paint_shows_keeps_its_arcs():
    """A border is seen below and above a patch, in two arcs of 60 mm; in the patch only labels
    tell of it, and they go round a disc, 0.5 mm from it, that the arcs run on across.
    """
    turn = np.linspace(0, 2 * np.pi, 90)[:-1]
    disc = np.column_stack([51 + 5 * np.cos(turn), 50 + 5 * np.sin(turn)])
    y = np.arange(0.5, 100, 0.4)
    x = 50 + np.sqrt(60**2 - (y - 50) ** 2) - 60
    hidden = np.abs(y - 50) < 7
    x[hidden] = 51 + np.sqrt(np.maximum(5.5**2 - (y[hidden] - 50) ** 2, 0))
    x[hidden] = np.maximum(x[hidden], 50.2)
    one = Course(0, 1, 0, 1, np.column_stack([x, y]), np.where(hidden, 1.5, 0.03), ~hidden)
    network = Network(
        np.array([[27.0, 0.0], [27.0, 100.0]]),
        (one, Course(0, 1, 1, -1, *NONE), Course(1, 0, 0, -1, *NONE),
         course(RING, RING, 2, 0, disc)),
        (TracedRegion("a", ((0, 2), (~3,))), TracedRegion("b", ((~0, 1),)),
         TracedRegion("c", ((3,),))),
    )  # fmt: skip
    made = fitted(network, SQUARE)
    assert made.rough == ()
    segments = made.traced.borders[0].chain.segments
    first, last = segments[0], segments[-1]
    for arc in (first, last):
        assert arc.centre == pytest.approx((-10, 50), abs=0.5)
    assert len(segments) <= 12
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert (tiling, len(wrong)) == (Tiling(0.0, 0.0, 0), 0)
