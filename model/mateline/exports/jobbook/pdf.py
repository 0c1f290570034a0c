"""job-book.pdf: the book for the wall: the whole job, words, each face, each pass, cutting by hand.

Stands after wall. Words are set in two columns across the page; a face's key, its laying page and
its passes are drawn on a page upright or across, whichever shows it larger. reportlab with
`invariant`, so that the same job gives the same bytes. Its own fonts know the letters of Western
Europe; others in a title or label show as question marks.
"""

from __future__ import annotations

import os
from collections import defaultdict
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mateline.exports.findings_table import numbered
from mateline.exports.jobbook.faces import board_of
from mateline.exports.jobbook.paper.by_hand import pages_in, where_said
from mateline.exports.jobbook.paper.faces import FaceSheets, sheets_for
from mateline.exports.jobbook.paper.sheet import MM, named_anew
from mateline.exports.jobbook.paper.sketches import sketch_figure
from mateline.exports.jobbook.paper.still_picture import draw_picture
from mateline.exports.jobbook.paper.story import said, story, western, whole_story
from mateline.exports.jobbook.places import cuttings_of
from mateline.exports.jobbook.wall import Key, Shown, draw, draw_key, draw_list, lists
from mateline.exports.laying.figure import laying_pages
from mateline.exports.laying.sets import laid_sets
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.exports.picture.widest import spots_of
from mateline.exports.print.figure import draw_page, figure_page
from mateline.exports.print.tiles import paper_for
from mateline.survey import as_laid_out
from mateline.tape.quantities import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from mateline.curves import Point
    from mateline.exports.by_hand.face_cutting import FaceCutting
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.picture.outline_sketch import Sketch
    from mateline.exports.picture.widest import Lines
    from mateline.exports.print.pdf_file import Page as MadePage
    from mateline.paint.plan import Plan
    from mateline.survey import Job

MARGIN = 10 * MM
FOOTLINE = 5 * MM  # from the page's lower edge to the line with title and number
GUTTER = 9 * MM  # between columns of words
EPOCH = "SOURCE_DATE_EPOCH"  # in the environment: a time for tools that stamp what they make
TASK = 6 * MM  # a task's words begin beside its box
FULL = 0.97  # no unit: share of a column that is filled at the most where words may be larger
BARS_US = tuple((25.4 * inches, f'{inches}"') for inches in (1, 2, 3, 6, 12, 24))
BARS_SI = tuple((float(mm), f"{mm} mm") for mm in (20, 50, 100, 200, 500))
TEXT, FIRST_TEXT = 9.5, 8.2  # points: words, and those of the first page, which is to hold the job
SKETCH = 92.0  # mm: height of an outline's sketch at the most
SHORT = 24  # rows of a table that is not parted
WIDEST = 26  # signs: a cell that is longer wraps
UPRIGHT, ACROSS = "upright", "across"


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


def write_pdf(
    job: Job,
    plan: Plan,
    path: Path,
    laid: Mapping[str, LaidSet] | None = None,
    cuttings: Mapping[str, FaceCutting] | None = None,
    picture: str | None = None,
) -> None:
    """Write the wall's book. Pages are US Letter for a tape in inches, A4 for any other, unless
    the definition says which of them.

    `laid` are the sets that are laid, `cuttings` say how each face is cut, and `picture` is the
    cabinet's still picture, where somebody has them already.
    """
    if picture is None:
        boards = (*job.cabinet.faces, *job.cabinet.hidden)
        picture = cabinet_picture(boards, job.stencils, title=job.definition.title)
    laid = laid_sets(job, plan.sets) if laid is None else laid
    cuttings = cuttings_of(job, plan.sets) if cuttings is None else cuttings
    places = {name: each.places for name, each in cuttings.items()}
    by_hand = pages_in(cuttings, tuple((wide / MM, high / MM) for wide, high in _sizes(job)))
    where = {name: where_said(name, cuttings, by_hand) for name in cuttings}
    job = as_laid_out(job, plan.sets)
    title = western(job.definition.title)
    columns, first = _first_page(job, list(whole_story(job, plan, where)))
    document = _document(job, title, path, columns)
    parts: list[Any] = [
        *first,
        *_page(_Drawn(ACROSS, lambda canvas: draw_picture(canvas, picture, _frames(job)[1]))),
        *_turned_to("words"),
        *_set(story(job, plan), _styles(TEXT), _column(job, 2)),
        *_drawings(job, plan, places, laid),
        *(part for pages in by_hand.values() for each in pages for part in _page(_set_in(each))),
    ]
    with _as_everywhere():
        document.build(parts)


def _first_page(job: Job, words: list[tuple[str, Any]]) -> tuple[int, list[Any]]:
    """The whole job on a page, and its columns: two, or where it is long three in smaller type."""
    high = _frames(job)[1][1]
    for columns, size in ((2, TEXT), (2, FIRST_TEXT), (3, FIRST_TEXT)):
        wide = _column(job, columns)
        parts = list(_set(iter(words), _styles(size), wide))
        tall = [_high(part, wide, high) for part in parts]
        heads = [at for at, (style, _) in enumerate(words) if style == "Heading3"]
        halves = {at: max(sum(tall[:at]), sum(tall[at:])) for at in heads}
        best = min(heads, key=halves.__getitem__)
        if halves[best] <= FULL * high:
            return columns, [*parts[:best], *_next_column(), *parts[best:]]
    return columns, parts


def _next_column() -> list[Any]:
    from reportlab.platypus import FrameBreak  # noqa: PLC0415  only files need it

    return [FrameBreak()]


def _high(part: Any, wide: float, high: float) -> float:
    """What a part takes of a column that is `wide` and `high`, points."""
    taken = part.wrap(wide, high)[1] + max(part.getSpaceBefore(), part.getSpaceAfter())
    return float(taken)


def _sizes(job: Job) -> tuple[tuple[float, float], tuple[float, float]]:
    """The page upright and across, points."""
    name = job.definition.paper
    paper = paper_for(job.tape.unit, name if name in {"A4", "Letter"} else None)
    wide, high = round(paper.width * MM, 4), round(paper.height * MM, 4)
    return (wide, high), (high, wide)


def _frames(job: Job) -> tuple[tuple[float, float], tuple[float, float]]:
    """What is drawn on, upright and across, points."""
    upright, across = _sizes(job)
    return _inner(upright), _inner(across)


def _inner(size: tuple[float, float]) -> tuple[float, float]:
    return size[0] - 2 * MARGIN, size[1] - 2 * MARGIN


def _column(job: Job, columns: int) -> float:
    """Width of a column of words on a page across, points."""
    return (_frames(job)[1][0] + GUTTER) / columns - GUTTER


def _turned_to(kind: str) -> tuple[Any, Any]:
    """What begins a page of a kind."""
    from reportlab.platypus import NextPageTemplate, PageBreak  # noqa: PLC0415

    return NextPageTemplate(kind), PageBreak()


def _document(job: Job, title: str, path: Path, columns: int) -> Any:
    """The empty book with its kinds of pages; the first has so many `columns` of words."""
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate  # noqa: PLC0415

    upright, across = _sizes(job)

    def foot(canvas: Any, _: Any) -> None:
        wide = canvas._pagesize[0]  # noqa: SLF001  reportlab has no other word for it
        canvas.setFont("Helvetica", 8)
        canvas.setFillColor("#555555")
        canvas.drawString(MARGIN, FOOTLINE, title)
        canvas.drawRightString(wide - MARGIN, FOOTLINE, f"page {canvas.getPageNumber()}")

    def kind(name: str, size: tuple[float, float], columns: int) -> Any:
        wide, high = _inner(size)
        each = (wide + GUTTER) / columns - GUTTER
        frames = [
            Frame(MARGIN + at * (each + GUTTER), MARGIN, each, high, 0, 0, 0, 0)
            for at in range(columns)
        ]
        return PageTemplate(name, frames, onPage=foot, pagesize=size)

    kinds = [
        kind("first", across, columns),
        kind("words", across, 2),
        kind(UPRIGHT, upright, 1),
        kind(ACROSS, across, 1),
    ]
    return BaseDocTemplate(
        str(path),
        pagesize=across,
        pageTemplates=kinds,
        invariant=1,
        title=f"{title}: job book",
        author="",
        creator="mateline",
    )


def _styles(size: float) -> dict[str, Any]:
    """Type that one reads from where one works."""
    from reportlab.lib.styles import ParagraphStyle  # noqa: PLC0415

    def style(name: str, size: float, before: float, *, head: bool, kept: bool = False) -> Any:
        return ParagraphStyle(
            name,
            fontName="Helvetica-Bold" if head else "Helvetica",
            fontSize=size,
            leading=1.22 * size,
            spaceBefore=before,
            spaceAfter=0.3 * size,
            keepWithNext=head or kept,
        )

    def hung(name: str, parent: Any, first: float) -> Any:
        return ParagraphStyle(name, parent=parent, leftIndent=TASK, firstLineIndent=first)

    text = style("Text", size, 0, head=False)
    kept = style("Kept", size, 0, head=False, kept=True)
    return {
        "Title": style("Title", 20, 0, head=True),
        "Heading1": style("Heading1", 15, 8, head=True),
        "Heading3": style("Heading3", 1.15 * size, 0.9 * size, head=True),
        "Text": text,
        "Kept": kept,
        "Task": hung("Task", text, -TASK),
        "TaskKept": hung("TaskKept", kept, -TASK),
        "Note": hung("Note", text, 0),
        "Caution": style("Caution", 10, 2, head=False),
    }


def _set(words: Iterator[tuple[str, Any]], styles: Mapping[str, Any], wide: float) -> Iterator[Any]:
    """What is said, in columns `wide` points."""
    from reportlab.platypus import KeepTogether, Paragraph  # noqa: PLC0415  only files need it

    for style, content in words:
        if style == "Facts":
            yield _facts(content, styles["Text"], wide)
        elif style == "Sketch":
            yield _sketched(content, wide)
        elif style == "Grid":
            grid = _grid(content, styles["Text"], wide)
            yield KeepTogether([grid]) if len(content) <= SHORT else grid
        else:
            yield Paragraph(content, styles[style])


def _sketched(sketch: Sketch, wide: float) -> Any:
    """A sketch across a column, or as high as `SKETCH`."""
    from reportlab.platypus import Flowable  # noqa: PLC0415  only files need it

    figure = sketch_figure(sketch, wide / MM, SKETCH)

    class Drawn(Flowable):  # type: ignore[misc]  # reportlab has no types
        def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
            return figure.size[0] * MM, figure.size[1] * MM

        def draw(self) -> None:
            draw_page(self.canv, figure_page(figure))

    return Drawn()


def _facts(rows: list[list[str]], style: Any, wide: float) -> Any:
    """What a thing is and how much, in two columns."""
    whole = (0, 0), (-1, -1)
    look = [
        *_padded(),
        ("LEFTPADDING", *whole, 0),
        ("LINEBELOW", *whole, 0.25, "#bbbbbb"),
        ("VALIGN", *whole, "TOP"),
    ]
    return _table(rows, style, [0.34 * wide, 0.66 * wide], look)


def _grid(rows: list[list[str]], style: Any, wide: float) -> Any:
    """A table with lines; columns are as wide as their longest cell asks for."""
    signs = [
        max(min(max(len(row[at]) for row in rows), WIDEST), 6) + 2 for at in range(len(rows[0]))
    ]
    whole = (0, 0), (-1, -1)
    look = [
        *_padded(),
        ("GRID", *whole, 0.4, "#888888"),
        ("VALIGN", *whole, "MIDDLE"),
        ("LEFTPADDING", *whole, 3),
        ("RIGHTPADDING", *whole, 2),
    ]
    return _table(rows, style, [wide * each / sum(signs) for each in signs], look)


def _padded() -> list[tuple[Any, ...]]:
    whole = (0, 0), (-1, -1)
    return [("TOPPADDING", *whole, 1), ("BOTTOMPADDING", *whole, 2)]


def _table(
    rows: list[list[str]], style: Any, widths: list[float], look: list[tuple[Any, ...]]
) -> Any:
    from reportlab.platypus import Paragraph, Table, TableStyle  # noqa: PLC0415

    cells = [[Paragraph(said(cell), style) for cell in row] for row in rows]
    return Table(
        cells,
        colWidths=widths,
        style=TableStyle(look),
        hAlign="LEFT",
        repeatRows=1,
        spaceBefore=3,
        spaceAfter=4,
    )


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A page of a kind, and what draws it with the frame's lower-left corner at (0, 0)."""

    kind: str
    draw: Callable[[Any], None]


def _page(drawn: _Drawn) -> Iterator[Any]:
    """A page of its kind that is filled with what is drawn."""
    from reportlab.platypus import Flowable  # noqa: PLC0415  only files need it

    class Page(Flowable):  # type: ignore[misc]  # reportlab has no types
        def wrap(self, wide: float, high: float) -> tuple[float, float]:
            return wide, high

        def draw(self) -> None:
            drawn.draw(self.canv)

    yield from _turned_to(drawn.kind)
    yield Page()


def _drawings(
    job: Job, plan: Plan, places: Mapping[str, Lines], laid: Mapping[str, LaidSet]
) -> Iterator[Any]:
    """The key and the laying of each face, then the passes in the order of the work."""
    sheets = dict(_sheets(job, plan, places))
    bars = BARS_US if job.tape.unit in {"in", "ft"} else BARS_SI
    counts = {each.right: board_of(each) for each in plan.sets}
    for drawn in (*_keys(job, sheets, laid, bars, counts, places), *_passes(plan, sheets, bars)):
        yield from _page(drawn)


def _kind(frame: tuple[float, float]) -> str:
    return ACROSS if frame[0] > frame[1] else UPRIGHT


def _sheets(job: Job, plan: Plan, places: Mapping[str, Lines]) -> Iterator[tuple[str, FaceSheets]]:
    most: dict[str, int] = defaultdict(int)
    for run in plan.runs:
        for there in run.each.faces:
            most[there.face] = max(most[there.face], len(there.off))
    numbers = numbered(job.findings)
    for stencil in job.stencils:
        name = stencil.face.name
        if stencil.has_board:
            marks = dict(_marks(job, name, numbers))
            yield name, sheets_for(stencil, places[name], _frames(job), most[name], marks)


def _marks(job: Job, face: str, numbers: Mapping[int, int]) -> Iterator[tuple[str, Point]]:
    """The places of a face's findings by their numbers."""
    for at, number in numbers.items():
        finding = job.findings[at]
        if finding.face == face and finding.at is not None:
            yield str(number), finding.at


def _keys(
    job: Job,
    sheets: Mapping[str, FaceSheets],
    laid: Mapping[str, LaidSet],
    bars: tuple[tuple[float, str], ...],
    counts: Mapping[str, str],
    places: Mapping[str, Lines],
) -> Iterator[_Drawn]:
    """`counts` say by face whose set lies there, turned over."""
    for name, each in sheets.items():
        count = counts.get(name) or counted(len(each.key.stencil.pieces))
        whole = f"Every piece and its name, seen square on from outside; {count}."
        if each.parts:
            whole += f" All names are on the {len(each.parts)} parts that follow."
        yield _key(each.key, Key("", whole, bars))
        for number, part in enumerate(each.parts, start=1):
            words = f"Part {number} of {len(each.parts)}, from the upper left, row by row."
            yield _key(part, Key(f", part {number}", words, bars))
        if name in laid:
            own = laid[name]
            spots = spots_of(own.stencil, places[own.stencil.face.name])
            paper = job.definition.paper if job.definition.paper in {"A4", "Letter"} else None
            figures = laying_pages(own, job.tape, paper, spots)
            yield from (_set_in(figure_page(figure)) for figure in figures)


def _set_in(page: MadePage) -> _Drawn:
    """A page of another file, which has margins of its own."""

    def drawing(canvas: Any) -> None:
        canvas.saveState()
        canvas.translate(-MARGIN, -MARGIN)
        draw_page(canvas, page)
        canvas.restoreState()

    return _Drawn(_kind(page.size), drawing)


def _key(sheet: Any, key: Key) -> _Drawn:
    return _Drawn(_kind(sheet.layout.frame), lambda canvas: draw_key(canvas, sheet, key))


def _passes(
    plan: Plan, sheets: Mapping[str, FaceSheets], bars: tuple[tuple[float, str], ...]
) -> Iterator[_Drawn]:
    set_of = {each.right: each.left for each in plan.sets}
    done: dict[str, frozenset[str]] = defaultdict(frozenset)  # by face: names may be on two
    for run in plan.runs:
        for there in run.each.faces:
            face, each = there.face, sheets[there.face]
            shown = Shown(
                run.each, len(plan.passes) - 1, there, done[face], bars, set_of.get(face, "")
            )
            sheet = each.drawing_of(len(there.off))
            if sheet.missed:  # those that are off have a name, the others on the key's parts
                sheet = named_anew(sheet, there.off)
            yield from _pass(sheet, shown)
            done[face] |= frozenset(there.off)


def _pass(sheet: Any, shown: Shown) -> Iterator[_Drawn]:
    frame = sheet.layout.frame
    first, *others = lists(shown.there, sheet.layout.holds, frame)
    alone = not others
    yield _Drawn(_kind(frame), lambda canvas: draw(canvas, sheet, shown, first, last=alone))
    paint = sheet.stencil.paints[shown.each.colour]
    for at, off in enumerate(others, start=1):

        def more(
            canvas: Any, off: tuple[str, ...] = off, *, last: bool = at == len(others)
        ) -> None:
            draw_list(canvas, frame, shown, paint, off, last=last)

        yield _Drawn(_kind(frame), more)
