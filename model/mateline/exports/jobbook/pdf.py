"""job-book.pdf: the book for the wall. Cautions first, then the plan, then a page for each face
and pass with boxes to tick.

Stands after wall. reportlab with `invariant`, so that the same job gives the same bytes. Its own
fonts know the letters of Western Europe; others in a title or label show as question marks.
"""

from __future__ import annotations

import os
from collections import defaultdict
from contextlib import contextmanager
from html import escape
from typing import TYPE_CHECKING, Any

from mateline.exports.findings_table import SETTLED, about, counted
from mateline.exports.jobbook.places import widest
from mateline.exports.jobbook.shop import days_of, done_of, paint_rows
from mateline.exports.jobbook.wall import MM, Shown, draw, draw_list, lists, sheet_of
from mateline.paint.cautions import CAUTIONS, FIRST
from mateline.survey import as_laid_out
from mateline.tape.quantities import unbroken

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from mateline.exports.picture.widest import Lines
    from mateline.paint.plan import Plan
    from mateline.survey import Job

LETTER, A4 = (11 * 72.0, 8.5 * 72.0), (297 * MM, 210 * MM)  # landscape, points
MARGIN = 14 * MM
EPOCH = "SOURCE_DATE_EPOCH"  # in the environment: a time for tools that stamp what they make
TASK = 7 * MM  # a task's words begin beside its box
BOX = '<font name="ZapfDingbats" size="13">\u274f</font>'  # an empty square with a shadow, to tick
BARS_US = tuple((25.4 * inches, f'{inches}"') for inches in (1, 2, 3, 6, 12, 24))
BARS_SI = tuple((float(mm), f"{mm} mm") for mm in (20, 50, 100, 200, 500))


@contextmanager
def _as_everywhere() -> Iterator[None]:
    """Let reportlab heed no clock, and leave out a wrapping in text characters (ASCII85).

    It takes a time from SOURCE_DATE_EPOCH, whatever it was told. The wrapping is needed by no
    reader, makes the file a quarter larger and takes a third of the time.
    """
    from reportlab import rl_config  # noqa: PLC0415  as reportlab itself

    before, epoch = rl_config.useA85, os.environ.pop(EPOCH, None)
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before
        if epoch is not None:
            os.environ[EPOCH] = epoch


def write_pdf(job: Job, plan: Plan, path: Path, places: Mapping[str, Lines] | None = None) -> None:
    """Write the wall's book. Pages are US Letter for a tape in inches, A4 for any other.

    `places` are the widest places of each face's pieces, where somebody has them already.
    """
    from reportlab.platypus import (  # noqa: PLC0415  only files need it
        PageBreak,
        Paragraph,
        SimpleDocTemplate,
    )

    job = as_laid_out(job, plan.sets)
    styles = _styles()
    size = LETTER if _in_inches(job) else A4
    story: list[Any] = []
    for style, words in _words(job, plan):
        if style == "Table":
            story.append(_table(words, styles["Text"]))
        elif style == "Break":
            story.append(PageBreak())
        else:
            story.append(Paragraph(words, styles[style]))
    box = (size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - 6 * MM)
    for part in _pages(job, plan, box, widest(job) if places is None else places):
        story += [PageBreak(), part]
    title = _western(job.definition.title)
    document = SimpleDocTemplate(
        str(path),
        pagesize=size,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        invariant=1,
        title=f"{title}: job book",
        author="",
        creator="mateline",
    )

    def foot(canvas: Any, _: Any) -> None:
        canvas.setFont("Helvetica", 8)
        canvas.setFillColor("#555555")
        canvas.drawString(MARGIN, 8 * MM, title)
        canvas.drawRightString(size[0] - MARGIN, 8 * MM, f"page {canvas.getPageNumber()}")

    with _as_everywhere():
        document.build(story, onFirstPage=foot, onLaterPages=foot)


def _styles() -> dict[str, Any]:
    """Type that one reads from where one works."""
    from reportlab.lib.styles import ParagraphStyle  # noqa: PLC0415

    def style(name: str, size: float, before: float, *, head: bool) -> Any:
        return ParagraphStyle(
            name,
            fontName="Helvetica-Bold" if head else "Helvetica",
            fontSize=size,
            leading=1.3 * size,
            spaceBefore=before,
            spaceAfter=0.35 * size,
            keepWithNext=head,
        )

    def hung(name: str, parent: Any, first: float) -> Any:
        return ParagraphStyle(name, parent=parent, leftIndent=TASK, firstLineIndent=first)

    return {
        "Title": style("Title", 28, 0, head=True),
        "Heading1": style("Heading1", 20, 14, head=True),
        "Heading3": style("Heading3", 13, 8, head=True),
        "Text": style("Text", 12, 0, head=False),
        "Task": hung("Task", style("Text", 12, 0, head=False), -TASK),
        "Note": hung("Note", style("Text", 12, 0, head=False), 0),
        "Caution": style("Caution", 12.5, 3, head=False),
    }


def _words(job: Job, plan: Plan) -> Iterator[tuple[str, Any]]:
    """Style and content of everything before the pages of faces."""
    yield "Title", _said(job.definition.title)
    yield "Heading1", "Cautions"
    yield "Caution", _said(FIRST)
    if any(finding.level == "stop" for finding in job.findings):
        found = counted(job.findings)
        yield "Caution", f"<b>Before you cut:</b> the checks found {_said(found)}"
    if plan.dew is not None:
        yield "Caution", f"<b>Weather:</b> {_said(plan.dew.text)}"
    for caution in CAUTIONS:
        yield "Caution", f"<b>{_said(caution.topic)}:</b> {_said(caution.text)}"
    yield "Break", None
    yield "Heading1", "Passes"
    for each in plan.passes:
        name = "Base coat" if each.order == 0 else f"Pass {each.order}"
        faces = ", ".join(there.face for there in each.faces)
        yield "Text", f"<b>{name}: {_said(each.colour)}.</b> {_said(each.why)} On {faces}."
    yield "Table", _ticks(plan)
    yield "Heading1", "Paint"
    yield "Table", paint_rows(plan, job.tape.unit)
    yield "Heading1", f"Days: {plan.days} at the earliest"
    done = done_of(plan)
    if done is not None:
        yield "Text", _said(f"{done}.")
    for heading, lines in days_of(plan):
        yield "Heading3", _said(heading)
        for span, words in lines:
            box = f"{BOX}&nbsp; <b>{_said(span)}</b>&nbsp; " if span else ""
            yield "Task" if span else "Note", box + _said(words)
    if plan.advice:
        yield "Heading1", "Borders"
        for words in plan.advice:
            yield "Text", _said(words)
    yield from _settled(job)


def _settled(job: Job) -> Iterator[tuple[str, str]]:
    """What the checks found and the definition says is meant, with its reasons."""
    if job.settled:
        yield "Heading1", SETTLED
    for each in job.settled:
        finding = each.finding
        head = " · ".join(part for part in (finding.code, about(finding, job.tape)) if part)
        yield "Heading3", _said(head)
        yield "Text", _said(finding.message)
        yield "Text", f"<b>Because:</b> {_said(each.because)}"


def _ticks(plan: Plan) -> list[list[str]]:
    """The faces for the base coat, each with a box for every coat."""
    base = plan.passes[0]
    coats = range(1, plan.shop.coatings[base.colour].coats + 1)
    head = ["base coat", *(f"coat {coat}" for coat in coats)]
    return [head, *([there.face, *("" for _ in coats)] for there in base.faces)]


def _table(rows: list[list[str]], style: Any) -> Any:
    from reportlab.platypus import Paragraph, Table, TableStyle  # noqa: PLC0415

    cells = [[Paragraph(_said(cell), style) for cell in row] for row in rows]
    whole = (0, 0), (-1, -1)
    lines = TableStyle([("GRID", *whole, 0.4, "#888888"), ("VALIGN", *whole, "MIDDLE")])
    return Table(cells, style=lines, hAlign="LEFT", repeatRows=1, spaceBefore=6)


def _pages(
    job: Job, plan: Plan, box: tuple[float, float], places: Mapping[str, Lines]
) -> Iterator[Any]:
    """A flowable for each face of each pass, in the order of the work."""
    from reportlab.platypus import Flowable  # noqa: PLC0415

    class Page(Flowable):  # type: ignore[misc]  # reportlab has no types
        """Fills a page with what `draw` draws."""

        def __init__(self, shown: Shown, off: tuple[str, ...] | None = None) -> None:
            super().__init__()
            self.shown = shown
            self.off = off  # only for a list that goes on

        def wrap(self, *_: float) -> tuple[float, float]:
            return box

        def draw(self) -> None:
            sheet = sheets[self.shown.there.face]
            if self.off is None:
                draw(self.canv, box, sheet, self.shown)
            else:
                paint = sheet.stencil.paints[self.shown.each.colour]
                draw_list(self.canv, box, self.shown, paint, self.off)

    sheets = {
        stencil.face.name: sheet_of(stencil, box, places[stencil.face.name])
        for stencil in job.stencils
        if stencil.has_board
    }
    bars = BARS_US if _in_inches(job) else BARS_SI
    set_of = {each.right: each.left for each in plan.sets}
    done: dict[str, frozenset[str]] = defaultdict(frozenset)  # by face: names may be on two
    for run in plan.runs:
        for there in run.each.faces:
            last, face = len(plan.passes) - 1, there.face
            shown = Shown(run.each, last, there, done[face], bars, set_of.get(face, ""))
            yield Page(shown)
            for off in lists(there, box)[1:]:
                yield Page(shown, off)
            done[face] |= frozenset(there.off)


def _in_inches(job: Job) -> bool:
    return job.tape.unit in {"in", "ft"}


def _western(words: str) -> str:
    return words.encode("cp1252", "replace").decode("cp1252")


def _said(words: str) -> str:
    """Words for a paragraph; no line ends within a quantity."""
    return escape(_western(unbroken(words)), quote=False)
