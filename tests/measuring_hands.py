"""A hand at the page for stories that measure: it starts cabinets, draws, types, and waits."""

import re
import tomllib

from browsers import two_frames

WRITTEN = re.compile(r"/(edit|undo|redo|text)$")
AT = """([x, y]) => {
  const matrix = document.querySelector("svg.drawing").getScreenCTM();
  const spot = new DOMPoint(x, -y).matrixTransform(matrix);
  return [spot.x, spot.y];
}"""


def edited(page, act):
    """Do what makes an edit, and wait for its answer."""
    with page.expect_response(WRITTEN) as told:
        act()
    assert told.value.ok
    two_frames(page)


def read(page, pair, text):
    """Type one reading of an outline."""
    page.fill(f"#read-{pair}", text)
    edited(page, lambda: page.keyboard.press("Enter"))


def started(page, title="Tall one", unit="mm", shape="empty"):
    """Start a cabinet on the first page."""
    page.fill("#new-title", title)
    page.click(f"[data-key=unit-{unit}]")
    page.click(f"[data-key=shape-{shape}]")
    page.click("[data-key=start]")
    page.wait_for_selector("body[data-ready=measure] svg.drawing")


def drawn(page, *corners):
    """Click corners on the ruled paper, mm from its lower left, and close the profile."""
    page.click("[data-key=pen]")
    for corner in corners:
        page.mouse.click(*page.evaluate(AT, corner))
    edited(page, lambda: page.click("[data-key=pen-close]"))


def table(folder):
    """What the definition states."""
    return tomllib.loads((folder / "cabinet.toml").read_text(encoding="utf-8"))
