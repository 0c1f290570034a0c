"""Light and paints found together, against fields and colours that the test chose."""

import numpy as np

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
from mateline.capture.labelling.cells import along, cells_of
from mateline.capture.labelling.light import light_of

PALETTE = (CREAM, NAVY, RED, TEAL, MUSTARD)


def checked(rows=480, columns=400, colours=4, side=40):
    row, column = np.mgrid[:rows, :columns] // side
    return (row + column) % colours


def fields(rows=480, columns=400):
    u, v = along(columns)[None], along(rows)[:, None]
    gain = 0.7 * (1 + 0.3 * u - 0.1 * v - 0.05 * u * u)
    haze = 0.03 + 0.04 * (u + 1) / 2 + 0 * v
    return gain, haze


def test_side_light_and_haze_on_one_side_are_found_to_a_hundredth():
    gain, haze = fields()
    picture = lit(flat(checked(), PALETTE), gain, haze, tint=(1, 1, 1))
    light = light_of(cells_of(picture), np.array([linear(ink) for ink in PALETTE]))
    for band in range(3):
        found, veil = light.fields(band, along(400), along(480))
        assert abs(found / gain - 1).max() < 0.01
        assert abs(veil - haze).max() < 0.004


def test_a_colour_that_is_not_in_the_picture_keeps_the_palettes_light():
    picture = lit(flat(checked(colours=3), PALETTE))
    light = light_of(cells_of(picture), np.array([linear(ink) for ink in PALETTE]))
    assert (light.cells[:5] > 0).tolist() == [True, True, True, False, False]
    np.testing.assert_allclose(light.paints[4], linear(MUSTARD), atol=1e-6)


def test_a_paint_that_faded_is_found_as_it_is():
    faded = "#b84a3c"  # what is left of the red
    picture = lit(flat(checked(colours=3), (CREAM, NAVY, faded)))
    light = light_of(cells_of(picture), np.array([linear(ink) for ink in PALETTE]))
    assert light.cells[2] > 0
    np.testing.assert_allclose(light.paints[2], linear(faded), atol=0.03)


def test_bare_wood_is_no_mustard():
    numbers = checked(colours=3)
    light = flat(numbers, PALETTE)
    light[100:260, 60:200] = linear(WOOD) * grained((160, 140))[..., None]
    found = light_of(cells_of(lit(light)), np.array([linear(ink) for ink in PALETTE]))
    assert found.cells[4] == 0
    wood = found.paints[5:]
    assert np.abs(wood - linear(WOOD)).max(axis=1).min() < 0.04
