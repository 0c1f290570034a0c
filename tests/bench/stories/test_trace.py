"""Traced by hand: lines, arcs and circles on a face, filled, corrected, and read as a pattern.

A face of corner-box's front is 380 x 300 mm (its height is solved from the readings: 299.99). Areas
are worked on the page.
"""

import math
import tomllib

import pytest
from lxml import etree

from browsers import two_frames
from mateline.drawing.borders.borders import Circle
from mateline.drawing.borders.reader import borders_in
from mateline.drawing.borders.writer import borders_svg
from mateline.one_drawing import pattern_report

pytestmark = [pytest.mark.browser, pytest.mark.stories]

FILE = "box-front-lines.svg"
TEAL, CORAL, CREAM = "#1f7a7c", "#e4633f", "#f6ead0"
PLACE = """([x, y]) => {
  const matrix = document.querySelector("svg.drawing").getScreenCTM();
  const spot = new DOMPoint(x, -y).matrixTransform(matrix);
  return [spot.x, spot.y];
}"""

UNDO = """(words) => document.querySelector('[data-key="undo"]')
  .getAttribute("aria-label").replaceAll("\u00a0", " ") === words"""


class Paper:
    """The tracing paper of a page: points by mm right and up."""

    def __init__(self, page, folder, file=FILE):
        self.page, self.path = page, folder / file
        page.wait_for_selector("body[data-traced]")

    def tool(self, name):
        self.page.click(f'[data-key="tool-{name}"]')

    def point(self, x, y):
        at = self.page.evaluate(PLACE, [x, y])
        self.page.mouse.move(*at)
        self.page.mouse.down()
        self.page.mouse.up()

    def drag(self, start, end):
        self.page.mouse.move(*self.page.evaluate(PLACE, start))
        self.page.mouse.down()
        self.page.mouse.move(
            *self.page.evaluate(PLACE, [(a + b) / 2 for a, b in zip(start, end, strict=True)])
        )
        self.page.mouse.move(*self.page.evaluate(PLACE, end))
        two_frames(self.page)
        self.page.mouse.up()

    def fill(self, colour, x, y):
        self.page.click(f'[data-key="colour-{colour}"]')
        self.point(x, y)

    def said(self, words):
        """Wait until the paper's heading says so."""
        self.page.wait_for_selector(f".side .hint:has-text('{words}')")

    def settled(self, words):
        """Wait until an edit is written: the bar's undo then names it."""
        self.page.wait_for_function(UNDO, arg=f"Undo: {words}")

    def borders(self):
        return borders_in(FILE, etree.fromstring(self.path.read_bytes()))[0]


@pytest.fixture
def paper(copied, visit):
    folder = copied("corner-box")
    return Paper(visit(f"#/corner-box/trace/box-front/{FILE}"), folder)


def sea_and_sun(paper):
    """A sea 100 high, half a sun of radius 90 on it, and a moon 60 across."""
    paper.tool("line")
    paper.point(0, 100)
    paper.point(380, 100)
    paper.page.keyboard.press("Escape")
    paper.tool("arc")
    for at in ((100, 100), (280, 100), (190, 190)):
        paper.point(*at)
    paper.tool("template")
    paper.page.select_option("#template-size", label="60\u00a0mm")
    paper.point(320, 240)
    paper.said("4 regions")


def test_a_face_is_drawn_filled_and_read_as_the_pattern_that_it_is(paper):
    sea_and_sun(paper)
    paper.tool("fill")
    paper.fill("teal", 190, 50)
    paper.fill("coral", 190, 150)
    paper.fill("teal", 320, 240)
    paper.said("3 of 4 regions")
    paper.fill("cream", 50, 250)
    paper.said("4 of 4 regions")
    paper.settled("Fill a region cream")
    areas = pattern_report(paper.path).colours()
    half, moon = math.pi * 90**2 / 2, math.pi * 30**2
    assert areas[TEAL] == pytest.approx(380 * 100 + moon, rel=1e-3)
    assert areas[CORAL] == pytest.approx(half, rel=1e-3)
    drawn = paper.borders()
    assert borders_svg(drawn) == paper.path.read_text()  # as Python would have written it
    assert [type(each) for each in drawn.borders][2] is Circle
    assert drawn.borders[1].steps[0].rx == 90
    definition = tomllib.loads((paper.path.parent / "cabinet.toml").read_text())
    assert definition["art"][-1] == {"drawing": FILE, "on": "box-front"}


def test_every_change_is_undone_and_done_again(paper):
    sea_and_sun(paper)
    paper.settled("Lay on a circle 60 mm across")
    whole = paper.path.read_text()
    for lines in (2, 1, 0):
        paper.page.click('[data-key="undo"]')
        paper.said(f"{lines} line")
    for lines in (1, 2, 3):
        paper.page.click('[data-key="redo"]')
        paper.said(f"{lines} line")
    assert paper.path.read_text() == whole


def test_a_face_is_drawn_by_keys_alone(paper):
    """From the middle of the paper (190, 150): a line from edge to edge 50 up, and its fill."""
    keys = paper.page.keyboard
    paper.page.focus("svg.drawing")
    keys.press("l")
    for _ in range(10):
        keys.press("Shift+ArrowDown")  # ten marks of the tape each
    for _ in range(19):
        keys.press("Shift+ArrowLeft")
    keys.press("Enter")
    for _ in range(38):
        keys.press("Shift+ArrowRight")
    keys.press("Enter")
    keys.press("Escape")
    paper.settled("Draw a line of 380 mm")
    keys.press("f")
    keys.press("Shift+ArrowDown")
    keys.press("Shift+ArrowLeft")
    keys.press("Enter")
    paper.said("1 of 2 regions")
    paper.settled("Put box-front-lines.svg on box-front")
    areas = pattern_report(paper.path).colours()
    assert areas[CORAL] == pytest.approx(380 * 50, rel=1e-6)


def test_points_are_typed_in_the_tapes_notation(paper):
    paper.tool("circle")
    for right, up in (("190", "150"), ("23 cm", "150")):
        paper.page.fill("#point-right", right)
        paper.page.fill("#point-up", up)
        paper.page.click('[data-key="set-point"]')
    paper.settled("Draw a circle 80 mm across")
    (circle,) = paper.borders().borders
    assert circle.centre[0] == 190
    assert circle.radius == 40


def test_a_corner_is_moved_for_all_that_ends_there_and_lines_are_made_true(paper):
    paper.tool("line")
    for at in ((40, 200), (200, 210), (340, 150)):
        paper.point(*at)
    paper.page.keyboard.press("Escape")
    paper.settled("Draw a line of 152 mm")
    paper.tool("choose")
    paper.drag((200, 210), (220, 240))
    paper.settled("Move a corner")
    one, two = paper.borders().borders
    high = paper.borders().height
    assert (one.steps[0].x, high - one.steps[0].y) == pytest.approx((220, 240))
    assert (two.start[0], high - two.start[1]) == pytest.approx((220, 240))
    paper.point(130, 220)
    paper.page.click('[data-key="act-level"]')
    paper.settled("Make a line level")
    one, two = paper.borders().borders
    assert one.start[1] == one.steps[0].y == two.start[1]
    assert high - one.start[1] == pytest.approx(220)  # half of 200 and 240
    paper.page.click('[data-key="act-split"]')
    paper.settled("Split a line in two")
    assert len(paper.borders().borders) == 3


def test_a_gap_is_told_and_led_to(paper):
    paper.tool("line")
    paper.point(0, 100)
    paper.point(300, 100)
    paper.page.keyboard.press("Escape")
    paper.page.wait_for_selector("text=ends here in the open")
    paper.page.click('[data-key="flaw-0"]')
    paper.page.wait_for_selector("text=300\u00a0mm right, 100\u00a0mm up")
    paper.page.keyboard.press("Delete")
    paper.said("0 lines")


def test_a_list_of_files_that_comes_late_takes_no_stroke_away(paper):
    lists = []
    paper.page.route("**/corner-box/files", lambda route: lists.append((route, route.fetch())))
    paper.tool("line")
    for line in (((40, 200), (200, 200)), ((60, 60), (310, 60))):
        for at in line:
            paper.point(*at)
        paper.page.keyboard.press("Escape")
    paper.settled("Draw a line of 250 mm")
    while not lists:
        two_frames(paper.page)
    for route, answer in lists:  # the first of them knows of one stroke
        route.fulfill(response=answer)
    paper.page.unroute("**/corner-box/files")
    two_frames(paper.page)
    for at in ((60, 90), (320, 90)):
        paper.point(*at)
    paper.settled("Draw a line of 260 mm")
    assert len(paper.borders().borders) == 3


@pytest.mark.stories
def test_a_drawing_is_taken_over_and_takes_its_place(copied, visit):
    folder = copied("corner-box")
    page = visit("#/corner-box/trace")
    page.click('[data-key="file-star.svg"]')
    paper = Paper(page, folder, "star-lines.svg")
    paper.settled("Put star-lines.svg in the place of star.svg")
    art = tomllib.loads((folder / "cabinet.toml").read_text())["art"][1]
    assert art == {"drawing": "star-lines.svg", "on": "box-top", "anchor": "centre", "to": "centre"}
    before, after = (
        pattern_report(folder / name).colours() for name in ("star.svg", "star-lines.svg")
    )
    after.pop("none", None)
    before.pop("none", None)
    assert after == {colour: pytest.approx(area, rel=1e-3) for colour, area in before.items()}
    for words in ("Take over the borders of star.svg", None):
        page.click('[data-key="undo"]')
        if words:
            paper.settled(words)
    page.wait_for_selector('[data-key="undo"][aria-label="Nothing to undo"]')
    paper.said("8 of 12 regions")  # still on the paper, and written with the next line only
    assert not paper.path.exists()


@pytest.mark.stories
def test_a_finger_draws_and_fills_on_a_phone(copied, visit):
    folder = copied("corner-box")
    page = visit(f"#/corner-box/trace/box-front/{FILE}", size="phone", has_touch=True)
    paper = Paper(page, folder)
    for at in ((0, 100), (380, 100)):
        page.touchscreen.tap(*page.evaluate(PLACE, at))
    paper.said("2 regions")
    page.tap('[data-key="tool-fill"]')
    page.tap('[data-key="colour-teal"]')
    page.evaluate("scrollTo(0, 0)")
    page.touchscreen.tap(*page.evaluate(PLACE, (190, 50)))
    paper.said("1 of 2 regions")
    paper.settled("Put box-front-lines.svg on box-front")
    assert pattern_report(paper.path).colours()[TEAL] == pytest.approx(380 * 100, rel=1e-6)
