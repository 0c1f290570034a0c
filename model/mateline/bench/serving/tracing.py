"""The routes of art: drawings as they are, filled as they are traced, and taken over as borders.

Stands after answers, beside routes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from mateline.bench.keeping.folder import NEW
from mateline.bench.told.borders import begun, on_face, regions_told, seeded_again, taken_over
from mateline.bench.told.drawings import drawing_told
from mateline.drawing.borders.writer import borders_svg
from mateline.errors import InputError

if TYPE_CHECKING:
    from starlette.requests import Request

    from mateline.bench.serving.cabinets import Bench, Cabinets


def tracing_routes(cabinets: Cabinets) -> tuple[Route, ...]:
    """`POST C/regions` with a borders file's text, `GET C/borders?face=..&path=..`, the text of a
    drawing taken over, with the version of the file that it is of (`bench-version`), and
    `GET C/drawing?path=..`, what is in one.
    """

    async def regions(request: Request) -> Response:
        content = await request.body()
        return JSONResponse(await run_in_threadpool(regions_told, content))

    async def opened(request: Request) -> Bench:
        bench = await run_in_threadpool(cabinets.bench, request.path_params["name"])
        if bench is None:
            raise InputError("", "", "There is no such cabinet.", "Load the page anew.")
        return bench

    async def borders(request: Request) -> Response:
        bench = await opened(request)
        asked = request.query_params
        face, path = asked.get("face"), asked.get("path")
        text, version = await run_in_threadpool(_versioned, bench, face, path)
        return Response(text, media_type="image/svg+xml", headers={"bench-version": version})

    async def drawing(request: Request) -> Response:
        bench = await opened(request)
        path = request.query_params.get("path", "")
        told = await run_in_threadpool(drawing_told, bench.workbench.folder, path)
        return JSONResponse(told)

    return (
        Route("/cabinets/{name}/drawing", drawing),
        Route("/cabinets/{name}/regions", regions, methods=["POST"]),
        Route("/cabinets/{name}/borders", borders),
    )


def _versioned(bench: Bench, face: str | None, path: str | None) -> tuple[str, str]:
    """The text, and the version of the file that it was made of."""
    version = bench.workbench.file_version(path) if path else NEW
    while True:
        text = _borders(bench, face, path)
        before, version = version, bench.workbench.file_version(path) if path else NEW
        if version == before:  # nobody has written it meanwhile
            return text, version


def _borders(bench: Bench, face: str | None, path: str | None) -> str:
    folder = bench.workbench.folder
    drawn = taken_over(folder, path) if path else None
    if face is None:
        if drawn is None:
            raise InputError("", "", "Neither a face nor a drawing was named.", "Name one.")
        return borders_svg(drawn)
    job = bench.workbench.survey().job
    found = [each.face for each in job.stencils if each.face.name == face] if job else []
    if not found:
        raise InputError(
            face, "", "There is no such face yet.", "Mend what keeps the cabinet from being built."
        )
    empty = begun(found[0].outline)
    if drawn is None:
        return borders_svg(empty)
    put = on_face(drawn, empty)
    # What a person placed stays, also where it is wrong: the page tells of it.
    return borders_svg(put if drawn.outline is not None else seeded_again(put, drawn))
