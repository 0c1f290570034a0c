"""A borders file is read as it was written, and like any drawing; the rest is refused by place."""

import math

import numpy as np
import pytest
import shapely
from lxml import etree

from corpus.drawing_compare import rendered
from mateline.drawing.borders.borders import Border, Borders, Circle, Seed
from mateline.drawing.borders.reader import borders_in
from mateline.drawing.borders.writer import borders_svg
from mateline.drawing.path import Arc, Line
from mateline.drawing.reader import read_drawing
from mateline.errors import InputError
from mateline.one_drawing import pattern_report

SUN = Borders(
    600.0,
    400.0,
    (
        Border((0.0, 250.0), (Line(600.0, 250.0),), "sea"),
        Border((200.0, 250.0), (Arc(120.0, 120.0, 0.0, False, True, 400.0, 250.0),)),
        Circle((500.0, 80.0), 31.75, "moon"),
        Border((10.123456789, 300.0), (Line(20.0, 310.5), Arc(7.1, 7.1, 0.0, True, False, 1, 2))),
    ),
    (
        Seed((300.0, 220.0), "#d4a017", "sun"),
        Seed((500.0, 80.0), "#f4ead2"),
        Seed((30.0, 390.0), "#2c3e90"),
    ),
    Border((0.0, 0.0), tuple(Line(*to) for to in ((600, 0), (600, 400), (0, 400), (0, 0)))),
    (Border((300.0, 250.0), (Line(340.0, 250.0),), "guessed-40mm-1"),),
)


def read(text):
    return borders_in("x.svg", etree.fromstring(text.encode()))[0]


def svg(body, root='width="200mm" height="100mm" viewBox="0 0 200 100"'):
    return f'<svg xmlns="http://www.w3.org/2000/svg" data-kind="borders" {root}>{body}</svg>'


def test_what_is_written_is_read_again_and_written_the_same():
    text = borders_svg(SUN)
    assert read(text) == SUN
    assert borders_svg(read(text)) == text


def test_a_drawing_program_may_save_it_in_its_own_units():
    body = """<title>x</title><g transform="translate(10 0)"><path
      d="m 40,0 0,100 a 10,10 0 0 1 20,0"/>
      <g transform="scale(-1 1)"><path d="M0 20 A 30 30 0 0 1 30 50"/><circle class="seed"
      cx="-20" cy="50" r="2" style="stroke:none;fill:#C0392B"/></g></g><polygon class="outline"
      points="0,0 100,0 100,100 0,100"/><text>hi</text><line x1="0" y1="9" x2="9" y2="9"/>"""
    borders, notes = borders_in(
        "x.svg", etree.fromstring(svg(body, 'width="4in" height="4in" viewBox="0 0 100 100"'))
    )
    unit = 101.6 / 100
    assert (borders.width, borders.height) == pytest.approx((101.6, 101.6))
    path, mirrored, short = borders.borders
    assert path.start == pytest.approx((50 * unit, 0))
    assert path.steps[1] == pytest.approx((10 * unit, 10 * unit, 0, 0, 1, 70 * unit, 100 * unit))
    assert mirrored.steps[0].sweep is False
    assert mirrored.steps[0][5:] == pytest.approx((-20 * unit, 50 * unit))
    assert short.steps[0] == pytest.approx((9 * unit, 9 * unit))
    assert borders.seeds[0].at == pytest.approx((30 * unit, 50 * unit))
    assert borders.seeds[0].colour == "#c0392b"
    assert len(borders.outline.steps) == 4
    assert "no border" in notes[0].message


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ('<path id="bow" d="M0 0C1 1 2 2 3 3"/>', "#bow: The border has a curve that is no circ"),
        ('<path d="M0 0A5 7 0 0 1 3 3"/>', "arc of an ellipse"),
        ('<g transform="scale(1 2)"><circle cx="1" cy="1" r="1"/></g>', "into an ellipse"),
        ('<circle cx="1" cy="1" r="0"/>', "no radius"),
        ('<circle class="seed" cx="1" cy="1" r="1" fill="none"/>', "no colour"),
        ('<path class="seed" d="M0 0L1 1"/>', "seed is a circle"),
        ('<path d="M0 0L1"/>', "L takes 2 numbers"),
        ('<path class="outline" d="M0 0L1 1M2 2L3 3"/>', "more than one outline"),
        ('<path class="outline" d="M0 0L10 0L10 10"/>', "outline is not closed"),
        ('<g transform="twist(3)"/>', "no transform"),
        ('<path d="M0 0L1e400 3"/>', "too large"),
    ],
)
def test_what_can_not_be_used_is_refused_with_its_place(tmp_path, body, what):
    (tmp_path / "x.svg").write_text(svg(body))
    with pytest.raises(InputError, match=what):
        read_drawing(tmp_path / "x.svg", root=tmp_path)


def test_any_drawing_may_be_one_of_borders(tmp_path):
    path = tmp_path / "sun.svg"
    path.write_text(borders_svg(SUN))
    drawing = read_drawing(path, root=tmp_path)
    assert [shape.colour for shape in drawing.shapes] == ["#d4a017", "#2c3e90", "#f4ead2"] or {
        shape.colour for shape in drawing.shapes
    } == {"#d4a017", "#2c3e90", "#f4ead2"}
    (at,) = drawing.elements["sun"]
    turn = 2 * math.asin(100 / 120)
    assert drawing.shapes[at].area.area == pytest.approx(
        120**2 * (turn - math.sin(turn)) / 2, rel=1e-3
    )
    assert drawing.landmarks["moon"] == (500, 80)
    assert drawing.landmarks["guessed-40mm-1"] == (320, 250)
    assert {note.kind for note in drawing.notes} == {"left-out", "mended"}
    assert any(
        note.element == "at 1, 2" and "in the open" in note.message for note in drawing.notes
    )


def test_its_pattern_has_the_lines_and_arcs_that_were_drawn(tmp_path):
    """Two lines and an arc that cross, and a circle: their own segments, cut where they cross."""
    path = tmp_path / "x.svg"
    path.write_text(
        svg(
            '<path d="M0 60L200 60"/><path d="M50 60A70 70 0 0 1 150 60"/>'
            '<path d="M100 0L100 60"/><circle cx="30" cy="30" r="20"/>'
            '<circle class="seed" cx="70" cy="50" r="2" fill="#c0392b"/>'
            '<circle class="seed" cx="130" cy="50" r="2" fill="#2c3e90"/>'
            '<circle class="seed" cx="30" cy="30" r="2" fill="#d4a017"/>'
        )
    )
    report = pattern_report(path)  # areas are those of its facets, 0.005 mm from their arcs
    radii, lines = [], 0
    for chain in report.fit.chains:
        for segment in chain.segments:
            if segment.centre is None:
                lines += 1
            else:
                radii.append(math.dist(segment.to, segment.centre))
                x, y = segment.centre
                true = (100, 60 - math.sqrt(70**2 - 50**2) * -1) if radii[-1] > 40 else (30, 30)
                assert (x, 100 - y) == pytest.approx(true, abs=0.01)
    assert sorted(round(radius, 3) for radius in set(np.round(radii, 3))) == [20, 70]
    colours = report.colours()
    turn = 2 * math.asin(5 / 7)
    half = 70**2 * (turn - math.sin(turn)) / 4
    assert colours["#c0392b"] == pytest.approx(half, rel=5e-4)
    assert colours["#2c3e90"] == pytest.approx(half, rel=5e-4)
    assert colours["#d4a017"] == pytest.approx(math.pi * 400, rel=5e-4)
    assert report.tiling.gap_area == report.tiling.overlap_area == 0


def test_the_file_shows_in_any_program_as_it_is_filled(tmp_path):
    """As resvg renders it, each seed's dot stands in its region, in its colour."""
    seeds = Seed((10.0, 10.0), "#d4a017"), Seed((30.0, 30.0), "#2c3e90")
    rising = Border((0.0, 40.0), (Line(40.0, 0.0),))
    path = tmp_path / "small.svg"
    path.write_text(borders_svg(Borders(40.0, 40.0, (rising,), seeds)))
    shown, painted = rendered(svg_string=path.read_text())
    scale = shown.shape[1] / 40
    drawing = read_drawing(path, root=tmp_path)
    for seed in seeds:
        x, y = (round(scale * value) for value in seed.at)
        assert "#{:02x}{:02x}{:02x}".format(*shown[y, x]) == seed.colour
        (home,) = [each for each in drawing.shapes if each.area.contains(shapely.Point(seed.at))]
        assert home.colour == seed.colour
    assert painted[round(scale * 20), round(scale * 20)]  # the line
    assert not painted[round(scale * 35), round(scale * 20)]  # nothing else is painted
