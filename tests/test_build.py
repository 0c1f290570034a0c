"""A whole build of a small cabinet, read back with libraries that know nothing of ours."""

import json
import os
import subprocess
import sys

import pytest

from mateline.cli import main
from mateline.starter import write_starter
from mateline.survey import surveyed
from mateline.tape.quantities import area_said

FILES = (
    "painted.svg",
    "stencil.svg",
    "stencil.dxf",
    "stencil.pdf",
    "picture.svg",
    "hand-cutting.txt",
    "hand-cutting.pdf",
)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    write_starter(folder / "box")
    assert main(["build", str(folder / "box"), "--out", str(folder / "out")]) == 0
    return folder


@pytest.fixture(scope="module")
def job(built):
    return surveyed(built / "box")


def test_every_file_is_there(built, job):
    out = built / "out"
    for name in (
        "model.step",
        "model.glb",
        "findings.json",
        "job.json",
        "cabinet.svg",
        "job-book.html",
        "job-book.pdf",
    ):
        assert (out / name).stat().st_size > 0, name
    uncut = 0
    for stencil in job.stencils:
        bare = not stencil.has_board  # base coat only: painted and shown, and nothing is cut
        uncut += bare
        for name in FILES:
            file = out / "faces" / stencil.face.name / name
            if bare and name not in {"painted.svg", "picture.svg"}:
                assert not file.exists(), name
            else:
                assert file.stat().st_size > 0, name
    assert uncut == 2  # top and bottom


def test_another_process_writes_the_same_bytes(built):
    # another process, so that another hash seed would show
    code = "import sys; from mateline.cli import main; sys.exit(main(sys.argv[1:]))"
    again = built / "again"
    subprocess.run(
        [sys.executable, "-c", code, "build", str(built / "box"), "--out", str(again)],
        check=True,
        capture_output=True,
        env={**os.environ, "PYTHONHASHSEED": "77"},
    )
    for path in sorted((built / "out").rglob("*")):
        if path.is_file():
            other = again / path.relative_to(built / "out")
            assert path.read_bytes() == other.read_bytes(), path.name


def test_the_step_file_holds_every_board_whole(built, job):
    import cadquery

    from mateline.cabinet.volume import volume

    shape = cadquery.importers.importStep(str(built / "out" / "model.step"))
    solids = shape.solids().vals()
    assert len(solids) == len(job.cabinet.faces)
    assert all(solid.isValid() for solid in solids)
    expected = sum(volume(face.panel) for face in job.cabinet.faces)
    assert sum(solid.Volume() for solid in solids) == pytest.approx(expected, rel=1e-7)


def test_the_model_is_closed_meshes_of_the_same_volume(built, job):
    import trimesh

    from mateline.cabinet.volume import volume

    scene = trimesh.load(built / "out" / "model.glb")
    assert len(scene.geometry) == len(job.cabinet.faces)
    assert all(mesh.is_watertight for mesh in scene.geometry.values())
    total = sum(mesh.volume for mesh in scene.geometry.values()) * 1e9  # metres to mm
    assert total == pytest.approx(sum(volume(face.panel) for face in job.cabinet.faces), rel=1e-3)


def test_a_drawing_of_the_cut_passes_the_audit(built, job):
    import ezdxf

    for stencil in (each for each in job.stencils if each.has_board):
        drawing = ezdxf.readfile(built / "out" / "faces" / stencil.face.name / "stencil.dxf")
        assert not drawing.audit().has_errors
        assert drawing.header["$INSUNITS"] == 4


def test_areas_are_the_same_in_every_answer(built, capsys):
    """Those of the written lines and arcs, which no check had before."""
    capsys.readouterr()
    main(["check", str(built / "box"), "--json"])
    checked = json.loads(capsys.readouterr().out)["faces"]
    written = json.loads((built / "out" / "job.json").read_text(encoding="utf-8"))["faces"]
    assert [_areas(face) for face in checked] == [_areas(face) for face in written]
    book = (built / "out" / "job-book.html").read_text(encoding="utf-8")
    for face in checked:
        for piece in face["pieces"]:
            assert area_said(piece["area"], "in") in book


def _areas(face):
    return {part.get("id", part.get("name")): part["area"] for part in (face, *face["pieces"])}


def test_job_json_lists_what_was_written(built):
    out = built / "out"
    listed = json.loads((out / "job.json").read_text(encoding="utf-8"))["files"]
    found = sorted(p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file())
    assert listed == found


def test_ids_stay_when_an_unrelated_part_of_the_file_changes(job, tmp_path):
    write_starter(tmp_path / "box")
    path = tmp_path / "box" / "cabinet.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("bottom = { edge", 'bottom = { board = "1/2", edge'))
    changed = surveyed(tmp_path / "box")

    def places(found, name):
        (stencil,) = (each for each in found.stencils if each.face.name == name)
        return {piece.id: piece.area.centroid.coords[0] for piece in stencil.pieces}

    for name in ("box-left", "box-right"):
        before, after = places(job, name), places(changed, name)
        assert before.keys() == after.keys()
        for each, place in before.items():
            assert after[each] == pytest.approx(place)


def test_a_build_that_fails_leaves_the_earlier_one(built):
    out = built / "out"
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    path = built / "box" / "cabinet.toml"
    good = path.read_text(encoding="utf-8")
    path.write_text(good.replace('A-B = "20"', 'A-B = "twenty"'), encoding="utf-8")
    try:
        assert main(["build", str(built / "box"), "--out", str(out)]) == 2
    finally:
        path.write_text(good, encoding="utf-8")
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before


def test_a_build_never_replaces_a_folder_of_somebody_elses(built, tmp_path, capsys):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("keep me", encoding="utf-8")
    assert main(["build", str(built / "box"), "--out", str(tmp_path / "mine")]) == 2
    assert (tmp_path / "mine" / "letter.txt").read_text(encoding="utf-8") == "keep me"
    assert "--out" in capsys.readouterr().err
