"""The server: takes a port, opens the page, and ends when it is told to.

Last of the room. One process, one loop; surveys run in threads of their workbenches.
"""

from __future__ import annotations

import asyncio
import secrets
import signal
import socket
import threading
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

import uvicorn

from mateline.bench.serving.cabinets import Cabinets
from mateline.bench.serving.guard import MOST_HEADERS, Door, Guard
from mateline.bench.serving.routes import application
from mateline.bench.serving.tracing import tracing_routes
from mateline.definition.schema import FILE
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104  only where the user asks to share
LOOKS = 0.5  # seconds between looks at the files
LAST_CALLS = 3  # seconds that calls under way have to end
TOKEN_BYTES = 16


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the bench is asked to be. `root` holds the cabinets, of which `only` one may be meant;
    `exports` is where builds write. `port` 0 takes a free one. `shared` lets other machines of
    the network in, with the token.
    """

    root: Path
    exports: Path
    only: str | None = None
    port: int = 0
    shared: bool = False


@dataclass(frozen=True, slots=True)
class Opened:
    """Where the bench is: for this machine's browser and, where it is shared, for another's."""

    address: str
    for_others: str | None = None


def wanted(folder: Path | None, exports: Path, port: int, *, shared: bool, here: Path) -> Wanted:
    """What `mateline bench FOLDER` means: one cabinet, a folder of cabinets, or those `here`.

    Raises InputError for a folder that is not there.
    """
    place = here if folder is None else folder
    if not place.is_dir():
        what = "There is no such folder."
        raise InputError(str(place), "", what, "Name a cabinet's folder, or one that holds some.")
    place = place.resolve()
    if (place / FILE).is_file():
        return Wanted(place.parent, exports, place.name, port, shared)
    if folder is None and (place / "cabinets").is_dir():
        place /= "cabinets"
    return Wanted(place, exports, None, port, shared)


def serve(asked: Wanted, opened: Callable[[Opened], None]) -> None:
    """Serve until Ctrl-C or the page's own stop; `opened` is called once it can be reached.

    Raises InputError where the port is taken; KeyboardInterrupt after Ctrl-C, when all is closed.
    """
    listening = _listening(EVERYWHERE if asked.shared else LOOPBACK, asked.port)
    port: int = listening.getsockname()[1]
    token = secrets.token_urlsafe(TOKEN_BYTES)
    hosts = {f"{LOOPBACK}:{port}", f"localhost:{port}"}
    others = None
    if asked.shared:
        mine = _own_address()
        hosts.add(f"{mine}:{port}")
        others = f"http://{mine}:{port}/?token={token}"
    cabinets = Cabinets(asked.root, asked.exports, asked.only)
    end = asyncio.Event()
    app = application(cabinets, token, end.set, tracing_routes(cabinets))
    guarded = Guard(app, Door(frozenset(hosts), token, asked.shared))
    query = f"?token={token}" if asked.shared else ""
    start = f"#/{asked.only}/measure" if asked.only else ""
    here = Opened(f"http://{LOOPBACK}:{port}/{query}{start}", others)
    try:
        asyncio.run(_served(guarded, listening, cabinets, end, lambda: opened(here)))
    finally:
        cabinets.close()
        listening.close()


async def _served(
    app: Guard,
    listening: socket.socket,
    cabinets: Cabinets,
    end: asyncio.Event,
    opened: Callable[[], None],
) -> None:
    config = uvicorn.Config(
        app,  # its scopes are plain dictionaries, uvicorn's are typed ones
        access_log=False,  # addresses may hold the token
        log_level="warning",
        lifespan="off",
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=LAST_CALLS,
        h11_max_incomplete_event_size=MOST_HEADERS,
    )
    server = _Server(config, opened)
    with _interrupts(end) as heard:
        serving = asyncio.create_task(server.serve(sockets=[listening]))
        looking = asyncio.create_task(_look(cabinets))
        ending = asyncio.create_task(end.wait())
        try:
            await asyncio.wait({serving, ending, looking}, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for bench in cabinets.opened().values():
                bench.workbench.tell({"kind": "goodbye"})
            server.should_exit = True
            for task in (looking, ending):
                task.cancel()
            await asyncio.gather(looking, ending, return_exceptions=True)
            await serving
    if looking.done() and not looking.cancelled() and (fault := looking.exception()) is not None:
        raise fault
    if heard.is_set():
        raise KeyboardInterrupt


class _Server(uvicorn.Server):
    """Says when it can be reached, and leaves Ctrl-C to us."""

    def __init__(self, config: uvicorn.Config, opened: Callable[[], None]) -> None:
        super().__init__(config)
        self._opened = opened

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._opened()

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


@contextmanager
def _interrupts(end: asyncio.Event) -> Iterator[threading.Event]:
    """Ctrl-C, and what a system sends to end a program, end the server in order; the flag that is
    given says that it was Ctrl-C. Where Ctrl-C was ignored before, as in a job that a script runs
    in the background, the server does nothing at it, but what it runs must hear it: that is how a
    build is stopped. What is ignored is handed on to processes, what a handler hears is not.
    """
    heard, loop = threading.Event(), asyncio.get_running_loop()

    def stop(number: int, _: object) -> None:
        if number == signal.SIGINT:
            heard.set()
        loop.call_soon_threadsafe(end.set)

    def nothing(*_: object) -> None:
        pass

    before = {}
    if threading.current_thread() is threading.main_thread():
        for number in (signal.SIGINT, signal.SIGTERM):
            is_ignored = signal.getsignal(number) is signal.SIG_IGN
            before[number] = signal.signal(number, nothing if is_ignored else stop)
    try:
        yield heard
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


async def _look(cabinets: Cabinets) -> None:
    """See what was changed outside. A folder that can't be looked into any more is told once, and
    looked into again: a stick that was pulled out may come back.
    """
    told: dict[str, str] = {}
    while True:
        await asyncio.sleep(LOOKS)
        for name, bench in cabinets.opened().items():
            try:
                await asyncio.to_thread(bench.workbench.looked)
            except InputError as fault:
                if told.get(name) != fault.what:
                    told[name] = fault.what
                    said = {"kind": "trouble", "what": fault.what, "remedy": fault.remedy}
                    bench.workbench.tell(said)
            else:
                told.pop(name, None)


def _listening(host: str, port: int) -> socket.socket:
    # With its protocol named, answers go out at once (asyncio sets TCP_NODELAY only then); without,
    # the body of each waits for the other side's acknowledgement of its head, some 40 ms.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except (OSError, OverflowError) as wrong:
        listening.close()
        why = wrong.strerror if isinstance(wrong, OSError) else str(wrong)
        what = f"Port {port} can't be used: {why}."
        raise InputError("--port", "", what, "Leave --port out: a free one is taken.") from None
    return listening


def _own_address() -> str:
    """The address of this machine on its network.

    Raises InputError where it is on none.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
            asked.connect(("192.0.2.1", 9))  # RFC 5737: for documentation; nothing is sent
            address: str = asked.getsockname()[0]
    except OSError:
        what = "This computer is on no network, so nobody could come in."
        raise InputError("--share", "", what, "Join a network, or leave --share out.") from None
    return address
