"""The plan of painting day in the book: borders, both sides, paint, days.

Stands after html. Figures are those of the plan; ranges, not false precision.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from mateline.exports.jobbook.areas import area_said, large_area_said
from mateline.exports.jobbook.html import anchor, element, listed, said, table, text
from mateline.paint.days import DAY, moment
from mateline.paint.shop import WEEK
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from mateline.paint.days import Step
    from mateline.paint.plan import FaceLines, Plan
    from mateline.paint.quantity import Need
    from mateline.paint.shop import Figure
    from mateline.paint.sides import Sides, Way
    from mateline.survey import Job

METHODS = {"gun": "gun", "can": "spray can", "brush": "brush"}


def sections(job: Job, plan: Plan) -> dict[str, str]:
    """The chapters by their titles; one with nothing to say is left out."""
    found = {}
    if plan.advice:
        found["Borders"] = _section("Borders", _borders(job, plan))
    if plan.sides:
        found["Both sides"] = _section(
            "Both sides", "".join(_sides(each, job.tape.unit) for each in plan.sides)
        )
    found["Paint"] = _section("Paint", _paint(plan, job.tape.unit))
    found["Days"] = _section("Days", _days(plan))
    return found


def _section(title: str, body: str) -> str:
    identity = title.lower().replace(" ", "-")
    return element(
        "section",
        said("h2", title, id=f"{identity}-title"),
        body,
        id=identity,
        aria_labelledby=f"{identity}-title",
    )


def _borders(job: Job, plan: Plan) -> str:
    unit = job.tape.unit
    rows = [_border(face, unit) for face in plan.faces if face.worst is not None]
    head = ["face", "worst border", "widest line of base coat", "borders", "bare at most"]
    hint = "Where two colours meet, a thin line of base coat may show: a witness line."
    return (
        said("p", hint, class_="hint")
        + listed([text(line) for line in plan.advice])
        + table("The worst border of each face", head, rows)
    )


def _border(face: FaceLines, unit: str) -> list[str]:
    worst = face.worst
    if worst is None:
        raise ValueError(f"{face.face} has no border between two painted colours")
    between = " and ".join(
        said("a", piece, href=f"#{anchor('piece', piece)}") for piece in (worst.first, worst.second)
    )
    gap = printed_exact(worst.gap, unit) if worst.gap > 0 else "none, they overlap"
    bare = area_said(face.bare, unit)
    return [text(face.face), between, text(gap), text(len(face.lines)), text(bare)]


def _sides(sides: Sides, unit: str) -> str:
    rows = [
        _way("one set, turned over", sides.one_set, unit),
        _way("a set for each", sides.two_sets, unit),
    ]
    head = ["way", "board", "sheets at least", "tacks to tape", "of them again", "passes", "days"]
    blocked = [
        text(f"{each.piece}: {each.why.message} Cut extra: {', '.join(each.extra)}.")
        for each in sides.blocked
    ]
    warn = said("p", "These pieces can't be turned over:") + listed(blocked) if blocked else ""
    return table(f"{sides.left} and {sides.right}", head, rows, class_="numbers") + warn


def _way(name: str, way: Way, unit: str) -> list[str]:
    cells = (
        large_area_said(way.board, unit),
        way.sheets,
        way.taped,
        way.retaped,
        way.passes,
        way.days,
    )
    return [text(name), *(text(cell) for cell in cells)]


def _paint(plan: Plan, unit: str) -> str:
    head = ["colour", "paint", "how", "coats", "area", "litres", "US fl oz", "cans"]
    rows = [_need(need, unit) for need in plan.needs]
    sources = [
        text(f"{need.colour}: {what}: {who}") for need in plan.needs for what, who in need.sources
    ]
    return table("How much of each", head, rows, class_="numbers") + element(
        "details", said("summary", "What these figures rest on"), listed(sources)
    )


def _need(need: Need, unit: str) -> list[str]:
    cans = "" if need.cans is None else _range(*map(str, need.cans))
    cells = (
        need.label,
        METHODS[need.method],
        need.coats,
        large_area_said(need.area, unit),
        figures(need.litres),
        figures(need.fluid_ounces),
        cans,
    )
    return [text(need.colour), *(text(cell) for cell in cells)]


def figures(figure: Figure) -> str:
    """The range of a figure, two digits each."""
    return _range(_rounded(figure.low), _rounded(figure.high))


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def _rounded(value: float) -> str:
    """Two figures and no exponent: a range, not false precision."""
    if value <= 0:
        return "0"
    places = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{places}f}"


def days_of(plan: Plan) -> list[tuple[str, list[tuple[str, str]]]]:
    """Each day with a step that begins on it: its heading, and its steps' times and texts."""
    found = []
    for day, steps in itertools.groupby(plan.steps, key=lambda step: step.begins // DAY):
        first = moment(plan.shop, day * DAY)
        date = "" if first is None else f", {WEEK[first.weekday()].capitalize()} {first:%Y-%m-%d}"
        found.append((f"Day {day + 1}{date}", [(_span(step), step.text) for step in steps]))
    return found


def _days(plan: Plan) -> str:
    weather = said("p", plan.dew.text) if plan.dew is not None else ""
    count = f"{plan.days} day{'s' * (plan.days != 1)} at the earliest"
    hint = "Earliest times for one pair of hands. Go on only when the paint is dry to tape."
    cards = [
        element(
            "div",
            said("h3", heading),
            element("dl", *(said("dt", span) + said("dd", words) for span, words in lines)),
            class_="card pass",
        )
        for heading, lines in days_of(plan)
    ]
    return (
        said("p", count, class_="big") + weather + said("p", hint, class_="hint") + "".join(cards)
    )


def _span(step: Step) -> str:
    later = step.ends // DAY - step.begins // DAY
    day = f" +{later} d" if later else ""
    return f"{_clock(step.begins)} to {_clock(step.ends)}{day}"


def _clock(minutes: int) -> str:
    hour, minute = divmod(minutes % DAY, 60)
    return f"{hour:02}:{minute:02}"
