import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from shapely import LineString

from mateline.curves import Chain, flattened
from mateline.stencil.lettering.single_stroke import (
    _STROKES,
    CAP,
    GAP,
    lettered,
    overshoot,
    text_width,
)

SIGNS = [sign for sign in _STROKES if sign != " "]


@pytest.mark.parametrize("sign", SIGNS)
def test_both_ends_of_every_arc_are_as_far_from_its_centre(sign):
    for chain in lettered(sign):
        for at, segment in zip(chain.points, chain.segments, strict=False):
            if segment.centre is not None:
                reach = math.dist(segment.to, segment.centre)
                assert math.dist(at, segment.centre) == pytest.approx(reach)


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_stays_within_its_width_and_height(sign):
    for chain in lettered(sign):
        for x, y in chain.points:
            assert 0 <= x <= text_width(sign) + 1e-9
            assert -CAP / 6 <= y <= 1.1 * CAP


def test_no_two_signs_look_alike():
    drawings = {sign: lettered(sign) for sign in SIGNS}
    assert all(drawings[a] != drawings[b] for a, b in combinations(SIGNS, 2))


def test_lower_case_and_accents_are_written_as_plain_capitals():
    assert lettered("café") == lettered("CAFE")


def test_a_sign_without_a_letter_is_an_empty_box():
    (box,) = lettered("字")
    assert isinstance(box, Chain)
    assert box.closed


@pytest.mark.parametrize("sign", SIGNS)
def test_a_signs_ink_fills_its_width(sign):
    """At most a quarter of a gap is left beside it, so that signs look evenly spaced."""
    ink = shapely.union_all([LineString(flattened(chain)) for chain in lettered(sign)])
    left, _, right, _ = ink.bounds
    assert -1e-3 < left < GAP / 4 + 1e-3
    assert text_width(sign) - GAP / 4 - 1e-3 < right < text_width(sign) + 1e-3


def test_only_some_signs_stand_beyond_capitals():
    beyond = {sign for sign in SIGNS if overshoot(sign) > 0}
    assert beyond == set("Q,()")
    for sign in SIGNS:
        ys = np.vstack([flattened(chain) for chain in lettered(sign)])[:, 1]
        assert max(-ys.min(), ys.max() - CAP, 0) == pytest.approx(overshoot(sign), abs=1e-9)


def test_signs_stand_a_gap_apart():
    assert text_width("HH") == pytest.approx(2 * text_width("H") + GAP)
    assert text_width("") == 0.0
