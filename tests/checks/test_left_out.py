"""What a drawing has and its stencils lack is told by a check, each with a clean twin beside it.

The cabinet is a square box; its drawings have a red square 100 mm wide, and something else.
"""

import itertools

import ezdxf
import pytest

from boxes import PRELUDE, SQUARE
from mateline.checks.findings import DrawingNotes
from mateline.checks.left_out import KINDS, NAMED, TOLD, check
from mateline.drawing.shapes import Note
from mateline.survey import surveyed
from specimens import subject

CODES = {code for code, _, _ in KINDS.values()}
RED = 'red = { paint = "#ff0000", letter = "R" }\nblack = { paint = "#000000", letter = "B" }\n'
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
<path id="square" fill="#ff0000" d="M0 0h100v100h-100z"/>
{}
</svg>"""
ON = '[[art]]\ndrawing = "{}"\non = "box-left"\n'


def told(folder, name, art=ON):
    """Findings on the drawing, of the codes of this check."""
    text = PRELUDE + RED + SQUARE.format(more="", board=18) + art.replace("{}", name)
    (folder / "cabinet.toml").write_text(text, encoding="utf-8")
    return [each for each in surveyed(folder).findings if each.code in CODES]


@pytest.fixture
def svg(tmp_path):
    def read(body, art=ON):
        (tmp_path / "art.svg").write_text(SVG.format(body), encoding="utf-8")
        return told(tmp_path, "art.svg", art)

    return read


@pytest.fixture
def dxf(tmp_path):
    """Findings on a square in red and what a function draws beside it; `unit` is $INSUNITS."""

    def read(draw, unit=4, art=ON):
        document = ezdxf.new("R2010", units=unit)
        document.layers.add("SEA", color=1)
        space = document.modelspace()
        space.add_lwpolyline([(0, 0), (100, 0), (100, 100), (0, 100)], close=True,
                             dxfattribs={"color": 1})  # fmt: skip
        draw(space, document)
        document.saveas(tmp_path / "art.dxf")
        return told(tmp_path, "art.dxf", art)

    return read


def test_flat_shapes_are_no_finding(svg, dxf):
    assert svg("") == []
    assert dxf(lambda *_: None) == []


TEXT = '<text id="title" x="5" y="50">LUCKY</text>'


def test_text_stops(svg):
    (finding,) = svg(TEXT)
    assert (finding.code, finding.level) == ("lettering-left-out", "stop")
    assert finding.face == "box-left"
    assert "art.svg, on box-left: #title: Text was left out" in finding.message
    assert "into outlines" in finding.remedy


def test_text_without_an_id_is_named_by_its_line(svg):
    (finding,) = svg("<g>\n<text>LUCKY</text></g>")
    assert "<text> in line 4" in finding.message


@pytest.mark.parametrize(
    "body",
    [
        "<flowRoot><flowPara>LUCKY</flowPara></flowRoot>",
        '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">LUCKY</p></foreignObject>',
        "<text><tspan>LUCKY</tspan></text>",
    ],
)
def test_words_are_lettering_whatever_holds_them(svg, body):
    assert [each.code for each in svg(body)] == ["lettering-left-out"]


@pytest.mark.parametrize(
    "body",
    [
        "<text> \n </text>",
        '<text visibility="hidden">LUCKY</text>',
        '<g display="none"><text>LUCKY</text></g>',
        "<defs><text>LUCKY</text></defs>",
        "<title>LUCKY</title>",
    ],
)
def test_words_that_never_showed_are_no_finding(svg, body):
    assert svg(body) == []


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<image id="photo" href="data:image/png;base64,AA"/>', "#photo: A raster image"),
        ('<path id="blurred" fill="#ff0000" d="M0 0h9v9z" filter="url(#b)"/>', "#blurred: A filt"),
        (
            '<pattern id="tiles"/><path id="tiled" fill="url(#tiles)" d="M0 0h9v9z"/>',
            "#tiled: Its fill is a pattern of tiles (#tiles)",
        ),
        ('<path id="masked" fill="#ff0000" mask="url(#gone)" d="M0 0h9v9z"/>', "#masked: Its mask"),
        ('<path id="cut" fill="#ff0000" clip-path="url(#gone)" d="M0 0h9v9z"/>', "#cut: Its clip"),
        ('<use id="copy" href="#gone"/>', "#copy: It repeats '#gone'"),
        ("<style>@media print { path { fill: none } }</style>", "@media of the style sheet"),
    ],
)
def test_what_else_is_left_out_warns_with_its_element(svg, body, words):
    (finding,) = svg(body)
    assert (finding.code, finding.level) == ("drawing-left-out", "warn")
    assert words in finding.message


def test_paint_that_was_mixed_is_a_note(svg):
    (finding,) = svg('<path id="haze" fill="#ff0000" fill-opacity="0.5" d="M0 0h9v9z"/>')
    assert (finding.code, finding.level) == ("drawing-mended", "note")


def test_the_same_of_many_elements_is_told_once(svg):
    (finding,) = svg("\n".join(f'<text id="t{n}">LUCKY</text>' for n in range(NAMED + 3)))
    assert "#t0, #t1" in finding.message
    assert "and 3 more: Text" in finding.message


def test_a_drawing_on_many_faces_is_told_once_and_names_them(svg):
    (finding,) = svg(TEXT, ON + ON.replace("box-left", "box-right"))
    assert finding.face is None
    assert "on box-left and box-right:" in finding.message
    (finding,) = svg(TEXT, ON + '[[art]]\nmirror = "box-left"\nonto = ["box-right"]\n')
    assert "on box-left and box-right:" in finding.message


GROUP = f'<g id="words">{TEXT}</g>'


@pytest.mark.parametrize("words", ['leave_out = ["words"]', 'only = ["square"]'])
def test_what_no_entry_wants_is_not_missed(svg, words):
    assert svg(GROUP, ON + words) == []


def test_what_one_entry_wants_is_missed_though_another_leaves_it_out(svg):
    assert len(svg(GROUP, ON + 'leave_out = ["words"]\n' + ON.replace("left", "right"))) == 1
    assert len(svg(GROUP, ON + 'only = ["words"]\n')) == 1


def lines(space, gap):
    """A square of four lines that misses closing by `gap` at its first corner."""
    corners = [(200, gap), (200, 50), (250, 50), (250, 0), (200, 0)]
    for start, end in itertools.pairwise(corners):
        space.add_line(start, end, dxfattribs={"color": 1})


def test_an_outline_that_misses_closing_by_more_than_ends_are_joined_over_is_told(dxf):
    found = dxf(lambda space, _: lines(space, 0.06))
    assert {(each.code, each.level) for each in found} == {("drawing-left-out", "warn")}
    assert len(found) == 4
    near = [each.message for each in found if "misses another one by 0.06" in each.message]
    assert len(near) == 2
    assert "only ends within 0.05 are joined" in near[0]


def test_the_same_of_one_polyline_is_told(dxf):
    def draw(space, _):
        corners = [(200, 0.06), (200, 50), (250, 50), (250, 0), (200, 0)]
        space.add_lwpolyline(corners, dxfattribs={"color": 1})

    (finding,) = dxf(draw)
    assert "LWPOLYLINE" in finding.message
    assert "misses another one by 0.06" in finding.message


def test_an_outline_that_misses_closing_by_less_is_closed_and_noted(dxf):
    (finding,) = dxf(lambda space, _: lines(space, 0.04))
    assert (finding.code, finding.level) == ("drawing-mended", "note")
    assert "open by 0.04" in finding.message


def test_a_line_far_from_all_others_is_told_without_a_guess(dxf):
    (finding,) = dxf(lambda space, _: space.add_line((200, 0), (250, 50)))
    assert "no closed loop, from (200, 0) on." in finding.message


@pytest.mark.parametrize(
    "draw",
    [
        lambda space, _: space.add_text("LUCKY"),
        lambda space, _: space.add_mtext("LUCKY"),
        lambda space, _: space.add_attdef("NAME", (0, 0), "LUCKY"),
        lambda space, document: (
            document.blocks.new("PLATE"),
            space.add_blockref("PLATE", (0, 0)).add_attrib("NAME", "LUCKY", (0, 0)),
        ),
        lambda space, document: (
            document.blocks.new("PLATE").add_text("LUCKY"), space.add_blockref("PLATE", (0, 0))
        ),
    ],
)  # fmt: skip
def test_text_of_a_dxf_stops_wherever_it_stands(dxf, draw):
    (finding,) = dxf(draw)
    assert (finding.code, finding.level) == ("lettering-left-out", "stop")
    assert "TEXT" in finding.message or "ATT" in finding.message


def hatched(space, _):
    space.add_hatch(color=1).paths.add_polyline_path([(0, 0), (9, 0), (9, 9)], is_closed=True)


def hidden(state):
    def draw(space, document):
        getattr(document.layers.get("SEA"), state)()
        space.add_circle((300, 0), 20, dxfattribs={"layer": "SEA"})

    return draw


def on_paper(_, document):
    document.paperspace().add_circle((0, 0), 20)


def wide(space, _):
    band = space.add_lwpolyline([(200, 0), (250, 0), (250, 50)], close=True)
    band.dxf.const_width = 3
    band.dxf.color = 1


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (hatched, "HATCH"),
        (hidden("freeze"), "layer SEA: It is off or frozen"),
        (hidden("off"), "layer SEA: It is off or frozen"),
        (on_paper, "Layout1: 1 on this sheet of paper left out"),
        (wide, "Its width was left out"),
    ],
)
def test_what_else_a_dxf_has_warns(dxf, draw, words):
    (finding,) = dxf(draw)
    assert (finding.code, finding.level) == ("drawing-left-out", "warn")
    assert words in finding.message


def test_a_dxf_without_a_unit_warns(dxf):
    (finding,) = dxf(lambda *_: None, unit=0)
    assert (finding.code, finding.level) == ("drawing-left-out", "warn")
    assert "no usable unit (0); mm were taken" in finding.message


@pytest.mark.parametrize(
    "draw",
    [
        lambda space, _: space.add_text(" "),
        lambda space, document: (  # what text a copy of a block may have is not text
            document.blocks.new("PLATE").add_attdef("NAME", (0, 0), "LUCKY"),
            space.add_blockref("PLATE", (0, 0)),
        ),
    ],
)
def test_text_of_a_dxf_that_never_showed_is_no_finding(dxf, draw):
    assert dxf(draw) == []


def test_text_is_left_out_by_its_layer_though_nothing_else_is_on_it(dxf):
    def draw(space, _):
        space.add_text("LUCKY", dxfattribs={"layer": "SEA"})

    assert len(dxf(draw)) == 1
    assert dxf(draw, art=ON + 'leave_out = ["SEA"]\n') == []


def test_a_drawing_with_hundreds_of_faults_has_a_few_findings_and_the_number_of_the_rest():
    notes = tuple(Note(f"#a{n}", f"Its fill is odd in {n} ways.") for n in range(300))
    found = check(subject(notes=(DrawingNotes("a.svg", ("body-left",), notes),)))
    assert len(found) == TOLD + 1
    assert f"{300 - TOLD} more" in found[-1].message
