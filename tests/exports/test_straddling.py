"""Hardware over joints and at rims in what a build writes."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh

from boxes import PRELUDE, SQUARE
from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.curves import flattened
from mateline.exports.cut.layers import layers_of
from mateline.exports.solid import glb
from mateline.survey import surveyed, with_true_borders

PLATE = """
[[hardware]]
name = "plate"
kind = "rectangle"
length = 80
width = 20
corner = 5
on = "box-left"
from = { front = 5, bottom = 100 }
straddles = "box-front"
state = "STATE"
[[art]]
drawing = "sign.svg"
on = ["box-left", "box-front"]
"""
SIGN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
    '<rect width="500" y="400" height="100" fill="#d03020"/></svg>'
)


@pytest.fixture(scope="module", params=["stays", "removed"])
def job(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("box")
    text = PRELUDE.replace("[palette.colours]", '[palette.colours]\nred = { paint = "#d03020", '
                           'letter = "R" }') + SQUARE.format(board=18, more="")  # fmt: skip
    text += PLATE.replace("STATE", request.param)
    (folder / "cabinet.toml").write_text(text)
    (folder / "sign.svg").write_text(SIGN)
    return with_true_borders(surveyed(folder))


def of(job, name):
    return next(each for each in job.stencils if each.face.name == name)


def test_each_face_has_its_share_and_no_more(job):
    """The plate is 80 long, 35 of it beyond the side's edge: 18 on its end and 17 on the front."""
    for name, long in (("box-left", 45), ("box-front", 17 + 18 - 18)):
        stencil = of(job, name)
        (hole,) = stencil.face.holes
        shown = [
            shapely.Polygon(flattened(part))
            for part in on_face(opening(hole), stencil.face.outline)
        ]
        assert sum(area.area for area in shown) == pytest.approx(long * 20, abs=25)  # round corners
        assert all(stencil.face.outline.buffer(1e-9).contains(area) for area in shown)
        if hole.stays:
            left = stencil.face.outline.area - sum(piece.area.area for piece in stencil.pieces)
            clear = shapely.Polygon(flattened(keep_clear(hole))) & stencil.face.outline
            assert left == pytest.approx(clear.area, rel=1e-6)
        else:
            (drawn,) = layers_of(stencil)["hole"]
            assert shapely.Polygon(flattened(drawn)).area == pytest.approx(shown[0].area)


def test_the_model_is_closed(job, tmp_path):
    panels = [stencil.face.panel for stencil in job.stencils]
    painted = {
        each.face.name: [(part.area, each.paints[part.colour]) for part in each.pattern.regions]
        for each in job.stencils
    }
    glb.write(panels, painted, tmp_path / "model.glb", wood="#c8a06a")
    scene = trimesh.load(tmp_path / "model.glb")
    for name, mesh in scene.geometry.items():
        mesh.merge_vertices()
        assert mesh.is_watertight, name


def test_the_solid_is_valid_and_lacks_what_is_cut(job):
    from mateline.cabinet.cadquery_solid import solid

    panel = of(job, "box-left").face.panel
    made, whole = solid(panel), solid(replace(panel, holes=()))
    assert made.isValid()
    corners = 2 * (1 - np.pi / 4) * 5**2  # the two at its inner end
    assert whole.Volume() - made.Volume() == pytest.approx((45 * 20 - corners) * 18)


def test_findings_know_it_on_both_faces(job):
    """The border at y = 100 runs across its middle on both."""
    over = [each for each in job.findings if each.code == "border-over-hole"]
    stays = of(job, "box-left").face.holes[0].stays
    assert [each.face for each in over] == ([] if stays else ["box-front", "box-left"])
    assert all(each.hardware == "plate" for each in over)
