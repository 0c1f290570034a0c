"""Advice on witness lines: what it says for borders that close, that almost do, and that don't."""

import math

from mateline.paint.witness.advice import advice_of
from mateline.paint.witness.lines import limits_of, witness_lines
from painting import RANK, jumble, spread, stripes

LEAN = math.radians(30)


def said(unit="mm", stencil=None, **given):
    here = spread(**given)
    lines = witness_lines(stencil or stripes(), RANK, here)
    return " ".join(advice_of(lines, limits_of(lines, here), here, unit))


def test_borders_that_close_say_by_how_much_and_how_much_room_is_left():
    text = said(kerf=0.4, play=0.1)
    assert "Every border closes: even the worst" in text
    assert "keeps 0.3 mm of overlap" in text
    assert "pieces up to 0.4 mm off their place" in text
    assert "up to 21° off square" in text  # atan((0.4 - 0.1) / 2 / 0.4) = 20.6
    assert "A deliberate overlap" not in text


def test_brushed_borders_close_at_any_angle():
    assert "with spray at any angle" in said(kerf=0.4, brushed=frozenset(RANK))


def test_open_borders_are_named_and_told_what_each_thing_would_do():
    text = said(kerf=0.2, play=0.1, angle=LEAN)
    assert "Base coat may show up to 0.4 mm wide" in text  # 0.1 + 2 * 0.2309 - 0.2 = 0.3619
    assert "body-front R1 and body-front B1" in text
    assert "body-front B1 and body-front G1" in text
    assert "within 7° of square, not 30°, every border closes" in text  # atan(0.125) = 7.1
    assert "Putting pieces back exactly does not close" in text
    assert "cut every piece back by 0.2 mm on each edge" in text
    assert "(as a kerf of 0.6 mm would)" in text


def test_play_that_is_the_only_fault_is_told_its_limit():
    text = said(kerf=0.2, play=0.5)
    assert "Put pieces back within 0.2 mm of where they lay, not 0.5 mm" in text
    assert "square spray alone does not close the worst border" in text
    assert "leaning 0° costs 0.0 mm" in text


def test_a_gap_too_narrow_to_see_names_no_border():
    text = said(kerf=0.2, play=0.24)
    assert "nowhere wider than 0.04 mm: hardly seen" in text
    assert "small brush" not in text


def test_the_largest_overlap_is_told_with_play_the_other_way():
    # kerf 0.2 + play 0.5 + twice the bleed 0.15, sprayed square on
    text = said(kerf=0.2, play=0.5, bleed=0.15, angle=LEAN)
    assert "Where colours overlap, by 1.0 mm at most, the later one covers the earlier" in text


def test_many_borders_are_counted_not_listed():
    text = said(stencil=jumble(3, count=14), play=0.5)
    assert "more." in text
    assert text.count(";") <= 8


def test_lengths_come_in_the_users_unit():
    assert '"' in said(unit="in", play=0.5)
    assert " mm" not in said(unit="in", play=0.5)


def test_there_is_no_advice_where_no_colours_meet():
    assert advice_of((), None, spread(), "mm") == ()
