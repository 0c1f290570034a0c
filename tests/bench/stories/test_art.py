"""Art put on a cabinet: dropped, dragged, typed, matched by landmarks, wrapped, mirrored."""

import tomllib
from io import BytesIO

import pytest
from PIL import Image

from browsers import barriers, two_frames
from mateline.survey import surveyed

pytestmark = [pytest.mark.browser, pytest.mark.stories]
REST = [
    ("desk", "light"),
    ("desk", "dark"),
    ("tablet", "light"),
    ("tablet", "dark"),
    ("phone", "light"),
]

TEAL = "#1f7a7c"
SUN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">'
    f'<circle id="sun" cx="60" cy="40" r="30" fill="{TEAL}"/>'
    f'<circle id="star" cx="110" cy="10" r="8" fill="{TEAL}"/></svg>'
)
PLACE = """([x, y]) => {
  const matrix = document.querySelector("svg.drawing").getScreenCTM();
  const spot = new DOMPoint(x, -y).matrixTransform(matrix);
  return [spot.x, spot.y];
}"""
UNDO = """(words) => document.querySelector('[data-key="undo"]')
  .getAttribute("aria-label").replaceAll("\\u00a0", " ") === words"""
DROP = """([text, name, x, y]) => {
  const data = new DataTransfer();
  data.items.add(new File([text], name, { type: "image/svg+xml" }));
  const svg = document.querySelector("svg.drawing");
  svg.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: data,
    clientX: x, clientY: y }));
}"""

SMALL = """() => [...document.querySelectorAll("button, a, select, input")]
  .filter((each) => !["radio", "checkbox", "range"].includes(each.type))
  .map((each) => [each, each.getBoundingClientRect()])
  .filter(([each, box]) => box.width > 1 && !each.classList.contains("skip"))
  .filter(([, box]) => box.width < 43.9 || box.height < 43.9)
  .map(([each]) => each.outerHTML.slice(0, 90))"""


class Wall:
    """The art view of a page."""

    def __init__(self, page, folder):
        self.page, self.folder = page, folder
        page.wait_for_selector("body[data-art]")
        page.wait_for_selector(".faces.cards .card svg")

    def at(self, x, y):
        return self.page.evaluate(PLACE, [x, y])

    def drag(self, start, end):
        self.page.mouse.move(*self.at(*start))
        self.page.mouse.down()
        self.page.mouse.move(*self.at(*[(a + b) / 2 for a, b in zip(start, end, strict=True)]))
        two_frames(self.page)
        self.page.mouse.move(*self.at(*end))
        two_frames(self.page)
        self.page.mouse.up()

    def settled(self, words):
        self.page.wait_for_function(UNDO, arg=f"Undo: {words}")

    def text(self):
        return (self.folder / "cabinet.toml").read_text()

    def art(self):
        return tomllib.loads(self.text())["art"]


@pytest.fixture
def wall(copied, visit):
    folder = copied("corner-box")
    (folder / "sun.svg").write_text(SUN)
    return Wall(visit("#/corner-box/art/box-right"), folder)


def put_on(wall):
    wall.page.click('[data-key="face-box-right"]')
    wall.page.select_option("#add-drawing", "sun.svg")
    wall.settled("Put sun.svg on box-right")
    wall.page.wait_for_selector(".art-stage .art.picked")


def test_dragging_and_typing_give_the_same_definition(wall):
    """From the middle of the face (420 x 300, lower left at 0, 0) by 60 right and 40 down."""
    put_on(wall)
    before = wall.text()
    wall.drag((210, 150), (270, 110))
    wall.settled("Move sun.svg to 60 mm right, 40 mm down")
    dragged = wall.text()
    assert wall.art()[-1]["offset"] == [60, -40]
    wall.page.click('[data-key="undo"]')
    wall.settled("Put sun.svg on box-right")
    assert wall.text() == before
    fields = wall.page.locator('[id$="/offset-0"], [id$="/offset-1"]')
    for field, typed in ((0, "60"), (1, "-40")):  # one after the other, as fast as one types
        fields.nth(field).fill(typed)
        fields.nth(field).press("Tab")
    wall.page.evaluate("import('/page/store.js').then((store) => { window.store = store; })")
    wall.page.wait_for_function(
        "() => window.store.state.definition.table.art.at(-1).offset?.join() === '60,-40'"
    )
    assert wall.text() == dragged


def test_a_drawing_moved_by_keys_is_one_edit(wall):
    put_on(wall)
    wall.page.focus(".art-stage .art.picked")
    for _ in range(3):
        wall.page.keyboard.press("ArrowRight")
    wall.page.keyboard.press("Shift+ArrowUp")
    wall.settled("Move sun.svg to 3 mm right, 10 mm up")
    assert wall.art()[-1]["offset"] == [3, 10]


@pytest.mark.stories
def test_a_drawing_is_turned_and_scaled_by_its_handles(wall):
    put_on(wall)
    turn = wall.page.locator('svg.drawing [aria-label="Turn"]').bounding_box()
    middle = wall.at(210, 150)
    x, y = turn["x"] + turn["width"] / 2, turn["y"] + turn["height"] / 2
    wall.page.mouse.move(x, y)
    wall.page.mouse.down()
    # A quarter turn to the left: the handle above the middle comes to its left.
    wall.page.mouse.move(middle[0] - (middle[1] - y) + 1, middle[1] - 1)
    two_frames(wall.page)
    wall.page.mouse.move(middle[0] - (middle[1] - y), middle[1])
    two_frames(wall.page)
    wall.page.mouse.up()
    wall.settled("Turn sun.svg to 90°")
    assert wall.art()[-1]["turn"] == 90
    wall.page.wait_for_function(
        "() => document.querySelector('svg.drawing [aria-label=\"Scale\"]')"
    )
    wall.page.focus('svg.drawing [aria-label="Scale"]')
    wall.page.keyboard.press("ArrowUp")
    wall.settled("Scale sun.svg to 1.01 times")
    assert wall.art()[-1]["scale"] == 1.01


def test_a_dropped_file_is_kept_and_lies_where_it_was_dropped(wall):
    wall.page.click('[data-key="face-box-right"]')
    wall.page.wait_for_function(
        "() => document.querySelector('svg.drawing .rim').getAttribute('d')"
    )
    wall.page.evaluate(DROP, [SUN, "New Sun.svg", *wall.at(150, 120)])
    wall.settled("Put new-sun.svg on box-right")
    assert (wall.folder / "new-sun.svg").read_text() == SUN
    entry = wall.art()[-1]
    assert entry["offset"] == pytest.approx([150, 120], abs=1.5)  # a drop is told in whole pixels
    assert entry == {
        "drawing": "new-sun.svg", "on": "box-right", "anchor": "centre", "offset": entry["offset"],
    }  # fmt: skip
    job = surveyed(wall.folder)
    (sun,) = [each for each in job.art if each.drawing == "new-sun.svg"]
    middle = sun.shapes[0].area.centroid.coords[0]
    assert middle == pytest.approx(tuple(entry["offset"]), abs=0.01)


def test_landmarks_are_matched_by_clicking_part_and_place(wall):
    put_on(wall)
    wall.page.click("summary:has-text('By landmarks')")
    for name, place in (("sun", (100, 100)), ("star", (150, 130))):
        wall.page.select_option('[data-key="landmark-name"]', name)
        wall.page.wait_for_selector(".pointing")
        wall.page.mouse.click(*wall.at(*place))
        wall.settled(f"Match {name} of sun.svg to {place[0]} mm right, {place[1]} mm up")
    assert wall.art()[-1] == {
        "drawing": "sun.svg", "on": "box-right",
        "landmarks": {"sun": [100, 100], "star": [150, 130]},
    }  # fmt: skip


@pytest.mark.stories
def test_a_drawing_is_wrapped_over_faces_in_the_order_of_clicks_and_mirrored(wall):
    put_on(wall)
    wall.page.click('[data-key="way-wrap"]')
    wall.settled("sun.svg: wrapped, from box-right on")
    wall.page.click('[data-key="goes-box-front"]')
    wall.settled("Put sun.svg on round box-front")
    assert wall.art()[-1]["wrap"] == ["box-right", "box-front"]
    assert "on" not in wall.art()[-1]
    wall.page.click('[data-key="face-box-back"]')
    wall.page.select_option("#add-mirror", "box-front")
    wall.settled("Put the mirror image of box-front on box-back")
    assert wall.art()[-1] == {"mirror": "box-front", "onto": ["box-back"]}


def test_order_and_taking_off(wall):
    put_on(wall)
    wall.page.click('[data-key="down-2"]')
    wall.settled("sun.svg under the one before")
    assert [each["drawing"] for each in wall.art()] == ["band.svg", "sun.svg", "star.svg"]
    wall.page.click('[data-key="off-1"]')
    wall.settled("Take sun.svg off")
    assert [each["drawing"] for each in wall.art()] == ["band.svg", "star.svg"]


def test_a_photo_is_added_and_shown(wall):
    """A small JPEG is kept and named in the definition; squaring one is another story."""
    pixel = BytesIO()
    Image.new("RGB", (8, 6), "red").save(pixel, "JPEG")
    wall.page.click('[data-key="face-box-right"]')
    wall.page.set_input_files(
        "#art-file", {"name": "right.jpg", "mimeType": "image/jpeg", "buffer": pixel.getvalue()}
    )
    wall.settled("Add a photo of box-right")
    assert tomllib.loads(wall.text())["photo"] == [{"file": "right.jpg", "on": "box-right"}]
    wall.page.wait_for_function(
        "() => document.querySelector('.photo-pair img').naturalWidth === 8"
    )


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        ("phone", "dark"),
        *(pytest.param(*each, marks=pytest.mark.stories) for each in REST),
    ],
)
def test_no_barrier_and_nothing_too_wide_or_too_small(visit, copied, axe, size, scheme):
    copied("corner-box")
    for at, ready in (
        ("#/corner-box/art/box-left/0", "body[data-art]"),
        ("#/corner-box/trace", "[data-key='file-star.svg']"),
        ("#/corner-box/trace/-/star-lines.svg", "body[data-traced]"),
    ):
        page = visit(at, size=size, color_scheme=scheme)
        page.wait_for_selector(ready)
        page.wait_for_function("() => !document.querySelector('.busy')")
        for tool in ("fill", "choose") if "-lines" in at else ():
            page.click(f'[data-key="tool-{tool}"]')
        assert barriers(page, axe) == [], at
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), at
        assert page.evaluate(SMALL) == [], at
        page.context.close()
