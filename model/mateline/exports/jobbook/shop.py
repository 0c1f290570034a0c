"""The plan of painting day in the book: borders, both sides, paint, days.

Stands after html. Figures are those of the plan; ranges, not false precision.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.jobbook.html import anchor, element, listed, said, table, text, tick_box
from mateline.paint.done import EXAMPLE
from mateline.paint.quantity import cans_said
from mateline.paint.workdays import done_said, span_said, workdays_of
from mateline.tape.quantities import (
    area_said,
    is_inches,
    large_area_said,
    litres_said,
    ounces_said,
    within_said,
)

if TYPE_CHECKING:
    from mateline.paint.plan import FaceLines, Plan
    from mateline.paint.quantity import Need
    from mateline.paint.sides import Sides, Way
    from mateline.paint.workdays import Workday
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
    gap = within_said(worst.gap, unit) if worst.gap > 0 else "none, they overlap"
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
    head, *rows = paint_rows(plan, unit)
    sources = [
        text(f"{need.colour}: {what}: {who}") for need in plan.needs for what, who in need.sources
    ]
    cells = [[text(cell) for cell in row] for row in rows]
    return table("How much of each", head, cells, class_="numbers") + element(
        "details", said("summary", "What these figures rest on"), listed(sources)
    )


def paint_rows(plan: Plan, unit: str) -> list[list[str]]:
    """How much of each paint, a heading first; a column that has nothing to say is left out."""
    head = ["colour", "paint", "how", "coats", "area", "cans", "fl oz", "litres"]
    rows = [_need(need, unit) for need in plan.needs]
    idle = {"cans"} if all(need.cans is None for need in plan.needs) else set()
    if not is_inches(unit):
        idle.add("fl oz")
    kept = [at for at, word in enumerate(head) if word not in idle]
    head[head.index("fl oz")], head[head.index("litres")] = "needed", "in litres"
    if not is_inches(unit):
        head[-1] = "needed"
    return [[row[at] for at in kept] for row in (head, *rows)]


def _need(need: Need, unit: str) -> list[str]:
    low, _, high, _ = need.litres
    return [
        need.colour,
        need.label,
        METHODS[need.method],
        str(need.coats),
        large_area_said(need.area, unit),
        "" if need.cans is None else cans_said(need.cans),
        ounces_said(low, high),
        litres_said(low, high),
    ]


def days_of(plan: Plan) -> list[tuple[str, list[tuple[str, str]]]]:
    """Each day: its heading, and its tasks with their times and notes without one, in order."""
    return [(day.heading, _lines(day)) for day in workdays_of(plan.steps, plan.shop)]


def _lines(day: Workday) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    for at, task in enumerate((*day.tasks, None)):
        lines += [("", note) for before, note in day.notes if before == at]
        if task is not None:
            lines.append((span_said(task), task.text))
    return lines


def done_of(plan: Plan) -> str | None:
    """What is finished already, in words."""
    return done_said(plan.steps, plan.shop)


def _days(plan: Plan) -> str:
    weather = said("p", plan.dew.text) if plan.dew is not None else ""
    count = f"{plan.days} day{'s' * (plan.days != 1)} at the earliest"
    hint = (
        "Earliest times for one pair of hands, in quarter hours. Go on only when the paint is dry "
        "to tape. Fallen behind? Write in the definition what is finished, and the rest moves: "
        f'[painting] done = "{EXAMPLE}".'
    )
    done = done_of(plan)
    return "".join(
        [
            said("p", count, class_="big"),
            weather,
            said("p", hint, class_="hint"),
            said("p", f"{done}.", class_="done") if done is not None else "",
            *(_card(day) for day in workdays_of(plan.steps, plan.shop)),
        ]
    )


def _card(day: Workday) -> str:
    """A day with a box to tick for each task; one without work is a line."""
    if not day.tasks:
        return said("p", day.heading, class_="day off")
    items = []
    for span, words in _lines(day):
        if not span:
            items.append(said("li", words, class_="note"))
            continue
        box = tick_box(f"{day.heading}, {span}: {words}", class_="tick")
        items.append(element("li", element("label", box, said("b", span), said("span", words))))
    return element("div", said("h3", day.heading), element("ul", *items), class_="card day")
