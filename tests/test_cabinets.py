"""The four cabinets of the repository: what each is there to show."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from mateline.checks.findings import with_consequences
from mateline.checks.hardware import kept_areas
from mateline.curves import length
from mateline.exports.by_hand.strokes import hand_sheets
from mateline.exports.by_hand.table import hand_cutting
from mateline.stencil.cutting.cut_path import cut_path, stroke_chains
from mateline.survey import surveyed, with_true_borders

CABINETS = Path(__file__).parents[1] / "cabinets"
NAMES = (
    "corner-box",
    "eight-winds",
    "harbour-lights",
    "harbour-lights-first-try",
    "night-ferry",
    "quilt",
)
POINTS = 400  # looked at on each face
EVERY = {
    "hole-splits-piece",
    "hole-swallows-piece",
    "hole-thins-piece",
    "border-over-hole",
    "piece-without-tack",
    "piece-narrow",
    "piece-tiny",
    "tip-sharp",
    "tack-out-of-reach",
    "mirror-missing",
    "mirror-extra",
    "mirror-moved",
    "mirror-size",
    "mirror-outline",
    "mirror-lettering",
    "mirror-breaks-piece",
    "reading-suspect",
    "outline-unchecked",
    "art-off-face",
    "face-uncovered",
    "landmark-off",
    "lettering-left-out",
    "drawing-left-out",
    "word-without-effect",
    "art-over-end",
}


@cache
def job(name):
    return surveyed(CABINETS / name)


@cache
def finished(name):
    return with_true_borders(job(name))


def codes(name, level=None):
    found = with_consequences(job(name).findings)
    return {each.code for each in found if level in {None, each.level}}


def pieces(name, *faces):
    return [p for s in job(name).stencils for p in s.pieces if not faces or s.face.name in faces]


def test_these_are_all_cabinets():
    there = {each.name for each in CABINETS.iterdir() if each.is_dir()}
    assert there == {*NAMES, "last-season"}  # which is traced first: tests/photos


@pytest.mark.parametrize("name", NAMES)
def test_art_that_runs_off_on_purpose_says_so(name):
    assert "art-off-face" not in codes(name, "note")


@pytest.mark.parametrize("name", NAMES)
def test_pieces_and_hardware_fill_each_face(name):
    for stencil in job(name).stencils:
        kept = kept_areas([hole for hole in stencil.face.holes if hole.stays])
        painted = stencil.pieces or stencil.pattern.regions  # base coat only takes no board
        covered = sum(each.area.area for each in painted)
        covered += shapely.intersection(shapely.union_all(kept), stencil.face.outline).area
        assert covered == pytest.approx(stencil.face.outline.area, rel=1e-9), stencil.face.name


@pytest.mark.parametrize("name", NAMES)
def test_the_knife_goes_along_every_border_once_and_no_more(name):
    """The length of what is cut is that of all regions' rims laid on each other by shapely."""
    for stencil in finished(name).stencils:
        path = cut_path(stencil.pattern)
        cut = sum(length(chain) for chain in stroke_chains(path, stencil.chains))
        assert cut == pytest.approx(sum(length(chain) for chain in stencil.chains), rel=1e-9)
        painted = stencil.pieces or stencil.pattern.regions
        rims = shapely.boundary([each.area for each in painted])
        # Facets are shorter than their arcs, by less than this.
        assert cut == pytest.approx(shapely.union_all(rims).length, rel=2e-4), stencil.face.name


@pytest.mark.parametrize("name", NAMES)
def test_the_table_for_cutting_by_hand_stays_short(name):
    """A border took five lines once: 12 394 for a side of the quilt, 1 148 for the demo's."""
    most = {"quilt": 1000, "harbour-lights": 400, "harbour-lights-first-try": 400}.get(name, 150)
    for stencil in (each for each in finished(name).stencils if each.has_board):
        sheets = hand_sheets(stencil, job(name).tape, cut_path(stencil.pattern))
        lines = hand_cutting(sheets, job(name).tape).splitlines()
        assert len(lines) < most, stencil.face.name
        assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("name", NAMES)
def test_every_point_has_the_colour_that_was_painted_there_last(name):
    work = job(name)
    random = np.random.default_rng(seed=7)
    for stencil in work.stencils:
        left, low, right, high = stencil.face.outline.bounds
        points = random.uniform((left, low), (right, high), size=(POINTS, 2))
        x, y = points[shapely.contains_xy(stencil.face.outline, points)].T
        painted = np.full(len(x), stencil.base, dtype=object)
        for art in work.art:
            if art.face == stencil.face.name:
                for shape in art.shapes:
                    painted[shapely.contains_xy(shape.area, x, y)] = shape.colour
        cut = np.full(len(x), "", dtype=object)
        for region in stencil.design:
            cut[shapely.contains_xy(region.area, x, y)] = region.colour
        assert cut.tolist() == painted.tolist(), stencil.face.name


def test_the_tutorial_is_readable_in_one_screen():
    text = (CABINETS / "corner-box" / "cabinet.toml").read_text(encoding="utf-8")
    assert len(text.splitlines()) < 60
    assert len(job("corner-box").colours.paints) == 3
    assert codes("corner-box") == {"face-uncovered"}


def test_the_main_demo_builds_with_few_warnings_and_no_stop():
    work = job("harbour-lights")
    assert not codes("harbour-lights", "stop")
    assert codes("harbour-lights", "warn") == {"mirror-extra", "mirror-outline"}
    assert len(work.stencils) >= 12
    assert len(pieces("harbour-lights")) >= 150
    assert {piece.colour for piece in pieces("harbour-lights")} == set(work.colours.paints)
    assert len(work.colours.paints) == 6


def test_the_main_demos_readings_do_not_quite_close_and_none_is_suspect():
    outlines = job("harbour-lights").cabinet.outlines
    assert set(outlines) == {"body left", "body right", "head"}
    assert {outline.verdict for outline in outlines.values()} == {"closes"}
    left, right = (np.array(outlines[f"body {side}"].points) for side in ("left", "right"))
    assert 2 < np.hypot(*(left - right).T).max() < 6


def test_the_pier_reads_the_same_way_on_both_sides():
    at = {"body-left": None, "body-right": None}
    for art in job("harbour-lights").art:
        if art.drawing == "letters.svg":
            letters = shapely.union_all([shape.area for shape in art.shapes])
            x, y = letters.bounds[:2]
            at[art.face] = shapely.affinity.translate(letters, -x, -y)
    assert at["body-left"].symmetric_difference(at["body-right"]).area < 1e-6


def test_the_waves_are_their_own_mirror_image_about_the_middle_of_the_front():
    (front,) = (s for s in job("harbour-lights").stencils if s.face.name == "body-front")
    width = front.face.outline.bounds[2]
    (deep,) = (r.area for r in front.design if r.colour == "navy" and r.area.bounds[1] < 1)
    turned = shapely.affinity.translate(shapely.affinity.scale(deep, -1, 1, origin=(0, 0)), width)
    # The band starts square to the left side's front edge, which leans by 3/64" in 17".
    assert deep.hausdorff_distance(turned) < width * (3 / 64) / 17 + 0.1


def test_the_first_try_shows_every_finding():
    assert codes("harbour-lights-first-try") == EVERY
    assert "landmark-off" in codes("harbour-lights-first-try", "stop")
    table = (CABINETS / "harbour-lights-first-try" / "README.md").read_text(encoding="utf-8")
    assert {code for code in codes("harbour-lights-first-try") if f"`{code}`" not in table} == set()


def test_the_quilt_has_over_a_thousand_pieces_on_two_sides_that_mirror_each_other():
    left, right = (pieces("quilt", f"chest-{side}") for side in ("left", "right"))
    assert len(left) + len(right) > 1000
    assert not codes("quilt")
    sizes = [sorted((p.colour, round(p.area.area, 6)) for p in side) for side in (left, right)]
    assert sizes[0] == sizes[1]
