"""What is paint and what is damage, pixel by pixel."""

import numpy as np
from scipy import ndimage

from capture.labelling.painted import (
    CREAM,
    NAVY,
    PRIMER,
    RED,
    TEAL,
    WOOD,
    flat,
    grained,
    linear,
    lit,
)
from mateline.capture.labelling.cells import cells_of
from mateline.capture.labelling.light import light_of
from mateline.capture.labelling.mixtures import Paints
from mateline.capture.labelling.visible import visible

PALETTE = (CREAM, NAVY, RED, TEAL)
BLACK = "#1b1b1d"


def seen(light, palette=PALETTE):
    picture = lit(light)
    cells = cells_of(picture)
    found = light_of(cells, np.array([linear(ink) for ink in palette]))
    return visible(picture, found, len(palette), cells.noise)


def quarters(rows=320, columns=320):
    row, column = np.mgrid[:rows, :columns]
    return 2 * (row > rows // 2) + (column > columns // 2)


def test_cream_over_navy_by_a_quarter_is_grey_primer():
    # the worked case that mixtures are asked for first for: linear light, three bands
    mixture = 0.29 * linear(CREAM) + 0.71 * linear(NAVY)
    assert np.abs(mixture - linear(PRIMER)).max() < 0.012


def test_a_border_between_cream_and_navy_is_neither_primer_nor_a_third_paint():
    numbers = quarters()
    light = flat(numbers, PALETTE)
    for band in range(3):
        light[..., band] = ndimage.gaussian_filter(light[..., band], 0.8)
    found = seen(light)
    border = abs(np.arange(320) - 160) < 4
    upper = np.zeros(numbers.shape, dtype=bool)
    upper[20:140, border] = True
    assert set(np.unique(found.numbers[upper])) == {0, 1}
    assert found.sound[upper].mean() > 0.99
    assert (found.numbers[upper] == numbers[upper]).mean() > 0.97


def test_how_far_along_between_two_paints_a_pixel_is():
    paints = Paints(np.array([[0.0, 0, 0], [1, 0, 0]]), 2)
    part, far = paints.between(np.array([[0.25], [0.5], [0]], dtype=np.float32), 0, 1)
    assert (part[0], far[0]) == (0.25, 0.25)


def test_wood_and_a_scratch_are_not_sound():
    light = flat(quarters(), PALETTE)
    light[60:120, 60:120] = linear(WOOD) * grained((60, 60))[..., None]
    light[200:203, 10:300] = linear(PRIMER)
    found = seen(light)
    assert not found.sound[62:118, 62:118].any()
    assert not found.sound[200:203, 12:298].any()
    assert found.sound[20:50, 20:300].mean() > 0.98


def test_a_stripe_too_thin_for_a_core_is_seen():
    light = flat(quarters(), PALETTE)
    light[50:52, 20:140] = linear(RED)
    found = seen(light)
    assert (found.numbers[50:52, 25:135] == 2).mean() > 0.95


def test_a_pale_stripe_that_blur_mixes_all_through_is_seen_and_no_scratch_is_taken_for_one():
    light = flat(quarters(), PALETTE)
    light[200:205, 175:300] = linear(CREAM)  # in teal, 2 mm wide; at its middle 0.88 of it
    light[60:64, 10:150] = linear(PRIMER)  # in cream: like navy and cream, mixed
    light[240:244, 175:300] = linear(PRIMER)
    for band in range(3):
        light[..., band] = ndimage.gaussian_filter(light[..., band], 1.6)
    found = seen(light)
    assert (found.numbers[200:205, 180:270] == 0).mean() > 0.97
    assert found.sound[198:207, 180:270].mean() > 0.97
    assert not found.sound[60:64, 15:145].any()
    assert not (found.sound & (found.numbers == 0))[236:248, 180:295].any()


def test_a_dark_stripe_that_blur_mixes_all_through_is_seen():
    """An outline in black on cream: 0.9 of it at its middle, and no wood or primer is as dark."""
    palette = (CREAM, BLACK, RED, TEAL)
    light = flat(quarters(), palette)
    light[60:64, 20:140] = linear(BLACK)
    for band in range(3):
        light[..., band] = ndimage.gaussian_filter(light[..., band], 1.2)
    found = seen(light, palette)
    assert (found.numbers[60:64, 30:130] == 1).mean() > 0.97
    assert found.sound[58:66, 30:130].mean() > 0.97
