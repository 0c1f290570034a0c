"""Drawings taken over as borders and filled again are the drawings that they were."""

from pathlib import Path

import numpy as np
import pytest
import shapely

from corpus.drawing_compare import rendered
from mateline.bench.told.borders import begun, on_face, regions_told, seeded_again, taken_over
from mateline.drawing.borders.borders import Border, Borders, Circle, Seed
from mateline.drawing.borders.writer import borders_svg
from mateline.drawing.path import Line
from mateline.errors import InputError

CABINETS = Path(__file__).parents[3] / "cabinets"


def painted(text):
    """What the page shows of a borders file, as an SVG of flat fills."""
    told = regions_told(text.encode())
    size = text[text.index("width=") : text.index(">\n")]
    paths = "".join(f'<path d="{each["d"]}" fill="{each["colour"]}" fill-rule="evenodd"/>'
                    for each in told["regions"] if each["colour"])  # fmt: skip
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{paths}</svg>'


@pytest.mark.parametrize("name", ["side.svg", "marquee.svg"])
def test_a_drawing_taken_over_looks_as_it_did(name):
    """Rendered by resvg; only pixels at borders differ, where fills that meet let paper through."""
    folder = CABINETS / "harbour-lights"
    before, _ = rendered(svg_path=str(folder / name))
    after, _ = rendered(svg_string=painted(borders_svg(taken_over(folder, name))))
    assert before.shape == after.shape
    differ = np.abs(before - after).max(axis=2) > 24
    shrunk = differ[1:-1, 1:-1] & differ[2:, 1:-1] & differ[:-2, 1:-1] & differ[1:-1, 2:]
    assert not (shrunk & differ[1:-1, :-2]).any()  # nowhere more than a line


def test_a_borders_file_is_taken_over_as_it_is(tmp_path):
    drawn = Borders(90.0, 60.0, (Circle((30.0, 20.0), 10.0),), (Seed((30.0, 20.0), "#c0392b"),))
    (tmp_path / "x.svg").write_text(borders_svg(drawn))
    assert taken_over(tmp_path, "x.svg") == drawn


def test_marks_of_guesses_are_taken_over(tmp_path):
    (tmp_path / "x.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">'
        '<path fill="#c0392b" d="M0 0L90 0L90 30L0 30Z"/>'
        '<path id="guessed-14mm-3" fill="none" stroke="none" d="M10 30L24 30"/></svg>'
    )
    drawn = taken_over(tmp_path, "x.svg")
    assert drawn.marks == (Border((10.0, 30.0), (Line(24.0, 30.0),), "guessed-14mm-3"),)
    assert [seed.colour for seed in drawn.seeds] == ["#c0392b"]


def test_a_drawing_lies_on_a_face_as_art_does_lower_left_on_lower_left():
    face = begun(shapely.Polygon([(0, 0), (100, 0), (100, 80), (40, 80)]))
    assert face.outline.start == (0, 80)
    assert [(step.x, step.y) for step in face.outline.steps] == [(100, 80), (100, 0), (40, 0),
                                                                  (0, 80)]  # fmt: skip
    drawn = Borders(50.0, 30.0, (Border((0.0, 5.0), (Line(50.0, 30.0),)), Circle((9.0, 9.0), 4.0)),
                    (Seed((9.0, 9.0), "#c0392b"),))  # fmt: skip
    put = on_face(drawn, face)
    assert (put.width, put.height, put.outline) == (100, 80, face.outline)
    assert put.borders == (Border((0.0, 55.0), (Line(50.0, 80.0),)), Circle((9.0, 59.0), 4.0))
    assert put.seeds == (Seed((9.0, 59.0), "#c0392b"),)


def test_what_the_outline_cuts_off_from_its_seed_is_seeded_again():
    """A red half and a blue one, 50 x 100 each; the face shows the lower left corner of the red
    one, and a strip of the blue one without its seed."""
    parting = Border((50.0, 0.0), (Line(50.0, 100.0),))
    seeds = Seed((25.0, 50.0), "#c0392b"), Seed((80.0, 50.0), "#2c3e90", "sea")
    drawn = Borders(100.0, 100.0, (parting,), seeds)
    face = begun(shapely.Polygon([(0, 0), (60, 0), (60, 20), (0, 20)]))
    put = seeded_again(on_face(drawn, face), drawn)
    told = regions_told(borders_svg(put).encode())
    assert [(each["colour"], each["area"]) for each in told["regions"]] == [
        ("#c0392b", 1000.0), ("#2c3e90", 200.0),
    ]  # fmt: skip
    assert told["flaws"] == []


def test_what_is_told_has_colours_places_and_flaws():
    drawn = Borders(90.0, 60.0, (Border((30.0, 0.0), (Line(30.0, 60.0),)),
                                 Border((60.0, 0.0), (Line(60.0, 40.0),))),
                    (Seed((10.0, 20.0), "#c0392b"),))  # fmt: skip
    told = regions_told(borders_svg(drawn).encode())
    assert [(each["colour"], each["area"], each["seeds"]) for each in told["regions"]] == [
        ("#c0392b", 1800.0, [0]), (None, 3600.0, []),
    ]  # fmt: skip
    assert told["regions"][0]["d"].count("M") == 1
    loose = told["flaws"][0]
    assert (loose["kind"], loose["at"], loose["border"]) == (
        "loose-end", [60.0, 40.0], 1,
    )  # fmt: skip


@pytest.mark.parametrize("text", ["<svg xmlns='http://www.w3.org/2000/svg'/>", "no xml"])
def test_what_holds_no_borders_is_refused(text):
    with pytest.raises(InputError):
        regions_told(text.encode())
