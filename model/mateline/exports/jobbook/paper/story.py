"""What the book for the wall says in words, before its drawings: style and content, in order.

Stands beside sheet. Words are HTML as reportlab's paragraphs read it.
"""

from __future__ import annotations

from html import escape
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from mateline.cabinet.outlines import views_of
from mateline.exports.findings_table import LEVELS, SETTLED, about, counted, numbered
from mateline.exports.jobbook import whole_job
from mateline.exports.jobbook.shop import days_of, done_of, paint_rows
from mateline.exports.picture.outline_sketch import sketch_of
from mateline.paint.cautions import CAUTIONS, FIRST
from mateline.tape.quantities import unbroken
from mateline.tape.report import KEY, corner_rows, reading_rows, sentences

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from mateline.paint.plan import Plan
    from mateline.paint.whole_job import CutFace, WholeJob
    from mateline.survey import Job

    Said = Iterator[tuple[str, Any]]

BOX = '<font name="ZapfDingbats" size="11">\u274f</font>'  # an empty square with a shadow, to tick
MOST_READINGS = 60  # rows of a table of readings: of longer ones the book on a screen has all


def whole_story(job: Job, plan: Plan, by_hand: Mapping[str, str]) -> Said:
    """The first page: the whole job in numbers, what to cut, what to buy, what to do.

    `by_hand` says by face where its pages for cutting by hand are.
    """
    page = whole_job.content(job, plan)
    yield "Title", said(job.definition.title)
    yield "Heading1", whole_job.TITLE
    yield "Facts", [[fact.what, fact.said] for fact in page.numbers]
    if page.sets:
        yield "Text", said(page.sets)
    yield "Heading3", "What to cut: one of the ways is enough"
    for each in page.cut:
        yield "Task", _cut(job, each, by_hand[each.face])
    for face in page.uncut:
        mask = f" Tape over: {', '.join(face.mask)}." if face.mask else ""
        yield "Note", f"<b>{said(face.face)}:</b> no stencil: {said(face.why)}.{said(mask)}"
    yield from _boards(page)
    yield "Heading3", "What to buy"
    for fact in page.buy:
        yield "Task", f"{BOX}&nbsp; <b>{said(fact.what)}:</b> {said(fact.said)}"
    yield "Heading3", "What to do"
    for number, step in enumerate(page.steps, 1):
        yield "Task", f"{BOX}&nbsp; <b>{number}.</b> {said(step)}"


def story(job: Job, plan: Plan) -> Said:
    """All but the first page."""
    yield from _cautions(job, plan)
    yield from _findings(job)
    yield from _settled(job)
    yield from _passes(job, plan)
    yield from _days(plan)
    yield from _measurements(job)


def western(words: str) -> str:
    """Words in the letters that the book's fonts know."""
    return words.encode("cp1252", "replace").decode("cp1252")


def said(words: str) -> str:
    """Words for a paragraph; no line ends within a quantity."""
    return escape(western(unbroken(words)), quote=False)


def _cut(job: Job, each: CutFace, by_hand: str) -> str:
    pieces = f"{each.pieces} piece{'s' * (each.pieces != 1)}, {each.tacks} tape tacks"
    note = f" ({each.note})" if each.note else ""
    ways = (
        ("Print", whole_job.prints(job, each)),
        ("or machine", whole_job.cuts(job, each)),
        ("or by hand", by_hand),
    )
    files = " ".join(f"<i>{word}:</i> {said(file)}." for word, file in ways)
    return f"{BOX}&nbsp; <b>{said(each.face)}:</b> {said(pieces + note)}. {files}"


def _boards(page: WholeJob) -> Said:
    if page.boards:
        yield "Heading3", "What each board gives"
        for each in page.boards:
            parts = said("; ".join(each.parts))
            yield "Task", f"{BOX}&nbsp; <b>Board {each.number}:</b> {parts}"


def _cautions(job: Job, plan: Plan) -> Said:
    yield "Heading1", "Cautions"
    yield "Caution", said(FIRST)
    if any(finding.level == "stop" for finding in job.findings):
        found = counted(job.findings)
        yield "Caution", f"<b>Before you cut:</b> the checks found {said(found)}"
    if plan.dew is not None:
        yield "Caution", f"<b>Weather:</b> {said(plan.dew.text)}"
    for caution in CAUTIONS:
        yield "Caution", f"<b>{said(caution.topic)}:</b> {said(caution.text)}"


def _findings(job: Job) -> Said:
    """With the numbers that they have on the keys of faces and in the book on a screen."""
    numbers = numbered(job.findings)
    words = {level: one for level, _, one, _ in LEVELS}
    if numbers:
        yield "Heading1", "Findings"
        yield "Text", said(counted(job.findings, job.settled))
    for at in sorted(numbers, key=numbers.__getitem__):
        finding = job.findings[at]
        head = " · ".join(part for part in (finding.code, about(finding, job.tape)) if part)
        level = words[finding.level].capitalize()
        yield "Heading3", f"{numbers[at]}. {level}: {said(head)}"
        yield "Text", said(finding.message)
        yield "Text", f"<b>Remedy:</b> {said(finding.remedy)}"


def _settled(job: Job) -> Said:
    """What the checks found and the definition says is meant, with its reasons."""
    if job.settled:
        yield "Heading1", SETTLED
    for each in job.settled:
        finding = each.finding
        head = " · ".join(part for part in (finding.code, about(finding, job.tape)) if part)
        yield "Heading3", said(head)
        yield "Text", said(finding.message)
        yield "Text", f"<b>Because:</b> {said(each.because)}"


def _passes(job: Job, plan: Plan) -> Said:
    yield "Heading1", "Passes"
    for each in plan.passes:
        name = "Base coat" if each.order == 0 else f"Pass {each.order}"
        faces = ", ".join(there.face for there in each.faces)
        yield "Text", f"<b>{name}: {said(each.colour)}.</b> {said(each.why)} On {said(faces)}."
    yield "Grid", _ticks(plan)
    if plan.advice:
        yield "Heading1", "Borders"
        for words in plan.advice:
            yield "Text", said(words)
    yield "Heading1", "Paint"
    yield "Grid", paint_rows(plan, job.tape.unit)


def _ticks(plan: Plan) -> list[list[str]]:
    """The faces for the base coat, each with a box for every coat."""
    base = plan.passes[0]
    coats = range(1, plan.shop.coatings[base.colour].coats + 1)
    head = ["base coat", *(f"coat {coat}" for coat in coats)]
    return [head, *([there.face, *("" for _ in coats)] for there in base.faces)]


def _days(plan: Plan) -> Said:
    yield "Heading1", f"Days: {plan.days} at the earliest"
    done = done_of(plan)
    if done is not None:
        yield "Text", said(f"{done}.")
    for heading, lines in days_of(plan):
        yield "Heading3", said(heading)
        for (span, words), after in zip_longest(lines, lines[1:], fillvalue=("-", "")):
            box = f"{BOX}&nbsp; <b>{said(span)}</b>&nbsp; " if span else ""
            task = "Task" if after[0] else "TaskKept"  # what dries stands with what was sprayed
            yield task if span else "Note", box + said(words)


def _measurements(job: Job) -> Said:
    yield "Heading1", "Measurements"
    yield "Kept", said(KEY)
    views = views_of(job.definition.carcases)
    for name, outline in job.cabinet.outlines.items():
        yield "Heading3", said(f"Outline {name}")
        yield "Kept", said(" ".join(sentences(outline, job.tape)))
        yield "Sketch", sketch_of(outline, job.tape, views.get(name))
        yield "Grid", corner_rows(outline, job.tape, views.get(name))
        if outline.closures:
            yield "Grid", reading_rows(outline, job.tape)[: MOST_READINGS + 1]
