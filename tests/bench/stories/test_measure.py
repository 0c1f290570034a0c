"""Measured on the page: drawn by clicking, read in any notation, seen to close.

Lengths are those of cabinets/corner-box: 420 along the bottom, 421 along the top, 300 high, the
diagonals 516 and 517; the outline that they make is worked by `mateline tape`.
"""

import tomllib

import pytest

from browsers import barriers
from mateline.bench.shapes import SHAPES, definition
from measuring_hands import drawn, edited, read, started, table

pytestmark = [pytest.mark.browser, pytest.mark.stories]

BOX = {"A-B": "420", "B-C": "300", "C-D": "421", "D-A": "300", "A-C": "516", "B-D": "517"}


def verdict(page):
    return page.text_content(".verdict")


def test_a_profile_is_clicked_and_its_readings_typed_until_they_close(visit, root):
    page = visit()
    started(page)
    drawn(page, (300, 200), (700, 200), (700, 500), (300, 500))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["outline"] == {
        "points": {"A": [0, 0], "B": [400, 0], "C": [400, 300], "D": [0, 300]}
    }
    assert {board: each["edge"] for board, each in box["panels"].items()} == {
        "bottom": "A-B", "back": "B-C", "top": "C-D", "front": "D-A",
    }  # fmt: skip
    assert "not measured" in verdict(page)
    for pair, text in BOX.items():
        assert page.evaluate("document.querySelector('.row.next input').id") == f"read-{pair}"
        read(page, pair, text)
    (box,) = table(root / "tall-one")["carcase"]
    assert box["outline"] == {"readings": {pair: int(text) for pair, text in BOX.items()}}
    assert "The readings close" in verdict(page)
    assert page.get_attribute("svg.drawing", "data-larger") in {"5", "10", "20", "50"}
    assert len(page.query_selector_all(".drawing ellipse.sure")) == 3  # A is held


@pytest.mark.stories
def test_lines_drawn_clockwise_make_the_same_profile(visit, root):
    page = visit()
    started(page)
    drawn(page, (300, 500), (700, 500), (700, 200), (300, 200))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["outline"]["points"] == {"A": [0, 0], "B": [400, 0], "C": [400, 300], "D": [0, 300]}


def test_a_profile_by_keys_alone(visit, root):
    page = visit()
    page.focus("#new-title")
    page.keyboard.type("Tall one")
    for key in ("[data-key=unit-mm]", "[data-key=shape-empty]"):
        page.focus(key)
        page.keyboard.press("Space")
    page.focus("#new-title")
    page.keyboard.press("Enter")
    page.wait_for_selector("body[data-ready=measure] svg.drawing")
    page.focus("[data-key=pen]")
    page.keyboard.press("Enter")
    page.wait_for_selector("svg.drawing[role=application]:focus")
    # the cross starts two squares from the left and the floor; shift takes ten steps of 10 mm
    for keys in ("Enter", "Shift+ArrowRight Enter", "Shift+ArrowUp Enter", "Shift+ArrowLeft Enter"):
        for key in keys.split():
            page.keyboard.press(key)
    page.focus("[data-key=pen-close]")
    edited(page, lambda: page.keyboard.press("Enter"))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["outline"]["points"]["C"] == [100, 100]
    page.focus("#read-A-B")
    for text in BOX.values():
        page.keyboard.type(text)
        edited(page, lambda: page.keyboard.press("Enter"))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["outline"]["readings"] == {pair: int(text) for pair, text in BOX.items()}


def test_a_doubted_reading_says_what_it_is_off_by(visit, copied):
    folder = copied("harbour-lights")
    page = visit("#/harbour-lights/measure")
    read(page, "A-C", "57 7/16")  # an inch short
    assert "A-C reads about" in verdict(page)
    row = page.locator(".row.bad")
    assert row.count() == 1
    assert row.locator("#read-A-C").count() == 1
    said = page.text_content(".drawing .slip")
    assert "too short" in said
    assert said in row.text_content()
    assert page.locator(".drawing .measured.bad").count() == 1
    edited(page, lambda: page.click("[data-key=undo]"))
    assert table(folder)["carcase"][0]["left"]["readings"]["A-C"] == "58 7/16"
    assert page.locator(".row.bad").count() == 0


@pytest.mark.stories
def test_what_to_measure_next_is_drawn_and_offered(visit, copied):
    folder = copied("corner-box")
    page = visit("#/corner-box/measure")
    edited(page, lambda: page.click("[data-key=read-B-D-out]"))
    assert page.locator(".drawing .dash").count() == 1
    assert page.evaluate("document.querySelector('.row.next input').id") == "read-B-D"
    read(page, "B-D", "51,7 cm")
    assert table(folder)["carcase"][0]["outline"]["readings"]["B-D"] == "51,7 cm"
    assert "The readings close" in verdict(page)


def test_a_reading_that_is_none_is_told_where_it_was_typed(visit, copied):
    copied("corner-box")
    page = visit("#/corner-box/measure")
    read(page, "A-C", "a yard")
    assert "a yard" in page.locator(".row.bad .fault").text_content()


@pytest.mark.stories
def test_a_length_read_twice_checks_itself(visit, copied):
    folder = copied("corner-box")
    page = visit("#/corner-box/measure")
    edited(page, lambda: page.click("[data-key=read-A-C-again]"))
    page.fill("#read-A-C-1", "517")
    edited(page, lambda: page.press("#read-A-C-1", "Enter"))
    assert table(folder)["carcase"][0]["outline"]["readings"]["A-C"] == [516, 517]


@pytest.mark.stories
def test_a_row_of_the_table_is_changed_in_its_place(visit, copied):
    folder = copied("night-ferry")
    before = table(folder)["carcase"][0]["outline"]["readings"]
    page = visit("#/night-ferry/measure")
    read(page, "B-D", "1805")
    after = table(folder)["carcase"][0]["outline"]["readings"]
    assert after == before | {"B": before["B"].replace("D 1804", "D 1805")}


@pytest.mark.stories
def test_two_clicked_corners_are_the_next_reading(visit, copied):
    copied("night-ferry")
    page = visit("#/night-ferry/measure")
    edited(page, lambda: page.click("[data-key=read-C-E-out]"))
    page.click("[data-key=corner-C]")
    page.click("[data-key=corner-E]")
    assert page.evaluate("document.activeElement.id") == "read-C-E"


@pytest.mark.stories
def test_left_and_right_are_measured_apart_and_as_one_again(visit, copied):
    folder = copied("corner-box")
    page = visit("#/corner-box/measure")
    edited(page, lambda: page.check("#sides-apart"))
    (box,) = table(folder)["carcase"]
    assert set(box["left"]["readings"]) == set(BOX)
    assert box["right"]["readings"] == {}
    page.click("[data-key=side-right]")
    for pair, text in BOX.items():
        read(page, pair, text)
    (box,) = table(folder)["carcase"]
    assert box["right"] == {"readings": {pair: int(text) for pair, text in BOX.items()}}
    edited(page, lambda: page.uncheck("#sides-apart"))
    (box,) = table(folder)["carcase"]
    assert box["outline"]["readings"]["A-C"] == 516
    assert "left" not in box
    assert "right" not in box


@pytest.mark.stories
def test_a_corner_more_and_a_corner_less(visit, root):
    page = visit()
    started(page, shape="box")
    page.click("[data-key=edge-C-D]")
    edited(page, lambda: page.click("[data-key=add-corner]"))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["corners"] == ["A", "B", "C", "E", "D"]
    assert {each["edge"] for each in box["panels"].values()} == {"A-B", "B-C", "C-E", "E-D", "D-A"}
    edited(page, lambda: page.focus("[data-key=corner-E]") or page.keyboard.press("ArrowUp"))
    (moved,) = table(root / "tall-one")["carcase"]
    assert moved["outline"]["points"]["E"][1] == box["outline"]["points"]["E"][1] + 5
    page.click("[data-key=corner-E]")
    edited(page, lambda: page.click("[data-key=out-corner]"))
    (box,) = table(root / "tall-one")["carcase"]
    assert box["corners"] == ["A", "B", "C", "D"]
    assert {each["edge"] for each in box["panels"].values()} == {"A-B", "B-C", "C-D", "D-A"}


def test_a_corner_is_dragged_in_one_edit(visit, root, bench):
    page = visit()
    started(page, shape="box")
    box = page.locator("[data-key=corner-C] .corner").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 20, y + 10, steps=4)
    page.mouse.move(x - 40, y + 30, steps=4)
    edited(page, page.mouse.up)
    (moved,) = table(root / "tall-one")["carcase"]
    assert moved["outline"]["points"]["C"][0] < 500
    assert moved["outline"]["points"]["C"][1] < 750
    assert bench.get("/cabinets/tall-one/definition")["undo"]["count"] == 1


@pytest.mark.stories
def test_another_carcase_stands_on_the_first_and_is_called_anew(visit, copied):
    folder = copied("corner-box")
    page = visit("#/corner-box/measure")
    edited(page, lambda: page.click("[data-key=carcase-more]"))
    _, second = table(folder)["carcase"]
    assert second["stands_on"] == {"carcase": "box", "edge": "C-D"}
    assert (second["width"], second["board"]) == (380, 12)
    page.click("[data-key=carcase-0]")
    page.fill("#carcase-name", "chest")
    edited(page, lambda: page.press("#carcase-name", "Enter"))
    now = table(folder)
    assert now["carcase"][1]["stands_on"]["carcase"] == "chest"
    assert now["hardware"][0]["on"] == "chest-front"
    assert now["art"][0]["wrap"] == ["chest-left", "chest-front"]


def test_beside_the_cabinet_one_reading_after_another_by_thumb(visit, root):
    page = visit(size="phone", has_touch=True)
    started(page, unit="in", shape="box")
    page.tap("[data-key=keypad]")
    page.wait_for_selector(".keypad")
    assert "A to B" in page.text_content(".pair")
    for key in ("2", "0", "1/16"):
        page.tap(f"[data-key='key-{key}']")
    assert page.input_value("#keypad-typed") == "20 1/16"
    edited(page, lambda: page.tap("#keypad-take"))
    assert "B to C" in page.text_content(".pair")
    page.tap("[data-key=keypad-skip]")
    assert "C to D" in page.text_content(".pair")
    page.tap("[data-key=keypad-back]")
    assert "B to C" in page.text_content(".pair")
    assert table(root / "tall-one")["carcase"][0]["outline"]["readings"] == {"A-B": "20 1/16"}
    in_sight = """() => ["#keypad-take", "#keypad-typed", ".pads", ".stage"].every((each) => {
        const box = document.querySelector(each).getBoundingClientRect();
        return box.top >= 0 && box.bottom <= innerHeight && box.right <= innerWidth; })"""
    assert page.evaluate(in_sight)


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        ("phone", "dark"),
        pytest.param("desk", "light", marks=pytest.mark.stories),
        pytest.param("tablet", "light", marks=pytest.mark.stories),
    ],
)
def test_no_barrier_and_nothing_too_wide_or_too_small(visit, copied, axe, size, scheme):
    copied("harbour-lights")
    for at in ("", "#/harbour-lights/measure", "#/harbour-lights/measure/keypad",
               "#/harbour-lights/paint", "#/harbour-lights/text"):  # fmt: skip
        page = visit(at, size=size, color_scheme=scheme)
        page.wait_for_function("() => !document.querySelector('.busy')")
        assert barriers(page, axe) == [], at
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), at
        small = page.evaluate(
            """() => [...document.querySelectorAll("button, a, select, input")]
            .filter((each) => !["radio", "checkbox"].includes(each.type))
            .map((each) => [each, each.getBoundingClientRect()])
            .filter(([each, box]) => box.width && !each.classList.contains("skip"))
            .filter(([, box]) => box.width < 44 || box.height < 43.9)
            .map(([each]) => each.outerHTML.slice(0, 90))"""
        )
        assert small == [], at
        page.context.close()


@pytest.mark.stories
def test_every_starting_shape_shows_and_can_be_measured(visit, root, bench):
    page = visit()
    for shape in SHAPES:
        page.goto(bench.address)
        page.wait_for_selector("[data-key=start]")
        started(page, title=f"One {shape}", shape=shape)
        assert page.locator(".drawing .corner").count() >= 3
    assert len(list(root.glob("one-*/cabinet.toml"))) == len(SHAPES)


def test_shapes_to_draw_from_are_those_that_a_cabinet_starts_with(visit):
    page = visit()
    shown = page.evaluate("async () => (await import('/page/measuring/shapes.js')).SHAPES")
    for shape, corners in shown.items():
        stated = tomllib.loads(definition("One", shape, "mm"))["carcase"][0]["outline"]["points"]
        assert [[25 * x, 25 * y] for x, y in corners] == list(stated.values())


@pytest.mark.stories
def test_a_second_carcase_is_drawn_from_a_shape(visit, copied):
    folder = copied("corner-box")
    page = visit("#/corner-box/measure")
    edited(page, lambda: page.click("[data-key=carcase-more]"))
    page.wait_for_selector("[data-key=carcase-1][aria-pressed=true]")
    page.click("[data-key=pen]")
    edited(page, lambda: page.click("[data-key=pen-wedge]"))
    box, head = table(folder)["carcase"]
    assert head["outline"]["points"] == {
        "A": [0, 0],
        "B": [350, 0],
        "C": [350, 600],
        "D": [200, 600],
    }
    assert box["outline"]["readings"]["A-B"] == 420
