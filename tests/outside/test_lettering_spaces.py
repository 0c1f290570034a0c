"""Spaces of lettering on technical drawings: ISO 3098-1:1974, type B, in tenths of the height h.

From memory: letters 2/10 h apart, words 6/10 h, lines 14/10 h from foot to foot, at the least.
The heights of the standard run 2.5, 3.5, 5, 7, 10, 14, 20 mm; a stencil's smallest pieces take
less than the first of them and only with letter and number.
"""

import shapely
from shapely import LineString, box

from mateline.curves import flattened
from mateline.stencil.lettering.label_placement import label_for, label_strokes
from mateline.stencil.lettering.single_stroke import CAP, GAP, lettered
from mateline.stencil.lettering.wording import HEIGHTS, LINE, SMALL
from mateline.stencil.pieces import Piece


def inks(chains):
    return shapely.union_all([LineString(flattened(chain)) for chain in chains])


def test_letters_words_and_lines_stand_as_far_apart_as_the_standard_asks():
    assert GAP >= 0.2 * CAP
    left, _, right, _ = inks(lettered("H")).bounds
    _, _, end, _ = inks(lettered("H H")).bounds
    assert end - right - (right - left) >= 0.6 * CAP
    assert LINE >= 1.4 * CAP


def test_words_are_at_least_as_high_as_the_standards_smallest_letters():
    assert min(HEIGHTS) >= 2.5
    area = box(0, 0, 40, 8)
    label = label_for(Piece("body-left B3", "body-left", "blue", "B", 3, 0, area))
    assert " " in " ".join(label.lines)
    _, low, _, high = inks(label_strokes(label)).bounds
    assert high - low >= 2.5
    assert all(height < 4 for height in SMALL)
