"""Left against right as art: each difference planted alone, on sides that else are mirror images.

Both sides are 400 x 300; the mirror takes x to 400 - x. `SCENE` is the left side's.
"""

import itertools
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from shapely import Point, box
from shapely.affinity import rotate, scale, translate

from boxes import PRELUDE, SQUARE
from mateline.checks.findings import MirrorPair
from mateline.checks.mirror.art import TOLD, check
from mateline.checks.mirror.regions_matched import Sides, matched
from mateline.drawing.shapes import Shape
from mateline.placing.placed import Lettering, PlacedArt
from mateline.survey import surveyed
from specimens import MIRROR, SEA, stencil, subject

PAIR = MirrorPair("body-left", "body-right", MIRROR, shared=False)
SUN = Point(90, 220).buffer(40, 32)
SAIL = shapely.Polygon([(200, 110), (260, 110), (200, 190)])
SCENE = {"sea": (SEA, "blue"), "sun": (SUN, "red"), "sail": (SAIL, "red")}


def turned(shapes):
    """The mirror images, as the right side has them."""
    flip = {}
    for name, (area, colour) in shapes.items():
        flip[name] = (translate(scale(area, -1, 1, origin=(0, 0)), 400), colour)
    return flip


def compared(left, right, *, own=(True, True), letterings=(), outlines=None, mirrored=()):
    here = stencil(list(left.values()), name="left")
    there = stencil(list(right.values()), name="right")
    art = tuple(
        PlacedArt(number, "a.svg", face, (), mirrored=not mine)
        for number, (face, mine) in enumerate(zip(("body-left", "body-right"), own, strict=True))
    )
    more = {"outlines": outlines} if outlines else {}
    return check(
        subject(here, there, pairs=(PAIR,), art=(*art, *mirrored), letterings=letterings, **more)
    )


def changed(name, change):
    """The right side with one shape changed; None takes it away."""
    right = turned(SCENE)
    area, colour = right.pop(name)
    if change is not None:
        right[name] = change(area, colour)
    return right


def test_mirror_images_are_no_finding():
    assert compared(SCENE, turned(SCENE)) == ()


def test_mirror_images_with_other_vertices_are_no_finding():
    """The sun in 257 facets where the left has 128, and the sea's edge with a vertex more."""
    right = turned(SCENE)
    right["sun"] = (Point(310, 220).buffer(40, 64), "red")
    right["sea"] = (shapely.segmentize(SEA, 7.0), "blue")
    assert compared(SCENE, right) == ()


def test_a_side_that_was_mirrored_is_not_compared():
    assert compared(SCENE, changed("sun", None), own=(True, False)) == ()


def test_a_shape_that_the_right_side_lacks_is_missing_at_its_mirror_place():
    (finding,) = compared(SCENE, changed("sun", None))
    assert (finding.code, finding.level) == ("mirror-art-missing", "warn")
    assert finding.face == "body-right"
    assert finding.at == pytest.approx((310, 220), abs=1)
    assert "body-left has piece body-left R1 in red" in finding.message


def test_a_shape_that_only_the_right_side_has_is_extra():
    right = {**turned(SCENE), "buoy": (Point(100, 60).buffer(15), "red")}
    (finding,) = compared(SCENE, right)
    assert (finding.code, finding.level) == ("mirror-art-extra", "warn")
    assert finding.at == pytest.approx((100, 60), abs=1)
    assert finding.piece is not None


def test_a_shape_in_another_colour_is_told():
    (finding,) = compared(SCENE, changed("sail", lambda area, _: (area, "blue")))
    assert (finding.code, finding.level) == ("mirror-art-colour", "warn")
    assert "is blue" in finding.message
    assert "is red" in finding.message


@pytest.mark.parametrize(("step", "moved"), [(0.9, False), (1.1, True), (6.35, True)])
def test_a_shape_is_moved_beyond_a_millimetre_where_both_sides_stand_on_one_outline(step, moved):
    found = compared(SCENE, changed("sun", lambda area, c: (translate(area, step), c)))
    assert [each.code for each in found] == ["mirror-art-moved"] * moved
    if moved:
        assert f"{step:.1f} mm to the right of where" in found[0].message
        assert found[0].piece is not None


def test_a_shape_moved_farther_than_it_is_wide_is_the_same_shape():
    left = SCENE | {"buoy": (Point(300, 60).buffer(15), "red")}
    right = turned(left)
    right["buoy"] = (translate(right["buoy"][0], 50), "red")
    (finding,) = compared(left, right)
    assert finding.code == "mirror-art-moved"
    assert "50.0 mm to the right of where" in finding.message


def test_a_border_that_was_drawn_higher_is_told_once_with_how_far_and_where():
    """The sea rises by 5 mm on the right, between x = 300 and 400."""
    higher = shapely.union(SEA, box(300, 90, 400, 105))
    (finding,) = compared(SCENE, changed("sea", lambda _, c: (higher, c)))
    assert (finding.code, finding.level) == ("mirror-art-moved", "warn")
    assert "by up to 5.0 mm" in finding.message
    assert finding.at[0] == pytest.approx(350, abs=55)
    assert finding.at[1] == pytest.approx(105, abs=0.1)


def test_a_spike_without_area_to_speak_of_is_seen():
    """6 mm high and 1 mm wide: 3 mm² of a sea of 40 000."""
    spike = shapely.union(SEA, shapely.Polygon([(50, 99), (51, 99), (50.5, 106)]))
    (finding,) = compared(SCENE, changed("sea", lambda _, c: (spike, c)))
    assert "by up to 6.0 mm" in finding.message


def test_what_the_tape_explains_of_two_outlines_is_no_finding():
    """Corners with 2 mm of doubt on each side: sqrt(5.991 * (2² + 2²)) = 6.92 mm."""
    unsure = SimpleNamespace(deviations=np.full((4, 2), 2.0), arcs=())
    outlines = {"body left": unsure, "body right": unsure}
    for step, moved in ((6.8, False), (7.1, True)):
        right = changed("sun", lambda area, c, step=step: (translate(area, step), c))
        found = compared(SCENE, right, outlines=outlines)
        assert [each.code for each in found] == ["mirror-art-moved"] * moved


def row(count, step=0.0):
    """Discs of 10 mm radius, 30 mm apart, moved by `step`."""
    return {f"d{n}": (Point(40 + 30 * n + step, 220).buffer(10), "red") for n in range(count)}


def test_a_design_a_quarter_inch_off_is_told_once():
    left = {**row(9), "bar": (box(30, 130, 280, 140), "blue")}
    right = {name: (translate(area, 6.35), c) for name, (area, c) in turned(left).items()}
    (finding,) = compared(left, right)
    assert finding.code == "mirror-art-moved"
    assert "10 shapes of body-right sit 6.3 mm to the right of where" in finding.message


def test_a_row_that_is_one_disc_short_lacks_one_and_the_others_stay_matched():
    left = row(9)
    right = turned(left)
    del right["d4"]
    (finding,) = compared(left, right)
    assert finding.code == "mirror-art-missing"
    assert finding.at == pytest.approx((240, 220), abs=1)


def test_a_region_that_has_come_apart_is_a_border_that_moved():
    """A gap of 8 mm through the sea: one half has no region of its own on the left."""
    parts = SEA.difference(box(150, 0, 158, 100))
    found = compared(SCENE, changed("sea", lambda _, c: (parts, c)))
    assert {each.code for each in found} <= {"mirror-art-moved", "mirror-art-extra"}
    assert len(found) == 1


def test_other_art_is_one_note():
    left = {f"d{n}": (Point(30 + 40 * n, 220).buffer(12), "red") for n in range(9)}
    right = {f"s{n}": (box(20 + 60 * n, 20, 50 + 60 * n, 60), "blue") for n in range(6)}
    (finding,) = compared(left, right)
    assert (finding.code, finding.level) == ("mirror-art-other", "note")
    assert finding.face == "body-right"


def test_many_differences_of_a_kind_are_counted():
    spots = [(30 + 34 * x, 30 + 40 * y) for x, y in itertools.product(range(10), range(6))]
    left = {f"d{n}": (Point(at).buffer(8), "red") for n, at in enumerate(spots)}
    right = turned(left)
    for n in range(20):
        del right[f"d{n}"]
    found = compared(left, right)
    assert [each.code for each in found] == ["mirror-art-missing"] * (TOLD + 1)
    assert f"differs in {20 - TOLD} more places" in found[-1].message


def test_lettering_is_left_aside_on_both_sides():
    word = box(180, 200, 260, 240).difference(box(190, 210, 270, 230))  # a C, on either side
    left, right = SCENE | {"word": (word, "blue")}, turned(SCENE) | {"word": (word, "blue")}
    assert compared(left, right) != ()
    marked = tuple(
        Lettering(face, "word", (0, 0), backwards=False, area=word)
        for face in ("body-left", "body-right")
    )
    assert compared(left, right, letterings=marked) == ()


def test_what_a_mirrored_entry_leaves_out_is_not_missed():
    source = PlacedArt(5, "b.svg", "body-left", (Shape(SUN, "red", "sun"),), (0,))
    kept = PlacedArt(6, "b.svg", "body-right", (), (), mirrored=True)
    assert compared(SCENE, changed("sun", None), mirrored=(source, kept)) == ()


def test_what_one_entry_puts_on_both_sides_is_left_aside():
    """A band that runs round the cabinet is no mirror image of itself."""
    flags = [translate(SAIL, step) for step in (-150, -40, 60)]
    left = SCENE | {f"f{n}": (flag, "blue") for n, flag in enumerate(flags)}
    right = turned(SCENE) | {f"f{n}": (flag, "blue") for n, flag in enumerate(flags)}
    assert compared(left, right) != ()
    shapes = tuple(Shape(flag, "blue", "flag") for flag in flags)
    band = tuple(PlacedArt(9, "b.svg", face, shapes) for face in ("body-left", "body-right"))
    assert compared(left, right, mirrored=band) == ()


def test_a_band_alone_is_not_compared():
    left, right = ({"sail": (SAIL, "red")} for _ in range(2))
    shapes = (Shape(SAIL, "red", "sail"),)
    band = tuple(PlacedArt(9, "b.svg", face, shapes) for face in ("body-left", "body-right"))
    assert compared(left, right, own=(False, False), mirrored=band) == ()


def test_a_shape_turned_upside_down_in_its_own_box_is_told():
    """Two bow-ties with the same corners: each is the other's complement in their box."""
    across = shapely.MultiPolygon([
        shapely.Polygon([(150, 130), (250, 130), (200, 180)]),
        shapely.Polygon([(150, 230), (200, 180), (250, 230)]),
    ])  # fmt: skip
    left = SCENE | {"tie": (across, "blue")}
    right = turned(left)
    right["tie"] = (rotate(right["tie"][0], 90, origin=(200, 180)), "blue")
    assert compared(left, right) != ()


def test_the_matching_has_the_largest_overlap_of_all():
    """Against every matching of up to five regions of one colour a side, one by one."""
    rng = np.random.default_rng(4)
    for _ in range(40):
        here, there = (
            np.array([box(x, 0, x + 30, 20) for x in np.sort(rng.uniform(0, 90, 5))], dtype=object)
            for _ in range(2)
        )
        sides = Sides(("red",) * 5, ("red",) * 5, here, there, box(-50, -50, 200, 200))
        table = shapely.area(shapely.intersection(here[:, None], there))
        best = max(
            sum(table[i, j] for i, j in enumerate(order))
            for order in itertools.permutations(range(5))
        )
        pairs = [pair for pair in matched(sides).pairs if None not in pair]
        assert sum(table[pair] for pair in pairs) == pytest.approx(best, abs=0.01)


SIGN = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm"
  viewBox="0 0 200 100">
<g fill="#ff0000" transform="{}"><circle cx="40" cy="40" r="25"/><circle cx="120" cy="60" r="20"/>
<path d="M150 10h40v30l-40 20z"/></g></svg>"""
ART = """
[[art]]
drawing = "left.svg"
on = "box-left"
offset = [60, 80]
[[art]]
drawing = "right.svg"
on = "box-right"
anchor = "lower-right"
to = "lower-right"
offset = [{}, 80]
"""


@pytest.mark.parametrize(("offset", "off"), [(-60, False), (-53.65, True)])
def test_a_drawing_of_its_own_a_quarter_inch_off_on_the_right_is_found(tmp_path, offset, off):
    palette = PRELUDE + 'red = { paint = "#ff0000", letter = "R" }\n'
    text = palette + SQUARE.format(more="", board=18) + ART.format(offset)
    (tmp_path / "cabinet.toml").write_text(text, encoding="utf-8")
    (tmp_path / "left.svg").write_text(SIGN.format(""), encoding="utf-8")
    flip = SIGN.format("translate(200 0) scale(-1 1)")
    (tmp_path / "right.svg").write_text(flip, encoding="utf-8")
    found = [each for each in surveyed(tmp_path).findings if each.code.startswith("mirror-art")]
    assert [each.code for each in found] == ["mirror-art-moved"] * off
    if off:
        assert "3 shapes of box-right sit 6.3 mm to the right of where box-left says" in (
            found[0].message
        )
