"""The order of colours: light before dark, large before small, meeting longest apart."""

import itertools

import pytest

from mateline.errors import InputError
from mateline.paint.lightness import lightness
from mateline.paint.order import ordered, own_order
from mateline.stencil.pieces import Colours

GREYS = {"white": "#ffffff", "pale": "#f0f0f0", "grey": "#777777", "black": "#000000"}


def given(paints):
    return Colours({"base": "#123456", **paints}, {}, "base")


def names(placed):
    return [each.colour for each in placed]


def test_light_goes_before_dark_whatever_its_size():
    areas = {"black": 900.0, "grey": 50.0, "white": 1.0}
    assert names(ordered(given(GREYS), areas, {})) == ["white", "grey", "black"]


def test_a_clear_step_darker_goes_later_though_it_is_larger():
    assert 10 < lightness("#ffffff") - lightness("#d4d4d4") < 20
    paints = {"white": "#ffffff", "silver": "#d4d4d4"}
    assert names(ordered(given(paints), {"white": 1.0, "silver": 9.0}, {})) == ["white", "silver"]


def test_of_colours_as_light_the_larger_goes_first():
    assert abs(lightness("#ffffff") - lightness("#f0f0f0")) < 10
    areas = {"white": 1.0, "pale": 2.0}
    assert names(ordered(given(GREYS), areas, {})) == ["pale", "white"]


def test_of_colours_as_light_and_as_large_those_that_meet_longest_are_parted():
    paints = {name: f"#80808{at}" for at, name in enumerate("abc")}
    areas = dict.fromkeys("abc", 100.0)
    shared = {frozenset("ab"): 500.0, frozenset("bc"): 300.0, frozenset("ac"): 20.0}
    found = names(ordered(given(paints), areas, shared))
    assert found in (["b", "c", "a"], ["a", "c", "b"])  # 320; b in the middle is 800, a 520


def test_the_last_rule_is_solved_for_all_groups_together():
    paints = {"a": "#f0f0f0", "b": "#f0f0f1", "c": "#101010", "d": "#101011"}
    areas = dict.fromkeys(paints, 100.0)
    shared = {frozenset("bc"): 90.0, frozenset("bd"): 80.0, frozenset("ad"): 70.0}
    cost = {
        (*light, *dark): sum(
            shared.get(frozenset(pair), 0.0) for pair in itertools.pairwise((*light, *dark))
        )
        for light in itertools.permutations("ab")
        for dark in itertools.permutations("cd")
    }
    found = tuple(names(ordered(given(paints), areas, shared)))
    assert cost[found] == min(cost.values()) == 0.0


def test_a_group_is_ordered_inside_though_another_comes_before_it():
    paints = {"a": "#ffffff", "b": "#808080", "c": "#808081", "d": "#808082"}
    shared = {frozenset("bc"): 50.0, frozenset("cd"): 40.0, frozenset("bd"): 1.0}
    placed = names(ordered(given(paints), dict.fromkeys(paints, 100.0), shared))
    assert placed in (["a", "c", "d", "b"], ["a", "c", "b", "d"], ["a", "d", "b", "c"],
                      ["a", "b", "d", "c"])  # fmt: skip
    cost = sum(shared.get(frozenset(pair), 0.0) for pair in itertools.pairwise(placed))
    assert cost == 41.0  # 51 with c at the end, 90 with it in the middle


def test_every_place_has_its_reason():
    areas = {"white": 1e6, "pale": 1e5, "grey": 5e5, "black": 2e5}
    first, second, third, fourth = ordered(given(GREYS), areas, {})
    assert first.why == "First: of the lightest colours (L* 100), and of the largest."
    assert second.why == "After white: about as light, and covers less (10% of its area)."
    assert third.why == "After pale: of a darker step (L* from 50 down, against 100)."
    assert fourth.why == "After grey: of a darker step (L* from 0 down, against 50)."


def test_free_colours_say_how_little_they_meet():
    paints = {name: f"#80808{at}" for at, name in enumerate("abc")}
    shared = {frozenset("ab"): 500.0, frozenset("bc"): 300.0, frozenset("ac"): 20.0}
    _, second, third = ordered(given(paints), dict.fromkeys("abc", 100.0), shared)
    assert second.why == (
        "After b: about as light and as large; 37% of all borders lie between them; this order "
        "spares fresh edges most."
    )
    assert "; 2% of all borders lie between them; " in third.why


def test_the_users_own_order_stands_and_says_so():
    areas = {"black": 1.0, "white": 1.0}
    placed = own_order(["base", "black", "grey", "white"], "base", areas)
    assert names(placed) == ["black", "white"]  # there is no grey to paint
    assert {each.why for each in placed} == {"Your own order."}


@pytest.mark.parametrize(
    ("passes", "what"),
    [
        (["white"], "The art has black, which no pass paints."),
        (["white", "black", "white"], "white stands there more than once; a colour is one pass."),
        (["white", "base", "black"], "The base coat base lies under everything and is painted"),
    ],
)
def test_an_order_that_cannot_be_followed_is_told(passes, what):
    with pytest.raises(InputError) as caught:
        own_order(passes, "base", {"black": 1.0, "white": 1.0}, "there.toml")
    assert caught.value.place == "palette, passes"
    assert str(caught.value).startswith(f"there.toml: palette, passes: {what}")


def test_more_free_colours_than_are_tried_at_once_still_get_an_order():
    paints = {name: f"#8080{at:02x}" for at, name in enumerate("abcdefghi")}
    areas = {name: 100.0 - at for at, name in enumerate("abcdefghi")}
    assert sorted(names(ordered(given(paints), areas, {}))) == list("abcdefghi")


def test_nothing_to_paint_is_no_order():
    assert ordered(given(GREYS), {}, {}) == ()
