"""Watching: pieces, passes and the cabinet in space, with and without WebGL, for eyes and ears."""

import pytest

from browsers import barriers, browser_path, surveyed

pytestmark = [pytest.mark.browser, pytest.mark.stories]

BOX = "#/corner-box"
NO_GL = ("--disable-gpu", "--disable-3d-apis")

KEYS = "() => Object.fromEntries(window.known.survey.faces.map((each) => [each.name, each.key]))"
DRAWN = "([what, view]) => document.querySelector(`${what}.space`).dataset.drawn === view"


@pytest.mark.parametrize("view", ["look", "hardware", "boards", "build"])
@pytest.mark.parametrize("scheme", [pytest.param("light", marks=pytest.mark.stories), "dark"])
def test_nobody_is_kept_out(at, axe, view, scheme):
    page = at(view, color_scheme=scheme)
    assert barriers(page, axe) == []


def test_a_piece_is_found_by_its_name_and_told(at):
    page = at("look/box-top")
    page.wait_for_selector("canvas[data-painted]", state="attached")
    short = page.evaluate(
        """async () => {
        const { face } = await import("/page/store.js");
        return (await face("box-top")).pieces[0].short; }"""
    )
    page.get_by_label("Find a piece").fill(short.lower())
    page.keyboard.press("Enter")
    page.get_by_role("heading", name=f"box-top {short}").wait_for()
    assert page.locator(".piece-chosen").get_attribute("d")


def test_a_pass_shows_what_comes_off(at):
    page = at("look/box-front")
    page.get_by_role("button", name="Show the passes").click()
    page.get_by_role("button", name="teal").click()
    page.get_by_text("Off box-front: ").wait_for()


@pytest.mark.stories
def test_only_the_skins_of_changed_faces_are_painted_again(at):
    page = at("look/box-front")
    page.get_by_role("button", name="Cabinet", exact=True).click()
    stage = page.locator(".stage:not([hidden])")
    page.wait_for_selector(".stage[data-ready]")
    before, keys = int(stage.get_attribute("data-skins")), page.evaluate(KEYS)
    # A latch one mm to the right: what has no art and no hole is as it was.
    page.evaluate(
        """async () => {
        const { edit } = await import("/page/store.js");
        await edit("Move the latch", [
          { op: "replace", path: "/hardware/0/from/left", value: 191 }]); }"""
    )
    page.wait_for_function(
        "() => document.querySelector('.stage[data-ready]')?.dataset.ready"
        " === window.known.definition.version"
    )
    now = page.evaluate(KEYS)
    changed = {name for name in now if now[name] != keys[name]}
    assert "box-front" in changed
    assert not changed & {"box-back", "box-bottom"}
    assert int(stage.get_attribute("data-skins")) == before + len(changed)


def test_a_speck_is_given_to_the_colour_round_it(box, at):
    star = box.parent / "star.svg"
    speck = '<circle id="speck" fill="#e4633f" cx="90" cy="60" r="2.5"/>\n</svg>'
    drawn = star.read_text(encoding="utf-8").replace("</svg>", speck)
    star.write_text(drawn, encoding="utf-8")
    page = at("look/box-top")
    found = page.locator(".finding").filter(has_text="Piece without tack")
    found.locator(".finding-head").click()
    found.get_by_role("button", name="Give it to cream").click()
    page.wait_for_function("() => window.known.survey.since?.pieces === -1")
    assert found.count() == 0
    assert star.read_text(encoding="utf-8") == drawn.replace(
        '<circle id="speck" fill="#e4633f"', '<circle id="speck" fill="#f6ead0"'
    )


def test_a_finding_is_settled_by_keys_alone(box, at):
    before = box.read_text(encoding="utf-8")
    page = at("look")
    page.locator(".finding-head").first.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="It is meant to be so").focus()
    page.keyboard.press("Enter")
    page.keyboard.type("It is known.")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_function("() => window.known.survey.settled.length === 1")
    text = box.read_text(encoding="utf-8")
    assert text.startswith(before)
    assert 'because = "It is known."' in text.removeprefix(before)


@pytest.mark.stories
def test_the_cabinet_is_turned_by_keys_and_by_buttons(at):
    page = at("look")
    page.get_by_role("button", name="Cabinet", exact=True).click()
    page.wait_for_selector(".stage[data-ready]")
    page.wait_for_selector("canvas.space[data-drawn]")
    page.locator("canvas.space").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(DRAWN, arg=["canvas", "-26 20 1.000"])
    page.get_by_role("button", name="Back", exact=True).click()
    page.wait_for_function(DRAWN, arg=["canvas", "180 8 1.000"])


@pytest.mark.stories
def test_without_webgl_the_cabinet_is_a_drawing_that_turns_and_is_clicked(box, bench, chromium):
    assert box.is_file()
    arguments = [*NO_GL, "--no-sandbox"]
    browser = chromium.browser_type.launch(executable_path=browser_path(), args=arguments)
    page = browser.new_page(viewport={"width": 1280, "height": 800}, reduced_motion="reduce")
    page.goto(f"{bench.address}{BOX}/look")
    page.wait_for_selector("body[data-ready]")
    surveyed(page)
    page.get_by_role("button", name="Cabinet", exact=True).click()
    page.wait_for_selector(".stage[data-ready]")
    page.get_by_role("button", name="Front", exact=True).click()
    page.wait_for_function(DRAWN, arg=["svg", "0 8 1.000"])
    size = page.locator("svg.space").bounding_box()
    # Seen from the front, its middle is the front.
    page.mouse.click(size["x"] + size["width"] / 2, size["y"] + size["height"] * 0.6)
    chosen = page.locator(".faces [aria-pressed=true]")
    assert chosen.inner_text().startswith("box-front")
    browser.close()


#        \  top: (0.6, 0.8) outwards, 100 mm from the place
#    o    \
#    | 50  \      by (10.2, 0.3): 0.3 is no step from the bottom; from the top 100 - 6.36 is
#  --+-------     94 to the millimetre, which dx = 6 / 0.6 = 10 brings about
def test_a_drag_takes_each_distance_to_a_mark_of_the_tape(at):
    moved = at("look").evaluate(
        """async () => {
        const { shifted } = await import("/page/watching/moves.js");
        const edge = (beyond, from, out) => ({ beyond, from, to: from, out, straight: true });
        const hole = { index: 0, at: [100, 50], measured: { names: ["top", "bottom"] } };
        const face = { name: "box-left", holes: [hole], edges: [
          edge("box-top", [200, 100], [0.6, 0.8]), edge("box-bottom", [0, 0], [0, -1])] };
        const entry = { name: "button", on: "box-left", from: { top: 100, bottom: 50 } };
        const tape = { unit: "mm", graduation_mm: 1, system: "metric" };
        return shifted(entry, 0, face, [10.2, 0.3], tape); }"""
    )
    assert moved["by"] == pytest.approx([10, 0])
    assert moved["patch"] == [{"op": "replace", "path": "/hardware/0/from/top", "value": 94}]
    assert moved["says"] == "Move button to 94\N{NO-BREAK SPACE}mm from the top"


def test_only_the_element_that_is_meant_is_drawn_otherwise(at):
    drawn = (
        '<svg viewBox="0 0 9 9">\n<g fill="#111111"><path d="M0 0"/>\n<path id="a" d="M1 1"/></g>\n'
        '<rect id="b" style="fill:#222222; stroke:none" width="1"/><rect width="2"/></svg>'
    )
    changed = at("look").evaluate(
        """async (text) => {
        const { withWords } = await import("/page/watching/redrawn.js");
        const of = (element) => withWords(text, element, { fill: "#abcdef" });
        return ["<path> in line 2", "#a", "#b", "#c", "<rect> in line 4"].map(of); }""",
        drawn,
    )
    assert changed == [
        drawn.replace('<path d="M0 0"/>', '<path d="M0 0" fill="#abcdef"/>'),
        drawn.replace('d="M1 1"/>', 'd="M1 1" fill="#abcdef"/>'),
        drawn.replace("fill:#222222", "fill:#abcdef"),
        None,  # there is none
        None,  # there are two
    ]
