"""A DXF file becomes closed, coloured loops; whatever is none is said."""

import math

import ezdxf
import ezdxf.xclip
import pytest
import shapely

from mateline.borders.refit import refit
from mateline.curves import radius
from mateline.drawing.dxf.reader import read_dxf
from mateline.errors import InputError
from mateline.pattern.pattern import pattern_of


@pytest.fixture
def drawing(tmp_path):
    """Reads what a function draws into the modelspace of a new DXF file in mm."""

    def read(draw, unit=4, **options):
        document = ezdxf.new("R2010", units=unit)
        document.layers.add("SEA", color=5)
        document.layers.add("SUN", true_color=ezdxf.colors.rgb2int((255, 204, 0)))
        draw(document.modelspace(), document)
        path = tmp_path / "art.dxf"
        document.saveas(path)
        return read_dxf(path, root=tmp_path, **options)

    return read


def square(space, x, y, size, **attributes):
    corners = [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]
    space.add_lwpolyline(corners, close=True, dxfattribs=attributes)


def test_a_circle_has_the_colour_of_its_layer_and_every_vertex_on_it(drawing):
    found = drawing(lambda space, _: space.add_circle((50, 40), 30, dxfattribs={"layer": "SUN"}))
    (shape,) = found.shapes
    assert shape.colour == "#ffcc00"
    x, y = found.landmarks["SUN"]
    away = shapely.distance(
        shapely.points(shapely.get_coordinates(shape.area)), shapely.Point(x, y)
    )
    assert abs(away - 30).max() < 1e-9
    assert found.elements["SUN"] == (0,)


def test_the_lower_left_corner_of_all_loops_is_the_origin_in_mm(drawing):
    found = drawing(lambda space, _: square(space, 100, 200, 2), unit=1)
    a, b, c, d, e, f = found.to_mm
    x, y, width, height = found.view
    assert (a * x + c * y + e, b * x + d * (y + height) + f) == pytest.approx((0, 0))
    assert (width * a, -height * d) == pytest.approx((50.8, 50.8))


def test_an_entity_may_have_a_colour_of_its_own(drawing):
    def draw(space, _):
        square(space, 0, 0, 10, layer="SEA")
        square(space, 20, 0, 10, layer="SEA", color=1)
        square(space, 40, 0, 10, layer="SEA", true_color=ezdxf.colors.rgb2int((1, 2, 3)))

    assert {shape.colour for shape in drawing(draw).shapes} == {"#0000ff", "#ff0000", "#010203"}


def test_lines_and_arcs_in_any_order_and_direction_make_one_loop(drawing):
    def draw(space, _):
        space.add_line((0, 0), (40, 0))
        space.add_line((0, 20), (40, 20))
        space.add_arc((40, 10), 10, -90, 90)
        space.add_line((0, 20), (0, 0))

    (shape,) = drawing(draw).shapes
    assert shape.area.area == pytest.approx(800 + math.pi * 50, rel=1e-3)


def test_arcs_come_back_as_the_arcs_they_were(drawing):
    def draw(space, _):
        space.add_lwpolyline(
            [(10, 10, 0), (50, 10, 1), (50, 30, 0), (10, 30, 1)], "xyb", close=True
        )

    found = drawing(draw)
    pattern = pattern_of(found.shapes, shapely.box(-20, -60, 90, 0), base="#ffffff")
    arcs = [s for chain in refit(pattern) for s in chain.segments if s.centre]
    assert [radius(arc) for arc in arcs] == pytest.approx([10, 10], abs=1e-9)


def test_a_loop_in_a_loop_of_its_layer_is_a_hole_and_of_another_lies_on_top(drawing):
    def draw(space, _):
        square(space, 0, 0, 100, layer="SEA")
        square(space, 10, 10, 50, layer="SEA")
        square(space, 20, 20, 10, layer="SEA")
        square(space, 70, 70, 5, layer="SUN")

    found = drawing(draw)
    assert [(s.colour, s.area.area) for s in found.shapes] == [
        ("#0000ff", 7500),
        ("#0000ff", 100),
        ("#ffcc00", 25),
    ]


def test_blocks_are_drawn_where_they_are_inserted(drawing):
    def draw(space, document):
        block = document.blocks.new("LAMP")
        block.add_circle((0, 0), 1, dxfattribs={"layer": "SUN"})
        space.add_blockref("LAMP", (10, 10))
        space.add_blockref("LAMP", (30, 10), dxfattribs={"xscale": 2, "yscale": 2})

    areas = sorted(shape.area.area for shape in drawing(draw).shapes)
    assert areas == pytest.approx([math.pi, 4 * math.pi], rel=0.02)


def test_a_mirrored_arc_bulges_to_its_own_side(drawing):
    def draw(space, _):
        space.add_arc((-20, 0), 10, 0, 180, dxfattribs={"extrusion": (0, 0, -1)})
        space.add_line((10, 0), (30, 0))

    (shape,) = drawing(draw).shapes
    assert shape.area.bounds == pytest.approx((10, -10, 30, 0), abs=1e-9)


def test_ellipses_and_splines_bound_areas(drawing):
    def draw(space, _):
        space.add_ellipse((0, 0), (40, 0), 0.5)
        space.add_spline([(100, 0), (120, 30), (140, 0)])
        space.add_line((140, 0), (100, 0))

    oval, hump = drawing(draw).shapes
    assert oval.area.area == pytest.approx(math.pi * 800, rel=1e-3)
    assert hump.area.bounds[::2] == pytest.approx((100, 140), abs=0.1)


def test_a_loop_that_nearly_closes_is_closed_and_said(drawing):
    def draw(space, _):
        space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 0.03)])

    found = drawing(draw)
    (note,) = found.notes
    assert "open by 0.03" in note.message
    assert len(found.shapes) == 1


def test_lines_that_bound_nothing_and_text_are_noted(drawing):
    def draw(space, _):
        square(space, 0, 0, 10)
        space.add_line((50, 50), (60, 60))
        space.add_text("LUCKY")

    messages = [note.message for note in drawing(draw).notes]
    assert any("no closed loop, from (50, 50)" in message for message in messages)
    assert any("1 of this kind left out" in message for message in messages)


def test_a_file_without_a_unit_is_taken_as_mm_and_said(drawing):
    found = drawing(lambda space, _: square(space, 0, 0, 10), unit=0)
    assert found.to_mm[0] == 1
    assert "no usable unit" in found.notes[0].message


def test_a_drawing_without_a_loop_is_refused(drawing):
    with pytest.raises(InputError, match="closed loop"):
        drawing(lambda space, _: space.add_line((0, 0), (1, 1)))


def test_a_block_that_stands_in_itself_is_refused(drawing):
    def draw(space, document):
        for name, other in (("A", "B"), ("B", "A")):
            document.blocks.new(name).add_blockref(other, (0, 0))
        space.add_blockref("A", (0, 0))

    with pytest.raises(InputError, match="part of itself"):
        drawing(draw)


@pytest.mark.parametrize(
    "content", [b"", b"not a drawing", b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n"]
)
def test_a_file_that_is_no_dxf_is_refused(tmp_path, content):
    path = tmp_path / "art.dxf"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"art\.dxf"):
        read_dxf(path, root=tmp_path)


def test_a_dxf_outside_the_folder_is_not_opened(tmp_path):
    with pytest.raises(InputError, match="outside the cabinet's folder"):
        read_dxf(tmp_path / ".." / "art.dxf", root=tmp_path)


def test_what_a_block_holds_on_layer_0_or_in_its_own_colour_takes_those_of_where_it_is_put(drawing):
    def draw(space, document):
        block = document.blocks.new("LAMP")
        square(block, 0, 0, 5)
        square(block, 10, 0, 5, color=0)
        square(block, 20, 0, 5, layer="SUN")
        space.add_blockref("LAMP", (0, 0), dxfattribs={"layer": "SEA", "color": 1})

    found = drawing(draw)
    colours = {shape.area.bounds[0]: shape.colour for shape in found.shapes}
    assert colours == {0: "#0000ff", 10: "#ff0000", 20: "#ffcc00"}
    assert len(found.elements["SEA"]) == 2


@pytest.mark.parametrize("off", [0, 0.01])
def test_a_loop_drawn_twice_is_no_hole_in_itself(drawing, off):
    def draw(space, _):
        square(space, 0, 0, 50)
        square(space, off, off, 50 - 2 * off)

    found = drawing(draw)
    (shape,) = found.shapes
    assert shape.area.area == pytest.approx(2500, rel=1e-3)
    assert "drawn twice" in found.notes[0].message


def test_an_array_of_a_block_is_drawn_row_by_row(drawing):
    def draw(space, document):
        square(document.blocks.new("LAMP"), 0, 0, 2)
        rows = {"row_count": 3, "column_count": 2, "row_spacing": 10, "column_spacing": 20}
        space.add_blockref("LAMP", (0, 0), dxfattribs=rows)

    corners = sorted(shape.area.bounds[:2] for shape in drawing(draw).shapes)
    assert corners == [(x, -y - 2) for x in (0, 20) for y in (20, 10, 0)]


def test_an_array_in_a_scaled_block_is_scaled_with_it(drawing):
    def draw(space, document):
        square(document.blocks.new("LAMP"), 0, 0, 2)
        rows = {"row_count": 2, "column_count": 2, "row_spacing": 10, "column_spacing": 20}
        document.blocks.new("ROWS").add_blockref("LAMP", (0, 0), dxfattribs=rows)
        space.add_blockref("ROWS", (0, 0), dxfattribs={"xscale": 3, "yscale": 3})

    corners = sorted(shape.area.bounds[::3] for shape in drawing(draw).shapes)
    assert corners == [(x, -y) for x in (0, 60) for y in (30, 0)]


@pytest.fixture
def skewed(drawing):
    """A disc of radius 10, array of two, in a turned block drawn three times as wide as high."""

    def draw(space, document):
        disc = document.blocks.new("DISC")
        disc.add_circle((0, 0), 10, dxfattribs={"color": 0, "extrusion": (0, 0, -1)})
        turned = {"rotation": 30, "yscale": 0.5, "column_count": 2, "column_spacing": 40}
        inside = {"layer": "SEA", "color": 2}
        document.blocks.new("SKEW").add_blockref("DISC", (0, 0), dxfattribs=turned | inside)
        space.add_blockref("SKEW", (0, 0), dxfattribs={"xscale": 3, "color": 1})

    return drawing(draw)


def test_a_block_put_skew_in_another_has_its_array_and_its_colour(skewed):
    assert [shape.colour for shape in skewed.shapes] == ["#ffff00"] * 2
    assert [s.area.area for s in skewed.shapes] == pytest.approx([150 * math.pi] * 2, rel=1e-3)
    (ax, ay), (bx, by) = sorted(s.area.centroid.coords[0] for s in skewed.shapes)
    apart = (120 * math.cos(math.radians(30)), 40 * math.sin(math.radians(-30)))
    assert (bx - ax, by - ay) == pytest.approx(apart, abs=1e-6)


def test_a_circle_put_skew_is_the_ellipse_that_the_maps_make_of_it(skewed):
    one = min((shape.area for shape in skewed.shapes), key=lambda area: area.centroid.x)
    x, y = shapely.get_coordinates(one).T
    x, y = x / 3, -y  # back through the outer block, y up, then through the inner one
    cos, sin = math.cos(math.radians(30)), math.sin(math.radians(30))
    back = [(cos * u + sin * v, (cos * v - sin * u) / 0.5) for u, v in zip(x, y, strict=True)]
    assert [math.hypot(*point) for point in back] == pytest.approx([10] * len(back), abs=1e-9)


def test_capitals_do_not_tell_layers_apart(drawing):
    def draw(space, _):
        space.add_line((0, 0), (10, 0), dxfattribs={"layer": "Sea"})
        space.add_lwpolyline([(10, 0), (10, 10), (0, 0)], dxfattribs={"layer": "SEA"})

    found = drawing(draw)
    assert [(shape.colour, shape.area.area) for shape in found.shapes] == [("#0000ff", 50)]
    assert found.elements["SEA"] == (0,)


def test_the_colour_of_a_block_is_black_where_there_is_none(drawing):
    found = drawing(lambda space, _: square(space, 0, 0, 10, layer="SEA", color=0))
    assert found.shapes[0].colour == "#000000"


def test_a_block_that_leans_is_left_out_and_said(drawing):
    def draw(space, document):
        square(document.blocks.new("LAMP"), 0, 0, 2)
        space.add_blockref("LAMP", (0, 0), dxfattribs={"extrusion": (1, 0, 0)})
        square(space, 0, 0, 5)

    found = drawing(draw)
    assert [shape.area.area for shape in found.shapes] == [25]
    assert any("INSERT LAMP" in n.element and "not lie in" in n.message for n in found.notes)


def test_a_clipped_block_is_drawn_whole_and_said(drawing):
    def draw(space, document):
        square(document.blocks.new("LAMP"), 0, 0, 2)
        clip = ezdxf.xclip.XClip(space.add_blockref("LAMP", (0, 0)))
        clip.set_block_clipping_path([(0, 0), (1, 1)])

    found = drawing(draw)
    assert found.shapes[0].area.area == 4
    assert any("clipped" in note.message for note in found.notes)


def test_a_block_turned_by_no_number_is_refused(drawing):
    def draw(space, document):
        square(document.blocks.new("LAMP"), 0, 0, 2)
        space.add_blockref("LAMP", (0, 0), dxfattribs={"rotation": math.inf})

    with pytest.raises(InputError, match="INSERT LAMP: One of its numbers"):
        drawing(draw)


def spline(space, points, knots=(), weights=(), degree=3):
    made = space.add_spline(degree=degree)
    made.control_points = [(x, y, 0) for x, y in points]
    made.knots, made.weights = knots, weights


@pytest.mark.parametrize("degree", [2, 5])
def test_splines_of_any_degree_are_followed(drawing, degree):
    """A Bézier whose points are evenly spaced in x is the graph of a polynomial over x."""

    def draw(space, _):
        heights = [0, *[240] * (degree - 1), 0]
        points = [(1000 * at / degree, y) for at, y in enumerate(heights)]
        spline(space, points, [0] * (degree + 1) + [1] * (degree + 1), degree=degree)
        space.add_line((0, 0), (1000, 0))

    (shape,) = drawing(draw).shapes
    # Bernstein polynomials all have the integral 1 / (degree + 1).
    assert shape.area.area == pytest.approx(1000 * 240 * (degree - 1) / (degree + 1), rel=1e-4)
    x, y = shapely.get_coordinates(shape.area).T
    t = x / 1000
    known = 240 * (1 - t**degree - (1 - t) ** degree)
    assert abs(-y - known).max() < 0.002


def test_a_periodic_spline_closes_and_ends_at_its_last_full_span(drawing):
    """Parabolas round off the corners of a square and cut a third of each half-edge triangle."""

    def draw(space, _):
        corners = [(0, 0), (100, 0), (100, 100), (0, 100)]
        spline(space, [*corners, *corners[:2]], [*range(9)], degree=2)

    found = drawing(draw)
    assert found.shapes[0].area.area == pytest.approx(100**2 * 5 / 6, rel=2e-4)
    assert found.notes == ()


def test_a_spline_of_degree_1_is_a_polygon(drawing):
    def draw(space, _):
        spline(space, [(0, 0), (30, 0), (0, 40), (0, 0)], [0, 0, 1, 2, 3, 3], degree=1)

    assert drawing(draw).shapes[0].area.area == 600


def test_a_closed_spline_by_its_fit_points_alone_is_smooth_all_round(drawing):
    def draw(space, _):
        space.add_spline([(50, 0), (0, 50), (-50, 0), (0, -50)]).closed = True

    (shape,) = drawing(draw).shapes
    # A quarter of the periodic cubic spline through x = 50, 0, -50, 0 is 50 - 75 t² + 25 t³.
    x, y = shapely.get_coordinates(shape.area).T
    halfway = 50 - 75 / 4 + 25 / 8
    apart = shapely.Point(halfway, halfway).distance(shape.area.exterior)
    assert apart < 0.005
    assert (abs(x).max(), abs(y).max()) == pytest.approx((50, 50), abs=1e-9)


def test_points_that_only_govern_a_smoothed_polyline_are_no_corners(drawing):
    def draw(space, _):
        line = space.add_polyline2d([(0, 0), (10, 0), (10, 10), (500, 500)], close=True)
        line.dxf.flags |= 4
        line.vertices[-1].dxf.flags |= 16

    assert drawing(draw).shapes[0].area.area == 50


def test_an_ellipse_whose_end_was_rounded_up_is_whole(drawing):
    found = drawing(lambda space, _: space.add_ellipse((0, 0), (40, 0), 0.5, 0, 6.28319))
    assert found.shapes[0].area.area == pytest.approx(math.pi * 800, rel=1e-3)


def test_cells_of_one_colour_with_one_line_between_them_are_one_area(drawing):
    def draw(space, _):
        for corner in ((0, 0), (40, 20)):
            for to in ((0, 20), (40, 0)):
                space.add_lwpolyline([corner, to])
        for y in (0, 20):
            space.add_line((20, y), (20, 10))
        space.add_line((0, 0), (20, 10))
        space.add_line((20, 10), (40, 20))

    (shape,) = drawing(draw).shapes
    assert shape.area.area == pytest.approx(800)


def test_a_line_drawn_twice_is_said(drawing):
    def draw(space, _):
        square(space, 0, 0, 10)
        corners = [(20, 0), (30, 0), (25, 9)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            space.add_line(a, b)
        space.add_line((30, 0), (20, 0))

    found = drawing(draw)
    assert [shape.area.area for shape in found.shapes] == [100, 45]
    assert ["drawn twice" in note.message for note in found.notes] == [True]


@pytest.mark.parametrize(
    ("written", "read"),
    [("Grün".encode("latin-1"), "Grün"), (b"Gr\x1bn", "Gr?n")],
)
def test_a_name_that_is_no_text_of_the_file_can_still_be_written(tmp_path, written, read):
    document = ezdxf.new("R2018", units=4)
    square(document.modelspace(), 0, 0, 10)
    document.layers.add("NAME", color=3)
    square(document.modelspace(), 20, 0, 10, layer="NAME")
    document.modelspace().add_line((50, 0), (60, 0), dxfattribs={"layer": "NAME"})
    document.modelspace().add_blockref("NAME", (0, 0))
    path = tmp_path / "art.dxf"
    document.saveas(path)
    path.write_bytes(path.read_bytes().replace(b"NAME", written))
    found = read_dxf(path, root=tmp_path)
    assert read in found.elements
    assert f"INSERT {read}" in {note.element for note in found.notes}
