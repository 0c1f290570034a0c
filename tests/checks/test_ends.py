"""Art that runs on over the ends of boards: told, or painted; in faces, paint and the model alike.

The box of tests/boxes.py, 300 wide, 400 deep, 500 high, boards 18 thick, with a red band from 90 to
190 above its foot wrapped from the left side over the front: on the ends of both sides, 18 by 100
each, art is lost or not.
"""

import tomllib

import numpy as np
import pytest
import trimesh
from shapely import box

from boxes import PRELUDE, SQUARE
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.drawing.shapes import drawing_of
from mateline.errors import Faults
from mateline.exports.build import _painted_ends
from mateline.exports.solid.glb import write
from mateline.paint.lightness import linear
from mateline.survey import planned, survey_of

RED, CREAM, WOOD = "#b03a2e", "#f4ead2", "#c8a06a"
BAND = drawing_of([(box(0, 90, 1000, 190), RED)], "band")
WRAP = '[[art]]\ndrawing = "band"\nwrap = ["box-left", "box-front"]\noffset = [0, 90]\n'
OUTSIDE = 2 * (400 * 500 + 300 * 500 + 300 * 400)


def job(more="", after=""):
    text = (
        PRELUDE
        + f'red = {{ paint = "{RED}", letter = "R" }}\n'
        + SQUARE.format(more=more, board=18)
    )
    stated = settled(parsed(tomllib.loads(text + after + WRAP), "cabinet.toml"), Faults())
    return survey_of(stated, {"band": BAND})


def told(job):
    return [each for each in job.findings if each.code == "art-over-end"]


def areas(job, tmp_path):
    """mm² of each colour on the outside of the boards in the model."""
    painted = {
        each.face.name: [(one.area, each.paints[one.colour]) for one in each.pattern.regions]
        for each in job.stencils
    }
    panels = [each.face.panel for each in job.stencils]
    ends = _painted_ends(job)
    write(panels, painted, tmp_path / "m.glb", wood=WOOD, ends=ends, elsewhere=sorted(painted))
    sums = dict.fromkeys((RED, CREAM, WOOD), 0.0)
    for mesh in trimesh.load(tmp_path / "m.glb", process=False).geometry.values():
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        tints = np.asarray(mesh.visual.vertex_attributes["color"])[mesh.faces[:, 0], :3]
        for colour in sums:
            alike = np.abs(tints - linear(colour)).max(axis=1) < 1e-3
            sums[colour] += float(mesh.area_faces[alike].sum()) * 1e6
    return sums


def red_of(job):
    return sum(p.area.area for s in job.stencils for p in s.pieces if p.colour == "red")


def test_art_lost_on_ends_is_told_once_with_its_size_and_remedy():
    (finding,) = told(job())
    assert (finding.level, finding.face) == ("warn", "box-front")
    assert "the ends of box-left and box-right beside it, 36.0 cm² in all" in finding.message
    assert "painted cream" in finding.message
    assert '“left and front” and “right and front” end = "art"' in finding.remedy


def test_art_that_ends_at_trim_is_only_noted():
    (finding,) = told(job('ends = "left"'))
    assert finding.level == "note"
    assert "left unpainted" in finding.message


def test_art_that_is_carried_over_the_ends_is_painted_there_as_the_wrap_measures_it():
    plain, carried = job(), job('ends = "art"')
    assert told(carried) == []
    assert red_of(carried) - red_of(plain) == pytest.approx(2 * 18 * 100)
    front = next(each for each in carried.stencils if each.face.name == "box-front")
    (red,) = [piece for piece in front.pieces if piece.colour == "red"]
    assert red.area.bounds == pytest.approx((0, 90, 300, 190))


@pytest.mark.parametrize("ends", ["", 'ends = "art"', 'ends = "left"'])
def test_faces_model_picture_and_paint_agree(ends, tmp_path):
    made = job(ends)
    left = sum(end.size for end in made.cabinet.ends if end.finish == "left")
    # The base coat lies under everything that is painted at all.
    assert planned(made).passes[0].area == pytest.approx(OUTSIDE - left)
    sums = areas(made, tmp_path)
    # Slivers of the model where colours meet are 4e-3 wide, paint on ends ends 0.02 inside them.
    assert sums[RED] == pytest.approx(red_of(made), rel=1e-3)
    assert sums[RED] + sums[CREAM] == pytest.approx(OUTSIDE - left, rel=1e-4)


def test_the_plan_says_which_ends_are_painted_and_which_taped_over():
    assert planned(job()).passes[0].why == (
        "The base coat lies under everything, and on 12 ends of boards that show."
    )
    edge = '[carcase.edges]\n"left and front" = { end = "left" }\n'
    assert "1 end (box-left) stays unpainted: tape it over first." in (
        planned(job("", edge)).passes[0].why
    )
