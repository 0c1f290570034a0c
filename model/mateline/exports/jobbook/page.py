"""The whole page of the job book: one file, no network.

Stands after the sections. Everything that can be said is in the HTML itself; the script moves
the passes, finds pieces and turns the cabinet.
"""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING, Any

from mateline.exports.findings_table import numbered
from mateline.exports.jobbook import cautions, faces, findings, passes, shop, view3d, whole_job
from mateline.exports.jobbook import measurements as measures
from mateline.exports.jobbook.drawing import spot
from mateline.exports.jobbook.html import data, element, said, text
from mateline.exports.jobbook.places import widest
from mateline.exports.laying.sets import laid_sets
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.survey import as_laid_out
from mateline.tape.quantities import area_said, unbroken

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.picture.widest import Lines
    from mateline.paint.plan import Plan
    from mateline.survey import Job

# The browser itself refuses whatever this file might ask of a network.
SCRIPTS = ("painter.js", "zoom.js", "script.js")
POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"


def page(
    job: Job,
    plan: Plan | None,
    picture: str | None = None,
    places: Mapping[str, Lines] | None = None,
    laid: Mapping[str, LaidSet] | None = None,
) -> str:
    """The book as HTML. `job` has true borders; without a `plan` its passes are left out.

    `picture` is the cabinet's still picture, `places` are the widest places of each face's pieces
    and `laid` is what is laid on each face, where somebody has made them already.
    Raises ValueError for a job whose borders haven't been refitted yet.
    """
    for stencil in job.stencils:
        if len(stencil.chains) != len(stencil.pattern.borders):
            raise ValueError(f"{stencil.face.name}: each border needs its chain first")
    title = f"{job.definition.title}: job book"
    if picture is None:
        boards = (*job.cabinet.faces, *job.cabinet.hidden)
        picture = cabinet_picture(boards, job.stencils, title=job.definition.title)
    sheets = faces.Sheets(
        widest(job) if places is None else places,
        laid_sets(job, plan.sets if plan else ()) if laid is None else laid,
    )
    if plan is not None:
        job = as_laid_out(job, plan.sets)
    return "\n".join(
        [
            "<!doctype html>",
            '<html lang="en">',
            element(
                "head",
                element("meta", charset="utf-8"),
                element("meta", name="viewport", content="width=device-width, initial-scale=1"),
                element("meta", http_equiv="Content-Security-Policy", content=POLICY),
                said("title", title),
                element("link", rel="icon", href="data:,"),
                element("style", _own("style.css")),
            ),
            element("body", *_body(job, plan, picture, sheets)),
            "</html>",
            "",
        ]
    )


def _body(job: Job, plan: Plan | None, picture: str, sheets: faces.Sheets) -> list[str]:
    numbers = numbered(job.findings)
    when = passes.when_painted(plan)
    opening = {} if plan is None else {"Whole job": whole_job.section(job, plan)}
    sections = {
        **opening,
        "Cautions": cautions.section(job, plan),
        "Cabinet": view3d.section(job, picture),
        "Faces": faces.section(job, numbers, when, sheets, plan.sets if plan else ()),
        "Findings": findings.section(job, numbers),
        "Measurements": measures.section(job),
    }
    if plan is not None:
        sections["Passes"] = passes.section(job, plan)
        sections |= shop.sections(job, plan)
    return [
        said("a", "Go to the book", href="#book-itself", class_="skip"),
        _bar(job, plan),
        _header(job, plan, list(sections)),
        element("main", *sections.values(), id="book-itself", tabindex="-1"),
        said("p", "", id="live", role="status", class_="unseen"),
        data("book", _data(job, plan, when)),
        element("script", "".join(map(_own, SCRIPTS))),
    ]


def _header(job: Job, plan: Plan | None, chapters: list[str]) -> str:
    ids = {piece.id for stencil in job.stencils for piece in stencil.pieces}
    counts = [f"{len(job.stencils)} faces", f"{len(ids)} pieces of board"]
    if plan is not None:
        count = sum(each.order > 0 for each in plan.passes)
        counts.append(f"base coat and {count} pass{'es' * (count != 1)}")
    links = [
        element("li", said("a", name, href=f"#{name.lower().replace(' ', '-')}"))
        for name in chapters
    ]
    return element(
        "header",
        said("h1", job.definition.title),
        said("p", " · ".join(["Job book", *counts]), class_="hint"),
        element("nav", element("ul", *links, class_="chips"), aria_label="Chapters"),
    )


def _bar(job: Job, plan: Plan | None) -> str:
    # A set that is turned over lies on two faces: its names are offered once.
    ids = list(dict.fromkeys(piece.id for each in job.stencils for piece in each.pieces))
    finder = element(
        "form",
        said("label", "Find a piece", for_="find"),
        element(
            "input",
            id="find",
            list="all-pieces",
            autocomplete="off",
            spellcheck="false",
            placeholder=ids[0] if ids else None,
        ),
        element("datalist", *(element("option", value=each) for each in ids), id="all-pieces"),
        said("button", "Find", type="submit"),
        said("p", "", id="find-said", role="status"),
        id="finder",
        class_="finder",
    )
    slider = _slider(1 + len(plan.runs)) if plan is not None else ""
    return element(
        "section", element("div", slider, finder), id="bar", aria_label="Passes and piece finder"
    )


def _slider(last: int) -> str:
    return element(
        "div",
        element("label", text("Show: "), said("span", "", id="step-title"), for_="step"),
        said("button", "◀", type="button", id="step-back", aria_label="Pass before"),
        element("input", type="range", id="step", min=0, max=last, step=1, value=last),
        said("button", "▶", type="button", id="step-next", aria_label="Next pass"),
        class_="slider",
    )


def _data(job: Job, plan: Plan | None, when: dict[str, int]) -> dict[str, Any]:
    """What the script needs to know and can't read from the page."""
    pieces = {
        spot(stencil, piece): {
            "area": area_said(piece.size, job.tape.unit),
            "tacks": len(piece.tacks),
            "pass": when.get(piece.id),
        }
        for stencil in job.stencils
        for piece in stencil.pieces
    }
    numbers = numbered(job.findings)
    return {
        "base": job.colours.base,
        "board": passes.BOARD,
        "paints": dict(job.colours.paints),
        "steps": passes.steps(plan),
        "rounds": passes.rounds(plan),
        "pieces": pieces,
        "findings": {
            count: [unbroken(job.findings[at].message), unbroken(job.findings[at].remedy)]
            for at, count in numbers.items()
        },
        "scene": view3d.scene(job),
    }


def _own(name: str) -> str:
    return files("mateline.exports.jobbook").joinpath(name).read_text(encoding="utf-8")
