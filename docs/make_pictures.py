"""The pictures of README and of docs/first-cabinet.md, made anew from the cabinets.

    python docs/make_pictures.py

Needs Chromium (`apt-get install chromium`, or MATELINE_BROWSER=/path/to/it) and what `pip install
-e .[dev]` brings. Builds both cabinets into a folder that is dropped again.
"""

import io
import os
import shutil
import tempfile
import threading
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from PIL import Image
from playwright.sync_api import sync_playwright

from mateline.bench.serving.server import Wanted, serve
from mateline.exports import build
from mateline.survey import surveyed, with_true_borders

DOCS = Path(__file__).parent
CABINETS = DOCS.parent / "cabinets"
COLOURS = 48  # of a picture: flat paints need no more, and files stay small
MOST = 600_000  # bytes of all pictures together

SHOWN = "<style>body{margin:0;background:#fff}svg{display:block;width:100%;height:auto}</style>"
# The lines of a stencil are as thin as a cut; in a picture they would be lost.
BOLD = "svg * { vector-effect: non-scaling-stroke; stroke-width: 1.3px }"


class Shot(NamedTuple):
    """One picture: a file of a build, shown `wide` px, and what of the page is taken."""

    name: str
    cabinet: str
    file: str
    wide: int
    high: int
    face: str | None = None  # of the job book: scrolled to


SHOTS = (
    Shot("book", "harbour-lights", "job-book.html", 1180, 760, "body-left"),
    Shot("stencil", "harbour-lights", "faces/body-left/stencil.svg", 1180, 0),
    Shot("laying", "harbour-lights", "faces/body-left/laying.svg", 1180, 0),
    Shot("box-cabinet", "corner-box", "cabinet.svg", 820, 0),
    Shot("box-front", "corner-box", "faces/box-front/picture.svg", 820, 0),
    Shot("box-stencil", "corner-box", "faces/box-front/stencil.svg", 620, 0),
    Shot("box-laying", "corner-box", "faces/box-front/laying.svg", 820, 0),
    Shot("box-whole-job", "corner-box", "job-book.html", 820, 760),
)


class View(NamedTuple):
    """One picture of the bench: a view of a cabinet, once what is `ready` is there."""

    name: str
    cabinet: str
    view: str
    ready: str
    wide: int = 1180
    high: int = 760


VIEWS = (
    View("bench-measure", "harbour-lights", "measure", "svg.drawing path"),
    View("bench-look", "harbour-lights", "look", "canvas[data-painted]"),
    View("bench-art", "corner-box", "art", "svg.drawing path"),
    View("box-bench", "corner-box", "measure", "svg.drawing path", 820, 620),
)


def main():
    browser = os.environ.get("MATELINE_BROWSER") or shutil.which("chromium")
    (DOCS / "pictures").mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as running:
        built = {name: Path(folder) / name for name in {shot.cabinet for shot in SHOTS}}
        for name, place in built.items():
            build.write(with_true_borders(surveyed(CABINETS / name)), place)
        opened = running.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        total = sum(made(opened, shot, built[shot.cabinet]) for shot in SHOTS)
        opened.close()
        # The page asks for its own server only, and draws the cabinet in space by WebGL.
        flags = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
        opened = running.chromium.launch(executable_path=browser, args=flags)
        root = Path(folder) / "cabinets"
        for name in sorted({view.cabinet for view in VIEWS}):
            shutil.copytree(CABINETS / name, root / name)
        with served(root) as address:
            total += sum(seen(opened, view, address) for view in VIEWS)
        opened.close()
    if total > MOST:
        raise SystemExit(f"The pictures are {total} bytes together, more than {MOST}.")


def made(browser, shot, folder):
    """Write one picture; its bytes."""
    tall = shot.high or 1200
    page = browser.new_page(
        viewport={"width": shot.wide, "height": tall}, reduced_motion="reduce", color_scheme="light"
    )
    source = (folder / shot.file).as_uri()
    if shot.file.endswith(".svg"):
        holder = folder / "holder.html"
        image = (folder / shot.file).read_text(encoding="utf-8")
        holder.write_text(f"<!doctype html>{SHOWN}<body>{image}", encoding="utf-8")
        page.goto(holder.as_uri())
        if shot.file.endswith("stencil.svg"):
            page.add_style_tag(content=BOLD)
        data = page.locator("svg").screenshot()
    else:
        page.goto(source)
        if shot.face:
            page.fill("#step", "2")
            page.locator("#step").blur()
            page.locator(f"#face-{shot.face}").evaluate("each => each.scrollIntoView()")
        page.wait_for_timeout(500)
        data = page.screenshot()
    page.close()
    return kept(shot.name, data)


@contextmanager
def served(root):
    """The bench of a folder; its address."""
    at, ready = [], threading.Event()

    def opened(where):
        at.append(where.address)
        ready.set()

    asked = Wanted(root, root / "exports")
    serving = threading.Thread(target=serve, args=(asked, opened), daemon=True)
    serving.start()
    ready.wait(60)
    yield at[0]


def seen(browser, view, address):
    """Write the picture of one view; its bytes."""
    page = browser.new_page(
        viewport={"width": view.wide, "height": view.high},
        reduced_motion="reduce",
        color_scheme="light",
    )
    page.goto(f"{address}#/{view.cabinet}/{view.view}")
    page.wait_for_selector(view.ready, state="attached", timeout=60_000)
    page.wait_for_load_state("load")
    page.wait_for_timeout(1500)
    data = page.screenshot()
    page.close()
    return kept(view.name, data)


def kept(name, data):
    """Write a picture with few colours; its bytes."""
    path = DOCS / "pictures" / f"{name}.png"
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
    return path.stat().st_size


if __name__ == "__main__":
    main()
