"""Arcs from readings: worked figures, refusals, and whether ellipses hold what they say."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest

from mateline.errors import InputError
from mateline.tape.accuracy import Tape, deviation
from mateline.tape.arcs.curve import Curve
from mateline.tape.arcs.fitting import TANGENT_DEVIATION
from mateline.tape.outline import Corners, given, solved
from mateline.tape.readings import Readings
from mateline.tape.solving.statistics import ELLIPSE_95

TAPE = Tape("mm", Fraction(1), "II")
# A carcase with a round shoulder of 300 mm from C to D, and a bowed front E-A of 40 mm.
TRUTH = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (600.0, 1000.0), "D": (300.0, 1300.0),
         "E": (0.0, 1300.0)}  # fmt: skip
PAIRS = list(itertools.combinations(TRUTH, 2))
SHOULDER = 300 * (1 - math.sqrt(0.5))  # rise of a quarter circle
NORMAL_95 = 1.959964  # two-sided 95 % point of the normal distribution
SAMPLE = 160  # simulated tapes in CI; on request 3 000


def read(length):
    return Fraction(round(length * 100), 100)


def of(**curves):
    return {tuple(key.split("_")): curve for key, curve in curves.items()}


def stated(points, **curves):
    corners = Corners.named(points)
    return given(Corners(corners.corners, corners.points, of(**curves)), file="", place="")


def refusal(points, **curves):
    with pytest.raises(InputError) as fault:
        stated(points, **curves)
    return f"{fault.value.place}: {fault.value.what}"


class TestStated:
    def test_rise(self):
        (arc,) = stated(TRUTH, E_A=Curve(rise=Fraction(40))).arcs
        assert arc.radius == pytest.approx(1300**2 / (8 * 40) + 20, abs=1e-6)
        assert arc.middle == pytest.approx((-40, 650), abs=1e-6)

    def test_a_side_may_be_named_backwards(self):
        (arc,) = stated(TRUTH, A_E=Curve(rise=Fraction(40))).arcs
        assert arc.ends == ("E", "A")
        assert arc.middle == pytest.approx((-40, 650), abs=1e-6)

    def test_radius_from_a_template(self):
        (arc,) = stated(TRUTH, C_D=Curve(radius=Fraction(300))).arcs
        assert arc.rise == pytest.approx(SHOULDER, abs=1e-6)

    def test_tangent_at_one_end_says_the_bend(self):
        (arc,) = stated(TRUTH, C_D=Curve(tangent=("C",))).arcs
        assert arc.radius == pytest.approx(300, abs=1e-5)
        (arc,) = stated(TRUTH, C_D=Curve(tangent=("D",))).arcs
        assert arc.radius == pytest.approx(300, abs=1e-5)

    def test_points_of_one_circle_fit_without_residual(self):
        # Radius 500, chord 600: the centre is 400 off the chord, 3-4-5; the rise is 100.
        square = {"A": (0, 0), "B": (600, 0), "C": (600, 900), "D": (0, 900)}
        spots = tuple(
            (
                Fraction(x),
                Fraction(math.sqrt(500**2 - (x - 300) ** 2) - 400).limit_denominator(10**9),
            )
            for x in (100, 250, 480)
        )
        (arc,) = stated(square, C_D=Curve(points=spots)).arcs
        assert arc.radius == pytest.approx(500, abs=1e-4)
        assert all(abs(each.residual) < 1e-6 for each in arc.readings)

    def test_residuals_of_points_are_told(self):
        # Two points at one place of a flat arc, 2 mm apart: the arc passes between them.
        square = {"A": (0, 0), "B": (600, 0), "C": (600, 900), "D": (0, 900)}
        spots = tuple((Fraction(300), Fraction(off)) for off in (59, 60, 61))
        (arc,) = stated(square, C_D=Curve(points=spots)).arcs
        assert arc.rise == pytest.approx(60, abs=1e-6)
        assert [each.residual for each in arc.readings] == pytest.approx([1, 0, -1], abs=1e-6)

    def test_round_corner(self):
        (arc,) = stated(TRUTH, B=Curve(radius=Fraction(100))).arcs
        assert (arc.start, arc.to) == ((500.0, 0.0), (600.0, 100.0))
        assert arc.radius == pytest.approx(100, abs=1e-4)


class TestRefusals:
    def test_no_such_side(self):
        assert "A-C is no side" in refusal(TRUTH, A_C=Curve(rise=Fraction(9)))
        assert "no corner Z" in refusal(TRUTH, A_Z=Curve(rise=Fraction(9)))

    def test_nothing_says_the_bend(self):
        assert "Nothing says" in refusal(TRUTH, C_D=Curve())
        two = ((Fraction(100), Fraction(9)),) * 2
        assert "Nothing says" in refusal(TRUTH, C_D=Curve(points=two))

    def test_too_full(self):
        assert "nearly a full circle" in refusal(TRUTH, D_E=Curve(rise=Fraction(400)))
        assert "too small" in refusal(TRUTH, D_E=Curve(radius=Fraction(140)))

    def test_points_beyond_the_ends(self):
        spots = tuple((Fraction(x), Fraction(9)) for x in (100, 200, 301))
        assert "beyond its ends" in refusal(TRUTH, D_E=Curve(points=spots))

    def test_backward_points(self):
        spots = tuple((Fraction(x), Fraction(9)) for x in (100, 150, 200))
        assert "first corner" in refusal(TRUTH, E_D=Curve(points=spots))

    def test_tangent_where_it_does_not_end(self):
        assert "no end of it" in refusal(TRUTH, C_D=Curve(rise=Fraction(9), tangent=("A",)))

    def test_rounds_that_leave_nothing(self):
        big = Curve(radius=Fraction(200))
        assert "nothing left" in refusal(TRUTH, D=Curve(radius=Fraction(400)), E=big)

    def test_a_round_beside_a_curve(self):
        fault = refusal(TRUTH, C_D=Curve(rise=Fraction(9)), D=Curve(radius=Fraction(100)))
        assert "two straight sides" in fault

    def test_curves_that_cross_other_sides(self):
        assert "crosses itself" in refusal(TRUTH, B_C=Curve(rise=Fraction(620), hollow=True))


class TestNetwork:
    def test_a_rise_leaves_the_corners_where_they_are(self):
        distances = {pair: read(math.dist(*(TRUTH[name] for name in pair))) for pair in PAIRS}
        plain = solved(Readings(tuple(TRUTH), distances), TAPE, file="", place="")
        bowed = solved(
            Readings(tuple(TRUTH), distances, curves=of(E_A=Curve(rise=Fraction(40)))),
            TAPE, file="", place="",
        )  # fmt: skip
        assert np.array_equal(plain.points, bowed.points)
        assert np.array_equal(plain.covariance, bowed.covariance)
        assert bowed.arcs[0].deviation == pytest.approx(deviation(40, TAPE), rel=1e-6)

    def test_a_tangent_makes_corners_surer(self):
        distances = {pair: read(math.dist(*(TRUTH[name] for name in pair))) for pair in PAIRS}
        tangent = Curve(radius=Fraction(300), tangent=("C", "D"))
        plain = solved(Readings(tuple(TRUTH), distances), TAPE, file="", place="")
        bent = solved(
            Readings(tuple(TRUTH), distances, curves=of(C_D=tangent)), TAPE, file="", place=""
        )
        corner = list(TRUTH).index("D")
        assert bent.ellipses[corner].long < plain.ellipses[corner].long

    def test_a_wrong_rise_is_told_where_tangents_check_it(self):
        distances = {pair: read(math.dist(*(TRUTH[name] for name in pair))) for pair in PAIRS}
        wrong = Curve(rise=read(SHOULDER + 25), tangent=("C", "D"))
        bent = solved(
            Readings(tuple(TRUTH), distances, curves=of(C_D=wrong)), TAPE, file="", place=""
        )
        worst = max(bent.arcs[0].readings, key=lambda each: abs(each.w))
        assert worst.label == "C-D rise"
        assert abs(worst.w) > 3.29


def figure(random):
    """The figure with a shoulder that is tangent as nearly as what is called so usually is.

    Corners, and the middle and the rise of each curve.
    """
    first, last = random.normal(0.0, TANGENT_DEVIATION, 2)
    at = dict(TRUTH)
    start = math.pi / 2 + first  # the way up B-C, and off it
    centre = at["C"] + 300 * np.array([-math.sin(start), math.cos(start)])
    ends = start - math.pi / 2 + np.array([math.pi / 4, math.pi / 2])
    middle, at["D"] = (centre + 300 * np.array([math.cos(a), math.sin(a)]) for a in ends)
    way = start + math.pi / 2 + last
    at["E"] = at["D"] + 300 * np.array([math.cos(way), math.sin(way)])
    chord = np.array(at["A"]) - at["E"]
    outward = np.array([chord[1], -chord[0]]) / math.hypot(*chord)
    root = math.sqrt(0.5)
    middles = {
        "C-D": (middle, SHOULDER),
        "E-A": (np.array(at["E"]) + chord / 2 + 40 * outward, 40.0),
        "B": (np.array([500 + 100 * root, 100 - 100 * root]), 100 * (1 - root)),
    }
    return at, middles


def simulated(at, random):
    """One tape of a figure: every reading with the error that its deviation says."""

    def taken(length):
        return Fraction(float(length + random.normal() * deviation(length, TAPE)))

    distances = {pair: taken(math.dist(*(at[name] for name in pair))) for pair in PAIRS}
    chord = math.dist(at["E"], at["A"])
    bow = chord**2 / (8 * 40) + 20
    offs = [(x, math.sqrt(bow**2 - (x - chord / 2) ** 2) - bow + 40) for x in (250, 650, 1000)]
    curves = {
        ("C", "D"): Curve(radius=taken(300.0), tangent=("C", "D")),
        ("E", "A"): Curve(points=tuple((taken(x), taken(off)) for x, off in offs)),
        ("B",): Curve(radius=taken(100.0)),
    }
    return Readings(tuple(TRUTH), distances, curves=curves)


def held(outline, at, middles):
    """Whether each corner and each arc's middle lies in its ellipse."""
    places = [*zip(outline.points, at.values(), outline.ellipses, strict=True)]
    places += [(arc.middle, middles[arc.label][0], arc.ellipse) for arc in outline.arcs]
    hits = []
    for point, true, ellipse in places[1:]:  # the first corner is held
        x, y = np.array(point) - true
        cos, sin = math.cos(ellipse.direction), math.sin(ellipse.direction)
        along, across = x * cos + y * sin, y * cos - x * sin
        if ellipse.short < 1e-6 * ellipse.long:  # on +x: a stretch of a line
            hits.append(abs(along) < ellipse.long * NORMAL_95 / ELLIPSE_95)
        else:
            hits.append((along / ellipse.long) ** 2 + (across / ellipse.short) ** 2 <= 1)
    return hits


def coverage(tapes):
    """Shares of tapes in which each place, and each rise, is as near as it is said to be."""
    random = np.random.default_rng(130)
    hits, rises = [], []
    for _ in range(tapes):
        at, middles = figure(random)
        outline = solved(simulated(at, random), TAPE, file="", place="")
        hits.append(held(outline, at, middles))
        rises.append(
            [abs(arc.rise - middles[arc.label][1]) < NORMAL_95 * arc.deviation
             for arc in outline.arcs]
        )  # fmt: skip
    return np.mean(hits, axis=0), np.mean(rises, axis=0)


def test_ellipses_hold_what_they_say():
    corners, rises = coverage(SAMPLE)
    assert (corners > 0.88).all()  # four deviations of a share of 0.95 among 160
    assert (rises > 0.88).all()
    assert 0.92 < np.mean(corners) < 0.98


@pytest.mark.simulation
def test_ellipses_hold_what_they_say_in_three_thousand_tapes(capsys):
    corners, rises = coverage(3000)
    with capsys.disabled():
        print("\ncorners and middles", corners, "rises", rises)  # noqa: T201
    assert ((corners > 0.93) & (corners < 0.97)).all()
    assert ((rises > 0.93) & (rises < 0.97)).all()
