"""From an empty folder to the finished corner-box: typed, clicked and dropped, never written.

What comes of it is held against cabinets/corner-box, which was written by hand: the same pieces, to
the last corner.
"""

import json
from pathlib import Path

import pytest

from mateline.survey import surveyed
from measuring_hands import WRITTEN, Keys, Mouse, drawn, edited, started, table

pytestmark = pytest.mark.browser

CABINETS = Path(__file__).parents[3] / "cabinets"
LONG = 240_000  # ms: a build is a process of its own, on a machine that is shared
READ = {"A-B": "420", "B-C": "300", "C-D": "421", "D-A": "300", "A-C": "516", "B-D": "517"}


class Story:
    """What a person does, by mouse or by keys."""

    def __init__(self, page, hand):
        self.page, self.by = page, hand(page)

    def typed(self, field, text):
        """Type into a field and leave it. What it says already makes no edit."""
        if self.by.one(field).input_value() != text:
            edited(self.page, lambda: self.by.write(field, text))

    def pressed(self, thing):
        edited(self.page, lambda: self.by.press(thing))

    def chosen(self, field, value):
        if self.by.one(field).input_value() != value:
            edited(self.page, lambda: self.by.choose(field, value))

    def labelled(self, words):
        return self.page.get_by_label(words, exact=True)

    def view(self, name):
        self.by.press(f"#bar nav [data-key={name}]")
        self.page.wait_for_selector(f"body[data-ready={name}]")

    def measured(self):
        started(self.page, "Corner box", hand=type(self.by))
        drawn(self.page, (300, 200), (700, 200), (700, 500), (300, 500), hand=type(self.by))
        for pair, text in READ.items():
            edited(self.page, lambda pair=pair, text=text: self.by.enter(f"#read-{pair}", text))
        assert "The readings close" in self.page.text_content(".verdict")
        self.typed(self.labelled("Width"), "380")
        self.typed(self.labelled("Board"), "12")

    def painted(self):
        colours = "colourfield/palette/colours"
        self.view("paint")
        self.typed(f"[id='{colours}/cream/paint']", "#f6ead0")
        self.typed("#name-blue", "teal")
        self.typed(f"[id='{colours}/teal/paint']", "#1f7a7c")
        self.typed(f"[id='{colours}/teal/letter']", "T")
        self.by.paint("#new-look", "#e4633f")
        self.by.write("#new-name", "coral")
        self.pressed("[data-key=add-colour]")
        self.typed(f"[id='{colours}/coral/paint']", "#e4633f")
        self.typed(f"[id='{colours}/coral/letter']", "R")

    def joined(self):
        self.view("boards")
        for side in ("left", "right"):
            self.by.press(f"[data-key='pair-{side}-front'], [data-key='pair-front-{side}']")
            self.chosen(self.labelled("Painted"), "art")
            self.by.press("[data-key=card-close]")

    def fitted(self):
        self.view("hardware")
        self.by.press("[data-key=face-box-front]")
        self.page.wait_for_selector("[data-key=add-round]:enabled")
        self.by.press("[data-key=add-round]")
        self.pressed("[data-key=middle]")
        self.typed(self.labelled("Name"), "latch")
        self.typed(self.labelled("Diameter"), "20")
        for at, (panel, text) in enumerate((("top", "107"), ("left", "190"))):
            self.chosen(f"[data-key=edge-{at}]", panel)
            self.typed(f"#distance-{at}", text)

    def decorated(self):
        self.view("art")
        self.by.press("[data-key=face-box-left]")
        self.put_on("band.svg")
        self.pressed("[data-key=way-wrap]")
        self.pressed("[data-key=goes-box-front]")
        for label in ("Point of the drawing", "Point of the face"):
            self.chosen(self.labelled(label), "lower-left")
        self.typed("[id$='/offset-1']", "-5")
        self.by.press("[data-key=face-box-top]")
        self.put_on("star.svg")

    def put_on(self, drawing):
        with self.page.expect_response(WRITTEN):
            self.by.give("[data-key=add-file]", CABINETS / "corner-box" / drawing)
        self.page.wait_for_selector(".open-entry")

    def built(self):
        self.view("build")
        self.by.press("[data-key=run-build]")
        self.page.wait_for_selector("text=Built: 27 pieces on", timeout=LONG)


def pieces(folder):
    """Each piece with its ground and its tacks, to the last corner."""
    return {
        piece.id: (piece.area.wkb, piece.tacks)
        for stencil in surveyed(folder).stencils
        for piece in stencil.pieces
    }


@pytest.mark.parametrize("hand", [Mouse, pytest.param(Keys, marks=pytest.mark.stories)])
def test_an_empty_folder_becomes_the_corner_box(visit, root, hand):
    story = Story(visit(), hand)
    for work in (story.measured, story.painted, story.joined, story.fitted, story.decorated):
        work()
    made, ours = root / "corner-box", CABINETS / "corner-box"
    assert table(made)["title"] == table(ours)["title"]
    wanted = pieces(ours)
    assert pieces(made) == wanted
    assert len(wanted) == 27
    story.built()
    job = json.loads((root / "exports" / "corner-box" / "job.json").read_text(encoding="utf-8"))
    assert {each["id"] for face in job["faces"] for each in face["pieces"]} == set(wanted)


@pytest.mark.stories
def test_all_of_it_is_taken_back_step_by_step_and_done_again(visit, root, bench):
    page = visit()
    Story(page, Mouse).measured()
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
