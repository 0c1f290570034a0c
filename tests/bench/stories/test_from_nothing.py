"""From an empty folder to the finished corner-box: typed, clicked and dropped, never written.

What comes of it is held against cabinets/corner-box, which was written by hand: the same pieces, to
the last corner.
"""

from pathlib import Path

import pytest

from mateline.survey import surveyed
from measuring_hands import WRITTEN, drawn, edited, read, started, table

pytestmark = pytest.mark.browser

CABINETS = Path(__file__).parents[3] / "cabinets"
READ = {"A-B": "420", "B-C": "300", "C-D": "421", "D-A": "300", "A-C": "516", "B-D": "517"}


def typed(page, field, text):
    """Type into a field and leave it. What it says already makes no edit."""
    if field.input_value() != text:
        field.fill(text)
        edited(page, lambda: field.press("Tab"))


def view(page, name):
    page.click(f"#bar nav [data-key={name}]")
    page.wait_for_selector(f"body[data-ready={name}]")


def measured(page):
    started(page, "Corner box")
    drawn(page, (300, 200), (700, 200), (700, 500), (300, 500))
    for pair, text in READ.items():
        read(page, pair, text)
    assert "The readings close" in page.text_content(".verdict")
    typed(page, page.get_by_label("Width"), "380")
    typed(page, page.get_by_label("Board", exact=True), "12")


def painted(page):
    view(page, "paint")
    typed(page, page.locator("[id='colourfield/palette/colours/cream/paint']"), "#f6ead0")
    typed(page, page.locator("#name-blue"), "teal")
    typed(page, page.locator("[id='colourfield/palette/colours/teal/paint']"), "#1f7a7c")
    typed(page, page.locator("[id='colourfield/palette/colours/teal/letter']"), "T")
    page.fill("#new-look", "#e4633f")
    page.fill("#new-name", "coral")
    edited(page, lambda: page.click("[data-key=add-colour]"))
    typed(page, page.locator("[id='colourfield/palette/colours/coral/letter']"), "R")


def joined(page):
    view(page, "boards")
    for side in ("left", "right"):
        pair = page.locator(f"[data-key='pair-{side}-front'], [data-key='pair-front-{side}']").first
        pair.click()
        end = page.get_by_label("Painted", exact=True)
        edited(page, lambda end=end: end.select_option("art"))
        page.click("[data-key=card-close]")


def fitted(page):
    view(page, "hardware")
    page.get_by_role("button", name="box-front", exact=False).first.click()
    page.wait_for_selector("[data-key=add-round]:enabled").click()
    edited(page, lambda: page.click("[data-key=middle]"))
    card = page.locator(".side")
    typed(page, card.get_by_label("Name", exact=True), "latch")
    typed(page, card.get_by_label("Diameter", exact=True), "20")
    for at, (panel, text) in enumerate((("top", "107"), ("left", "190"))):
        way = page.locator(f"[data-key=edge-{at}]")
        if way.input_value() != panel:
            edited(page, lambda way=way, panel=panel: way.select_option(panel))
        typed(page, page.locator(f"#distance-{at}"), text)


def decorated(page, drawings=CABINETS / "corner-box"):
    view(page, "art")
    page.wait_for_selector("[data-key=face-box-left]").click()
    put_on(page, drawings / "band.svg")
    edited(page, lambda: page.click("[data-key=way-wrap]"))
    edited(page, lambda: page.click("[data-key=goes-box-front]"))
    for label in ("Point of the drawing", "Point of the face"):
        spot = page.get_by_label(label, exact=True)
        edited(page, lambda spot=spot: spot.select_option("lower-left"))
    typed(page, page.locator("[id$='/offset-1']"), "-5")
    page.click("[data-key=face-box-top]")
    put_on(page, drawings / "star.svg")


def put_on(page, drawing):
    with page.expect_response(WRITTEN):
        page.set_input_files("#art-file", drawing)
    page.wait_for_selector(".open-entry")


def pieces(folder):
    """Each piece with its ground and its tacks, to the last corner."""
    return {
        piece.id: (piece.area.wkb, piece.tacks)
        for stencil in surveyed(folder).stencils
        for piece in stencil.pieces
    }


def test_an_empty_folder_becomes_the_corner_box(visit, root):
    page = visit()
    for work in (measured, painted, joined, fitted, decorated):
        work(page)
    made, ours = root / "corner-box", CABINETS / "corner-box"
    assert table(made)["title"] == table(ours)["title"]
    assert pieces(made) == pieces(ours)
    assert len(pieces(made)) == 27


@pytest.mark.stories
def test_all_of_it_is_taken_back_step_by_step_and_done_again(visit, root, bench):
    page = visit()
    measured(page)
    text = (root / "corner-box" / "cabinet.toml").read_text(encoding="utf-8")
    steps = bench.get("/cabinets/corner-box/definition")["undo"]["count"]
    assert steps == 9  # drawn, six readings, width and board
    for _ in range(steps):
        edited(page, lambda: page.click("[data-key=undo]"))
    assert page.is_disabled("[data-key=undo]")
    assert table(root / "corner-box")["carcase"][0]["corners"] == ["A", "B", "C"]
    for _ in range(steps):
        edited(page, lambda: page.click("[data-key=redo]"))
    assert (root / "corner-box" / "cabinet.toml").read_text(encoding="utf-8") == text
