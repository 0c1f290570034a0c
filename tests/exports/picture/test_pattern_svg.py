"""The pattern's files: flat fills in the drawing's view, and a picture of its borders."""

import pytest
import shapely

from mateline.drawing.svg.reader import read_svg
from mateline.errors import InputError
from mateline.exports.picture.pattern_svg import decimals_of, write_pattern
from mateline.one_drawing import pattern_report
from pattern_judging import judged

DRAWING = """\
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="-10 5 400 200">
<rect x="-10" y="5" width="400" height="120" fill="#fff"/>
<circle cx="190" cy="105" r="50" fill="#fc0"/>
<path d="M0 150 C100 100 200 200 380 150 V190 H0Z" fill="#036"/>
<image href="data:,"/>
</svg>"""


@pytest.fixture
def written(tmp_path):
    path = tmp_path / "sea.svg"
    path.write_text(DRAWING)
    report = pattern_report(path)
    return path, report, *write_pattern(report, tmp_path / "flat.svg")


def test_the_pattern_read_back_shows_what_the_drawing_showed(written, tmp_path):
    source, _, out, _ = written
    before, after = (read_svg(path, root=tmp_path) for path in (source, out))
    assert after.view == before.view
    assert after.to_mm == pytest.approx(before.to_mm)
    assert after.notes == ()
    for colour in ("#ffcc00", "#003366"):
        seen = [
            shapely.union_all([s.area for s in one.shapes if s.colour == colour])
            for one in (before, after)
        ]
        hidden = shapely.union_all([s.area for s in before.shapes if s.colour == "#003366"])
        if colour == "#ffcc00":
            seen[0] = seen[0].difference(hidden)
        assert shapely.hausdorff_distance(*seen) < 0.06  # 0.02 mm and a facet of 0.005 mm


def test_regions_that_nothing_covers_are_left_open(written):
    _, report, out, _ = written
    assert sum(region.colour == "" for region in report.pattern.regions) == 1
    assert out.read_text().count("<path") == len(report.pattern.regions) - 1


def test_the_picture_shows_every_border_every_node_and_every_note(written):
    _, report, _, picture = written
    text = picture.read_text()
    assert text.count("<path stroke=") == len(report.pattern.borders)
    assert text.count("<circle") == len(report.pattern.nodes)
    assert "raster image was left out" in text


def test_the_same_drawing_gives_the_same_bytes(written, tmp_path):
    source, _, out, picture = written
    again = write_pattern(pattern_report(source), tmp_path / "again.svg")
    assert [path.read_bytes() for path in again] == [out.read_bytes(), picture.read_bytes()]


def test_a_place_that_cannot_be_written_is_said(written, tmp_path):
    with pytest.raises(InputError, match="can't be written"):
        write_pattern(written[1], tmp_path / "no" / "flat.svg")


# Both sides of the black and the blue wedge's tip are one line to five decimals, and the view is
# not a whole number of them high.
WEDGES = """\
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="{0}mm" viewBox="0 0 200 {0}">
<path fill="#f00" d="M0 0h200v{0}H0z"/>
<path fill="#000" d="M50 100L50.07 100L150 150V190H50z"/>
<path fill="#00f" d="M50 100L50.07 99.999996L150 50V10H50z"/>
</svg>"""
MOON = """\
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">
<path fill="#f00" d="M30 60A40 40 0 1 1 70 100A40 40 0 0 0 30 60"/>
</svg>"""


@pytest.mark.parametrize("high", ["200", "200.000005"])
def test_a_tip_thinner_than_the_files_decimals_keeps_both_its_sides(tmp_path, high):
    path = tmp_path / "wedge.svg"
    path.write_text(WEDGES.format(high))
    report = pattern_report(path, tolerance=0.02)
    assert decimals_of(report) == 6
    assert judged(report, 0.02).faults == {}


def test_both_arcs_of_a_moon_are_told_apart(tmp_path):
    """Of one radius, on one side of one chord: three quarters of a circle and one quarter."""
    path = tmp_path / "moon.svg"
    path.write_text(MOON)
    report = pattern_report(path, tolerance=0.02)
    assert decimals_of(report) == 5
    assert judged(report, 0.02).faults == {}


def test_a_small_view_has_the_decimals_that_its_area_needs(tmp_path):
    """72 units are 19 mm: a ten-thousandth of one, crossed by rounding, was 1.5e-9 of the view."""
    path = tmp_path / "sea.svg"
    path.write_text(DRAWING.replace("200mm", "20mm").replace("100mm", "10mm"))
    report = pattern_report(path)
    assert decimals_of(report) >= 4
    assert 10.0 ** -decimals_of(report) <= 2e-7 * 400
