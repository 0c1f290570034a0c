"""Paint measured from a face whose paint is known."""

import numpy as np
import pytest

from mateline.capture.colours import (
    Card,
    CardError,
    card_light,
    difference,
    ink_light,
    lab_of,
    measured_paints,
    nearest,
)
from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.labels import Labels
from mateline.capture.picture import Picture

PALETTE = {"cream": "#efe3c4", "navy": "#1f2f57", "red": "#b3271e"}
GRID = Grid(120, 90, 1.0, 0.0, 0.0)


def painted(inks, gain=1.0, slope=0.0, tint=(1.0, 1.0, 1.0), card=None):
    """Three bands of paint, lit from one side; a card of reflectance 0.18 at the upper left."""
    numbers = np.repeat(np.arange(3), 40)[:, None] * np.ones((1, 90), dtype=int)
    light = np.array([ink_light(ink) for ink in inks])[numbers]
    if card is not None:
        light[:10, :10] = 0.18
    across = np.linspace(-1, 1, 90)[None, :, None]
    light = light * gain * np.exp(slope * across) * np.array(tint)
    sound = np.ones((120, 90), dtype=bool)
    sound[:10, :10] = card is None
    labels = Labels(
        GRID, tuple(PALETTE), numbers.astype(np.int16), sound,
        sound.astype(np.float32), np.zeros((3, 3), dtype=np.float32),
    )  # fmt: skip
    return labels, FacePicture(
        "side", GRID, light.astype(np.float32), np.ones((120, 90), dtype=bool)
    )


def test_paint_as_in_the_palette_measures_as_it_whatever_the_light():
    labels, picture = painted(PALETTE.values(), gain=0.4, slope=0.5, tint=(1.0, 0.9, 0.7))
    for paint in measured_paints(labels, picture, PALETTE):
        assert paint.difference < 1.0, paint


def test_a_card_tells_of_a_fading_that_all_colours_share():
    faded = ["#f6eedb", "#40507a", "#c8564e"]
    labels, picture = painted(faded, gain=0.4, slope=0.3, tint=(1.0, 0.9, 0.7), card=True)
    light = card_light(Picture("side.jpg", picture.light), ((0, 0), (10, 10)))
    paints = measured_paints(labels, picture, PALETTE, Card(light, (5, 115), 0.18))
    for paint, ink in zip(paints, faded, strict=True):
        lab = lab_of(ink_light(ink))
        assert float(difference(np.array(paint.lab), lab)) < 1.0, paint
    assert paints[1].difference > 8


@pytest.mark.parametrize(
    ("light", "pixels", "what"),
    [
        (0.2, ((30, 30), (90, 101)), "beyond the photo"),
        (0.2, ((30, 30), (33, 33)), "too small"),
        (0.99, ((10, 10), (40, 40)), "burnt out"),
        (0.001, ((10, 10), (40, 40)), "too dark"),
        (0.2, ((30, 10), (80, 40)), "not plain"),
    ],
)
def test_a_card_that_says_nothing_is_refused(light, pixels, what):
    shown = np.full((100, 100, 3), light, dtype=np.float32)
    shown[:, 60:] *= 0.5
    with pytest.raises(CardError, match=what):
        card_light(Picture("side.jpg", shown), pixels)


def test_a_colour_of_which_nothing_is_sound_is_not_measured():
    labels, picture = painted(PALETTE.values())
    labels.sound[40:80] = False
    paints = measured_paints(labels, picture, PALETTE)
    assert (paints[1].lab, paints[1].difference, paints[1].pixels) == (None, None, 0)
    assert paints[0].difference is not None


def test_the_nearest_colour_of_a_palette():
    palette = lab_of(np.array([ink_light(ink) for ink in PALETTE.values()]))
    seen = lab_of(np.array([ink_light(ink) for ink in ("#a83a2a", "#e0d8c0", "#203060")]))
    assert nearest(seen, palette).tolist() == [2, 0, 1]


def test_white_and_black_are_the_ends_of_lightness():
    lab = lab_of(np.array([[1.0, 1.0, 1.0], [0.0, 0.0, 0.0]]))
    assert lab == pytest.approx(np.array([[100.0, 0, 0], [0, 0, 0]]), abs=1e-9)
