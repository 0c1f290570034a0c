"""model.step read back by the kernel's own importer."""

import pickle
import re
import subprocess
import sys

import cadquery
import pytest

from mateline.cabinet.volume import volume
from mateline.exports.solid.step import write
from solids import ENDS, HOLES, panel

COLOURS = {"body-plain": "#ff8000", "body-two_bevels": None}
BOARDS = [panel(ends, HOLES, name=name.replace(" ", "_")) for name, ends in ENDS.items()]


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    path = tmp_path_factory.mktemp("step") / "model.step"
    write(BOARDS, path, colours=COLOURS)
    return path


def test_all_boards_come_back_valid_with_their_volumes(written):
    solids = cadquery.importers.importStep(str(written)).solids().vals()
    assert len(solids) == len(BOARDS)
    for board, found in zip(BOARDS, solids, strict=True):
        assert found.isValid()
        assert found.Volume() == pytest.approx(volume(board), rel=1e-8)
        assert found.Center().x == pytest.approx(board.frame.corner[0], abs=400)


def test_each_solid_is_a_product_with_the_boards_name(written):
    names = re.findall(r"PRODUCT\('([^']*)'", written.read_text())
    assert names == [f"body-{board.name}" for board in BOARDS]


def test_only_the_board_with_a_colour_has_one(written):
    tints = re.findall(r"COLOUR_RGB\('',([\d.]+),([\d.]+),([\d.]+)\)", written.read_text())
    # Read by ISO 10303-46 as the display's own values: sRGB 255, 128, 0 of 255.
    (tint,) = [[float(number) for number in found] for found in tints]
    assert tint == pytest.approx([1.0, 128 / 255, 0.0], abs=1e-6)


def test_the_same_boards_give_the_same_bytes(written, tmp_path):
    again = tmp_path / "again.step"
    write(BOARDS, again, colours=COLOURS)
    assert again.read_bytes() == written.read_bytes()


def test_the_header_holds_no_time_and_no_machine(written):
    header = written.read_text().split("ENDSEC;")[0]
    assert "FILE_NAME('model.step','',(''),(''),'mateline','mateline','');" in header
    assert not re.search(r"\d{4}-\d\d-\d\dT", written.read_text())


def test_a_fresh_process_writes_the_same_bytes_in_silence_and_without_cadquery(written, tmp_path):
    given, again = tmp_path / "boards", tmp_path / "again.step"
    given.write_bytes(pickle.dumps((BOARDS, COLOURS)))
    code = (
        "import pickle, sys; from pathlib import Path; from mateline.exports.solid import step; "
        "boards, colours = pickle.loads(Path(sys.argv[1]).read_bytes()); "
        "step.write(boards, Path(sys.argv[2]), colours=colours); "
        "sys.exit('cadquery' in sys.modules)"
    )
    command = [sys.executable, "-c", code, str(given), str(again)]
    done = subprocess.run(command, capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    assert again.read_bytes() == written.read_bytes()


def test_what_others_set_in_the_kernel_does_not_show(written, tmp_path):
    box = cadquery.Solid.makeBox(1.0, 2.0, 3.0)
    box.exportStep(str(tmp_path / "box.step"), unit="M", outputUnit="INCH", precision_mode=1)
    again = tmp_path / "again.step"
    write(BOARDS, again, colours=COLOURS)
    assert again.read_bytes() == written.read_bytes()
