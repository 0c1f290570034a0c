"""The judge of written patterns: figures worked on the page, and faults planted in a sound file."""

import math
from dataclasses import replace

import numpy as np
import pytest

from mateline.one_drawing import pattern_report
from pattern_judging import judged, judged_text
from segment_meetings import distances, meetings
from written_segments import UnreadableError, parsed, read

#  0 +--------+   a disc of radius 10 about (20, 20), parted by the line x = 20, in a view of
#    |  (|)   |   40 x 40. Outer loops run counter-clockwise as seen, y down, and holes clockwise.
# 40 +--------+
LEFT = "M20 10A10 10 0 0 0 10 20A10 10 0 0 0 20 30L20 10Z"
RIGHT = "M20 10L20 30A10 10 0 0 0 30 20A10 10 0 0 0 20 10Z"
HOLE = "M20 10A10 10 0 0 1 30 20A10 10 0 0 1 20 30A10 10 0 0 1 10 20A10 10 0 0 1 20 10Z"
PAGE = "M0 0L0 40L40 40L40 0L0 0Z"


def svg(*paths):
    lines = [f'<path fill="#000000" d="{data}"/>' for data in paths]
    return "\n".join(['<svg viewBox="0 0 40 40">', *lines, "</svg>"])


def faults(*paths, allowed=0.001):
    return judged_text(read(svg(*paths)), allowed, 1e-4).faults


def test_an_arc_is_read_with_its_centre_turn_box_and_area():
    some = parsed(["M10 0A10 10 0 0 1 0 10L0 0L10 0Z"])[0]  # a quarter of a disc
    np.testing.assert_allclose(some.centre[0], (0, 0), atol=1e-12)
    assert some.turn[0] == pytest.approx(math.pi / 2)
    assert some.areas(np.array([3.0, 5.0])).sum() == pytest.approx(25 * math.pi)
    half = parsed(["M-10 0A10 10 0 0 0 10 0"])[0]
    low, high = half.boxes()
    np.testing.assert_allclose([*low[0], *high[0]], (-10, 0, 10, 10), atol=1e-12)
    long = parsed(["M0 -10A10 10 0 1 1 -10 0"])[0]
    assert long.turn[0] == pytest.approx(3 * math.pi / 2)


def test_a_nearly_straight_arc_keeps_its_sagitta():
    some = parsed(["M0 0A5000000 5000000 0 0 1 10 0"])[0]
    #  c² / 8 R
    assert some.points([[0.5]])[0, 0, 1] == pytest.approx(-100 / 8 / 5e6)
    assert some.areas(np.zeros(2)).sum() == pytest.approx(10**3 / 12 / 5e6)


@pytest.mark.parametrize(
    "data",
    ["M0 0Lnan 1L2 2Z", "M0 0L1 1C2 2 3 3 4 4Z", "M0 0A1 1 0 0 1 1e999 0Z", "L1 1Z", "M0 0L1Z"],
)
def test_what_no_reader_draws_is_refused(data):
    with pytest.raises(UnreadableError):
        parsed([data])


def test_distances_are_to_the_arc_and_not_to_its_circle():
    some = parsed(["M10 0A10 10 0 0 1 0 10"])[0]
    spots = np.array([(12.0, 0.0), (9.0, 9.0), (-10.0, 0.0), (0.0, 0.0)])
    far = distances(some, np.zeros(4, dtype=int), spots)
    root = math.sqrt(200)
    np.testing.assert_allclose(far, (2, math.sqrt(162) - 10, root, 10), atol=1e-12)


def test_meetings_know_how_deep_they_are():
    #  a circle of radius 5 reaches 1 over the line y = 4; its ends are 3 from it on the other side
    some = parsed(["M-5 0A5 5 0 0 0 0 5A5 5 0 0 0 5 0", "M-9 4L9 4"])[0]
    found = meetings(some)
    assert len(found.pairs) == 2
    assert found.deeper(0.9) == 2
    touching = meetings(parsed(["M-5 0A5 5 0 0 0 5 0", "M-9 5L9 5"])[0])
    assert len(touching.pairs) == 1
    assert touching.deeper(1e-9) == 0


def test_segments_that_share_an_end_do_not_meet_there():
    assert len(meetings(parsed([LEFT + RIGHT])[0].rows(slice(0, 3))).pairs) == 0
    twice = meetings(parsed(["M0 0L10 0", "M0 0A10 10 0 0 1 10 0"])[0])
    assert len(twice.pairs) == 0


def test_lines_along_each_other_meet():
    assert len(meetings(parsed(["M0 0L10 0", "M4 0L20 0"])[0]).pairs) == 1


def test_a_sound_file_has_no_fault():
    assert faults(LEFT, RIGHT, PAGE + HOLE) == {}


PLANTED = {
    #  a neighbour that has an arc of another radius, or a line
    "unshared": (LEFT.replace("A10 10 0 0 0 10 20", "A11 11 0 0 0 10 20"), RIGHT, PAGE + HOLE),
    "open": (LEFT.replace("L20 10Z", "L20 10.5Z"), RIGHT, PAGE + HOLE),
    "not closing": (LEFT, RIGHT, PAGE),
    "doubled": (LEFT, LEFT, RIGHT, PAGE + HOLE),
    "turned": ("M20 10L20 30A10 10 0 0 1 10 20A10 10 0 0 1 20 10Z", RIGHT, PAGE + HOLE),
    "wild": tuple(
        each.replace("L20 30", "L20 95L20 30").replace("L20 10Z", "L20 95L20 10Z")
        for each in (LEFT, RIGHT, PAGE + HOLE)
    ),
    #  the disc's common line goes out over its arc, in both of its neighbours
    "crossing": (
        LEFT.replace("L20 10Z", "L35 20L20 10Z"),
        RIGHT.replace("L20 30", "L35 20L20 30"),
        PAGE + HOLE,
    ),
    "flat arcs": (
        LEFT.replace("L20 10Z", "A30000 30000 0 0 1 20 10Z"),
        RIGHT.replace("L20 30", "A30000 30000 0 0 0 20 30"),
        PAGE + HOLE,
    ),
}


@pytest.mark.parametrize("kind", sorted(PLANTED))
def test_each_planted_fault_is_found(kind):
    assert kind in faults(*PLANTED[kind])


def test_borders_that_cross_make_a_gap_or_an_overlap_though_areas_close():
    #  two squares whose common border is drawn alike by both, and runs over the rim of the one
    left = "M0 0L0 40L20 40L-1 20L20 0L0 0Z"
    right = "M20 0L-1 20L20 40L40 40L40 0L20 0Z"
    found = judged_text(read(svg(left, right)), 2.0, 1e-4)
    assert found.off_closing < 1e-12
    assert found.crossings == 2
    #  a triangle 1 deep and 2 (20/21) high is counted by both fills, once too often by the left
    assert found.overlap > 1e-4


DRAWING = """\
<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">
<rect width="60" height="80" fill="#fc0"/>
<circle cx="60" cy="40" r="25" fill="#036"/>
</svg>"""


@pytest.fixture
def report(tmp_path):
    path = tmp_path / "sun.svg"
    path.write_text(DRAWING)
    return pattern_report(path)


def test_a_report_is_judged_with_what_nothing_covers(report):
    found = judged(report, 0.02)
    assert found.faults.keys() <= {"misreported"}
    assert (found.segments, found.arcs) == (6 + 2 + 4, 4)  # rim, lines, arcs of 100° at most
    #  facets of 0.005 mm off their arc are measured between their vertices
    assert 0.003 < found.measured < 0.0051


def test_a_border_that_was_moved_is_measured(report):
    moved = [
        replace(b, points=np.add(b.points, (0, 0.5))) if np.ptp(b.points[:, 0]) < 1e-9 else b
        for b in report.pattern.borders
    ]
    shifted = replace(report, pattern=replace(report.pattern, borders=tuple(moved)))
    found = judged(shifted, 0.02)
    assert found.measured == pytest.approx(0.5)
    assert {"over tolerance", "misreported"} <= found.faults.keys()
