import math
from itertools import combinations

import pytest

from mateline.curves import Chain
from mateline.stencil.lettering import _STROKES, CAP, GAP, lettered, text_width

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


def test_signs_stand_a_gap_apart():
    assert text_width("HH") == pytest.approx(2 * text_width("H") + GAP)
    assert text_width("") == 0.0
