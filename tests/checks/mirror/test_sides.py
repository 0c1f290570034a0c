"""Left against right: each difference planted alone, on sides that else are mirror images.

Both sides are 400 x 300; the mirror takes x to 400 - x.
"""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import floats, integers
from shapely import Polygon, box

from boxes import PRELUDE, SQUARE, square
from mateline.cabinet.cabinet import reflection
from mateline.cabinet.hole import Hole
from mateline.checks.findings import LetterRow, MirrorPair
from mateline.checks.mirror.sides import CHI_SQUARE, check, lettering, reflected, twins
from mateline.placing.placed import Lettering
from mateline.stencil.stencil import stencil_of
from mateline.survey import surveyed
from mateline.tape.outline import solved
from mateline.tape.readings import Readings
from specimens import BOARD, COLOURS, MIRROR, SEA, SIZE, TAPE, codes, stencil, subject

BAND = box(0, 150, 400, 190)
LEFT = Hole("bolt", "round", (100.0, 250.0), 20.0, 20.0, stays=True, deviation=(0.6, 0.6))
RIGHT = replace(LEFT, centre=(300.0, 250.0))
SLOT = Hole("slot", "slot", (60.0, 60.0), 40.0, 10.0, turn=0.3, stays=True)


def sides(left, right, *, shared=False, shapes=((SEA, "blue"),), size=SIZE, **more):
    """Findings of a left and a right side with these holes."""
    here = stencil(shapes, *left, name="left")
    there = stencil(shapes, *right, name="right", size=size)
    pair = MirrorPair("body-left", "body-right", MIRROR, shared)
    return check(subject(here, there, pairs=(pair,), **more))


def test_mirror_images_are_no_finding():
    slot = replace(SLOT, centre=(340.0, 60.0), turn=math.pi - 0.3)
    assert sides([LEFT, SLOT], [slot, RIGHT], shared=True) == ()


def test_a_hole_that_the_right_side_lacks_is_missing_at_its_mirror_place():
    (finding,) = sides([LEFT], [])
    assert (finding.code, finding.level) == ("mirror-missing", "warn")
    assert (finding.face, finding.hardware) == ("body-right", "bolt")
    assert finding.at == pytest.approx((300, 250))
    # 100 from one upright edge of the left side, 100 from the other one of the right side
    assert finding.message.count("100 mm from its edge with") == 2
    assert finding.message.count("50 mm from its edge with") == 2


def test_a_hole_that_only_the_right_side_has_is_extra():
    (finding,) = sides([], [RIGHT])
    assert (finding.code, finding.level, finding.at) == ("mirror-extra", "warn", (300, 250))


def test_hardware_that_is_removed_on_both_sides_is_only_noted():
    (finding,) = sides([replace(LEFT, stays=False)], [])
    assert finding.level == "note"


@pytest.mark.parametrize(("step", "moved"), [(2.07, False), (2.09, True)])
def test_a_hole_is_moved_beyond_the_joint_uncertainty(step, moved):
    """sqrt(5.991 * (0.6² + 0.6²)) = 2.0769."""
    findings = sides([LEFT], [replace(RIGHT, centre=(300 + step, 250))])
    assert codes(findings) == ["mirror-moved"] * moved
    if moved:
        assert findings[0].at == (300 + step, 250)
        assert "2.1 mm to the right of where" in findings[0].message
        assert findings[0].level == "warn"


def test_a_move_in_both_directions_is_judged_together():
    """1.6 each way is 2.26 in all, though each way alone is within 2.08."""
    (finding,) = sides([LEFT], [replace(RIGHT, centre=(298.4, 248.4))])
    assert "1.6 mm to the left and 1.6 mm below" in finding.message


def test_the_uncertainties_in_x_and_y_are_kept_apart():
    left = replace(LEFT, deviation=(3.0, 0.1))
    right = replace(RIGHT, deviation=(3.0, 0.1))
    assert sides([left], [replace(right, centre=(306.0, 250.0))]) == ()
    assert codes(sides([left], [replace(right, centre=(300.0, 251.0))])) == ["mirror-moved"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"length": 24.0, "width": 24.0}, "has a diameter of 24.0 mm, not 20.0 mm"),
        ({"kind": "slot", "length": 30.0}, "is slot, not round"),
    ],
)
def test_another_size_or_kind_is_told(change, words):
    (finding,) = sides([LEFT], [replace(RIGHT, **change)])
    assert (finding.code, finding.level) == ("mirror-size", "warn")
    assert words in finding.message


def test_a_slot_that_is_not_turned_as_its_mirror_image_is_told():
    (finding,) = sides([SLOT], [replace(SLOT, centre=(340.0, 60.0))])
    assert finding.code == "mirror-size"
    assert "is turned another way" in finding.message


#  turn of the right slot beyond its mirror image's, and whether it looks turned: by a degree and
#  more either way, but half a turn never shows
@pytest.mark.parametrize(
    ("beyond_deg", "told"),
    [
        (0.9, False),
        (-0.9, False),
        (1.1, True),
        (-1.1, True),
        (90, True),
        (180 - 0.9, False),
        (180 - 1.1, True),
        (180 + 0.9, False),
        (180 + 1.1, True),
        (-180 - 0.9, False),
    ],
)
def test_a_slot_is_turned_by_more_than_a_degree_either_way(beyond_deg, told):
    turn = math.pi - SLOT.turn + math.radians(beyond_deg)
    findings = sides([SLOT], [replace(SLOT, centre=(340.0, 60.0), turn=turn)])
    assert codes(findings) == ["mirror-size"] * told


QUARTERS = [(0.9, False), (-0.9, False), (89.1, False), (1.1, True), (45, True), (88.9, True)]


@pytest.mark.parametrize(("beyond_deg", "told"), QUARTERS)
def test_a_square_is_turned_by_more_than_a_degree_from_a_quarter(beyond_deg, told):
    square = Hole("vent", "rectangle", (60.0, 60.0), 30.0, 30.0, stays=True)
    turned = replace(square, centre=(340.0, 60.0), turn=math.radians(beyond_deg))
    assert codes(sides([square], [turned])) == ["mirror-size"] * told


def test_a_square_turned_by_a_quarter_is_the_same():
    square = Hole("vent", "rectangle", (60.0, 60.0), 30.0, 30.0, stays=True)
    assert sides([square], [replace(square, centre=(340.0, 60.0), turn=math.pi / 2)]) == ()


def test_a_row_that_is_one_hole_short_lacks_one_and_the_others_stay_matched():
    row = [replace(LEFT, name=f"b{n}", centre=(50.0 + 40 * n, 250.0)) for n in range(5)]
    twin = [replace(each, centre=(400 - each.centre[0], 250.0)) for each in row]
    (finding,) = sides(row, twin[1:])
    assert (finding.code, finding.hardware) == ("mirror-missing", "b0")


@settings(deadline=None)
@given(seed=integers(0, 10**6), n=integers(0, 4), m=integers(0, 4))
def test_the_pairing_costs_no_more_than_any_other(seed, n, m):
    """Against all pairings of up to four holes a side, one by one."""
    rng = np.random.default_rng(seed)
    left = [replace(LEFT, centre=tuple(rng.uniform(0, 150, 2))) for _ in range(n)]
    right = [
        replace(RIGHT, centre=(400 - rng.uniform(0, 150), rng.uniform(0, 150))) for _ in range(m)
    ]

    def cost(pairs):
        apart = sum(
            math.dist((400 - left[i].centre[0], left[i].centre[1]), right[j].centre)
            for i, j in pairs
        )
        return apart + 75.0 / 2 * (n + m - 2 * len(pairs))

    every = (
        list(zip(some, others, strict=True))
        for k in range(min(n, m) + 1)
        for some in itertools.combinations(range(n), k)
        for others in itertools.permutations(range(m), k)
    )
    assert cost(twins(left, right, MIRROR)) == pytest.approx(min(cost(pairs) for pairs in every))


@settings(deadline=None)
@given(x=floats(0, 400), y=floats(0, 300))
def test_a_hole_and_its_reflection_are_twins(x, y):
    assert twins([replace(LEFT, centre=(x, y))], [replace(LEFT, centre=(400 - x, y))], MIRROR) == [
        (0, 0)
    ]


@pytest.mark.parametrize(
    ("apart", "change", "same"),
    [
        (74.5, {}, True),
        (75.5, {}, False),
        (24.5, {"kind": "rectangle"}, True),
        (25.5, {"kind": "rectangle"}, False),
    ],
)
def test_a_hole_moved_by_less_than_75_mm_is_the_same_and_another_kind_counts_50_of_them(
    apart, change, same
):
    moved = replace(RIGHT, centre=(300.0 + apart, 250.0), **change)
    assert twins([LEFT], [moved], MIRROR) == [(0, 0)] * same


def test_chi_square_is_its_closed_form():
    """With 2 degrees of freedom the distribution is exponential: the 95 % point is -2 ln 0.05."""
    assert pytest.approx(-2 * math.log(0.05), abs=1e-3) == CHI_SQUARE


def test_outlines_that_differ_are_told_where_they_differ_most():
    (finding,) = sides([], [], size=(400.0, 304.0))
    assert (finding.code, finding.level, finding.face) == ("mirror-outline", "warn", "body-right")
    assert "by up to 4.0 mm" in finding.message
    assert finding.at[1] in (300, 304)


#    e---d     the same corners, joined a-b-c-f-d-e on the left and a-b-c-d-f-e on the right
#    | .-f-.c
#    a-----b
def test_outlines_with_the_same_corners_differ_where_these_are_joined_otherwise():
    a, b, c, d, e, f = (0, 0), (400, 0), (400, 150), (200, 300), (0, 300), (200, 150)
    here, there = Polygon([a, b, c, f, d, e]), Polygon([a, b, c, d, f, e])
    mirrored = shapely.transform(there, lambda at: reflected(at, MIRROR))
    gap = (there ^ here).area
    assert gap == 30_000
    left, right = stencil([], name="left"), stencil([], name="right")
    left = replace(left, face=replace(left.face, outline=here))
    right = replace(right, face=replace(right.face, outline=mirrored))
    pair = MirrorPair("body-left", "body-right", MIRROR, shared=False)
    (finding,) = check(subject(left, right, pairs=(pair,)))
    #  c-d leaves f-c and f-d alike where t = 200 - 4 t / 3 (t above f-c): t = 600 / 7
    assert "by up to 85.7 mm" in finding.message


@pytest.mark.parametrize(("step", "told"), [(0.9, False), (1.1, True)])
def test_outlines_within_a_millimetre_are_the_same(step, told):
    assert codes(sides([], [], size=(400.0, 300 + step))) == ["mirror-outline"] * told


def test_outlines_measured_twice_may_differ_by_what_the_tape_explains():
    distances = {("a", "b"): 400, ("b", "c"): 300, ("c", "d"): 400, ("d", "a"): 300,
                 ("a", "c"): 500, ("b", "d"): 500}  # fmt: skip
    outline = solved(Readings(("a", "b", "c", "d"), distances), TAPE, file="f", place="p")
    doubt = math.sqrt(2 * CHI_SQUARE) * outline.deviations.max()
    outlines = {"body left": outline, "body right": outline}
    assert doubt > 1
    within, beyond = (
        codes(sides([], [], size=(400.0, 300 + step), outlines=outlines))
        for step in (doubt - 0.01, doubt + 0.01)
    )
    assert (within, beyond) == ([], ["mirror-outline"])


def test_lettering_placed_mirrored_reads_backwards():
    there = Lettering("body-right", "title", (200.0, 250.0), backwards=True)
    (finding,) = lettering(subject(stencil([]), letterings=(there,)))
    assert (finding.code, finding.level, finding.at) == ("mirror-lettering", "warn", (200, 250))
    assert "“title”" in finding.message
    assert lettering(subject(stencil([]), letterings=(replace(there, backwards=False),))) == ()


BAR = Hole("lock", "rectangle", (150.0, 170.0), 10.0, 60.0, stays=True)


def test_a_hole_of_the_right_side_breaks_a_piece_of_the_turned_stencil():
    findings = sides([], [BAR], shared=True, shapes=((BAND, "blue"),))
    broken = [each for each in findings if each.code == "mirror-breaks-piece"]
    assert [(each.level, each.face, each.hardware, each.piece, each.at) for each in broken] == [
        ("stop", "body-right", "lock", "body-left B1", (150, 170))
    ]
    assert "cuts piece body-left B1 into 2 parts" in broken[0].message


def test_a_piece_that_the_right_side_would_swallow_is_broken():
    dot = box(240, 160, 260, 180)
    findings = sides([], [replace(BAR, length=30.0)], shared=True, shapes=((dot, "red"),))
    (broken,) = [each for each in findings if each.code == "mirror-breaks-piece"]
    assert "leaves nothing of piece body-left R1" in broken.message


def test_stencils_cut_for_each_side_are_not_asked_for_it():
    findings = sides([], [BAR], shared=False, shapes=((BAND, "blue"),))
    assert codes(findings) == ["mirror-extra"]


def test_a_hole_that_splits_on_both_sides_does_not_break_the_mirror():
    left = replace(BAR, centre=(250.0, 170.0))
    assert sides([left], [BAR], shared=True, shapes=((BAND, "blue"),)) == ()


def test_removed_hardware_breaks_nothing():
    findings = sides([], [replace(BAR, stays=False)], shared=True, shapes=((BAND, "blue"),))
    assert codes(findings) == ["mirror-extra"]


def rows(*found):
    return lettering(subject(rows=found))


ROW = LetterRow("body-right", "sign.svg", tuple(f"#l{n}" for n in range(8)), (120.0, 60.0))


def test_mirrored_shapes_that_stand_as_letters_do_are_asked_about():
    (finding,) = rows(ROW)
    assert (finding.code, finding.level) == ("lettering-unmarked", "note")
    assert (finding.face, finding.at) == ("body-right", (120.0, 60.0))
    assert "#l0, #l1, #l2, #l3, #l4, #l5 and 2 more of sign.svg" in finding.message
    assert "reads_one_way" in finding.remedy


def test_a_drawing_with_many_rows_is_asked_about_once_on_each_face():
    found = rows(ROW, ROW, replace(ROW, face="head-right"))
    assert [each.face for each in found] == ["body-right", "head-right"]
    assert "There are 2 such rows." in found[0].message


LETTERS = """<svg xmlns="http://www.w3.org/2000/svg" width="320mm" height="60mm" viewBox="0 0 320 60">
<g id="word" fill="#ff0000">
<path id="p" d="M0 0h40v36h-28v24h-12z M12 10v16h16v-16z"/><path id="i" d="M60 0h12v60h-12z"/>
<path id="e" d="M90 0h40v12h-28v12h20v12h-20v12h28v12h-40z"/><path id="f" d="M150 0h40v12h-28v12h20v12h-20v24h-12z"/>
</g></svg>"""  # noqa: E501


ON = 'on = "box-left"\n'
OVER = '[[art]]\nmirror = "box-left"\nonto = ["box-right"]\n'


@pytest.mark.parametrize(
    ("entries", "asked"),
    [
        (ON + OVER, True),
        ('on = ["box-left", "box-right"]\n', False),
        (f'{ON}reads_one_way = ["word"]\n{OVER}', False),
        (f'{ON}{OVER}leave_out = ["word"]\n', False),
    ],
)
def test_only_mirrored_letters_that_nobody_marked_are_asked_about(tmp_path, entries, asked):
    palette = PRELUDE + 'red = { paint = "#ff0000", letter = "R" }\n'
    art = f'[[art]]\ndrawing = "word.svg"\n{entries}\n'
    text = palette + SQUARE.format(more="", board=18) + art
    (tmp_path / "cabinet.toml").write_text(text, encoding="utf-8")
    (tmp_path / "word.svg").write_text(LETTERS, encoding="utf-8")
    found = [each for each in surveyed(tmp_path).findings if each.code == "lettering-unmarked"]
    assert [each.face for each in found] == ["box-right"] * asked


#  deviations of 0 count as 0.05 a side and direction at least: sqrt(5.991) * 0.05 = 0.1224 mm
@pytest.mark.parametrize(("step", "moved"), [(0.12, False), (0.125, True)])
def test_holes_measured_without_any_doubt_have_a_little(step, moved):
    left, right = replace(LEFT, deviation=(0.0, 0.0)), replace(RIGHT, deviation=(0.0, 0.0))
    findings = sides([left], [replace(right, centre=(300 + step, 250))])
    assert codes(findings) == ["mirror-moved"] * moved


@pytest.mark.parametrize(
    ("across", "up", "words"),
    [
        (0.5, 0.4, "0.5 mm to the right and 0.4 mm above"),
        (-0.5, -0.4, "0.5 mm to the left and 0.4 mm below"),
    ],
)
def test_small_moves_are_told_with_their_ways_and_what_the_tape_explains(across, up, words):
    """sqrt(5.991 * 2) * 0.1 = 0.35 mm."""
    left, right = replace(LEFT, deviation=(0.1, 0.1)), replace(RIGHT, deviation=(0.1, 0.1))
    (finding,) = sides([left], [replace(right, centre=(300 + across, 250 + up))])
    assert f"sits {words} of where" in finding.message
    assert "the tape explains up to 0.3 mm" in finding.message


def test_outlines_are_compared_where_neither_side_is_covered():
    cabinet = square("", '[carcase.edges]\n"right and top" = { moulding = { right = 60 } }')
    left, right = (cabinet.face(f"box-{side}") for side in ("left", "right"))
    assert (left.outline.area, right.outline.area) == pytest.approx((400 * 500, 400 * 440))
    pair = MirrorPair("box-left", "box-right", reflection(cabinet, left, right), shared=True)
    made = [stencil_of(face, (), COLOURS, BOARD) for face in (left, right)]
    assert "mirror-outline" not in codes(check(subject(*made, pairs=(pair,))))
