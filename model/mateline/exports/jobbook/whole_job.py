"""The first page of the book: what to cut and from which files, what to buy, what to do.

Stands after html. The content is that of `paint.whole_job`, whatever sets it; the files beside it
are this build's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.jobbook.html import element, said, table, text, tick_box
from mateline.exports.print.tiles import paper_for, tiles_for
from mateline.paint.whole_job import Stated, WholeJob, whole_job

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.paint.plan import Plan
    from mateline.paint.whole_job import CutFace, Fact
    from mateline.survey import Job

TITLE = "The whole job"


def content(job: Job, plan: Plan) -> WholeJob:
    """What is on the page. `job` is laid out, with the names on the board."""
    twice = not job.definition.turned_over and any(each.mirrored for each in job.art)
    stops = sum(finding.level == "stop" for finding in job.findings)
    return whole_job(job.stencils, plan, Stated(job.board, job.tape, twice, stops))


def prints(job: Job, face: CutFace) -> str:
    """The file to print, and on how much paper."""
    (stencil,) = (each for each in job.stencils if each.face.name == face.face)
    paper = paper_for(job.tape.unit, job.definition.paper)
    count = len(tiles_for(stencil.face.outline, paper).tiles)
    papers = f"{count} paper{'s' * (count != 1)}, {paper.name}"
    return f"faces/{face.face}/stencil.pdf: {papers}, or its first page in one"


def cuts(job: Job, face: CutFace) -> str:
    """The files for a machine."""
    folder = f"faces/{face.face}"
    if not face.whole:
        ids = " ".join(f'"{name}"' for name in _extra(job, face.face))
        return f"mateline spare {job.name} {ids}"
    kinds = ".dxf or .svg" if job.board.knife is None else ".dxf, .svg or .ngc"
    loads = f"; {folder}/loads for a sheet that is larger than the bed" * (
        job.board.bed is not None
    )
    if face.sheets:
        first, *_, last = (name.replace(" ", "-") for name in face.sheets)
        between = "and" if len(face.sheets) == 2 else "to"
        return f"{folder}/sheets/ {first} {between} {last}, each {kinds}{loads}"
    whole = f"{folder}/stencil.dxf or .svg"
    return whole + f"; {folder}/cut.ngc" * (job.board.knife is not None) + loads


def by_hand(face: CutFace) -> str:
    """The file for who cuts by hand without printing."""
    return f"faces/{face.face}/hand-cutting.pdf"


def _extra(job: Job, face: str) -> list[str]:
    return [
        piece.id
        for stencil in job.stencils
        if stencil.face.name == face
        for piece in stencil.pieces
        if piece.own
    ]


def section(job: Job, plan: Plan) -> str:
    """The page in the book, with boxes to tick that the browser remembers."""
    page = content(job, plan)
    return element(
        "section",
        said("h2", TITLE, id="whole-job-title"),
        _facts(page.numbers),
        said("p", page.sets, class_="sets") if page.sets else "",
        said("h3", "What to cut"),
        _cut(job, page),
        _uncut(page),
        _boards(page),
        said("h3", "What to buy"),
        _ticks("ul", [(f"{fact.what}: ", fact.said) for fact in page.buy]),
        said("h3", "What to do"),
        _ticks("ol", [("", step) for step in page.steps]),
        id="whole-job",
        aria_labelledby="whole-job-title",
    )


def _facts(facts: Sequence[Fact]) -> str:
    rows = (said("dt", fact.what) + said("dd", fact.said) for fact in facts)
    return element("div", element("dl", *rows), class_="card pass facts")


def _cut(job: Job, page: WholeJob) -> str:
    if not page.cut:
        return said("p", "Nothing: every face is painted with the base coat only.")
    head = ["face", "pieces", "tacks", "print", "or cut by machine", "or by hand"]
    rows = [
        [
            text(each.face) + (said("span", each.note, class_="note-of-set") if each.note else ""),
            text(each.pieces),
            text(each.tacks),
            *(text(words) for words in (prints(job, each), cuts(job, each), by_hand(each))),
        ]
        for each in page.cut
    ]
    return table(
        "Stencils, one line each: one of the three ways is enough", head, rows, class_="files"
    )


def _uncut(page: WholeJob) -> str:
    if not page.uncut:
        return ""
    items = []
    for each in page.uncut:
        mask = f". Tape over: {', '.join(each.mask)}" if each.mask else ""
        items.append(element("li", said("strong", each.face), text(f": {each.why}{mask}.")))
    return said("p", "These faces need no stencil:", class_="label") + element("ul", *items)


def _boards(page: WholeJob) -> str:
    if not page.boards:
        return ""
    rows = [[text(f"board {each.number}"), text("; ".join(each.parts))] for each in page.boards]
    return table("What each board gives", ["board", "what is cut from it"], rows)


def _ticks(kind: str, lines: Sequence[tuple[str, str]]) -> str:
    """A list with a box at each line; the script keeps what was ticked, by the line's words."""
    items = [
        element(
            "li",
            element(
                "label",
                tick_box(f"{head}{words}"),
                element("span", said("strong", head) if head else "", text(words)),
            ),
        )
        for head, words in lines
    ]
    return element(kind, *items, class_="ticks")
