"""All files of one job, written whole or not at all.

The end of the road. The kernel is imported here at the earliest, and only for model.step. Faces,
models and books are written side by side by a crew, where one is hired.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.cabinet.edges.ends import onto_end
from mateline.cabinet.edges.tools import bore_axes
from mateline.cabinet.panel import end_line, raised
from mateline.crew import Crew
from mateline.exports.calendar import icalendar, plain
from mateline.exports.face_work import FaceWork
from mateline.exports.findings_table import numbered
from mateline.exports.folder import files_in, swapped_in, write_text
from mateline.exports.json_report import findings_json, job_json
from mateline.exports.laying.sets import laid_sets
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.exports.plan_json import as_json
from mateline.exports.solid.net import INSIDE
from mateline.survey import planned, silent, with_true_borders
from mateline.tape.arcs.told import arc_json

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence
    from pathlib import Path

    from shapely import MultiPolygon, Polygon

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.cabinet.panel import Bore, Panel
    from mateline.checks.findings import Finding
    from mateline.crew import Task
    from mateline.exports.by_hand.face_cutting import FaceCutting
    from mateline.exports.laying.sets import LaidSet
    from mateline.paint.plan import Plan
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job, Say
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

    Ends = dict[str, dict[int, list[tuple[Polygon | MultiPolygon, str]]]]

WOOD = "#c8a06a"  # what is not painted, in the models


def write(job: Job, target: Path, say: Say = silent, crew: Crew | None = None) -> None:
    """Write every export of `job` to `target`, replacing an earlier build of ours.

    The bytes are the same whoever of the `crew` writes them; without one all is written here.
    Raises InputError where `target` can't be written or holds something else.
    """
    with swapped_in(target) as folder:
        job = with_true_borders(job, say=say)
        say(f"writing {len(job.stencils)} faces, the models and the job book")
        # Hands begin in front and this process at the end (see Crew.done), so that each imports
        # what its own tasks need: hands the kernel and the writers of faces, this one the books'.
        step, model = _models(job, folder)
        plan = planned(job)
        laid = laid_sets(job, plan.sets)
        crew = Crew() if crew is None else crew
        cuttings = _cuttings(job, plan.sets, crew)
        faces = _faces(job, folder, plan.sets, laid, cuttings)
        crew.done([step, *faces, model, (_write_books, (job, plan, folder, laid, cuttings))])
        found = findings_json(job.name, job.findings, job.settled)
        write_text(folder / "findings.json", found)
        files = [*files_in(folder), "job.json"]
        write_text(folder / "job.json", job_json(job.name, job.stencils, files, _more(job, plan)))


def _models(job: Job, folder: Path) -> tuple[Task, Task]:
    panels = [stencil.face.panel for stencil in job.stencils]
    panels += [face.panel for face in job.cabinet.hidden]
    painted = {
        stencil.face.name: [
            (region.area, stencil.paints[region.colour]) for region in stencil.pattern.regions
        ]
        for stencil in job.stencils
    }
    elsewhere = [face.name for face in job.cabinet.faces if face.beyond or face.covered]
    colours = dict.fromkeys((*painted, *(face.name for face in job.cabinet.hidden)), WOOD)
    return (
        (_write_step, (panels, folder / "model.step", colours)),
        (_write_glb, (panels, painted, folder / "model.glb", _painted_ends(job), elsewhere)),
    )


def _painted_ends(job: Job) -> Ends:
    """The paint on ends of boards, by face and edge, (along the edge, -down)."""
    stencils = {stencil.face.name: stencil for stencil in job.stencils}
    base = job.colours.paints[job.colours.base]
    found: Ends = {}
    for end in job.cabinet.ends:
        paint: list[tuple[Polygon | MultiPolygon, str]] = []
        if end.finish == "base":
            paint.append((end.area, base))
        elif end.finish == "art" and end.owner is not None:
            owner = stencils[end.owner]
            paint += [
                (onto_end(region.area, owner.face, end), owner.paints[region.colour])
                for region in owner.pattern.regions
                if region.area.intersects(end.on_owner)
            ]
        place = INSIDE if end.inside else end.edge
        found.setdefault(end.board, {}).setdefault(place, []).extend(paint)
    return found


def _write_step(panels: list[Panel], path: Path, colours: dict[str, str | None]) -> None:
    from mateline.exports.solid import step  # noqa: PLC0415  the kernel takes a second to import

    step.write(panels, path, colours=colours)


def _write_glb(
    panels: list[Panel],
    painted: dict[str, list[tuple[Polygon, str]]],
    path: Path,
    ends: Ends,
    elsewhere: list[str],
) -> None:
    from mateline.exports.solid import glb  # noqa: PLC0415  for whoever writes it only

    glb.write(panels, painted, path, wood=WOOD, ends=ends, elsewhere=elsewhere)


def _cuttings(job: Job, sets: Sequence[TurnedSet], crew: Crew) -> dict[str, FaceCutting]:
    """How each face is cut, by its name: both its files and the books show it."""
    own = {each.right: each.own for each in sets}
    tasks: list[Task] = [
        (_cutting, (each, job.tape, job.definition.paper, own.get(each.face.name)))
        for each in job.stencils
    ]
    names = (each.face.name for each in job.stencils)
    return dict(zip(names, crew.done(tasks), strict=True))


def _cutting(
    stencil: Stencil, tape: Tape, paper: str | None, own: Collection[str] | None
) -> FaceCutting:
    from mateline.exports.by_hand import face_cutting  # noqa: PLC0415  its libraries are slow

    return face_cutting.face_cutting(stencil, tape, paper, own)


def _faces(
    job: Job,
    folder: Path,
    sets: Sequence[TurnedSet],
    laid: Mapping[str, LaidSet],
    cuttings: Mapping[str, FaceCutting],
) -> list[Task]:
    """A task for each face, those with the most borders first."""
    stencils = {stencil.face.name: stencil for stencil in job.stencils}
    lefts = {each.left: each for each in sets}
    rights = {each.right: each for each in sets}
    tasks: list[Task] = []
    numbers = numbered(job.findings)
    for name in sorted(stencils, key=lambda each: (-len(stencils[each].pattern.borders), each)):
        here = [(numbers[at], found) for at, found in _on(name, job.findings)]
        work = FaceWork(
            stencil=stencils[name],
            findings=tuple(found for _, found in here),
            settled=tuple(each for each in job.settled if each.finding.face == name),
            tape=job.tape,
            board=job.board,
            paper=job.definition.paper,
            cutting=cuttings[name],
            turn=lefts[name].turn if name in lefts else None,
            borrowed=rights.get(name),
            laid=laid.get(name),
            numbers=tuple(number for number, _ in here),
        )
        tasks.append((_write_face, (work, folder / "faces" / name)))
    return tasks


def _on(face: str, findings: Sequence[Finding]) -> Iterator[tuple[int, Finding]]:
    """The findings of one face, and what comes of those of others there, with the place among
    `findings`.
    """
    for at, each in enumerate(findings):
        if each.face == face:
            yield at, each
        else:
            yield from ((at, one) for one in each.consequences if one.face == face)


def _write_face(work: FaceWork, place: Path) -> None:
    from mateline.exports import face_files  # noqa: PLC0415  the libraries of its formats are slow

    face_files.write_face(work, place)


def _write_books(
    job: Job,
    plan: Plan,
    folder: Path,
    laid: Mapping[str, LaidSet],
    cuttings: Mapping[str, FaceCutting],
) -> None:
    """The cabinet's picture, the job book and the calendar."""
    from mateline.exports import jobbook  # noqa: PLC0415  its library is slow to import

    title = job.definition.title
    boards = (*job.cabinet.faces, *job.cabinet.hidden)
    picture = cabinet_picture(boards, job.stencils, title=title)
    write_text(folder / "cabinet.svg", picture)
    places = {name: each.places for name, each in cuttings.items()}
    write_text(folder / "job-book.html", jobbook.html(job, plan, picture, places, laid))
    jobbook.write_pdf(job, plan, folder / "job-book.pdf", laid, cuttings, picture)
    write_text(folder / "painting-days.txt", plain(plan.steps, plan.shop))
    if plan.shop.start is not None:  # a calendar needs dates
        write_text(folder / "painting-days.ics", icalendar(plan.steps, plan.shop, title))


def _more(job: Job, plan: Plan) -> dict[str, Any]:
    return {
        "title": job.definition.title,
        "plan": as_json(plan),
        "edge_holes": [_edge_hole(*each) for each in _bores(job)],
        "ends": [_end(end) for end in job.cabinet.ends],
        "outlines": {name: _outline(outline) for name, outline in job.cabinet.outlines.items()},
        **_curves(job),
    }


def _curves(job: Job) -> dict[str, Any]:
    """The curves of all outlines that have any; no word of them where none has."""
    found = {
        name: [_rounded(arc_json(arc)) for arc in outline.arcs]
        for name, outline in job.cabinet.outlines.items()
        if outline.arcs
    }
    return {"curves": found} if found else {}


def _rounded(value: Any) -> Any:
    """Plain data with all numbers to four decimals: the last bits are each machine's own."""
    if isinstance(value, dict):
        return {key: _rounded(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_rounded(inner) for inner in value]
    return round(value, 4) + 0.0 if isinstance(value, float) else value


def _bores(job: Job) -> Iterator[tuple[Panel, int, Bore]]:
    for face in (*job.cabinet.faces, *job.cabinet.hidden):
        for index, edge in enumerate(face.panel.edges):
            for bore in edge.bores:
                yield face.panel, index, bore


def _edge_hole(panel: Panel, index: int, bore: Bore) -> dict[str, Any]:
    """A hole into an end, with the middle of its mouth in the cabinet frame, mm."""
    sharp, inward = bore_axes(panel, index, bore)
    mouth = sharp + end_line(panel.edges[index], bore.down) * inward
    (spot,) = raised(panel, mouth[None], bore.down)
    return {
        "board": f"{panel.carcase}-{panel.name}",
        "edge": index,
        "name": bore.name,
        "diameter": round(bore.diameter, 4),
        "depth": round(bore.deep, 4),
        "along": round(bore.at, 4),
        "below": round(bore.down, 4),
        "at": [round(float(each), 4) + 0.0 for each in spot],
    }


def _end(end: SeenEnd) -> dict[str, Any]:
    return {
        "board": end.board,
        "edge": end.edge,
        "owner": end.owner,
        "finish": end.finish,
        "area": round(end.size, 3),
        "inside": end.inside,
    }


def _outline(outline: Outline) -> dict[str, list[float]]:
    return {
        corner: [round(float(x), 4), round(float(y), 4)]
        for corner, (x, y) in zip(outline.corners, outline.points, strict=True)
    }
