"""The whole road, on pictures painted here and on a small scene."""

import numpy as np
import pytest

from capture.labelling.painted import (
    CREAM,
    MUSTARD,
    NAVY,
    RED,
    TEAL,
    WOOD,
    flat,
    grained,
    linear,
    lit,
)
from mateline.capture.labelling.labelled import absent, labelled, proposed
from mateline.errors import InputError
from scenes.camera import standing
from scenes.design import PALETTE, design
from scenes.ideal import squared
from scenes.judging import labels_right
from scenes.photograph import Light, photographed
from scenes.wear import worn

GIVEN = (("cream", CREAM), ("navy", NAVY), ("red", RED), ("mustard", MUSTARD))


def halves():
    """Cream left of a line that leans, navy right of it, red below; and a patch of wood on it."""
    row, column = np.mgrid[:400, :400]
    numbers = np.where(row > 320, 2, (column + 0.4 * row > 260).astype(int))
    light = flat(numbers, (CREAM, NAVY, RED))
    light[100:200, 160:260] = linear(WOOD) * grained((100, 100))[..., None]
    return numbers, light


@pytest.fixture(scope="module")
def mended():
    numbers, light = halves()
    return numbers, labelled(lit(light), GIVEN)


def test_a_patch_on_a_straight_border_is_filled_along_it(mended):
    numbers, labels = mended
    # of 160 000; the border is hidden for 100 rows, and a cell of the fill is 4 pixels
    assert (labels.numbers != numbers).sum() < 250
    assert not labels.sound[101:199, 161:259].any()
    assert labels.sound[:80].mean() > 0.97
    assert absent(labels) == ("mustard",)


def test_what_lies_deep_in_damage_is_not_sure_and_what_is_seen_is(mended):
    _, labels = mended
    assert labels.sureness[140:160, 190:230].max() < 0.9
    assert labels.sureness[20:80, 20:100].min() > 0.99


def test_without_a_palette_the_colours_are_proposed():
    numbers, light = halves()
    labels = labelled(lit(light, gain=1.0, haze=0.0, tint=(1, 1, 1)))
    assert labels.colours == ("colour 1", "colour 2", "colour 3")
    found = dict(proposed(labels))
    for name, ink in zip(labels.colours, (CREAM, NAVY, RED), strict=True):
        assert np.abs(linear(found[name]) - linear(ink)).max() < 0.02
    assert (labels.numbers != numbers).sum() < 250


def test_wood_that_is_told_is_no_paint_however_flat():
    numbers, light = halves()
    light[100:200, 160:260] = linear(WOOD)
    labels = labelled(lit(light), GIVEN, wood=(WOOD,))
    assert not labels.sound[101:199, 161:259].any()
    assert (labels.numbers != numbers).sum() < 250


def told(picture, palette):
    with pytest.raises(InputError) as caught:
        labelled(picture, palette, file="left.jpg")
    return str(caught.value)


def test_a_palette_of_one_is_refused():
    _, light = halves()
    assert "from 2 to 30 colours, not 1" in told(lit(light), GIVEN[:1])


def test_one_colour_only_is_refused():
    row = np.zeros((300, 300), dtype=int)
    picture = lit(flat(row, (CREAM,)))
    assert told(picture, GIVEN) == (
        "left.jpg: left: Only cream can be seen, so there is no border. "
        "Name the other colours as they are on the face."
    )
    assert "Flat areas of 1 colour(s)" in told(picture, None)


def test_all_wood_is_refused():
    light = linear(WOOD) * grained((300, 300))[..., None]
    picture = lit(light)
    assert "Flat areas of 0 colour(s)" in told(picture, None)
    assert "bare" in told(picture, (("navy", NAVY), ("teal", TEAL)))


def test_noise_alone_is_refused():
    chance = np.random.default_rng(3)
    picture = lit(chance.uniform(0, 1, (60, 60, 3)))
    assert "no plain area" in told(picture, GIVEN)


def test_a_small_scene():
    drawn = design(14, 200, 270)
    wear = worn(drawn.outline, scratches=10, seed=14)
    camera = standing(drawn.outline, size=(800, 1000))
    scene = photographed(drawn, camera, wear, Light(veil=0.06, spot=0.1), seed=14)
    labels = labelled(squared(scene), tuple(PALETTE.items()))
    right = labels_right(labels, drawn, wear)
    assert right["sound"] > 0.99
    assert right["all"] > 0.97
    assert right["sure"] > 0.995
    assert set(absent(labels)) == set(PALETTE) - set(drawn.colours)


@pytest.mark.scenes
@pytest.mark.parametrize(("seed", "light", "loss"), [
    (1, {}, 0.14),
    (2, {}, 0.14),
    (3, {"slope": (0.9, 0.1), "veil": 0.06, "spot": 0.1}, 0.14),
    (4, {"tint": (0.9, 1.0, 0.85), "noise": 0.02, "quality": 80}, 0.25),
    (5, {"blur": 1.5, "noise": 0.02, "quality": 80}, 0.14),
])  # fmt: skip
def test_a_side_in_twelve_megapixels(seed, light, loss):
    drawn = design(seed)
    wear = worn(drawn.outline, loss=loss, seed=seed)
    scene = photographed(drawn, standing(drawn.outline), wear, Light(**light), seed=seed)
    right = labels_right(labelled(squared(scene), tuple(PALETTE.items())), drawn, wear)
    assert right["all"] > 0.987
    assert right["sound"] > 0.995
    assert right["damaged"] > 0.94
    assert right["sure"] > 0.998
