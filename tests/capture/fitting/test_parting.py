"""Courses that go back to their path where they are at fault, and stay lines elsewhere."""

import numpy as np
import pytest
import shapely

from mateline.capture.fitting.courses import RING, Course, Network
from mateline.capture.fitting.network import fitted
from mateline.capture.fitting.parting import parted, whole
from mateline.capture.fitting.planarity import tiled
from mateline.capture.traced import TracedRegion
from mateline.curves import Chain, Segment, flattened, length
from mateline.pattern.tiling import Tiling

SQUARE = Chain((0.0, 0.0), tuple(Segment(at) for at in ((100.0, 0.0), (100.0, 100.0), (0.0, 100.0),
                                                        (0.0, 0.0))))  # fmt: skip
NONE = (np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool))


def along(corners, every=0.4, *, closed=True):
    """Places along a polygon."""
    line = shapely.linestrings([*corners, corners[0]] if closed else corners)
    count = int(line.length / every)
    share = (np.arange(count) + 0.5) / count
    return shapely.get_coordinates(shapely.line_interpolate_point(line, share, normalized=True))


def rough(places, by=0.15):
    """A path of pixels beside places: it goes to the left and to the right."""
    away = np.where(np.arange(len(places)) % 2 == 0, by, -by)
    middle = places.mean(axis=0)
    way = (places - middle) / np.hypot(*(places - middle).T)[:, None]
    return places + away[:, None] * way


def ring(left, places, path):
    return Course(
        RING, RING, left, 0, places, np.full(len(places), 0.05), np.ones(len(places), dtype=bool),
        np.vstack([path, path[:1]]),
    )  # fmt: skip


def disc(radius, count=40):
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([83 + radius * np.cos(turn), 52 + radius * np.sin(turn)])


def stripe_and_disc():
    """A stripe of 60 by 4 mm and a disc whose places run into its end: only their paths part."""
    stripe = along([(20, 50), (80, 50), (80, 54), (20, 54)])
    return Network(
        np.zeros((0, 2)),
        (Course(RING, RING, 0, -1, *NONE), ring(1, stripe, rough(stripe)),
         ring(2, disc(3.6), disc(2.4))),
        (TracedRegion("ground", ((0,), (~1,), (~2,))), TracedRegion("one", ((1,),)),
         TracedRegion("two", ((2,),))),
    )  # fmt: skip


def test_a_stripe_that_another_runs_into_stays_lines_but_for_its_end():
    network = stripe_and_disc()
    made = fitted(network, SQUARE)
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert (tiling, len(wrong)) == (Tiling(0.0, 0.0, 0), 0)
    border = made.traced.borders[1]
    assert made.traced.regions == network.regions
    assert (border.start, border.end) == (RING, RING)
    assert border.chain.start == border.chain.segments[-1].to
    for y in (50.0, 54.0):
        line = flattened(border.chain, 0.01)
        near = line[(np.abs(line[:, 1] - y) < 0.5) & (line[:, 0] > 25) & (line[:, 0] < 70)]
        assert len(near) <= 2  # of a line of 45 mm or more there are its ends at most
    total = length(border.chain)
    assert sum(end - start for start, end in border.guessed) < 0.4 * total
    assert len(border.chain.segments) < 40  # its path has over 300


@pytest.mark.parametrize(("first", "last"), [(100, 110), (0, 5), (310, 318), (315, 330)])
def test_the_parts_of_a_ring_have_all_its_places_but_those_that_are_nodes(first, last):
    network = stripe_and_disc()
    course = network.courses[1]
    found, kept = parted(whole(network), 1, first, last)
    (middle, inner), (rest, outer) = kept.items()
    assert len(inner) + len(outer) == len(course.places) - 2
    assert not set(inner.tolist()) & set(outer.tolist())
    count = len(course.places)
    assert {at % count for at in range(first, last + 1)} <= set(inner.tolist())
    one, other = (found.network.courses[at] for at in (middle, rest))
    assert (one.start, one.end) == (other.end, other.start)
    assert found.parts[1] == (middle, rest)
    for part in (one, other):
        ends = found.network.nodes[[part.start, part.end]]
        assert (part.path[[0, -1]] == ends).all()
    loops = found.network.regions[0].loops
    assert loops[1] == (~rest, ~middle)


def test_a_course_between_nodes_is_parted_in_three():
    places = along([(0, 50), (100, 50)], closed=False)
    course = Course(0, 1, 0, 1, places, np.full(250, 0.05), np.ones(250, dtype=bool),
                    np.vstack([[[0, 50]], places, [[100, 50]]]))  # fmt: skip
    network = Network(
        np.array([[0.0, 50.0], [100.0, 50.0]]),
        (course, Course(0, 1, 1, -1, *NONE), Course(1, 0, 0, -1, *NONE)),
        (TracedRegion("a", ((0, 2),)), TracedRegion("b", ((~0, 1),))),
    )
    found, kept = parted(whole(network), 0, 120, 130)
    before, middle, after = found.parts[0]
    assert list(kept) == [middle, before, after]
    assert [found.network.courses[at].start for at in (before, middle, after)] == [0, 2, 3]
    assert [found.network.courses[at].end for at in (before, middle, after)] == [2, 3, 1]
    assert found.network.regions[1].loops == ((~after, ~middle, ~before, 1),)
    assert parted(whole(network), 0, 4, 245) is None  # hardly anything would be left
