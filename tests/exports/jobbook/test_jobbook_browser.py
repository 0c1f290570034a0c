"""The job book opened from the disk in a real browser, with the network shut.

Needs Chromium, and axe-core: see browsers.py.
"""

import io
from dataclasses import replace
from itertools import chain, repeat

import pytest
from PIL import Image

from book_handling import pinched
from browsers import SOFTWARE_GL, axe_source, barriers, two_frames
from browsers import launched as start
from mateline.exports.jobbook import html
from mateline.starter import write_starter
from mateline.survey import planned, surveyed, with_true_borders

pytestmark = pytest.mark.browser

NO_GL = ("--disable-gpu", "--disable-3d-apis")
DESK, PHONE = (1280, 900), (390, 844)


@pytest.fixture(scope="module")
def playwright():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def launched(playwright):
    """Starts a browser with some flags; all of them are closed at the end."""
    browsers = {}

    def launch(flags=SOFTWARE_GL):
        if flags not in browsers:
            browsers[flags] = start(playwright, flags)
        return browsers[flags]

    yield launch
    for browser in browsers.values():
        browser.close()


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("browser") / "box"
    write_starter(folder)
    return with_true_borders(surveyed(folder))


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def file(job, plan, tmp_path_factory):
    # levels of all three kinds, so that each one's colours are looked at
    levels = chain(("stop", "warn"), repeat("note"))
    assert len(job.findings) >= 3
    findings = tuple(
        replace(each, level=level) for each, level in zip(job.findings, levels, strict=False)
    )
    path = tmp_path_factory.mktemp("book") / "job-book.html"
    path.write_text(html(replace(job, findings=findings), plan), encoding="utf-8")
    return path


@pytest.fixture
def opened(launched, file):
    """Opens the book in a page of its own; fails if it asks for anything or complains."""
    asked, complaints, contexts = [], [], []

    def open_book(size=DESK, flags=SOFTWARE_GL, **more):
        width, height = size
        context = launched(flags).new_context(
            viewport={"width": width, "height": height},
            offline=True,
            reduced_motion="reduce",
            **more,
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: complaints.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(file.as_uri())
        return page

    yield open_book
    for context in contexts:
        context.close()
    outside = [url for url in asked if url != file.as_uri() and not url.startswith("data:")]
    assert outside == []
    assert [each for each in complaints if each.startswith("error") or ":" not in each] == []


@pytest.fixture(scope="module")
def axe(tmp_path_factory):
    """The accessibility rules, from the npm registry."""
    return axe_source(tmp_path_factory.mktemp("axe"))


def wet(page):
    return sorted(
        page.eval_on_selector_all("[data-state=wet]", "all => all.map(p => p.dataset.piece)")
    )


def chosen(page):
    return page.eval_on_selector_all(".over .chosen", "all => all.map(u => u.getAttribute('href'))")


def in_sight(page, selector):
    """Whether the middle of an element is on the screen and not under the bar."""
    return page.eval_on_selector(
        selector,
        """element => {
            const box = element.getBoundingClientRect();
            const bar = document.getElementById("bar").getBoundingClientRect();
            const x = box.x + box.width / 2, y = box.y + box.height / 2;
            return x >= 0 && x <= innerWidth && y >= 0 && y <= bar.top;
        }""",
    )


def drawn(page):
    page.wait_for_selector("#cabinet-3d[data-drawn]")
    return page.get_attribute("#cabinet-3d", "data-drawn")


def test_the_slider_takes_each_passes_pieces_off(opened, job, plan):
    page = opened()
    everything = sorted(piece.id for stencil in job.stencils for piece in stencil.pieces)
    page.focus("#step")
    page.keyboard.press("Home")
    assert page.inner_text("#step-title") == "Base coat: cream"
    assert wet(page) == everything
    for each in plan.passes[1:]:
        page.keyboard.press("ArrowRight")
        title = f"Pass {each.order}: {each.colour}"
        assert page.inner_text("#step-title") == title
        assert page.get_attribute("#step", "aria-valuetext") == title
        off = sorted(piece for there in each.faces for piece in there.off)
        assert wet(page) == off
        for there in each.faces:
            said = page.inner_text(f"[data-doing='{there.face}']")
            names = ", ".join(piece.rsplit(" ", 1)[1] for piece in there.off)
            assert said == f"Off and wet: {names}. Stays: {len(there.stays)}."
    page.keyboard.press("ArrowRight")
    assert wet(page) == []
    assert page.inner_text("#step-title") == "Finished: all board off"
    assert page.is_disabled("#step-next")


def test_what_is_under_board_and_what_is_done_can_be_told(opened, plan):
    page = opened()
    page.fill("#step", "2")
    first, second = (each.colour for each in plan.passes[1:])
    states = {
        (piece["colour"], piece["state"])
        for piece in page.eval_on_selector_all(
            ".piece", "all => all.map(p => ({colour: p.dataset.colour, state: p.dataset.state}))"
        )
    }
    assert (second, "wet") in states
    assert (first, "under") in states
    assert (second, "under") not in states
    page.fill("#step", "1")
    assert page.locator(f"[data-colour='{second}'][data-state=waiting]").count() > 0


def test_a_click_on_a_finding_marks_its_place(opened):
    page = opened()
    page.click("[data-show='2']")
    assert page.get_attribute("#mark-2", "class") == "mark chosen"
    assert in_sight(page, "#mark-2")
    assert page.inner_text("#live").startswith("Finding 2: ")
    page.click("#mark-2 text")
    assert page.evaluate("document.activeElement.id") == "finding-2"


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_the_finder_finds_a_piece_by_its_id(opened, size):
    page = opened(size)
    page.fill("#find", "box-right B1")
    page.keyboard.press("Enter")
    assert chosen(page) == ["#piece-box-right-B1"]
    assert in_sight(page, "#piece-box-right-B1")
    assert page.inner_text("#live").startswith("box-right B1: blue, ")


def test_a_short_id_goes_from_face_to_face(opened):
    page = opened()
    page.fill("#find", "b1")
    found = []
    for _ in range(3):
        page.press("#find", "Enter")
        found += chosen(page)
    assert found == ["#piece-box-left-B1", "#piece-box-right-B1", "#piece-box-front-B1"]
    assert page.inner_text("#find-said") == "3 of 3: box-front B1. Find again for the next."
    page.fill("#find", "Z9")
    page.press("#find", "Enter")
    assert page.inner_text("#find-said") == "There is no piece Z9."


def shades(page):
    """Shares of the canvas in the starter's blue and in its cream, lit by 0.66 to 1."""
    two_frames(page)
    picture = Image.open(io.BytesIO(page.locator("#cabinet-3d").screenshot())).convert("RGB")
    pixels = list(picture.resize((picture.width // 4, picture.height // 4)).getdata())
    blue = sum(b > 1.4 * g > 1.8 * r for r, g, b in pixels)
    cream = sum(r > 150 and 0.9 * r < g < r and 0.7 * r < b < 0.9 * r for r, g, b in pixels)
    return blue / len(pixels), cream / len(pixels)


def test_the_cabinet_is_drawn_in_its_colours(opened):
    page = opened()
    drawn(page)
    assert not page.is_visible("#cabinet-still")
    blue, cream = shades(page)
    assert blue > 0.01
    assert cream > 0.05


def test_the_cabinet_shows_the_pass_too(opened):
    page = opened()
    drawn(page)
    page.fill("#step", "0")
    blue, cream = shades(page)
    assert blue == 0
    assert cream > 0.05


def test_keys_turn_and_zoom_the_cabinet(opened):
    page = opened()
    before = drawn(page)
    page.focus("#cabinet-3d")
    for keys, wanted in ((("ArrowLeft", "ArrowUp", "+"), "-46 30 1.200"), (("0",), before)):
        for key in keys:
            page.keyboard.press(key)
        page.wait_for_selector(f"#cabinet-3d[data-drawn='{wanted}']")


@pytest.mark.parametrize(
    ("view", "face"), [("Left", "box-left"), ("Front", "box-front"), ("Top", "box-top")]
)
def test_a_click_on_the_cabinet_goes_to_the_face(opened, view, face):
    page = opened()
    drawn(page)
    page.get_by_role("button", name=view, exact=True).click()
    box = page.locator("#cabinet-3d").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.evaluate("document.activeElement.id") == f"face-{face}"


def test_without_webgl_there_is_the_still_picture(opened):
    page = opened(flags=NO_GL)
    assert page.is_visible("#cabinet-still")
    assert page.eval_on_selector("#cabinet-still", "picture => picture.naturalWidth") > 0
    assert not page.is_visible("#cabinet-3d")
    page.fill("#step", "1")  # all the rest goes on
    assert wet(page)


def test_what_was_ticked_is_ticked_after_a_reload(opened):
    page = opened()
    boxes = page.locator("#whole-job [data-tick]")
    assert boxes.count() > 10
    boxes.nth(1).check()
    boxes.nth(3).check()
    boxes.nth(3).uncheck()
    page.reload()
    assert [boxes.nth(at).is_checked() for at in range(4)] == [False, True, False, False]


def test_without_script_it_is_still_a_book(opened):
    page = opened(java_script_enabled=False)
    assert page.is_visible("#cabinet-still")
    assert not page.is_visible("#bar")
    assert "Off: B1" in page.inner_text("#passes")
    assert "Take any old finish to hold lead" in page.inner_text("#cautions")


def test_paper_shows_cautions_in_full_and_no_controls(opened):
    page = opened()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert "wash before you eat" in page.inner_text("#cautions")
    assert not page.is_visible("#bar")
    assert page.is_visible("#cabinet-still")


@pytest.mark.parametrize("size", [DESK, PHONE, (320, 640)])
def test_nothing_is_wider_than_the_screen(opened, size):
    page = opened(size)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [DESK, PHONE])
def test_no_serious_barrier(opened, axe, size, scheme):
    page = opened(size, color_scheme=scheme)
    drawn(page)
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    page.fill("#step", "1")
    page.click("[data-show='1']")
    assert barriers(page, axe) == []


def test_no_serious_barrier_on_paper(opened, axe):
    page = opened()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert barriers(page, axe) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_barrier_where_a_drawing_is_zoomed_by_keys_and_fingers(opened, axe, scheme):
    page = opened(PHONE, has_touch=True, color_scheme=scheme)
    sheet = page.locator("#face-box-left .sheet")
    sheet.focus()
    page.keyboard.press("+")
    assert barriers(page, axe) == []
    page.keyboard.press("0")
    pinched(page, sheet)
    assert zoom(page) == pytest.approx(3, rel=0.02)  # fingers 40 px apart, then 120
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    assert barriers(page, axe) == []


def test_a_finger_moves_a_zoomed_drawing_all_its_way(opened):
    page = opened(PHONE, has_touch=True)
    sheet, svg = (page.locator(f"#face-box-left {each}") for each in (".sheet", "svg[data-face]"))
    box = pinched(page, sheet)
    before = [float(each) for each in svg.get_attribute("viewBox").split()]
    session = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for kind, gone in (("Start", 0), ("Move", 10), ("Move", 20), ("Move", 30), ("End", None)):
        points = [] if gone is None else [{"x": x - gone, "y": y}]
        session.send("Input.dispatchTouchEvent", {"type": f"touch{kind}", "touchPoints": points})
    wanted = before[0] + 30 * before[2] / box["width"]
    page.wait_for_function(
        "([svg, x, near]) => Math.abs(svg.viewBox.baseVal.x - x) < near",
        arg=[svg.element_handle(), wanted, 0.05 * (wanted - before[0])],
    )


def test_what_is_ticked_stays_ticked_when_the_book_is_opened_again(opened):
    page = opened()
    boxes = page.locator("#days input.tick")
    assert boxes.count() > 3
    boxes.nth(1).check()
    page.reload()
    assert [boxes.nth(at).is_checked() for at in range(3)] == [False, True, False]


def test_on_a_phone_no_day_is_wider_than_the_screen(opened):
    page = opened(PHONE)
    widest = page.eval_on_selector_all(
        "#days *", "all => Math.max(...all.map(each => each.getBoundingClientRect().right))"
    )
    assert widest <= PHONE[0]


def test_what_was_shown_leads_back_with_its_remedy_beside_it(opened):
    page = opened()
    page.click("[data-show='2']")
    assert "Remedy: " in page.inner_text("#chosen")
    page.click("#chosen .back")
    assert page.evaluate("document.activeElement.id") == "finding-2"
    assert in_sight(page, "#finding-2")


def test_the_pass_that_is_shown_is_shown_after_a_reload(opened):
    page = opened()
    page.fill("#step", "1")
    before, title = wet(page), page.inner_text("#step-title")
    page.reload()
    assert (wet(page), page.inner_text("#step-title")) == (before, title)


def test_the_bar_leaves_nine_tenths_of_a_phone(opened):
    page = opened(PHONE)
    assert page.locator("#bar").bounding_box()["height"] <= PHONE[1] / 10


def test_on_a_phone_cautions_are_one_line_and_no_table_scrolls(opened):
    page = opened(PHONE)
    assert page.locator("#cautions > details").bounding_box()["height"] < 60
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    wide = page.eval_on_selector_all(
        ".wide", "all => all.filter(each => each.scrollWidth > each.clientWidth + 1).length"
    )
    assert wide == 0


def zoom(page, face="box-left"):
    return float(page.get_attribute(f"#face-{face} .sheet", "data-zoom") or 1)


def lettering(page):
    """Height on the screen of the first id, px."""
    return page.locator("#face-box-left .ids text").first.bounding_box()["height"]


def test_ids_grow_as_the_drawing_is_zoomed_by_keys_buttons_and_wheel(opened):
    page = opened()
    sheet = page.locator("#face-box-left .sheet")
    small = lettering(page)
    sheet.focus()
    page.keyboard.press("+")
    assert zoom(page) == 1.5
    assert lettering(page) == pytest.approx(1.5 * small, rel=0.1)
    page.keyboard.press("0")
    page.click("#face-box-left [data-zoom='+']:not(.sheet)")
    assert zoom(page) == 1.5
    page.click("#face-box-left button[data-zoom='0']")
    assert zoom(page) == 1
    sheet.focus()
    sheet.hover()
    page.mouse.wheel(0, -400)
    page.wait_for_selector("#face-box-left .sheet.close")
    assert zoom(page) > 2


def test_the_wheel_scrolls_the_page_until_the_drawing_was_clicked(opened):
    page = opened()
    page.locator("#face-box-left .sheet").hover()
    before = page.evaluate("scrollY")
    page.mouse.wheel(0, 100)
    page.wait_for_function("at => scrollY > at", arg=before)
    assert zoom(page) == 1


def test_a_drag_moves_a_zoomed_drawing_and_chooses_no_piece(opened):
    page = opened()
    sheet = page.locator("#face-box-left .sheet")
    sheet.focus()
    page.keyboard.press("+")
    svg = page.locator("#face-box-left svg[data-face]")
    before = svg.get_attribute("viewBox").split()
    box = sheet.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 20, y, steps=4)
    page.mouse.up()
    after = svg.get_attribute("viewBox").split()
    assert float(after[0]) > float(before[0])
    assert after[2:] == before[2:]
    assert chosen(page) == []
