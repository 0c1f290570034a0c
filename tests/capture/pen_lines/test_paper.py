"""Ink is what light lacks against the paper around it."""

import numpy as np

from mateline.capture.pen_lines.paper import paper_of, squares
from mateline.capture.picture import Picture
from scenes.ruled import ruled


def test_ink_across_a_line_sums_to_its_width_whatever_the_paper():
    sheet = ruled([[(5, 20), (35, 20)]], (40, 40))
    light = sheet.light * np.linspace(0.7, 1, 320, dtype=np.float32)[None, :, None]
    ink = paper_of(Picture("sheet.png", light), 8.0).ink
    across = ink[148:172, 80:240].sum(axis=0) / 8.0  # mm, at 20 mm of the line
    assert np.abs(across - 0.8).max() < 0.06


def test_a_pixel_half_covered_is_half_ink():
    # a line 0.8 mm wide at y = 20 from the sheet's middle between two pixels: rows 156.8 to 163.2
    ink = paper_of(ruled([[(5, 20), (35, 20)]], (40, 40)), 8.0).ink
    assert np.allclose(ink[157:163, 160], 1, atol=0.02)
    assert np.allclose(ink[[156, 163], 160], 0.2, atol=0.02)
    assert np.allclose(ink[[150, 170], 160], 0, atol=0.01)


def test_squares_are_means_and_what_is_left_over_is_left_out():
    values = np.arange(20, dtype=np.float32).reshape(4, 5)
    assert squares(values, 2).tolist() == [[3, 5], [13, 15]]
