"""What clicks, drags and keys on boards and hardware write: the lines that differ, and no others.

On corner-box: a latch of 20 mm on the front, 107 below the top and 190 from the left, in the file

    from = { top = 107, left = 190 }

read in mm to the millimetre, so one press of an arrow key is one mm.
"""

import pytest

from browsers import surveyed

pytestmark = [pytest.mark.browser, pytest.mark.stories]

BOX = "#/corner-box"
PLACE = "from = { top = 107, left = 190 } # to its middle, from two edges of the cabinet"


@pytest.fixture
def edits(box, bench):
    """(lines that went, lines that came) by what `act` does, once the file is another one."""

    def of(page, act, times=1):
        before = box.read_text(encoding="utf-8")
        steps = bench.get("/cabinets/corner-box/definition")["undo"]["count"]
        act()
        page.wait_for_function(
            "(count) => window.known.definition.undo.count >= count", arg=steps + times
        )
        old, new = before.splitlines(), box.read_text(encoding="utf-8").splitlines()
        return [each for each in old if each not in new], [each for each in new if each not in old]

    return of


def middle(locator):
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def said(page):
    return page.evaluate("window.known.definition.undo.next")


def test_an_arrow_key_moves_hardware_by_a_graduation(at, edits):
    page = at("hardware/box-front")
    grip = page.get_by_role("button", name="latch, 107")
    grip.focus()
    went, came = edits(page, lambda: page.keyboard.press("ArrowRight"))
    assert (went, came) == ([PLACE], [PLACE.replace("190", "191")])
    assert said(page) == "Move latch to 191 mm from the left"
    # Ten with shift; up is nearer to the top. The focus stays on what is moved.
    went, came = edits(page, lambda: page.keyboard.press("Shift+ArrowUp"))
    assert came == [PLACE.replace("190", "191").replace("107", "97")]


def test_a_drag_is_one_edit_in_steps_of_the_graduation(at, edits):
    page = at("hardware/box-front")
    x, y = middle(page.locator("[data-key=grip-0] .hole"))

    def drag():
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 37.3, y, steps=6)
        page.mouse.up()

    went, came = edits(page, drag)
    assert went == [PLACE]
    (line,) = came
    assert line.startswith("from = { top = 107, left = ")
    moved = line.removeprefix("from = { top = 107, left = ").split(" ")[0]
    assert moved.isdigit()
    assert int(moved) > 190
    assert page.evaluate("window.known.definition.undo.count") == 1


def test_escape_ends_a_drag_and_nothing_is_written(at, box):
    page = at("hardware/box-front")
    before = box.read_text(encoding="utf-8")
    x, y = middle(page.locator("[data-key=grip-0] .hole"))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y + 20, steps=4)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert page.evaluate("window.known.definition.undo.count") == 0
    assert box.read_text(encoding="utf-8") == before


def test_a_distance_is_typed_and_its_edge_lights_up(at, edits):
    page = at("hardware/box-front/latch")
    distance = page.get_by_role("textbox", name="From the top")
    distance.focus()
    assert page.locator(".edge-lit:not(.dim)").count() == 1
    distance.fill("4 1/8 in")
    went, came = edits(page, lambda: distance.press("Tab"))
    assert (went, came) == ([PLACE], [PLACE.replace("107", '"4 1/8 in"')])


def test_hardware_is_added_by_keys_alone(at, edits):
    page = at("hardware/box-top")
    page.wait_for_selector("[data-key=add-bolt]:enabled").focus()
    page.keyboard.press("Enter")
    went, came = edits(page, lambda: page.keyboard.press("Enter"))  # in the middle of the face
    assert went == []
    # `on = "box-top"` and the table's head may stand elsewhere in the file.
    known = {'on = "box-top"', "[[hardware]]"}
    new = ['name = "bolt"', 'kind = "bolt"', 'size = "M8"', "from = { left = 190, back = 210 }"]
    assert [each for each in came if each not in known] == new
    size = page.get_by_label("Size")
    went, came = edits(page, lambda: size.select_option("M6"))
    assert (went, came) == (['size = "M8"'], ['size = "M6"'])


def test_what_stays_is_mirrored_and_is_a_row(at, edits):
    page = at("hardware/box-front/latch")
    went, came = edits(page, lambda: page.get_by_role("button", name="It stays on").click())
    assert (went, came) == ([], ['state = "stays"'])
    mirrored = page.get_by_label("Mirrored to the other side")
    assert edits(page, mirrored.check) == ([], ["both_sides = true"])
    row = page.get_by_role("button", name="A row")
    assert edits(page, row.click) == ([], ["row = { count = 2, pitch = 50 }"])


def test_what_it_breaks_is_told_on_its_face(at, edits):
    page = at("hardware/box-front/latch")
    distance = page.get_by_role("textbox", name="From the top")
    distance.fill("210")
    edits(page, lambda: distance.press("Tab"))
    surveyed(page)
    assert page.locator(".finding").filter(has_text="latch").count() >= 1


def test_a_joint_is_chosen_at_its_corner(at, edits):
    page = at("boards")
    corner = page.get_by_role("button", name="Corner D")
    corner.focus()
    page.keyboard.press("Enter")
    mitred = page.get_by_role("button", name="mitred", exact=True)
    went, came = edits(page, mitred.click)
    assert went == []
    assert came in (['joints = ["front mitre top"]'], ['joints = ["top mitre front"]'])
    usual = page.get_by_role("button", name="as usual")
    assert edits(page, usual.click) == (came, [])


def test_an_edge_is_rounded_and_sharp_again(at, edits):
    page = at("boards")
    page.get_by_role("button", name="left and front").click()
    before = '"left and front"  = { end = "art" }'
    rounded = page.get_by_role("button", name="Round", exact=True)
    went, (came,) = edits(page, rounded.click)
    assert went == [before]
    assert came == '"left and front"  = { end = "art", round = 12 }'
    radius = page.get_by_label("Radius")
    radius.fill("10")
    assert edits(page, lambda: radius.press("Tab")) == ([came], [came.replace("12", "10")])
    sharp = page.get_by_role("button", name="Sharp", exact=True)
    assert edits(page, sharp.click)[1] == [before]


def test_a_board_is_missing_and_thinner(at, edits):
    page = at("boards")
    page.get_by_role("button", name="Board bottom, side A-B").focus()
    page.keyboard.press("Enter")
    thickness = page.get_by_label("Thickness")
    thickness.fill("9")
    went, came = edits(page, lambda: thickness.press("Tab"))
    assert (went, came) == (
        ['bottom = { edge = "A-B" }'],
        ['bottom = { edge = "A-B", board = 9 }'],
    )
    missing = page.get_by_label("There is no board")
    assert edits(page, missing.check)[1] == ['bottom = { edge = "A-B", board = 9, missing = true }']


@pytest.mark.stories
def test_an_edge_is_picked_on_the_cabinet_in_space(at):
    page = at("boards")
    page.get_by_role("button", name="Cabinet", exact=True).click()
    page.wait_for_selector(".stage[data-ready]")
    # Where the painter shows the middle of the edge between the left side and the front.
    spot = page.evaluate(
        """async () => {
        const { placesOf } = await import("/page/watching/places.js");
        const { face, at } = await import("/page/store.js");
        const { get } = await import("/page/wire.js");
        const scene = await get(at("space")), left = await face("box-left");
        const edge = left.edges.find((each) => each.beyond === "box-front");
        const middle = [0, 1].map((axis) => (edge.from[axis] + edge.to[axis]) / 2);
        return placesOf(scene).raised("box-left", middle);
        }"""
    )
    assert spot[0] == pytest.approx(0, abs=0.5)  # on the cabinet's left side
    stage = page.locator(".stage:not([hidden])")
    box = stage.bounding_box()
    found = False
    for across in range(20, int(box["width"]) - 20, 12):  # along a line through the cabinet
        page.mouse.move(box["x"] + across, box["y"] + box["height"] * 0.6)
        word = page.locator(".space-word").inner_text()
        if word in {"box-left, front (box-front)", "box-front, left (box-left)"}:
            page.mouse.down()
            page.mouse.up()
            found = True
            break
    assert found
    assert page.get_by_role("heading", name="left and front").is_visible()
