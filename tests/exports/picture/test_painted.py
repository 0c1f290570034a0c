import io
from pathlib import Path

import numpy as np
import pytest
import resvg_py
from PIL import Image

from golden import assert_golden
from mateline.exports.picture.painted import painted_svg
from stencils import FRONT, PAINTS, SIZE, board, seaside, striped
from svg_reading import SVG, parsed, paths

SCALE = 5  # px a mm


def rendered(text):
    width = int(SIZE[0] * SCALE)
    png = resvg_py.svg_to_bytes(svg_string=text, width=width, dpi=96)
    return np.array(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))


def test_the_file_is_as_it_was_looked_at():
    assert_golden(painted_svg(seaside()), Path(__file__).parent / "golden" / "painted.svg")


def test_it_is_flat_fills_and_nothing_else():
    root = parsed(painted_svg(seaside()))
    assert {element.tag for element in root} == {f"{SVG}path"}
    assert {name for path in paths(root) for name in path.attrib} == {"fill", "d"}


def test_every_region_is_one_path_of_its_paint():
    stencil = seaside()
    found = [path.get("fill") for path in paths(parsed(painted_svg(stencil)))]
    assert found == [PAINTS[region.colour] for region in stencil.pattern.regions]


def test_rendered_colours_have_the_pieces_areas_and_no_other_colour_appears():
    stencil = seaside()
    pixels = rendered(painted_svg(stencil)).reshape(-1, 4)
    colours, counts = np.unique(pixels, axis=0, return_counts=True)
    found = {
        "#" + "".join(f"{channel:02x}" for channel in colour[:3]): count / SCALE**2
        for colour, count in zip(colours.tolist(), counts.tolist(), strict=True)
        if colour[3]
    }
    for piece in stencil.pieces:
        # A border of length L crosses about L px at SCALE; each is wrong by half of itself at most.
        blur = piece.area.length / SCALE
        assert found.pop(stencil.paints[piece.colour]) == pytest.approx(piece.area.area, abs=blur)
    assert not found


def test_what_hardware_covers_is_left_open_and_nothing_else_is():
    clear = rendered(painted_svg(seaside()))[:, :, 3] == 0
    rows, columns = np.nonzero(clear)
    reach = np.hypot(columns / SCALE - 80, rows / SCALE - 60)
    assert reach.max() < 15 + 1 / SCALE
    assert clear.sum() / SCALE**2 == pytest.approx(np.pi * 15**2, rel=0.01)


def test_facets_of_many_regions_leave_no_pixel_bare():
    stencil = striped(board("front", FRONT, SIZE))
    assert len(stencil.pieces) > 4
    assert (rendered(painted_svg(stencil))[:, :, 3] == 255).all()


def test_it_matches_a_render_of_the_drawing_that_it_was_made_from():
    """The figure drawn as anyone would, back to front; only pixels on a border may differ."""
    drawing = """
        <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300" shape-rendering="crispEdges">
          <rect width="400" height="300" fill="#f4ead2"/>
          <circle cx="280" cy="90" r="50" fill="#f2b134"/>
          <path fill="#1f5f8b"
                d="M0 200 a125 125 0 0 1 200 0 a125 125 0 0 0 200 0 v100 h-400 z"/>
        </svg>"""
    source, painted = rendered(drawing), rendered(painted_svg(seaside()))
    covered = painted[:, :, 3] == 255
    different = (source != painted).any(axis=2) & covered
    # As in the areas: a border differs in less than one pixel for each that it crosses.
    border = (np.pi * 100 + 4 * 125 * np.arcsin(100 / 125)) * SCALE
    assert different.sum() < border / 4
