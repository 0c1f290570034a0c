"""All files of one job, written whole or not at all.

The end of the road. The kernel is imported here at the earliest, and only for model.step.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.exports import jobbook
from mateline.exports.calendar import icalendar, plain
from mateline.exports.cut.dxf import layers_dxf, stencil_dxf
from mateline.exports.cut.gcode import layers_gcode, stencil_gcode
from mateline.exports.cut.hand_sheet import hand_sheet
from mateline.exports.cut.layers import layers_of
from mateline.exports.cut.loads import load_files
from mateline.exports.cut.sheets import drawn_besides, sheet_layers, sheet_size
from mateline.exports.cut.svg import layers_svg, stencil_svg
from mateline.exports.folder import files_in, swapped_in
from mateline.exports.json_report import findings_json, job_json
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.exports.picture.face_picture import face_picture
from mateline.exports.picture.painted import painted_svg
from mateline.exports.plan_json import as_json
from mateline.exports.print.pdf import stencil_pdf
from mateline.exports.solid import glb as mesh
from mateline.stencil.cutting.cut_path import cut_path
from mateline.stencil.turned_over import turned_over
from mateline.survey import planned, with_true_borders

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.exports.cut.layers import Layers
    from mateline.paint.plan import Plan
    from mateline.stencil.stencil import Stencil
    from mateline.stencil.turned_over import TurnedOver
    from mateline.survey import Job, Say
    from mateline.tape.outline import Outline

WOOD = "#c8a06a"  # what is not painted, in the models


def write(job: Job, target: Path, say: Say = lambda _: None) -> None:
    """Write every export of `job` to `target`, replacing an earlier build of ours.

    Raises InputError where `target` can't be written or holds something else.
    """
    with swapped_in(target) as folder:
        say("fitting lines and arcs to the borders")
        job = with_true_borders(job)
        _write_faces(job, folder, say)
        say("writing the cabinet's picture and model.glb")
        picture = cabinet_picture(job.cabinet.faces, job.stencils, title=job.definition.title)
        _text(folder / "cabinet.svg", picture)
        mesh.write(_panels(job), _painted(job), folder / "model.glb", wood=WOOD)
        say("making solids for model.step")
        _write_step(job, folder / "model.step")
        say("planning painting day and writing the job book")
        plan = planned(job)
        _text(folder / "job-book.html", jobbook.html(job, plan, picture))
        jobbook.write_pdf(job, plan, folder / "job-book.pdf")
        _write_days(plan, job.definition.title, folder)
        _text(folder / "findings.json", findings_json(job.name, job.findings))
        files = [*files_in(folder), "job.json"]
        _text(folder / "job.json", job_json(job.name, job.stencils, files, _more(job, plan)))


def _write_faces(job: Job, folder: Path, say: Say) -> None:
    for stencil in job.stencils:
        say(f"writing {stencil.face.name}")
        place = folder / "faces" / stencil.face.name
        place.mkdir(parents=True)
        here = [finding for finding in job.findings if finding.face == stencil.face.name]
        _text(place / "painted.svg", painted_svg(stencil))
        grid = stencil.grid
        path = cut_path(stencil.pattern)
        layers = layers_of(stencil, job.tape, _turned(job, stencil), drawn_besides(grid), path)
        _text(place / "stencil.svg", stencil_svg(stencil, layers))
        _text(place / "stencil.dxf", stencil_dxf(stencil, layers))
        pdf = stencil_pdf(stencil, job.tape, job.definition.paper, layers)
        (place / "stencil.pdf").write_bytes(pdf)
        _text(place / "hand-cutting.txt", hand_sheet(stencil, job.tape, grid, path))
        in_loads = _write_loads(place / "loads", stencil, layers, job)
        if len(grid.sheets) > 1:
            _write_sheets(place / "sheets", stencil, layers, job, in_loads)
        elif job.board.knife is not None and not in_loads:  # else no machine could cut it at once
            _text(place / "cut.ngc", stencil_gcode(stencil, job.board.knife, layers, path))
        _text(place / "picture.svg", face_picture(stencil, here, job.tape))


def _turned(job: Job, stencil: Stencil) -> TurnedOver | None:
    """How the face's set is turned over, where it is meant to paint the other side too."""
    faces = {each.face.name: each for each in job.stencils}
    for pair in job.pairs:
        if pair.shared and pair.left == stencil.face.name:
            return turned_over(stencil, faces[pair.right], pair.matrix)
    return None


def _write_days(plan: Plan, title: str, folder: Path) -> None:
    steps, shop = plan.steps, plan.shop
    _text(folder / "painting-days.txt", plain(steps, shop))
    if shop.start is not None:  # a calendar needs dates
        _text(folder / "painting-days.ics", icalendar(steps, shop, title))


def _write_loads(place: Path, stencil: Stencil, layers: Layers, job: Job) -> frozenset[str]:
    """Drawings for the loads of each sheet that is larger than the bed; the names of these."""
    found = {
        sheet.name: load_files(sheet, stencil, layers, job.board, job.tape)
        for sheet in stencil.grid.sheets
    }
    in_loads = frozenset(name for name, files in found.items() if files)
    if in_loads:
        place.mkdir()
    for files in found.values():
        for name, text in files.items():
            _text(place / name, text)
    return in_loads


def _write_sheets(
    place: Path, stencil: Stencil, layers: Layers, job: Job, in_loads: frozenset[str]
) -> None:
    """A drawing for each sheet of board that the face takes."""
    place.mkdir()
    for sheet in stencil.grid.sheets:
        here = sheet_layers(sheet, stencil.grid, layers)
        if job.board.knife is not None and sheet.name not in in_loads:
            title = f"{stencil.face.name}, sheet {sheet.name}"
            _text(place / f"{sheet.name}.ngc", layers_gcode(title, here, job.board.knife))
        _text(place / f"{sheet.name}.svg", layers_svg(here, *sheet_size(sheet)))
        _text(place / f"{sheet.name}.dxf", layers_dxf(here, *sheet_size(sheet)))


def _write_step(job: Job, path: Path) -> None:
    from mateline.exports.solid import step  # noqa: PLC0415  the kernel takes seconds to import

    step.write(_panels(job), path, colours=dict.fromkeys(_painted(job), WOOD))


def _panels(job: Job) -> list[Any]:
    return [stencil.face.panel for stencil in job.stencils]


def _painted(job: Job) -> dict[str, list[tuple[Any, str]]]:
    return {
        stencil.face.name: [
            (region.area, stencil.paints[region.colour]) for region in stencil.pattern.regions
        ]
        for stencil in job.stencils
    }


def _more(job: Job, plan: Plan) -> dict[str, Any]:
    return {
        "title": job.definition.title,
        "plan": as_json(plan),
        "outlines": {name: _outline(outline) for name, outline in job.cabinet.outlines.items()},
    }


def _outline(outline: Outline) -> dict[str, list[float]]:
    return {
        corner: [round(float(x), 4), round(float(y), 4)]
        for corner, (x, y) in zip(outline.corners, outline.points, strict=True)
    }


def _text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
