"""Art that falls off its face, and faces that art leaves bare."""

import math
from dataclasses import replace

import pytest
from shapely import MultiPolygon, Point, Polygon, box

from mateline.cabinet.hole import Hole
from mateline.checks.coverage import bare, check
from mateline.drawing.shapes import Shape
from mateline.placing.placed import PlacedArt
from specimens import SEA, SKY, codes, stencil, subject

GROUND = box(-5, -5, 405, 305)  # a background that bleeds over every edge


def art(*areas, placement=1, face="body-front"):
    shapes = tuple(Shape(area, "blue", f"shape-{at}") for at, area in enumerate(areas))
    return PlacedArt(placement, "waves.svg", face, shapes)


def found(*arts, holes=(), names=("front",)):
    stencils = [stencil([], *holes, name=name) for name in names]
    seen = subject(*stencils, art=arts)
    return (*check(seen), *bare(seen))


def test_a_background_that_bleeds_over_the_edges_is_no_finding():
    assert found(art(GROUND)) == ()


def test_a_face_without_art_is_meant_to_be_bare():
    assert found() == ()


def test_a_drawing_that_misses_its_face_is_told():
    (finding, bare) = found(art(box(500, 0, 600, 100)))
    assert (finding.code, finding.level, finding.face) == ("art-off-face", "warn", "body-front")
    assert "Nothing of waves.svg falls on body-front" in finding.message
    assert finding.at == (400, pytest.approx(50, abs=50))
    assert bare.code == "face-uncovered"


def test_shapes_that_miss_the_face_are_named():
    (finding,) = found(art(GROUND, box(410, 0, 450, 50), box(100, 400, 120, 420)))
    assert "shape-1 and shape-2 of waves.svg fall off body-front" in finding.message


def test_many_lost_shapes_are_counted():
    lost = [box(500 + 20 * k, 0, 510 + 20 * k, 10) for k in range(7)]
    (finding,) = found(art(GROUND, *lost))
    assert "shape-4 and 3 more of waves.svg" in finding.message


def test_a_shape_that_falls_on_the_next_face_of_a_wrap_is_not_lost():
    left = art(GROUND, box(450, 0, 500, 50), face="body-front")
    right = art(box(-405, -5, 5, 305), box(50, 0, 100, 50), face="body-back")
    assert "art-off-face" not in codes(found(left, right, names=("front", "back")))


def test_the_same_shape_placed_twice_is_lost_where_it_is_lost():
    one = art(GROUND, box(450, 0, 500, 50), face="body-front")
    two = art(GROUND, box(50, 0, 100, 50), placement=2, face="body-back")
    (finding,) = found(one, two, names=("front", "back"))
    assert (finding.face, finding.code) == ("body-front", "art-off-face")


def test_a_face_that_is_named_and_gets_nothing_is_told():
    left = art(GROUND, face="body-front")
    right = art(box(500, 0, 600, 100), face="body-back")
    (finding,) = (f for f in found(left, right, names=("front", "back")) if f.level == "warn")
    assert (finding.code, finding.face) == ("art-off-face", "body-back")
    assert "Nothing of waves.svg falls on body-back, which its entry names" in finding.message
    assert finding.at == (400, pytest.approx(50, abs=50))


def test_a_face_that_a_cast_reaches_unasked_may_get_nothing():
    left = art(GROUND, face="body-front")
    right = replace(art(box(500, 0, 600, 100), face="body-back"), named=False)
    assert "art-off-face" not in codes(found(left, right, names=("front", "back")))


def test_a_cast_of_which_nothing_is_left_is_told_without_a_place():
    (finding, bare) = found(art(MultiPolygon()))
    assert (finding.code, finding.at) == ("art-off-face", None)
    assert "Nothing of waves.svg falls on body-front" in finding.message
    assert bare.code == "face-uncovered"


def test_what_is_cast_behind_another_face_is_noted_with_its_area():
    hidden = MultiPolygon([box(100, 0, 200, 50)])
    cast = replace(art(GROUND), cast=True, hidden=hidden, before=("head-front", "head-top"))
    (finding,) = found(cast)
    assert (finding.code, finding.level, finding.face) == ("cast-hidden", "note", "body-front")
    assert "50.0 cm² of body-front" in finding.message
    assert "behind head-front and head-top" in finding.message
    assert hidden.contains(Point(finding.at))
    assert found(replace(cast, mirrored=True)) == ()


def test_a_shape_cut_by_the_edge_is_noted_with_its_share():
    (finding,) = found(art(GROUND, box(380, 100, 440, 150)))
    assert (finding.code, finding.level) == ("art-off-face", "note")
    assert "cuts shape-1" in finding.message
    assert "67%" in finding.message
    assert "40.0 mm" in finding.message
    assert finding.at[0] == 400


def test_art_that_bleeds_may_run_off():
    run_off = art(GROUND, box(380, 100, 440, 150))
    assert found(replace(run_off, bleed=math.inf)) == ()
    assert found(replace(run_off, bleed=40.001)) == ()
    (finding,) = found(replace(run_off, bleed=39.0))
    assert (finding.code, finding.level) == ("art-off-face", "note")
    assert "up to 40.0 mm beyond the edge, is lost; its bleed is 39.0 mm." in finding.message


def test_only_shapes_that_run_off_farther_than_their_bleed_are_counted():
    run_off = art(GROUND, box(380, 100, 440, 150), box(-10, 0, 5, 5), box(-20, 20, 90, 25))
    (finding,) = found(replace(run_off, bleed=15.0))
    assert "2 shapes are cut in all." in finding.message


def test_a_shape_that_is_lost_whole_is_told_though_its_art_bleeds():
    lost = art(GROUND, box(380, 100, 440, 150), box(410, 0, 450, 50))
    (finding,) = found(replace(lost, bleed=math.inf))
    assert "shape-2 of waves.svg falls off body-front" in finding.message


def test_a_bleed_that_lets_nothing_run_off_is_told():
    (finding,) = found(replace(art(GROUND, placement=3), bleed=math.inf))
    assert finding.code == "word-without-effect"
    assert finding.message.startswith("Art 3, bleed has no effect: the edge of body-front cuts")
    both = [replace(art(GROUND, face=f"body-{name}"), bleed=5.0) for name in ("front", "back")]
    (finding,) = found(*both, names=("front", "back"))
    assert finding.code == "word-without-effect"
    assert "only art on one face" in finding.message


def test_what_is_mirrored_is_not_asked_for_its_bleed():
    assert found(replace(art(GROUND), mirrored=True, bleed=5.0)) == ()


def test_a_shape_trimmed_by_less_than_a_millimetre_is_fine():
    assert found(art(GROUND, box(380, 100, 400.9, 150))) == ()


def test_a_shape_across_a_notch_of_the_face_is_noted_though_its_corners_are_on_the_rim():
    #  a notch 60 wide and 50 deep in the upper edge, and a shape that ends with its mouth
    notched = box(0, 0, 400, 300).difference(box(170, 250, 230, 300))
    front = stencil([], name="front")
    front = replace(front, face=replace(front.face, outline=notched))
    (finding,) = check(subject(front, art=(art(GROUND, box(170, 200, 230, 300)),)))
    assert "cuts shape-1" in finding.message
    assert "up to 30.0 mm beyond the edge" in finding.message


def test_base_coat_that_shows_is_noted_with_its_area():
    (finding,) = found(art(SEA))
    assert (finding.code, finding.level) == ("face-uncovered", "note")
    assert "800.0 cm²" in finding.message
    assert "66.7%" in finding.message
    assert SKY.contains(Point(finding.at))


def test_several_drawings_may_cover_a_face_together():
    assert found(art(SEA), art(SKY, placement=2)) == ()


def test_what_hardware_covers_is_not_bare():
    bolt = Hole("bolt", "round", (200.0, 200.0), 60.0, 60.0, stays=True, margin=2.0)
    around = art(GROUND - Point(200, 200).buffer(31.9))
    assert found(around, holes=(bolt,)) == ()
    (finding,) = found(around)
    assert "31.9" in finding.message  # pi 31.9² mm² is 31.97 cm², less the facets of the disc


def test_shapes_of_which_the_face_sees_nothing_are_told_at_the_face():
    """A drawing cast on faces that look elsewhere leaves nothing of its shapes on them."""
    (finding, _) = found(art(Polygon(), Polygon()))
    assert finding.code == "art-off-face"
    assert finding.at is None


def test_a_shape_that_is_over_a_slanted_edge_by_rounding_alone_is_no_finding():
    """GEOS says that the face does not cover it, and that nothing of it is left beyond."""
    slanted = Polygon([(0, 0), (400, 0), (0.1, 300.7)])
    shape = Polygon([(10, 10), (397.00075, 2.25525), (398.8902775, 0.8344424999999999)])
    assert not slanted.covers(shape)
    assert (shape - slanted).is_empty
    one = stencil([])
    seen = subject(replace(one, face=replace(one.face, outline=slanted)), art=(art(shape),))
    assert "art-off-face" not in codes(check(seen))
