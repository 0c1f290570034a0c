"""Spare pieces on sheets: each once, whole, apart, not turned over, its arrow up on the cabinet."""

import itertools
import json
import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely import Polygon, box

from mateline.cli import main
from mateline.errors import InputError, InputFaultsError
from mateline.exports.spare import Nesting, chosen_pieces, matrix_of, write_spare
from mateline.starter import write_starter
from mateline.stencil.sheets.nesting import Nested
from mateline.survey import surveyed
from svg_reading import parsed

GAP = 4.0


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("spare")
    write_starter(folder / "box")
    return folder


@pytest.fixture(scope="module")
def job(shop):
    return surveyed(shop / "box")


@pytest.fixture(scope="module")
def names(job):
    """Two faces' pieces but for what no sheet takes."""
    found = [
        piece.id
        for stencil in job.stencils
        for piece in stencil.pieces
        if max(np.ptp(np.reshape(piece.area.bounds, (2, 2)), axis=0)) < 700
    ]
    return found[:8]


@pytest.fixture(scope="module")
def spare(shop, job, names):
    return write_spare(job, names, shop / "out", Nesting("quarter", GAP, 1))


def cut_areas(path):
    """Closed outlines of the CUT layer, as polygons from the file's own arcs."""
    space = ezdxf.readfile(path).modelspace()
    return [
        Polygon([(x, y) for x, y, *_ in ezdxf.path.make_path(each).flattening(0.01)])
        for each in space.query('*[layer=="CUT"]')
    ]


def test_each_piece_called_for_lies_on_one_sheet(spare, names):
    assert sorted(each.piece for each in spare.nested) == sorted(names)


def test_outlines_in_the_file_have_the_pieces_areas_and_keep_the_gap(shop, job, spare):
    areas = {p.id: p.area for stencil in job.stencils for p in stencil.pieces}
    wide, high = job.board.sheet
    for sheet in range(1 + max(each.sheet for each in spare.nested)):
        here = [each for each in spare.nested if each.sheet == sheet]
        rings = cut_areas(shop / "out" / f"sheet-{sheet + 1}.dxf")
        at = 0
        pieces = []
        for each in here:
            inner = len(areas[each.piece].interiors)
            outer, *holes = rings[at : at + 1 + inner]
            at += 1 + inner
            # Facets of rings that touch themselves may cross, and GEOS subtracts no such holes.
            assert all(outer.buffer(0.03).covers(hole) for hole in holes)
            found = outer.area - sum(hole.area for hole in holes)
            assert found == pytest.approx(areas[each.piece].area, rel=1e-3)
            pieces.append(outer)
        assert at == len(rings)
        room = box(GAP, GAP, wide - GAP, high - GAP).buffer(0.03)
        assert all(room.covers(piece) for piece in pieces)
        for one, other in itertools.combinations(pieces, 2):
            assert one.distance(other) >= GAP - 0.03


def test_no_piece_is_turned_over_and_turns_are_quarters(spare):
    for each in spare.nested:
        matrix = matrix_of(each)
        assert np.linalg.det(matrix[:, :2]) == 1  # exactly: quarter turns have no rounding
        assert set(np.abs(matrix[:, :2]).ravel().tolist()) == {0.0, 1.0}


def test_files_hold_the_sheet_and_the_pieces_layers(shop, spare):
    root = parsed((shop / "out" / "sheet-1.svg").read_text(encoding="utf-8"))
    groups = {group.get("id"): group for group in root}
    assert {"sheet", "tack", "label", "cut"} <= set(groups)
    assert len(groups["sheet"]) == 1
    listed = json.loads((shop / "out" / "job.json").read_text(encoding="utf-8"))
    assert listed["made_by"] == "mateline"
    found = sorted(path.name for path in (shop / "out").iterdir())
    assert listed["files"] == list(spare.files) == found


def test_the_arrow_is_turned_with_its_piece():
    """Up on the cabinet is +y of the face; a quarter turn to the left makes it -x."""
    up = matrix_of(Nested("a", 0, math.pi / 2, (10.0, 20.0)))[:, :2] @ (0.0, 1.0)
    assert up.tolist() == [-1.0, 0.0]


def test_with_the_grain_pieces_keep_it_as_on_their_faces_sheets(shop, job, names):
    spare = write_spare(job, names, shop / "grain", Nesting("grain", GAP, 1))
    turned = {s.face.name: s.grid.turned for s in job.stencils}
    faces = {p.id: p.face for s in job.stencils for p in s.pieces}
    for each in spare.nested:
        quarter = math.pi / 2 if turned[faces[each.piece]] else 0.0
        assert abs(math.remainder(each.turn - quarter, math.pi)) < 1e-9


def test_a_face_stands_for_all_its_pieces_and_none_comes_twice(job):
    face = job.stencils[0]
    first = face.pieces[0].id
    found = [piece.id for _, piece in chosen_pieces(job, [face.face.name, first, first])]
    assert found == [piece.id for piece in face.pieces]


def test_names_that_are_none_are_all_told_with_the_nearest(job):
    real = job.stencils[0].pieces[0].id
    with pytest.raises(InputFaultsError) as caught:
        chosen_pieces(job, [f"{real}9999", "no such thing", real])
    one, other = caught.value.faults
    assert f"“{real}”" in one.remedy or "The nearest are" in one.remedy
    assert other.what == "There is no piece and no face of this name."


def test_a_piece_that_no_sheet_takes_is_told_with_its_size_and_the_limit(shop, job):
    name = job.stencils[0].pieces[0].id
    with pytest.raises(InputError) as caught:
        write_spare(job, [name], shop / "never", Nesting("quarter", 370.0, 1))
    assert caught.value.place == name
    assert "does not fit" in caught.value.what
    assert 'a sheet has 7/8" x 10 7/8" between its gaps' in caught.value.what
    assert not (shop / "never").exists()


def test_a_gap_that_leaves_no_room_is_told(shop, job):
    with pytest.raises(InputError, match="leaves no room on a sheet"):
        write_spare(job, [job.stencils[0].pieces[0].id], shop / "no", Nesting("any", 400.0, 1))


@pytest.mark.usefixtures("no_nester")
def test_without_the_nester_nothing_is_written(shop, job, names):
    with pytest.raises(InputError, match="mateline\\[nest\\]"):
        write_spare(job, names, shop / "absent", Nesting())
    assert not (shop / "absent").exists()


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--gap", "three"], "--gap"),
        (["--gap", "-1 mm"], "--gap"),
        (["--seconds", "0"], "no time to nest in"),
    ],
)
def test_bad_options_are_told(shop, names, capsys, more, words):
    out = ["--out", str(shop / "bad")]
    assert main(["spare", str(shop / "box"), names[0], *out, *more]) == 2
    assert words in capsys.readouterr().err
    assert not Path(shop / "bad").exists()


def test_the_command_answers_with_one_json_object(shop, names, capsys):
    out = ["--out", str(shop / "json"), "--seconds", "1", "--json"]
    assert main(["spare", str(shop / "box"), *names[:2], *out]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {each["id"] for each in answer["pieces"]} == set(names[:2])
    assert {each["turn_deg"] for each in answer["pieces"]} <= {0.0, 90.0, 180.0, 270.0}


def test_a_folder_of_somebody_elses_is_not_replaced(shop, job, names):
    (shop / "mine").mkdir()
    (shop / "mine" / "letter.txt").write_text("keep me", encoding="utf-8")
    with pytest.raises(InputError, match="--out"):
        write_spare(job, names[:1], shop / "mine", Nesting(seconds=1))
    assert (shop / "mine" / "letter.txt").read_text(encoding="utf-8") == "keep me"
