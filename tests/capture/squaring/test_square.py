"""A photo of a face squared, and what is refused: one small scene, changed in many ways."""

import numpy as np
import pytest
from scipy import ndimage

from mateline.capture.picture import Picture
from mateline.capture.squaring.flat import laid_flat
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.sights import DistanceSight, PointSight, Sights
from mateline.capture.squaring.square import grid_for, sight, told
from mateline.errors import InputError
from scenes.cases import small
from scenes.design import upright
from scenes.ideal import squared as laid_flat_by_its_camera
from scenes.photograph import decoded
from squaring_errors import map_errors, picture_of

MIRRORED = np.array([(300.0, 0.0)]) + upright(300, 400)[::-1] * (-1, 1)


@pytest.fixture(scope="module")
def scene():
    return small(1, size=(900, 1100), density=2.0)


@pytest.fixture(scope="module")
def picture(scene):
    return picture_of(scene)


@pytest.fixture(scope="module")
def outline(scene):
    return outline_of("body-left", scene.design.corners)


@pytest.fixture(scope="module")
def sighted(picture, outline):
    """Its view, solved: the face is found, nobody points at it."""
    return sight(picture, outline)


@pytest.fixture(scope="module")
def flat(sighted, outline):
    """What squaring makes of it."""
    grid = grid_for(sighted, None)
    return laid_flat(sighted.picture, sighted.solved, outline, grid), told(sighted, grid)


@pytest.fixture(scope="module")
def clicked(scene):
    """Corners as a person would point at them."""
    return [tuple(at) for at in scene.camera.pixels(scene.design.corners) + np.array([2.0, -3.0])]


def refused(picture, outline, **how):
    with pytest.raises(InputError) as fault:
        sight(picture, outline, **how)
    return fault.value


def test_a_face_is_found_and_squared_to_hundredths_of_a_millimetre(scene, sighted):
    off = map_errors(sighted.solved.view, scene)
    assert np.sqrt((off**2).mean()) < 0.05  # a tenth of a pixel at two pixels to the mm
    assert off.max() < 0.12


def test_what_is_expected_is_of_the_size_of_what_is(scene, sighted, flat):
    off = map_errors(sighted.solved.view, scene)
    rms = float(np.sqrt((off**2).mean()))
    assert flat[1].expected.rms / 3 < rms < 3 * flat[1].expected.rms


def test_the_squared_face_is_that_of_the_true_camera(scene, flat):
    face, report = flat
    ideal = laid_flat_by_its_camera(scene, face.grid.pitch)
    assert face.grid == ideal.grid
    both = ndimage.binary_erosion(face.seen & ideal.seen, iterations=3)
    assert np.sqrt(((face.light - ideal.light)[both] ** 2).mean()) < 0.01
    assert (face.seen == ideal.seen).mean() > 0.999
    assert report.mm_per_pixel == pytest.approx(0.5, abs=0.051)


def test_the_report_says_what_became_of_every_edge(flat):
    _, report = flat
    assert [each.edge for each in report.edges] == [
        "A-B", "B-C", "C-D", "D-E", "E-F", "F-G", "G-H", "H-A"
    ]  # fmt: skip
    assert all(each.used and each.rms < 0.2 for each in report.edges), report.edges


def test_the_lens_is_told(flat):
    assert flat[1].k1 == pytest.approx(-0.08, abs=0.02)


def test_corners_given_and_corners_found_give_one_view(scene, picture, outline, clicked):
    given = sight(picture, outline, corners=clicked)
    off = map_errors(given.solved.view, scene)
    assert np.sqrt((off**2).mean()) < 0.05


def test_a_corner_that_the_tape_has_wrong_is_expected_to_be(scene, picture, clicked):
    """Corner F, number 5, is 1.5 mm off where the tape says that corners are known to 0.7 mm."""
    wrong = scene.design.corners.copy()
    wrong[5] += (1.5, 0.0)
    unsure = outline_of("body-left", wrong, np.eye(16) * 0.7**2)
    sighted = sight(picture, unsure, corners=clicked)
    grid = grid_for(sighted, 2.0)
    face, report = laid_flat(sighted.picture, sighted.solved, unsure, grid), told(sighted, grid)
    assert 0.2 < report.expected.rms < 1.0
    assert report.expected.worst > report.expected.rms
    assert float(np.max(face.error)) == pytest.approx(report.expected.worst, rel=0.3)
    #  the photo knows better than the tape: most of the blunder goes back to its corner
    moved = sighted.solved.corners(unsure)[5] - wrong[5]
    assert -1.6 < moved[0] < -0.5
    assert report.next_reading.startswith("Tape the distance from corner ")


@pytest.mark.scenes
def test_the_same_photo_gives_the_same_view(picture, outline, sighted):
    assert sight(picture, outline).solved.view == sighted.solved.view


@pytest.mark.scenes
def test_points_and_distances_say_what_the_tape_leaves_open(scene, picture, clicked):
    unsure = outline_of("body-left", scene.design.corners, np.eye(16) * 2.0**2)
    places = [(150.0, 100.0), (60.0, 300.0), (240.0, 40.0), (40.0, 40.0)]
    seen = [tuple(each) for each in scene.camera.pixels(np.array(places))]
    known = Sights(
        tuple(PointSight(f"bolt {at}", pixel, place, 0.2)
              for at, (pixel, place) in enumerate(zip(seen, places, strict=True))),
        (DistanceSight("wide", (seen[1], seen[2]), float(np.hypot(180, 260)), 0.2),),
    )  # fmt: skip
    errors = []
    for sights in (Sights(), known):
        sighted = sight(picture, unsure, corners=clicked, sights=sights)
        errors.append(told(sighted, grid_for(sighted, 2.0)).expected.rms)
    assert errors[1] < 0.8 * errors[0]


def test_a_photo_in_grey_is_refused(picture, outline):
    grey = np.repeat(picture.light.mean(axis=2, keepdims=True), 3, axis=2)
    said = refused(Picture("grey.jpg", grey), outline)
    assert said.what == "The photo is in black and white, so no colour can be told from it."


def test_a_blurred_photo_is_refused(picture, outline, clicked):
    soft = ndimage.gaussian_filter(picture.light, (4.5, 4.5, 0))
    told_so = refused(Picture("soft.jpg", soft), outline, corners=clicked)
    assert told_so.what.startswith("The photo is blurred")


def test_a_photo_of_something_else_is_refused(outline):
    noise = np.random.default_rng(0).random((300, 400, 3), dtype=np.float32)
    light = ndimage.gaussian_filter(noise, (9, 9, 0)) * 3
    said = refused(Picture("cat.jpg", light.astype(np.float32)), outline)
    assert "give `corners`" in said.remedy


def test_a_photo_of_the_other_side_is_told_so(picture, outline):
    right = outline_of("body-right", MIRRORED)
    said = refused(picture, right, others=(outline,))
    assert "body-left" in said.what
    assert said.remedy.startswith("Name it as a photo of body-left, or take one of body-right; if")
    assert "give `corners`: the pixels of" in said.remedy


@pytest.mark.parametrize(
    ("rows", "columns", "gone"),
    [
        (slice(None, 820), slice(None), "A-B"),
        pytest.param(slice(350, None), slice(None), "D-E, E-F, F-G, G-H", marks=pytest.mark.scenes),
        pytest.param(slice(None), slice(300, None), "H-A", marks=pytest.mark.scenes),
        pytest.param(slice(None), slice(None, 600), "B-C, C-D", marks=pytest.mark.scenes),
    ],
)
def test_a_photo_cut_short_says_which_edges_are_missing(picture, outline, rows, columns, gone):
    """A top of 300 by 250 mm, a rectangle, fits into what is left of the side."""
    top = outline_of("body-top", np.array([(0.0, 0.0), (300, 0), (300, 250), (0, 250)]))
    cut = Picture("cut.jpg", np.ascontiguousarray(picture.light[rows, columns]))
    said = refused(cut, outline, others=(top,))
    assert said.what == (
        f"The outline of body-left is not whole in the photo: outside it lies {gone}."
    )
    assert said.remedy.startswith("Step back until the whole side is in the picture")


@pytest.mark.scenes
def test_a_turned_photo_is_not_taken_for_an_upright_one(picture, outline):
    turned = np.ascontiguousarray(np.rot90(picture.light))
    refused(Picture("turned.jpg", turned), outline)


def test_a_pitch_must_be_of_use(sighted):
    for pitch in (0.0, -1.0, float("nan"), 0.001):
        with pytest.raises(InputError):
            grid_for(sighted, pitch)


def test_corners_pointed_at_in_the_wrong_order_are_told(picture, outline, clicked):
    said = refused(picture, outline, corners=[*clicked[2:], *clicked[:2]])
    assert said.what.endswith("they seem to start at C.")
    said = refused(picture, outline, corners=[clicked[0], *clicked[:0:-1]])
    assert said.what.endswith("they seem to start at A and run the other way round.")
    said = refused(picture, outline, corners=clicked[:7])
    assert said.what == "There are 7 corners, but the outline of body-left has 8."
    said = refused(picture, outline, corners=[*clicked[:3], *[None] * 5])
    assert said.what == "Only 3 corners and 0 points are given."
    said = refused(picture, outline, corners=[(10.0 * at, 7.0 * at * at) for at in range(8)])
    assert "no camera sees it so" in said.what


def test_light_is_linear_in_the_squared_picture(flat):
    """The middle of a large area has the light that its paint sends back, times the lamp's."""
    face, _ = flat
    assert face.light.dtype == np.float32
    assert 0.2 < float(np.quantile(face.light[face.seen], 0.9)) < 0.8


def test_the_scenes_own_srgb_is_ours(scene, picture):
    there = decoded(scene.picture[::50, ::50] / 255.0)
    np.testing.assert_allclose(picture.light[::50, ::50], there, atol=1e-6)
