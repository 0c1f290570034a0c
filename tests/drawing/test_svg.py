"""An SVG file becomes flat shapes, notes and places; whatever is wrong with it is said."""

import math
from textwrap import dedent

import pytest
import shapely

from mateline.curves import FACET
from mateline.drawing.svg.reader import read_svg
from mateline.errors import InputError


@pytest.fixture
def drawing(tmp_path):
    """Reads the body of a drawing whose user unit is 1 mm and whose picture is 100 by 60."""

    def read(body, head='width="100mm" height="60mm" viewBox="0 0 100 60"'):
        path = tmp_path / "art.svg"
        space = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        path.write_text(f"<svg {space} {head}>\n{dedent(body)}</svg>", encoding="utf-8")
        return read_svg(path, root=tmp_path)

    return read


GRADIENT = (
    '<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>'
    '</linearGradient><rect width="9" height="9" fill="url(#g)"/>'
)
MARKED = (
    '<marker id="m"><path id="a" d="M0 0h9v9" marker-mid="url(#m)"/></marker>'
    '<path d="M0 0h9v9" marker-mid="url(#m)"/>'
)


def only(drawing):
    (shape,) = drawing.shapes
    return shape


def test_a_drawing_in_mm_has_its_corner_at_the_lower_left(drawing):
    found = drawing("")
    assert found.view == (0, 0, 100, 60)
    assert found.to_mm == pytest.approx((1, 0, 0, -1, 0, 60))


def test_without_a_viewbox_units_are_pixels(drawing):
    found = drawing('<rect width="96" height="48"/>', head='width="2in" height="25.4mm"')
    assert found.view == (0, 0, 192, 96)
    assert only(found).area.area * found.to_mm[0] ** 2 == pytest.approx(25.4 * 12.7)


def test_a_viewbox_of_another_shape_is_centred(drawing):
    found = drawing("", head='width="100mm" height="60mm" viewBox="10 20 30 30"')
    assert found.to_mm == pytest.approx((2, 0, 0, -2, 0, 100))  # 10 -> 20 mm, 20 -> 60 mm up


def test_a_circle_has_every_vertex_on_it(drawing):
    shape = only(drawing('<circle id="sun" cx="50" cy="30" r="20" fill="gold"/>'))
    points = shapely.get_coordinates(shape.area)
    assert abs(shapely.distance(shapely.points(points), shapely.Point(50, 30)) - 20).max() < 1e-12
    assert (shape.colour, shape.element) == ("#ffd700", "#sun")
    assert 0 < math.pi * 400 - shape.area.area < math.tau * 20 * FACET


def test_facets_are_as_fine_as_the_picture_is_large(drawing):
    coarse, fine = (
        drawing(
            '<circle cx="5" cy="5" r="4"/>',
            head=f'width="{w}mm" height="{w}mm" viewBox="0 0 10 10"',
        )
        for w in (10, 1000)
    )
    count = [shapely.get_num_coordinates(only(one).area) for one in (coarse, fine)]
    assert count[1] / count[0] == pytest.approx(10, rel=0.15)  # facets grow with the root


def test_neighbours_along_one_curve_share_its_vertices(drawing):
    found = drawing("""\
        <path d="M10 10 C20 40 50 -10 70 50 L10 50 Z" fill="red"/>
        <path d="M70 50 C50 -10 20 40 10 10 L70 10 Z" fill="blue"/>
        <path d="M80 10 A20 20 0 0 1 80 50 Z" fill="red"/>
        <path d="M80 50 A20 20 0 0 0 80 10 H100 V50 Z" fill="blue"/>
        """)
    red, blue, disc, rest = (shape.area for shape in found.shapes)
    assert red.intersection(blue).area == 0
    assert shapely.coverage_is_valid([disc, rest])


def test_a_group_hands_down_its_colour_and_its_transform(drawing):
    found = drawing("""\
        <g id="boats" fill="#00F" transform="translate(10 5) scale(2)">
          <rect id="hull" width="10" height="4"/>
          <rect id="sail" x="4" y="4" width="2" height="9" style="fill: white"/>
        </g>
        """)
    assert [shape.colour for shape in found.shapes] == ["#0000ff", "#ffffff"]
    assert found.shapes[0].area.bounds == (10, 5, 30, 13)
    assert found.elements == {"boats": (0, 1), "hull": (0,), "sail": (1,)}
    assert found.landmarks["hull"] == (20, 9)


def test_a_landmark_needs_no_paint(drawing):
    found = drawing('<g display="none"><circle id="bolt" cx="7" cy="9" r="1" fill="none"/></g>')
    assert found.shapes == ()
    assert found.landmarks == {"bolt": (7, 9)}


def test_a_style_sheet_beats_an_attribute_and_a_style_attribute_beats_both(drawing):
    found = drawing("""\
        <style>
          .sea { fill: #001122 } rect.sea { fill: #003344 } #x { fill: #556677 !important }
        </style>
        <rect class="sea" fill="red" width="9" height="9"/>
        <rect class="sea" style="fill:#99aabb" width="9" height="9"/>
        <rect id="x" style="fill:#99aabb" width="9" height="9"/>
        """)
    assert [shape.colour for shape in found.shapes] == ["#003344", "#99aabb", "#556677"]


def test_a_copy_stands_where_it_is_put(drawing):
    found = drawing("""\
        <defs><path id="lamp" d="M0 0h4v4h-4z"/></defs>
        <use id="left" href="#lamp" x="10" y="10" fill="red"/>
        <use xlink:href="#lamp" x="80" y="10"/>
        """)
    assert [shape.area.bounds for shape in found.shapes] == [(10, 10, 14, 14), (80, 10, 84, 14)]
    assert found.shapes[0].colour == "#ff0000"
    assert found.elements["lamp"] == (0, 1)
    assert found.elements["left"] == (0,)


def test_a_symbol_is_fitted_and_cut_to_its_own_room(drawing):
    found = drawing("""\
        <symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="8"/></symbol>
        <use href="#s" x="20" y="20" width="30" height="30"/>
        """)
    assert only(found).area.bounds == (20, 20, 50, 50)


def test_what_lies_beyond_the_picture_is_cut_off(drawing):
    found = drawing(
        '<rect x="-10" y="-10" width="30" height="30"/><rect x="200" width="9" height="9"/>'
    )
    assert only(found).area.bounds == (0, 0, 20, 20)


def test_a_clipped_group_shows_what_is_inside_the_clip(drawing):
    found = drawing("""\
        <clipPath id="c"><rect x="10" y="10" width="20" height="20"/></clipPath>
        <g clip-path="url(#c)"><rect width="20" height="60"/><rect x="40" width="9" height="9"/></g>
        """)
    assert only(found).area.bounds == (10, 10, 20, 30)


def test_a_clip_may_be_measured_by_the_box_of_what_it_clips(drawing):
    found = drawing("""\
        <clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>
        <rect x="40" y="10" width="20" height="20" clip-path="url(#c)"/>
        """)
    assert only(found).area.bounds == (40, 10, 50, 30)


def test_a_white_mask_with_a_black_hole_lets_all_but_the_hole_through(drawing):
    found = drawing("""\
        <mask id="m"><path fill="#fff" d="M0 0h90v60H0z"/><path d="M20 20h10v10H20z"/></mask>
        <rect x="10" y="10" width="40" height="40" mask="url(#m)"/>
        """)
    assert only(found).area.area == pytest.approx(1500)
    assert found.notes == ()


def test_thin_paint_is_mixed_with_what_is_under_it_and_said(drawing):
    found = drawing("""\
        <rect width="50" height="60" fill="#000"/>
        <rect id="haze" x="25" width="50" height="60" fill="#fff" fill-opacity=".5"/>
        """)
    assert [(s.colour, s.area.area) for s in found.shapes] == [
        ("#000000", 3000),
        ("#808080", 1500),
        ("#ffffff", 1500),
    ]
    assert found.elements["haze"] == (1, 2)
    assert found.notes[0].element == "#haze"
    assert "covers only 50%" in found.notes[0].message


@pytest.mark.parametrize(
    ("body", "element", "message"),
    [
        ('<image id="photo" href="data:image/png;base64,AA"/>', "#photo", "raster image"),
        ('<image id="photo" href="traced/side%20one.jpg"/>', "#photo", "raster image"),
        ('<text x="5" y="9">LUCKY</text>', "<text> in line 2", "turn it into paths"),
        (GRADIENT, "<rect> in line 2", "mean colour, #808080"),
        ('<rect width="9" height="9" filter="url(#blur)"/>', "<rect> in line 2", "A filter"),
        (
            '<rect width="9" height="9" fill="reddish"/>',
            "<rect> in line 2",
            "'reddish' is no colour",
        ),
        (MARKED, "#a", "Its marker was left out"),
        ('<path stroke-linejoin="foo" d="M0 0h9v9"/>', "<path> in line 2", "'foo' is none of"),
        ('<use href="#gone"/>', "<use> in line 2", "not in the drawing"),
        ('<blob id="b"/>', "#b", "not known"),
    ],
)
def test_what_is_not_flat_geometry_leaves_a_note(drawing, body, element, message):
    (note,) = drawing(body).notes
    assert note.element == element
    assert message in note.message


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ('<path d="M0 0 L10"/>', "L takes 2 numbers at a time, 1 follow it"),
        ('<path d="M0 0 L10 NaN"/>', "is no number"),
        ('<path d="L1 1"/>', "not with M"),
        ('<path d="M0 0 A5 5 0 2 0 9 9"/>', "is no arc"),
        ('<path d="M0 0 L1e999 5 5 5z"/>', "too large"),
        ('<circle r="1e200"/>', "too large|facets"),
        ('<rect width="five" height="2"/>', "is no length"),
        ('<rect width="5furlong" height="2"/>', "unknown unit"),
        ('<g transform="rotate(4"><rect/></g>', "is no transform"),
        ('<g id="a"><use href="#a"/></g>', "itself a part of"),
        ('<use href="../other.svg#a"/>', "another file"),
        ('<image href="/etc/hosts"/>', "another file"),
        ('<image href="%2e%2e/other.png"/>', "another file"),
        ('<image href="http://a.b/c.png"/>', "another file"),
        ("<g>" * 120 + "<rect/>" + "</g>" * 120, "100 deep"),
        ("<g>", "no sound XML"),
    ],
)
def test_what_is_wrong_with_a_drawing_is_said_with_its_place(drawing, body, message):
    with pytest.raises(InputError, match=message) as caught:
        drawing(body)
    assert caught.value.file == "art.svg"
    assert "line" in caught.value.place


def test_copies_of_copies_end_in_a_message(drawing):
    layers = "".join(f'<g id="l{i}">{f"""<use href="#l{i + 1}"/>""" * 10}</g>' for i in range(9))
    with pytest.raises(InputError, match="more than 30000 elements"):
        drawing(f'<defs>{layers}<rect id="l9" width="1" height="1"/></defs><use href="#l0"/>')


@pytest.mark.parametrize(
    "entity",
    [
        '<!ENTITY a "&#38;b;&#38;b;">',
        '<!ENTITY a SYSTEM "file:///etc/hosts">',
        '<!ENTITY % a SYSTEM "x">',
    ],
)
def test_entities_that_stand_for_more_than_text_are_refused(tmp_path, entity):
    path = tmp_path / "art.svg"
    path.write_text(f'<!DOCTYPE svg [{entity}]><svg xmlns="http://www.w3.org/2000/svg"/>')
    with pytest.raises(InputError, match="entity"):
        read_svg(path, root=tmp_path)


def test_a_drawing_outside_the_folder_is_not_opened(tmp_path):
    (tmp_path / "cabinet").mkdir()
    (tmp_path / "art.svg").write_text("<svg/>")
    with pytest.raises(InputError, match="outside the cabinet's folder"):
        read_svg(tmp_path / "cabinet" / ".." / "art.svg", root=tmp_path / "cabinet")


def test_a_missing_drawing_is_said_to_be_missing(tmp_path):
    with pytest.raises(InputError, match="can't be read"):
        read_svg(tmp_path / "gone.svg", root=tmp_path)


def test_a_file_that_is_no_picture_is_refused(tmp_path):
    (tmp_path / "art.svg").write_text("<html/>")
    with pytest.raises(InputError, match="not <svg>"):
        read_svg(tmp_path / "art.svg", root=tmp_path)


def test_a_copy_of_a_copy_is_no_circle(drawing):
    found = drawing("""\
        <defs><g id="lamp"><path id="ray" d="M0 0h2v2z"/><use href="#ray" x="3"/></g></defs>
        <use id="pair" href="#lamp" x="10"/><use href="#pair" y="20"/>
        """)
    assert len(found.shapes) == 4
    assert found.shapes[3].area.bounds == (13, 20, 15, 22)


def test_a_marker_stands_on_each_inner_vertex_turned_halfway(drawing):
    found = drawing("""\
        <marker id="m" markerWidth="4" markerHeight="4" refX="1" refY="1" orient="auto">
          <rect width="2" height="2" fill="red"/>
        </marker>
        <path d="M10 10H30V40" fill="none" marker-mid="url(#m)" stroke-width="2"/>
        """)
    shape = only(found)
    assert shape.colour == "#ff0000"
    assert shape.area.area == pytest.approx(16)
    assert shape.area.bounds == pytest.approx((30 - 8**0.5, 10 - 8**0.5, 30 + 8**0.5, 10 + 8**0.5))


# SVG 2, 9.6.1: distances along a path are as if it were pathLength long. It is 80 long.
@pytest.mark.parametrize(
    ("given", "area"), [("8", 160), ("40", 160), ("80", 160), ("0", 320), ("-8", 160)]
)
def test_dashes_are_measured_by_the_length_that_is_given(drawing, given, area):
    dash = {"8": "1", "40": "5", "80": "10", "0": "10", "-8": "10"}[given]
    found = drawing(
        f'<path d="M10 30H90" pathLength="{given}" stroke="red" stroke-width="4" '
        f'stroke-dasharray="{dash}"/>'
    )
    assert only(found).area.area == pytest.approx(area)


# SVG 2, 13.5.6: a subpath without length has a dash from 0 to 0 where it starts in a dash.
@pytest.mark.parametrize(("offset", "dots"), [("0", 1), ("5", 1), ("5.1", 0), ("9", 0)])
def test_a_dot_is_drawn_where_its_dashes_start_with_one(drawing, offset, dots):
    found = drawing(
        '<path d="M30 30z" stroke="red" stroke-width="4" stroke-linecap="round" '
        f'stroke-dasharray="5" stroke-dashoffset="{offset}"/>'
    )
    assert len(found.shapes) == dots


# CSS Transforms 1, 11: fill-box is the shape's own box, and its corner the origin by itself.
@pytest.mark.parametrize(
    ("origin", "bounds"), [("center", (10, 20, 30, 40)), ("right top", (30, 20, 50, 40))]
)
def test_a_shape_may_be_turned_about_its_own_box(drawing, origin, bounds):
    found = drawing(
        '<rect x="10" y="20" width="20" height="20" '
        f'style="transform-box:fill-box; transform-origin:{origin}; transform:rotate(-180deg) '
        'scale(1, -1)"/>'
    )
    assert only(found).area.bounds == pytest.approx(bounds)


def test_beside_a_colour_there_may_be_one_of_a_printer(drawing):  # SVG 1.1, 4.2
    found = drawing('<rect width="9" height="9" fill="#CD853F icc-color(acme, .1, .2)"/>')
    assert only(found).colour == "#cd853f"
    assert found.notes == ()


def test_marker_is_no_attribute_but_a_property(drawing):  # SVG 2, 6.6
    marker = '<marker id="m"><rect width="2" height="2"/></marker>'
    line = '<path d="M9 9L40 9" fill="none" {}/>'
    assert drawing(marker + line.format('marker="url(#m)"')).shapes == ()
    assert len(drawing(marker + line.format('style="marker: url(#m)"')).shapes) == 2


def test_a_landmark_of_a_group_takes_in_its_copies(drawing):
    found = drawing("""\
        <defs><rect id="r" width="4" height="4"/></defs>
        <g id="row"><use href="#r"/><use href="#r" x="20"/></g>
        """)
    assert found.landmarks["row"] == (12, 2)


ZIGZAG = "M0 0" + "".join(f"L{at * 37 % 100} {at * 61 % 97}" for at in range(20_000))


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (f'<path d="{ZIGZAG}"/>', "crosses or touches itself"),
        ('<path d="M0 0H100" stroke="red" stroke-dasharray=".001"/>', "more than 10000 dashes"),
        ('<g transform="scale(1e200)"><rect width="5" height="5"/></g>', "too large"),
        ('<path d="M0 0C1e300 5 5 1e300 5 5z"/>', "facets"),
        ('<clipPath id="a" clip-path="url(#a)"/><rect width="5" height="5" clip-path="url(#a)"/>',
         "refers to itself"),
    ],
)  # fmt: skip
def test_drawings_that_no_reader_could_finish_are_refused(drawing, body, message):
    with pytest.raises(InputError, match=message):
        drawing(body)


@pytest.mark.parametrize(
    "view", ["0 0 1e-300 1e-300", "0 0 1e300 5", "0 0 0 5", "0 0 nan 5", "1 2"]
)
def test_a_view_that_is_no_size_is_refused(drawing, view):
    with pytest.raises(InputError, match=r"viewBox|is no number"):
        drawing("", head=f'viewBox="{view}"')


def test_a_curve_that_runs_back_over_itself_still_bounds_its_area(drawing):
    found = drawing("""\
        <path d="M49.1652,37.8816c0,0-1.9134,0,1.2089,0c5.7976,0-3.4775-19.2203-3.4775-19.2203
        l-8.6575-0.0233h-4.4579l-8.6576,0.0233c0,0-10.1254,19.2203-4.3279,19.2203
        c3.1223,0,2.0593,0,2.0593,0"/>
        """)
    assert only(found).area.area == pytest.approx(560.5, abs=0.5)


def test_what_covers_half_as_a_whole_shows_nothing_of_what_lies_inside_it(drawing):
    found = drawing("""\
        <g opacity=".5"><rect width="20" height="20" fill="red"/>
        <rect x="10" width="20" height="20" fill="blue"/></g>
        <rect y="30" x="10" width="20" height="20" stroke-width="4" stroke="#000" opacity=".5"/>
        """)
    areas = {}
    for shape in found.shapes:
        areas[shape.colour] = areas.get(shape.colour, 0) + shape.area.area
    assert areas == {"#ff8080": 200, "#8080ff": 400, "#808080": 24 * 24}
