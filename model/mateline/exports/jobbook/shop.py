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
        found["Both sides"] = _section("Both sides", _both_sides(plan, job.tape.unit))
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
    turned = {each.right for each in plan.sets}
    rows = [
        _border(face, unit, turned=face.face in turned)
        for face in plan.faces
        if face.worst is not None
    ]
    head = ["face", "worst border", "widest line of base coat", "borders", "bare at most"]
    hint = "Where two colours meet, a thin line of base coat may show: a witness line."
    return (
        said("p", hint, class_="hint")
        + listed([text(line) for line in plan.advice])
        + table("The worst border of each face", head, rows)
    )


def _border(face: FaceLines, unit: str, *, turned: bool) -> list[str]:
    worst = face.worst
    if worst is None:
        raise ValueError(f"{face.face} has no border between two painted colours")
    between = " and ".join(
        said("a", piece, href=f"#{_spot(face.face, piece, turned=turned)}")
        for piece in (worst.first, worst.second)
    )
    gap = printed_exact(worst.gap, unit) if worst.gap > 0 else "none, they overlap"
    bare = area_said(face.bare, unit)
    return [text(face.face), between, text(gap), text(len(face.lines)), text(bare)]


def _spot(face: str, piece: str, *, turned: bool) -> str:
    """Where a piece is in the book (see faces.spot): board of a set lies on two faces."""
    home, name = piece.rsplit(" ", 1)
    return anchor("piece", f"{face} {'own ' if turned and home == face else ''}{name}")


def _both_sides(plan: Plan, unit: str) -> str:
    """Whole plans compared, then each pair of faces by itself."""
    head = ["way", "board", "sheets at least", "tacks to tape", "of them again", "passes"]
    whole = "" if plan.whole is None else _ways(
        "All sides, with the days of the whole cabinet",
        [*head, "days"],
        [
            ("one set each, turned over", plan.whole.one_set),
            ("a set for every side", plan.whole.two_sets),
        ],
        unit,
        days=True,
    )  # fmt: skip
    hint = (
        "Days are those of the whole cabinet: as long as one set is turned over, its second round "
        "is there, so that cutting another one twice hardly saves a day."
    )
    if len(plan.sides) == 1:  # what it takes is said of all sides already
        return whole + _blocked(plan.sides[0])
    pairs = "".join(_sides(each, head, unit) for each in plan.sides)
    return whole + said("p", hint, class_="hint") + pairs


def _ways(
    caption: str, head: list[str], ways: list[tuple[str, Way]], unit: str, *, days: bool
) -> str:
    cut = None if days else -1
    return table(
        caption, head, [_way(name, way, unit)[:cut] for name, way in ways], class_="numbers"
    )


def _sides(sides: Sides, head: list[str], unit: str) -> str:
    ways = [("one set, turned over", sides.one_set), ("a set for each", sides.two_sets)]
    alone = f"With two sets here, and all others turned over: {sides.only_this_twice} days in all."
    pair = _ways(f"{sides.left} and {sides.right}", head, ways, unit, days=False)
    return pair + said("p", alone) + _blocked(sides)


def _blocked(sides: Sides) -> str:
    """The pieces that can't be turned over, and what is cut for each."""
    blocked = [
        text(f"{each.piece}: {each.why.message} Cut extra: {', '.join(each.extra)}.")
        for each in sides.blocked
    ]
    return said("p", "These pieces can't be turned over:") + listed(blocked) if blocked else ""


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
