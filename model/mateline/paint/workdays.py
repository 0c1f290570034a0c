"""The plan by days, as a person works it: what to do when, what lies overnight, days off.

Stands after days, before plan. All papers tell this one: the book, the list and the calendar.

    task      one spell of work on a step, within the working hours of one day
    drying    a coat that has to dry before the next step, of which nobody is needed
    workday   its tasks, and notes of what dries: between two tasks, after the last, or all day
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.paint.days import DAY, dry_said, is_off, moment, quarters, source_said
from mateline.paint.piece_runs import runs_said
from mateline.paint.shop import WEEK

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.paint.days import Named, Step
    from mateline.paint.shop import Shop


@dataclass(frozen=True, slots=True)
class Task:
    """What hands do in one go; minutes since the midnight before the first day."""

    step: Step
    begins: int
    ends: int
    text: str


@dataclass(frozen=True, slots=True)
class Workday:
    """A day, counted from 0. `heading` names it, and says so where nobody works on it.

    `notes` stand after as many tasks as they say: (0, …) before the first. `dries` says what does
    on a day without tasks, None where nothing does.
    """

    number: int
    heading: str
    tasks: tuple[Task, ...]
    notes: tuple[tuple[int, str], ...]
    dries: str | None = None


@dataclass(frozen=True, slots=True)
class _Drying:
    """`what` dries so long; `hours` says why, `last` that board goes on it next."""

    what: str
    begins: int
    ends: int
    hours: str
    last: bool


def workdays_of(steps: Sequence[Step], shop: Shop) -> tuple[Workday, ...]:
    """Every day from the first on which something is still to do to the last."""
    tasks = [task for step in steps if not step.done for task in _tasks(step, shop)]
    dryings = list(_dryings(steps, shop))
    to_do = [step for step in steps if not step.done]
    if not to_do:
        return ()
    first = min(step.begins for step in to_do) // DAY
    # Paint that is dry before anybody comes takes no day more.
    last = max(max(step.ends - shop.opens, step.begins) for step in to_do) // DAY
    return tuple(
        _workday(day, [task for task in tasks if task.begins // DAY == day], dryings, shop)
        for day in range(first, last + 1)
    )


def done_said(steps: Sequence[Step], shop: Shop) -> str | None:
    """What is finished already: `Done: base coat of cream; gold by Thursday 2027-04-08 16:00`."""
    done = [step for step in steps if step.done and step.last]
    if not done:
        return None
    names = [f"base coat of {each.colour}" if each.order == 0 else each.colour for each in done]
    rounds = max(step.round for step in steps)
    on = f" on {', '.join(done[-1].faces)}" if rounds > 1 and done[-1].round else ""
    return f"Done: {', '.join(names)}{on}, by {day_said(done[-1].ends // DAY, shop)} " + clock(
        done[-1].ends
    )


def day_said(day: int, shop: Shop) -> str:
    """`Monday 2027-04-05`, or `day 3` where no start is stated."""
    first = moment(shop, day * DAY)
    if first is None:
        return f"day {day + 1}"
    return f"{WEEK[first.weekday()].capitalize()} {first:%Y-%m-%d}"


def clock(minutes: int) -> str:
    """The time of day."""
    hour, minute = divmod(minutes % DAY, 60)
    return f"{hour:02}:{minute:02}"


def span_said(task: Task) -> str:
    """From when to when; the end of the day is 24:00."""
    return f"{clock(task.begins)}\u2013{clock(task.ends) if task.ends % DAY else '24:00'}"


def _tasks(step: Step, shop: Shop) -> Iterator[Task]:
    """A task for each spell, each with its share of the pieces."""
    whole = sum(ends - begins for begins, ends in step.spells)
    spent = 0
    for at, (begins, ends) in enumerate(step.spells):
        before = _share(step.count, spent, whole)
        spent += ends - begins
        text = step.text
        if len(step.spells) > 1:
            after = [begins for begins, _ in step.spells[at + 1 :]]
            until = f" The rest on {day_said(after[0] // DAY, shop)}." if after else ""
            part = _part(step, (before, _share(step.count, spent, whole)))
            text = f"{'Go on. ' if at else ''}{part}{until}"
        yield Task(step, begins, ends, text)


def _share(count: int, spent: int, whole: int) -> int:
    return round(count * spent / whole) if whole else count


def _part(step: Step, share: tuple[int, int]) -> str:
    """What one of several spells does: pieces from the first of `share` to its second."""
    first, after = share
    if first == after and step.count:  # not even one is done in this spell
        return f"Begin: {step.text}"
    if step.kind == "put back":
        here = _between(step.pieces, first, after)
        some = f"{after - first} of {step.count} pieces"
        return f"Put back and tape {some} of {step.colour}: {runs_said(here)}."
    if step.kind in {"lay", "take off"}:
        verb, _, _ = step.text.partition(":")
        which = "the first" if first == 0 else "the last" if after == step.count else "the next"
        some = f"{which} {after - first} of {step.count} pieces, about"
        return f"{verb}: {some}: {_laid(step, first, after)}."
    return step.text


def _laid(step: Step, first: int, after: int) -> str:
    """The pieces from one to another, as the laying pages of the faces count them."""
    whole: list[str] = []
    parts: list[str] = []
    passed = 0
    for face, count in step.laid:
        low, high = max(first - passed, 0), min(after - passed, count)
        passed += count
        if low == 0 and high == count:
            whole.append(face)
        elif low < high:
            numbers = f"{low + 1} to {high}" if low + 1 < high else f"{high}"
            parts.append(f"{numbers} on the laying page of {face}")
    return "; ".join([*([f"all of {', '.join(whole)}"] if whole else []), *parts])


def _between(pieces: Named, first: int, after: int) -> list[tuple[str, tuple[str, ...]]]:
    """The pieces from one to another as all are counted, by face."""
    found, passed = [], 0
    for face, ids in pieces:
        here = ids[max(first - passed, 0) : max(after - passed, 0)]
        passed += len(ids)
        if here:
            found.append((face, here))
    return found


def _dryings(steps: Sequence[Step], shop: Shop) -> Iterator[_Drying]:
    """Coats that dry before their next coat, and passes before board lies on them."""
    for step in steps:
        coating = shop.coatings.get(step.colour)
        if coating is None or step.done:
            continue
        if step.kind == "dry":
            what = f"the base coat of {step.colour}" if step.order == 0 else step.colour
            yield _Drying(what, step.begins, step.ends, dry_said(coating), last=True)
        elif step.kind == "spray" and not step.last:
            hours = f"{coating.recoat.likely:.3g} h ({source_said(coating.recoat.source)})"
            ends = step.ends + quarters(60 * coating.recoat.likely)
            yield _Drying(f"this coat of {step.colour}", step.ends, ends, hours, last=False)


def _workday(day: int, tasks: Sequence[Task], dryings: Sequence[_Drying], shop: Shop) -> Workday:
    name = f"Day {day + 1}"
    date = day_said(day, shop)
    heading = name if date.casefold() == name.casefold() else f"{name}, {date}"
    over = [each for each in dryings if each.begins < (day + 1) * DAY and each.ends > day * DAY]
    if not tasks:
        why = "no work (day off)" if is_off(shop, day) else "no work"
        dries = "; ".join(f"{each.what} dries {_until(each, day, shop)}" for each in over)
        return Workday(day, f"{heading}: {why}{', ' * bool(dries)}{dries}", (), (), dries or None)
    notes = []
    for each in over:
        if each.begins // DAY != day:
            continue
        before = sum(task.begins < each.begins for task in tasks)
        if before < len(tasks) and each.ends <= tasks[before].begins:
            notes.append((before, f"Wait: {_waited(each, day, shop)}"))
        else:
            when = "Overnight" if each.ends > day * DAY + shop.closes else "Then"
            notes.append((before, f"{when}: {_waited(each, day, shop)}"))
    return Workday(day, heading, tuple(tasks), tuple(notes))


def _waited(each: _Drying, day: int, shop: Shop) -> str:
    go = " Go on only when tape does not mark it." if each.last else ""
    return f"{each.what} dries {_until(each, day, shop)}: {each.hours}.{go}"


def _until(each: _Drying, day: int, shop: Shop) -> str:
    if each.ends // DAY == day:
        return f"until {clock(each.ends)}"
    return f"until {clock(each.ends)} on {day_said(each.ends // DAY, shop)}"
