"""The road as a whole: what becomes of a drawing on its way to the cut line."""

import math

import numpy as np
import pytest
import shapely

from mateline.curves import flattened
from mateline.starter import write_starter
from mateline.survey import surveyed, with_true_borders

DISC = """<svg xmlns="http://www.w3.org/2000/svg" width="{size}mm" height="{size}mm"
  viewBox="0 0 20 20"><circle cx="10" cy="10" r="4" fill="#c8402f"/></svg>"""
ART = """
[[art]]
drawing = "disc.svg"
on = "box-right"
anchor = "centre"
to = "centre"
scale = {scale}
"""


def discs(folder, size, scale):
    """The borders of a disc of radius 120 mm on a cabinet, drawn `size` mm wide."""
    write_starter(folder)
    (folder / "disc.svg").write_text(DISC.format(size=size), encoding="utf-8")
    definition = folder / "cabinet.toml"
    text = definition.read_text(encoding="utf-8")
    definition.write_text(text[: text.index("[[art]]")] + ART.format(scale=scale), encoding="utf-8")
    job = with_true_borders(surveyed(folder))
    stencil = next(each for each in job.stencils if each.face.name == "box-right")
    return [
        chain
        for chain, border in zip(stencil.chains, stencil.pattern.borders, strict=True)
        if border.start == border.end and min(border.left, border.right) >= 0
    ]


#  drawn at its size, and so small that facets of its own size would show a hundredfold
@pytest.mark.parametrize(("size", "scale"), [(600, 1.0), (20, 30.0), (6, 100.0)])
def test_a_drawn_circle_stays_round_however_much_it_is_enlarged(tmp_path, size, scale):
    (chain,) = discs(tmp_path / "box", size, scale)
    assert len(chain.segments) <= 2
    assert all(segment.centre is not None for segment in chain.segments)
    points = flattened(chain, 1e-4)
    middle = shapely.Polygon(points).centroid
    radii = np.hypot(points[:, 0] - middle.x, points[:, 1] - middle.y)
    assert radii == pytest.approx(120, abs=0.02)
    assert shapely.Polygon(points).area == pytest.approx(math.pi * 120**2, abs=2)
