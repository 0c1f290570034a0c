"""The plan as plain data for JSON: what job.json and the job book's script hold of it.

Stands after plan. mm, mm², degrees, litres; decimals fixed, so that the same plan gives the same
bytes.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from mateline.paint.days import moment

if TYPE_CHECKING:
    from mateline.paint.days import Step
    from mateline.paint.passes import Pass
    from mateline.paint.plan import FaceLines, Plan
    from mateline.paint.quantity import Need
    from mateline.paint.shop import Figure, Shop
    from mateline.paint.sides import Sides, Way
    from mateline.paint.turned_sets import Blocked
    from mateline.paint.witness.lines import Limits, Witness

Json = dict[str, Any]


def as_json(plan: Plan) -> Json:
    """The whole plan."""
    return {
        "passes": [_pass(each) for each in plan.passes],
        "witness_lines": {
            "kerf": _fixed(plan.spread.kerf),
            "put_back_play": _fixed(plan.spread.play),
            "shade": _fixed(plan.spread.thickness * math.tan(plan.spread.angle)),
            "edge_bleed": _fixed(plan.spread.bleed),
            "faces": [_lines(face) for face in plan.faces],
            "limits": None if plan.limits is None else _limits(plan.limits),
            "advice": list(plan.advice),
        },
        "sides": [_sides(each) for each in plan.sides],
        "all_sides": None
        if plan.whole is None
        else {"one_set": _way(plan.whole.one_set), "two_sets": _way(plan.whole.two_sets)},
        "rounds": [
            {"faces": list(each.faces), "turned_over": list(each.turned)} for each in plan.rounds
        ],
        "paint": [_need(each) for each in plan.needs],
        "days": plan.days,
        "days_range": list(plan.days_range),
        "steps": [_step(step, plan.shop) for step in plan.steps],
        "dew_point": None
        if plan.dew is None
        else {
            "dew_point_c": _fixed(plan.dew.point),
            "above_c": _fixed(plan.dew.above),
            "paint": plan.dew.paint,
            "text": plan.dew.text,
        },
        "cautions": [each._asdict() for each in plan.cautions],
    }


def _pass(each: Pass) -> Json:
    return {
        "order": each.order,
        "colour": each.colour,
        "why": each.why,
        "area": each.area,
        "faces": [
            {
                "face": there.face,
                "off": list(there.off),
                "stays": list(there.stays),
                "back": list(there.back),
            }
            for there in each.faces
        ],
    }


def _lines(face: FaceLines) -> Json:
    return {
        "face": face.face,
        "borders": len(face.lines),
        "length": _fixed(sum(line.length for line in face.lines)),
        "bare_at_most": _fixed(face.bare),
        "worst": None if face.worst is None else _line(face.worst),
    }


def _line(line: Witness) -> Json:
    return {
        "border": line.border,
        "first": line.first,
        "second": line.second,
        "gap": _fixed(line.gap),
        "length": _fixed(line.length),
        "at": [_fixed(value) for value in line.at],
    }


def _limits(limits: Limits) -> Json:
    return {
        "put_back_play": None if limits.play is None else _fixed(limits.play),
        "spray_angle_deg": None if limits.angle is None else _fixed(math.degrees(limits.angle)),
        "kerf": _fixed(limits.kerf),
        "cut_back": _fixed(limits.cut_back),
    }


def _sides(sides: Sides) -> Json:
    return {
        "left": sides.left,
        "right": sides.right,
        "one_set": _way(sides.one_set),
        "two_sets": _way(sides.two_sets),
        "days_if_only_this_is_cut_twice": sides.only_this_twice,
        "on_board": dict(sides.turned.on_board),
        "cut_extra": list(sides.turned.own),
        "cannot_be_turned_over": [_blocked(each) for each in sides.blocked],
    }


def _way(way: Way) -> Json:
    return {
        "board": _fixed(way.board),
        "sheets_at_least": way.sheets,
        "tacks_taped": way.taped,
        "tacks_taped_again": way.retaped,
        "passes": way.passes,
        "days": way.days,
    }


def _blocked(each: Blocked) -> Json:
    return {"piece": each.piece, "cut_extra": list(each.extra), "finding": each.why.code}


def _need(need: Need) -> Json:
    return {
        "colour": need.colour,
        "label": need.label,
        "method": need.method,
        "coats": need.coats,
        "area": need.area,
        "litres": _figure(need.litres),
        "us_fluid_ounces": _figure(need.fluid_ounces),
        "cans": None if need.cans is None else list(need.cans),
        "sources": [list(source) for source in need.sources],
    }


def _figure(figure: Figure) -> Json:
    return {
        "low": _fixed(figure.low),
        "likely": _fixed(figure.likely),
        "high": _fixed(figure.high),
    }


def _step(step: Step, shop: Shop) -> Json:
    return {
        "kind": step.kind,
        "round": step.round,
        "pass": None if step.order < 0 else step.order,
        "faces": list(step.faces),
        "begins": _moment(step.begins, shop),
        "ends": _moment(step.ends, shop),
        "text": step.text,
        "pieces": {face: list(names) for face, names in step.pieces},
        "spells": [[_moment(at, shop) for at in spell] for spell in step.spells],
        "done": step.done,
    }


def _moment(minutes: int, shop: Shop) -> int | str:
    """A date and time of day; minutes since the first midnight where no start is stated."""
    when = moment(shop, minutes)
    return minutes if when is None else when.isoformat(timespec="minutes")


def _fixed(value: float) -> float:
    return round(float(value), 4) + 0.0
