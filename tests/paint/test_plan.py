"""The whole plan, its JSON, and what stops it."""

import datetime as dt
import json
from dataclasses import replace

import numpy as np
import pytest
from shapely import box

from mateline.checks.findings import MirrorPair
from mateline.errors import InputError
from mateline.exports.plan_json import as_json
from mateline.paint.cautions import CAUTIONS, FIRST
from mateline.paint.plan import Painting, plan_of
from painting import cut, definition, stripes
from specimens import BOARD

PAIR = MirrorPair(
    "body-left", "body-right", np.array([[-1.0, 0.0, 300.0], [0.0, 1.0, 0.0]]), shared=True
)


def planned(*stencils, painting=None, passes=None, pairs=(), file="", **labels):
    stencils = stencils or (stripes(),)
    stated = definition(painting, passes, **labels)
    how = Painting(stated.shop, BOARD, stated.colours, stated.passes, file)
    return plan_of(stencils, how, (), pairs)


def test_the_plan_has_the_passes_in_the_computed_order():
    # All about as light and as large; red and green don't meet, so they may follow one another.
    plan = planned()
    assert [each.colour for each in plan.passes] == ["cream", "green", "red", "blue"]
    assert [each.order for each in plan.passes] == [0, 1, 2, 3]
    assert all(each.why for each in plan.passes)


def test_the_users_order_goes_through_to_days_and_lines():
    plan = planned(passes=["red", "green", "blue"])
    assert [each.colour for each in plan.passes[1:]] == ["red", "green", "blue"]
    assert [step.colour for step in plan.steps if step.kind == "spray"] == [
        "cream", "red", "green", "blue"
    ]  # fmt: skip
    assert {line.colours for line in plan.faces[0].lines} == {("red", "blue"), ("green", "blue")}


def test_an_order_that_misses_a_colour_is_told_with_its_file():
    with pytest.raises(InputError, match=r"there\.toml: palette, passes: The art has blue"):
        planned(passes=["red", "green"], file="there.toml")


def test_a_stencil_whose_pieces_do_not_tile_is_a_bug_and_loud():
    stencil = stripes()
    pieces = (replace(stencil.pieces[0], area=box(0, 0, 10, 10)), *stencil.pieces[1:])
    with pytest.raises(RuntimeError, match="don't paint every place once"):
        planned(replace(stencil, pieces=pieces))


def test_a_turned_set_takes_more_days_and_is_compared():
    pair = (stripes(name="left"), stripes(name="right"))
    one = planned(*pair, pairs=(PAIR,))
    two = planned(*pair, pairs=(replace(PAIR, shared=False),))
    assert one.days == one.sides[0].one_set.days
    assert two.days == one.sides[0].two_sets.days
    assert two.sides == ()


def test_the_weather_is_judged_where_it_is_stated():
    assert planned().dew is None
    damp = planned(painting={"air": 16, "humidity_percent": 71, "surface": 13}).dew
    assert not damp.paint
    bare = planned(painting={"air": 68, "humidity_percent": 50, "degrees": "F"}).dew
    assert bare.paint
    assert "68 °F (20 °C) as the air, since none is stated" in bare.text


def test_a_cabinet_of_one_colour_still_has_a_plan():
    plan = planned(cut([]))
    assert [each.colour for each in plan.passes] == ["cream"]
    assert plan.limits is None
    assert plan.advice == ()
    assert [need.colour for need in plan.needs] == ["cream"]


def test_the_json_is_plain_finite_and_the_same_twice():
    painting = {"start": dt.date(2027, 5, 3), "air": 20, "humidity_percent": 50}
    pair = (stripes(name="left"), stripes(name="right"))
    plan = planned(*pair, painting=painting, pairs=(PAIR,), red={"method": "can"})
    text = json.dumps(as_json(plan), allow_nan=False, sort_keys=True)
    assert text == json.dumps(
        as_json(planned(*pair, painting=painting, pairs=(PAIR,), red={"method": "can"})),
        allow_nan=False,
        sort_keys=True,
    )
    told = json.loads(text)
    assert told["passes"][1]["faces"][0]["off"] == ["body-left G1"]
    assert told["witness_lines"]["faces"][0]["worst"]["gap"] == pytest.approx(
        plan.faces[0].worst.gap, abs=1e-4
    )
    assert told["steps"][0]["begins"] == "2027-05-03T09:00"
    assert told["sides"][0]["one_set"]["passes"] == 6
    assert told["dew_point"]["paint"] is True
    assert [need["cans"] for need in told["paint"] if need["method"] == "can"] == [[1, 1]]


def test_without_a_start_steps_are_in_minutes():
    assert as_json(planned())["steps"][0]["begins"] == 540


def test_limits_that_nothing_meets_are_null():
    told = as_json(planned(painting={"spray_angle_deg": 60}))["witness_lines"]["limits"]
    assert told["put_back_play"] is None
    assert told["spray_angle_deg"] is None
    assert told["cut_back"] > 0


def test_every_caution_names_its_source_and_the_label_comes_first():
    assert "label" in FIRST
    assert "licensed person" in FIRST
    assert all(caution.topic and caution.text and caution.source for caution in CAUTIONS)
    told = " ".join(caution.text for caution in CAUTIONS)
    for word in ("lead", "isocyanate", "solvent", "blade", "laser", "PVC", "water", "Unplug"):
        assert word in told
