"""The road as a whole: what becomes of a drawing on its way to the cut line."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from mateline.checks.findings import Finding, Settled, Settlement
from mateline.curves import flattened
from mateline.drawing.shapes import drawing_of
from mateline.starter import write_starter
from mateline.survey import planned, survey_of, surveyed, with_true_borders

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


@pytest.fixture(scope="module")
def surveyed_box(tmp_path_factory):
    folder = tmp_path_factory.mktemp("survey") / "box"
    write_starter(folder)
    return surveyed(folder)


def test_what_only_true_borders_show_is_settled_when_they_are_fitted(surveyed_box, monkeypatch):
    meant = Settlement("border-faceted", "Cut by hand.", face="box-left", place="settled 1")
    definition = replace(surveyed_box.definition, settlements=(meant,))
    drawings = {"band.svg": drawing_of([(shapely.box(0, 0, 300, 40), "red")], "band.svg")}
    job = survey_of(definition, drawings)
    assert "settlement-unmatched" not in {each.code for each in job.findings}  # nobody knows yet
    assert with_true_borders(job).findings[0].code == "settlement-unmatched"
    found = Finding("border-faceted", "note", "Facets.", "None.", face="box-left")
    monkeypatch.setattr("mateline.survey.faceted", lambda *_: (found,))
    fitted = with_true_borders(job)
    assert fitted.findings == job.findings
    assert fitted.settled == (Settled(found, "Cut by hand."),)


def test_a_plan_heeds_what_is_settled_as_before(surveyed_box):
    job = with_true_borders(surveyed_box)
    breaks = Finding("mirror-breaks-piece", "stop", "Broken.", "Mend it.", face="box-left",
                     piece="box-left R1", at=(100.0, 400.0))  # fmt: skip
    (pair,) = job.pairs
    job = replace(job, pairs=(replace(pair, shared=True),), findings=(breaks,))
    settled = replace(job, findings=(), settled=(Settled(breaks, "It is meant."),))
    caused = replace(
        job, findings=(replace(breaks, code="face-uncovered", consequences=(breaks,)),)
    )
    (sides,) = planned(job).sides
    assert [each.piece for each in sides.blocked] == ["box-left R1"]
    assert planned(settled).sides == planned(caused).sides == (sides,)
