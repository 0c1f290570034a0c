"""The command that opens the bench: the local page on which a cabinet is measured and watched.

Stands beside the other commands. The first line on stdout is the address; all other talk is on
stderr. Ctrl-C is how it ends, and what was done is in the cabinet's folder.
"""

from __future__ import annotations

import argparse
import sys
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mateline.bench.serving.server import Opened
    from mateline.talk import Talk

DONE, INTERRUPTED = 0, 130
EXPORTS = Path("exports")
MOST_PORT = 65535
WHO = (
    "Whoever has this address can see and change the cabinets here while the bench runs. "
    "It is not encrypted: use a network that you trust."
)


def add_bench(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """What `mateline bench` can be given."""
    bench = commands.add_parser("bench", help="a page to measure, build, place, trace and watch")
    bench.add_argument(
        "folder", type=Path, nargs="?", help="a cabinet, or a folder of some (default: this one)"
    )
    bench.add_argument("--port", type=_port, default=0, help="where to listen (default: any)")
    bench.add_argument("--no-open", action="store_true", help="do not open a browser")
    bench.add_argument(
        "--share", action="store_true", help="let a phone on the same network in, by its address"
    )
    bench.set_defaults(run=_bench)


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= MOST_PORT:
        raise argparse.ArgumentTypeError(f"“{text}” is no port; give 1024 to {MOST_PORT}")
    return int(text)


def _bench(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.bench.serving.server import serve, wanted  # noqa: PLC0415

    asked = wanted(
        options.folder, EXPORTS.resolve(), options.port, shared=options.share, here=Path()
    )

    def opened(at: Opened) -> None:
        talk.answer(at.address)
        if sys.stdout is not None:
            sys.stdout.flush()
        talk.doing = "the bench was open"
        if at.for_others is not None:
            from mateline.bench.serving.sharing import qr_code  # noqa: PLC0415

            talk.tell(f"for a phone on this network: {at.for_others}\n{qr_code(at.for_others)}")
            talk.tell(WHO)
        talk.tell("the bench is open; Ctrl-C stops it")
        if not options.no_open:
            webbrowser.open(at.address)

    try:
        serve(asked, opened)
    except KeyboardInterrupt:
        talk.tell("The bench has stopped; all that was done is in its files.")
        return INTERRUPTED
    talk.tell("The bench was stopped from its page; all that was done is in its files.")
    return DONE
