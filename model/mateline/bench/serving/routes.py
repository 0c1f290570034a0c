"""The routes: which call is answered by what.

Stands after answers, before the server. Whatever asks the workbench runs in a thread, so that
events go on meanwhile.
"""

from __future__ import annotations

import asyncio
import json
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from mateline.bench.running import RUNS
from mateline.bench.serving import answers
from mateline.bench.serving.guard import BUILT, PAGE, SHOWN
from mateline.bench.told.photos import photo_told
from mateline.bench.workbench import ConflictError
from mateline.errors import InputError, InputFaultsError

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable
    from pathlib import Path

    from starlette.requests import Request

    from mateline.bench.serving.cabinets import Bench, Cabinets

MOST_EDIT = 2_500_000  # bytes of a call that changes the definition
MOST_SAID = 300  # characters of what an exception says
MOST_SHOWN, MOST_UNDER = 1200, 6000  # pixels of a photo on a card, and under tracing paper
BEAT = 20.0  # seconds between signs of life to a page that hears no event
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".pdf": "application/pdf",
    ".json": "application/json",
    ".txt": "text/plain; charset=utf-8",
    ".ics": "text/calendar; charset=utf-8",
    ".glb": "model/gltf-binary",
}
OTHER = "application/octet-stream"
BOOKS = ("painter.js",)  # of the job book's own scripts, those that the page uses too


class Page:
    """The page's own files, read once: the names are a list, so no path leads elsewhere."""

    def __init__(self, token: str) -> None:
        page = files("mateline.bench") / "page"
        self._files: dict[str, bytes] = {}
        for each in page.iterdir():
            if each.is_file():
                self._files[each.name] = each.read_bytes()
            else:  # a folder of modules
                for one in each.iterdir():
                    self._files[f"{each.name}/{one.name}"] = one.read_bytes()
        for name in BOOKS:
            self._files[name] = (files("mateline.exports.jobbook") / name).read_bytes()
        empty = 'name="bench-token" content=""'
        html = self._files.pop("index.html").decode()
        if empty not in html:
            raise RuntimeError("the page has no place for its token")
        self.html = html.replace(empty, f'name="bench-token" content="{token}"')

    def file(self, path: str) -> Response:
        """One of them."""
        content = self._files.get(path)
        if content is None:
            return _no_such("page")
        headers = {"cache-control": "no-cache", "content-security-policy": PAGE}
        return Response(content, media_type=_kind(path), headers=headers)


def application(
    cabinets: Cabinets, token: str, stop: Callable[[], None], more: tuple[Route, ...] = ()
) -> Starlette:
    """All routes. `stop` ends the server; `more` are routes of what else the bench can do."""
    page = Page(token)

    async def first(_: Request) -> Response:
        headers = {"content-security-policy": PAGE}
        return Response(page.html, media_type="text/html; charset=utf-8", headers=headers)

    async def own(request: Request) -> Response:
        return page.file(request.path_params["path"])

    async def listed(_: Request) -> Response:
        found = await run_in_threadpool(cabinets.listed)
        only = cabinets.only is not None
        return JSONResponse({"root": cabinets.root.name, "only": only, "cabinets": found})

    async def start(request: Request) -> Response:
        asked = await _json(request)
        texts = [str(asked.get(key, "")) for key in ("name", "title", "shape", "unit")]
        await run_in_threadpool(cabinets.start, *texts)
        return JSONResponse({"name": texts[0]}, status_code=201)

    async def stopped(_: Request) -> Response:
        stop()
        return JSONResponse({"stopped": True})

    def of(answer: Callable[[Bench, Request], Awaitable[Response]]) -> Any:
        """A route about one cabinet."""

        async def asked(request: Request) -> Response:
            bench = await run_in_threadpool(cabinets.bench, request.path_params["name"])
            return _no_such("cabinet") if bench is None else await answer(bench, request)

        return asked

    async def exported(bench: Bench, request: Request) -> Response:
        root = cabinets.exports / bench.workbench.folder.name
        return await run_in_threadpool(_built, root, request.path_params["path"])

    cabinet = "/cabinets/{name}"
    routes = [
        Route("/", first),
        Route("/page/{path:path}", own),
        Route("/cabinets", listed),
        Route("/cabinets", start, methods=["POST"]),
        Route("/stop", stopped, methods=["POST"]),
        Route(f"{cabinet}/definition", of(_definition)),
        Route(f"{cabinet}/outlines", of(_told(answers.outlines_answer))),
        Route(f"{cabinet}/survey", of(_told(answers.survey_answer))),
        Route(f"{cabinet}/space", of(_told(answers.space_answer))),
        Route(f"{cabinet}/plan", of(_told(answers.plan_answer))),
        Route(f"{cabinet}/faces/{{face}}", of(_face(art=False))),
        Route(f"{cabinet}/faces/{{face}}/art", of(_face(art=True))),
        Route(f"{cabinet}/edit", of(_edit), methods=["POST"]),
        Route(f"{cabinet}/text", of(_text), methods=["POST"]),
        Route(f"{cabinet}/undo", of(_undo), methods=["POST"]),
        Route(f"{cabinet}/redo", of(_redo), methods=["POST"]),
        Route(f"{cabinet}/files", of(_files)),
        Route(f"{cabinet}/file", of(_file)),
        Route(f"{cabinet}/file", of(_put), methods=["PUT"]),
        Route(f"{cabinet}/picture", of(_picture)),
        Route(f"{cabinet}/exports/{{token}}/{{path:path}}", of(exported)),
        Route(f"{cabinet}/events", of(_events)),
        Route(f"{cabinet}/run", of(_last_run)),
        Route(f"{cabinet}/run", of(_run), methods=["POST"]),
        Route(f"{cabinet}/run/stop", of(_stop_run), methods=["POST"]),
        *more,
    ]
    told = {
        InputError: _refused,
        InputFaultsError: _refused,
        ConflictError: _conflict,
        404: _nothing,
        405: _nothing,
        500: _our_fault,
    }
    return Starlette(routes=routes, exception_handlers=told)


# ------------------------------------------------------------------ one cabinet


def _told(answer: Callable[[Bench], Any]) -> Callable[[Bench, Request], Awaitable[Response]]:
    async def asked(bench: Bench, _: Request) -> Response:
        found = await run_in_threadpool(answer, bench)
        return JSONResponse(found) if found is not None else _no_such("survey yet")

    return asked


def _face(*, art: bool) -> Callable[[Bench, Request], Awaitable[Response]]:
    async def asked(bench: Bench, request: Request) -> Response:
        name = request.path_params["face"]
        found = await run_in_threadpool(answers.face_answer, bench, name, art=art)
        return JSONResponse(found) if found is not None else _no_such("face")

    return asked


async def _definition(bench: Bench, request: Request) -> Response:
    answer = await run_in_threadpool(_stated, bench)
    if "schema" in request.query_params:
        answer["schema"] = answers.schema_answer()
    return JSONResponse(answer)


def _stated(bench: Bench) -> answers.Json:
    return answers.with_tape(bench, answers.definition_answer(bench.workbench.stated()))


async def _changed(bench: Bench, change: Callable[[], object]) -> Response:
    """Make the change, and answer with the definition as it then is and how it closes."""

    def done() -> Response:
        change()
        return JSONResponse({**_stated(bench), "outlines": answers.outlines_answer(bench)})

    return await run_in_threadpool(done)


async def _edit(bench: Bench, request: Request) -> Response:
    asked = await _json(request)
    base, says, patch = _text_of(asked, "base"), _text_of(asked, "says"), asked.get("patch")
    if not isinstance(patch, list) or not all(isinstance(each, dict) for each in patch):
        raise InputError("", "patch", "An edit is a list of operations.", "See RFC 6902.")
    return await _changed(bench, lambda: bench.workbench.edit(base, says, patch))


async def _text(bench: Bench, request: Request) -> Response:
    asked = await _json(request)
    base, says, text = (_text_of(asked, key) for key in ("base", "says", "text"))
    return await _changed(bench, lambda: bench.workbench.set_text(base, says, text))


async def _undo(bench: Bench, request: Request) -> Response:
    base = _text_of(await _json(request), "base")
    return await _changed(bench, lambda: bench.workbench.undo(base))


async def _redo(bench: Bench, request: Request) -> Response:
    base = _text_of(await _json(request), "base")
    return await _changed(bench, lambda: bench.workbench.redo(base))


# ------------------------------------------------------------------ its files


async def _files(bench: Bench, _: Request) -> Response:
    def found() -> Response:
        entries = bench.workbench.files()
        return JSONResponse(
            [
                {"path": each.path, "size": each.size, "kind": each.kind, "version": each.version}
                for each in entries
            ]
        )

    return await run_in_threadpool(found)


async def _file(bench: Bench, request: Request) -> Response:
    path = request.query_params.get("path", "")
    content = await run_in_threadpool(bench.workbench.file, path)
    version = await run_in_threadpool(bench.workbench.file_version, path)
    headers = {"content-security-policy": SHOWN, "bench-version": version}
    return Response(content, media_type=_kind(path), headers=headers)


async def _picture(bench: Bench, request: Request) -> Response:
    """A photo or a scan as a JPEG, which every browser shows: HEIC and TIFF it may not."""
    path = request.query_params.get("path", "")
    large = request.query_params.get("large") is not None
    most = MOST_UNDER if large else MOST_SHOWN
    content = await run_in_threadpool(photo_told, bench.workbench.folder, path, most)
    headers = {"content-security-policy": SHOWN, "cache-control": "no-cache"}
    return Response(content, media_type="image/jpeg", headers=headers)


async def _put(bench: Bench, request: Request) -> Response:
    path = request.query_params.get("path", "")
    base = request.query_params.get("base", "new")
    says = request.query_params.get("says")
    content = await request.body()
    version = await run_in_threadpool(bench.workbench.put_file, path, content, base, says)
    return JSONResponse({"path": path, "version": version})


def _built(root: Path, path: str) -> Response:
    """A file of the last build, whose folder holds nothing else."""
    target = (root / path).resolve()
    if not target.is_relative_to(root.resolve()) or not target.is_file():
        return _no_such("file of a build")
    headers = {"content-security-policy": BUILT, "cache-control": "no-cache"}
    return Response(target.read_bytes(), media_type=_kind(path), headers=headers)


# ------------------------------------------------------------------ events


async def _events(bench: Bench, _: Request) -> Response:
    return StreamingResponse(_stream(bench), media_type="text/event-stream")


async def _stream(bench: Bench) -> AsyncIterator[bytes]:
    """Server-sent events (HTML Living Standard, 9.2) until the page goes or the bench says
    goodbye. First how things stand: what has happened while a page was opening, or its connection
    was broken, is told by nothing else.
    """
    loop, flag = asyncio.get_running_loop(), asyncio.Event()

    def wake() -> None:
        if not loop.is_closed():
            loop.call_soon_threadsafe(flag.set)

    subscriber = bench.workbench.subscribe(wake)
    try:
        for event in await run_in_threadpool(bench.present):
            yield f"data: {json.dumps(event)}\n\n".encode()
        while True:
            try:
                await asyncio.wait_for(flag.wait(), BEAT)
            except TimeoutError:
                yield b": here\n\n"
                continue
            flag.clear()
            for event in subscriber.taken():
                yield f"data: {json.dumps(event)}\n\n".encode()
                if event["kind"] == "goodbye":
                    return
    finally:
        bench.workbench.leave(subscriber)


# ------------------------------------------------------------------ commands at work


async def _last_run(bench: Bench, _: Request) -> Response:
    return JSONResponse(bench.runner.last())


async def _run(bench: Bench, request: Request) -> Response:
    asked = await _json(request)
    what, face = asked.get("what"), asked.get("face")
    if what not in RUNS or not (face is None or isinstance(face, str)):
        said = ", ".join(RUNS)
        raise InputError("", "what", "The bench runs no such command.", f"There are: {said}.")
    if (face or "").startswith("-"):
        raise InputError("", "face", "No face is called so.", "Name one that is shown.")
    return JSONResponse({"running": await run_in_threadpool(bench.runner.start, what, face)})


async def _stop_run(bench: Bench, request: Request) -> Response:
    await _json(request)
    return JSONResponse({"stopping": await run_in_threadpool(bench.runner.stop)})


# ------------------------------------------------------------------ words


async def _json(request: Request) -> dict[str, Any]:
    """The call's own JSON object. Raises InputError."""
    if request.headers.get("content-type", "").split(";")[0] != "application/json":
        raise InputError("", "", "This call has no JSON.", "Use the bench's own page.")
    body = await request.body()
    if len(body) > MOST_EDIT:
        raise InputError("", "", "This edit is too long.", "Make it in several steps.")
    try:
        found = json.loads(body)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise InputError("", "", "This is no JSON object.", "Use the bench's own page.")
    return found


def _text_of(asked: dict[str, Any], key: str) -> str:
    value = asked.get(key)
    if not isinstance(value, str):
        raise InputError("", key, "This is missing, or is no text.", "Use the bench's own page.")
    return value


def _kind(path: str) -> str:
    name = unquote(path).lower()
    return KINDS.get(name[name.rfind(".") :] if "." in name else "", OTHER)


def _no_such(what: str) -> Response:
    said = {"what": f"There is no such {what}.", "remedy": "Load the page anew."}
    return JSONResponse({"error": said}, status_code=404)


async def _refused(_: Request, fault: Exception) -> Response:
    assert isinstance(fault, InputError | InputFaultsError)  # noqa: S101  as it is registered
    return JSONResponse(answers.refusal(fault), status_code=400)


async def _conflict(_: Request, fault: Exception) -> Response:
    assert isinstance(fault, ConflictError)  # noqa: S101  as it is registered
    answer = {
        "error": {"what": fault.what, "remedy": fault.remedy},
        "definition": answers.definition_answer(fault.stated),
        "version": fault.version,
    }
    return JSONResponse(answer, status_code=409)


async def _nothing(_: Request, __: Exception) -> Response:
    return _no_such("call")


async def _our_fault(_: Request, fault: Exception) -> Response:
    """Told on the page; the server's own log has the traceback."""
    what = " ".join(f"{type(fault).__name__}: {fault}".split())[:MOST_SAID]
    said = {
        "what": f"Our own fault, not yours: {what}.",
        "remedy": "Nothing was changed. Please send us the folder.",
    }
    return JSONResponse({"error": said}, status_code=500)
