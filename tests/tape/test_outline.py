"""Outlines from readings: where the corners are, and what the readings say of each other."""

import math
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from
from shapely import LineString, Polygon

from figures import BOARD, ELL, HOUSE, INCHES, TAPE, assert_figure, outline, read, refusal, sides
from mateline.errors import InputError
from mateline.tape.accuracy import deviation
from mateline.tape.reading import parse_length
from mateline.tape.readings import Readings
from mateline.tape.solving.polygon import turns

# Any set that holds the corners will do.


@pytest.mark.parametrize(
    "pairs", [("AC", "AD"), ("BD", "BE"), ("EC", "EB"), ("AC", "CE"), ("AC", "AD", "BD", "BE")]
)
def test_sides_and_any_diagonals_give_the_outline(pairs):
    found = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), *pairs])))
    assert_figure(found, HOUSE)
    assert found.redundancy == len(pairs) - 2


def test_the_first_corner_is_the_origin_and_the_second_on_x():
    turned = tuple("CDEAB")
    found = outline(Readings(turned, read(HOUSE, [*sides(HOUSE), "AC", "AD"])))
    assert found.points[0].tolist() == [0, 0]
    assert found.points[1, 0] > 0
    assert found.points[1, 1] == 0
    assert Polygon(found.points).exterior.is_ccw
    assert_figure(found, HOUSE)


def test_heights_stand_in_for_diagonals():
    slanted = HOUSE | {"E": (-80, 1300)}
    readings = Readings(
        tuple(slanted),
        read(slanted, ["AB", "BC", "AC", "AE", "DE"]),
        heights={("E", "A", "B"): Fraction(1300), ("D", "A", "B"): Fraction(1400)},
        about={("C", "E"): Fraction(800), ("B", "E"): Fraction(1450), ("C", "D"): Fraction(600)},
    )
    assert_figure(outline(readings), slanted)


def test_a_height_may_lie_outside_its_edge():
    # A and B are right of the line from D to E, going round; a tape shows no sign.
    readings = Readings(
        tuple(ELL),
        read(ELL, [*sides(ELL), "AD", "AC", "AE"]),
        heights={("B", "D", "E"): Fraction(300), ("F", "C", "D"): Fraction(500)},
        reflex=("D",),
    )
    found = outline(readings)
    assert_figure(found, ELL)
    assert found.verdict == "closes"


def test_an_outline_that_never_holds_its_next_corner_is_found_from_scattered_starts():
    points = {"A": (0, 0), "B": (600, 0), "C": (700, 500), "D": (350, 900), "E": (-100, 520)}
    readings = Readings(
        tuple(points),
        read(points, sides(points)),
        heights={("D", "A", "B"): Fraction(900), ("C", "A", "E"): Fraction(
            abs(-100 * 500 - 520 * 700) / math.hypot(100, 520))},
        about={("B", "E"): Fraction(870), ("B", "D"): Fraction(930), ("A", "C"): Fraction(860)},
    )  # fmt: skip
    assert_figure(outline(readings), points)


def test_a_slip_is_judged_where_no_corner_follows_from_others():
    points = {"A": (0, 0), "B": (600, 0), "C": (700, 500), "D": (350, 900), "E": (-100, 520)}

    def height(corner, a, b):
        (px, py), (ax, ay), (bx, by) = points[corner], points[a], points[b]
        cross = (bx - ax) * (py - ay) - (by - ay) * (px - ax)
        return Fraction(abs(cross) / math.hypot(bx - ax, by - ay))

    readings = Readings(
        tuple(points),
        read(points, sides(points)),
        heights={("D", "A", "B"): height("D", "A", "B") + 20, ("C", "A", "E"): height(*"CAE"),
                 ("A", "C", "D"): height(*"ACD")},
        about={("B", "E"): Fraction(870), ("B", "D"): Fraction(930), ("A", "C"): Fraction(860)},
    )  # fmt: skip
    found = outline(readings)
    assert found.verdict == "cannot-tell"
    (wrong,) = [each for each in found.candidates if each.label == "D above A-B"]
    assert wrong.slip == pytest.approx(20, abs=1e-3)


def test_a_stepped_outline_needs_its_reflex_corner_named():
    lengths = read(ELL, [*sides(ELL), "AD", "AC", "FD"])
    assert_figure(outline(Readings(tuple(ELL), lengths, reflex=("D",))), ELL)
    fault = refusal(Readings(tuple(ELL), lengths))
    assert fault.what.startswith(
        "These readings give an outline that is over 180° inside only at D"
    )
    assert 'write reflex = ["D"]' in fault.remedy


@settings(deadline=None, max_examples=30)
@given(seed=integers(0, 10**6))
def test_any_readings_give_the_true_outline_or_ask_for_more(seed):
    """Random corners, distances, heights and rough readings: never another outline."""
    random = np.random.default_rng(seed)
    number = int(random.integers(3, 8))
    angles, reach = np.sort(random.uniform(0, math.tau, number)), random.uniform(300, 900, number)
    at = np.stack([reach * np.cos(angles), reach * np.sin(angles)], axis=1)
    points = {chr(65 + i): (float(x), float(y)) for i, (x, y) in enumerate(at)}
    if not Polygon(at).is_valid or not Polygon(at).exterior.is_ccw:
        return
    pairs = list(combinations(points, 2))
    random.shuffle(pairs)
    some = int(random.integers(2 * number - 5, len(pairs) + 1)) if number > 3 else 3
    corner, a, b = random.permutation(list(points))[:3].tolist()
    base = LineString([points[a], points[b]])
    along = (np.array(points[b]) - points[a]) / base.length
    off = np.array(points[corner]) - points[a]
    readings = Readings(
        tuple(points),
        read(points, pairs[:some]),
        heights={(corner, a, b): Fraction(abs(float(along[0] * off[1] - along[1] * off[0])))},
        about=read(points, pairs[some : some + 2]),
        reflex=tuple(np.array(list(points))[turns(at) < 0].tolist()),
    )
    try:
        found = outline(readings)
    except InputError as error:
        fault = error
    else:
        assert_figure(found, points)
        assert found.verdict in {"closes", "unchecked"}
        return
    assert fault.remedy.startswith("Measure ")


@settings(deadline=None, max_examples=60)
@given(seed=integers(0, 10**6), number=integers(4, 8), more=integers(0, 3))
def test_random_convex_outlines_come_back(seed, number, more):
    random = np.random.default_rng(seed)
    gaps = random.uniform(0.4, 1.0, number)
    angles = np.cumsum(gaps) * math.tau / gaps.sum()
    points = {
        chr(65 + i): (700 * math.cos(angle), 900 * math.sin(angle))
        for i, angle in enumerate(angles)
    }
    names = list(points)
    hub = names[int(random.integers(number))]
    fan = [(hub, name) for name in names if name != hub]
    others = [pair for pair in combinations(names, 2) if set(pair) not in map(set, fan)]
    random.shuffle(others)
    around = [tuple(side) for side in sides(points)]
    pairs = {frozenset(pair): tuple(pair) for pair in (*around, *fan, *others[:more])}
    found = outline(Readings(tuple(points), read(points, pairs.values())))
    assert_figure(found, points)
    assert found.verdict in {"closes", "unchecked"}


@settings(deadline=None, max_examples=40)
@given(step=floats(0.2, 0.8), high=floats(0.2, 0.8), width=floats(500, 900), tall=floats(400, 1200))
def test_random_steps_come_back(step, high, width, tall):
    points = {
        "A": (0, 0), "B": (width, 0), "C": (width, tall * high), "D": (width * step, tall * high),
        "E": (width * step, tall), "F": (0, tall),
    }  # fmt: skip
    # Without the rough reading, E may fold over A-D into a narrow notch that is reflex at D too.
    readings = Readings(
        tuple(points),
        read(points, [*sides(points), "AC", "AD", "AE"]),
        about=read(points, ["CF", "CE", "BE"]),
        reflex=("D",),
    )
    assert_figure(outline(readings), points)


def test_a_fold_into_a_narrow_notch_asks_for_a_rough_reading():
    small = {name: (x / 2, y / 2.25) for name, (x, y) in ELL.items()}
    lengths = read(small, [*sides(small), "AC", "AD", "AE"])
    fault = refusal(Readings(tuple(small), lengths, reflex=("D",)))
    assert fault.what.startswith("Two different outlines fit these readings:")
    assert fault.remedy.endswith("or give it roughly under about.")


# What squares are for.


def test_four_sides_and_a_square_corner_are_taken_on_trust():
    found = outline(Readings(tuple(BOARD), read(BOARD, sides(BOARD)), square=("A",)))
    assert_figure(found, BOARD)
    assert found.redundancy == 0
    assert found.verdict == "unchecked"
    assert found.assumption == ("A",)
    assert [each.taken for each in found.squares] == [True]


def test_width_height_and_four_square_corners_check_no_reading():
    found = outline(Readings(tuple(BOARD), read(BOARD, ["AB", "BC"]), square=tuple(BOARD)))
    assert_figure(found, BOARD)
    assert found.verdict == "unchecked"  # though angles always sum to 360°, which is no reading


def test_a_square_corner_is_not_used_where_readings_settle_it():
    leaning = BOARD | {"C": (620, 900), "D": (20, 900)}
    found = outline(Readings(tuple(leaning), read(leaning, [*sides(leaning), "AC"]), square=("A",)))
    assert_figure(found, leaning)
    assert found.assumption == ()
    (corner,) = found.squares
    assert not corner.taken
    assert corner.off == pytest.approx(-math.atan(20 / 900), abs=1e-9)


def test_the_spread_of_an_assumed_corner_grows_with_its_distance():
    found = outline(Readings(tuple(BOARD), read(BOARD, sides(BOARD)), square=("A",)))
    across = found.deviations[found.corners.index("D"), 0]
    assert across == pytest.approx(0.0025 * 900, rel=0.02)  # 1.5 mm in 600 mm


# What readings say of each other.


def test_good_readings_close():
    lengths = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD", "CE"], exact=False)
    found = outline(Readings(tuple(HOUSE), lengths))
    assert found.verdict == "closes"
    assert found.suspect is None
    assert found.candidates == ()


@settings(deadline=None, max_examples=60)
@given(
    pair=sampled_from(["BC", "EA", "AC", "AD", "BD", "BE", "CE"]),
    slip=sampled_from([-40, -25, 25, 40]),
)
def test_a_planted_slip_is_found_with_its_size(pair, slip):
    lengths = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD", "BE", "CE"])
    lengths[tuple(pair)] += slip
    found = outline(Readings(tuple(HOUSE), lengths))
    assert found.verdict == "suspect"
    assert found.suspect.label == f"{pair[0]}-{pair[1]}"
    assert found.suspect.slip == pytest.approx(slip, abs=1e-4)


def test_an_inch_too_long_on_an_inch_tape_is_found():
    lengths = {
        key: Fraction(round(length / INCHES.graduation)) * INCHES.graduation
        for key, length in read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD", "BE", "CE"]).items()
    }
    lengths["B", "D"] += parse_length("1", "in")
    found = outline(Readings(tuple(HOUSE), lengths), INCHES)
    assert found.suspect.label == "B-D"
    assert found.suspect.slip == pytest.approx(25.4, abs=1.6)  # a graduation


def test_one_redundant_reading_cannot_tell_which_is_wrong():
    lengths = read(BOARD, [*sides(BOARD), "AC", "BD"])
    lengths["A", "C"] += 15
    found = outline(Readings(tuple(BOARD), lengths))
    assert found.redundancy == 1
    assert found.verdict == "cannot-tell"
    assert found.suspect is None
    assert {closure.label for closure in found.candidates} == {
        "A-B", "B-C", "C-D", "D-A", "A-C", "B-D"
    }  # fmt: skip
    assert not found.more_than_one


def test_a_reading_that_none_checks_is_never_a_candidate():
    # E hangs on two readings only, so neither can have caused what the others say.
    lengths = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD"])
    lengths["A", "C"] += 20
    found = outline(Readings(tuple(HOUSE), lengths))
    assert found.verdict == "cannot-tell"
    assert {"D-E", "E-A"}.isdisjoint(closure.label for closure in found.candidates)


def test_two_slips_are_more_than_one():
    lengths = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD", "BE", "CE"])
    lengths["A", "C"] += 40
    lengths["B", "E"] -= 40
    found = outline(Readings(tuple(HOUSE), lengths))
    assert found.verdict == "cannot-tell"
    assert found.more_than_one


def test_without_redundancy_nothing_is_checked():
    found = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD"])))
    assert found.verdict == "unchecked"
    assert found.scatter is None
    assert {closure.findable for closure in found.closures} == {math.inf}


def test_weights_come_from_the_tape():
    found = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD"])))
    for closure in found.closures:
        assert closure.deviation == deviation(closure.read, TAPE)


def test_closures_add_up():
    lengths = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD"], exact=False)
    found = outline(Readings(tuple(HOUSE), lengths))
    for closure in found.closures:
        a, b = (found.points[found.corners.index(name)] for name in closure.label.split("-"))
        assert closure.adjusted == pytest.approx(np.linalg.norm(a - b), abs=1e-6)
        assert closure.adjusted - closure.read == pytest.approx(closure.residual, abs=1e-9)


@settings(deadline=None, max_examples=5)
@given(seed=integers(0, 10**6))
def test_corners_scatter_as_their_covariance_says(seed):
    """200 times read with the tape's own scatter: each coordinate spreads by its deviation."""
    random = np.random.default_rng(seed)
    exact = read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD"])
    said = outline(Readings(tuple(HOUSE), exact)).deviations
    found = []
    for _ in range(200):
        lengths = {
            key: length + Fraction(random.normal(0, deviation(length, TAPE)))
            for key, length in exact.items()
        }
        found.append(outline(Readings(tuple(HOUSE), lengths)).points)
    spread = np.std(found, axis=0)
    free = said > 1e-9
    np.testing.assert_allclose(spread[free], said[free], rtol=0.3)


def test_the_ellipse_holds_the_deviations():
    found = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD"])))
    for index, ellipse in enumerate(found.ellipses):
        spread = found.deviations[index]
        assert ellipse.long**2 + ellipse.short**2 == pytest.approx(
            -2 * math.log(0.05) * float(spread @ spread)
        )
        assert 0 <= ellipse.direction <= math.pi


def test_the_same_readings_give_the_same_bits():
    readings = Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD", "BD"], exact=False))
    assert outline(readings).points.tobytes() == outline(readings).points.tobytes()


def test_an_outline_cannot_be_changed():
    found = outline(Readings(tuple(BOARD), read(BOARD, sides(BOARD)), square=("A",)))
    with pytest.raises(ValueError, match="read-only"):
        found.points[0, 0] = 5
