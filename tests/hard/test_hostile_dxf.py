"""No DXF file hangs the command, fills the memory or ends in a traceback.

The limit (1 GB) is in conftest; a file that can be read must be read right.
"""

import json
import os

import pytest

from hard.files import written
from hard.hostile_dxf import NOTED, SQUARE, drawn, raw, square
from mateline.drawing.reader import read_drawing
from mateline.errors import InputError


@pytest.mark.parametrize("name", NOTED)
def test_what_is_left_out_is_said_and_the_rest_is_read_right(pattern_of_file, tmp_path, name):
    build, reason = NOTED[name]
    found = pattern_of_file(written(tmp_path, "dxf", name, build))
    assert found["code"] == 0, found["err"]
    answer = json.loads(found["out"])
    assert (answer["width"], answer["height"], answer["regions"]) == (10, 10, 1)
    assert any(reason in note["message"] for note in answer["notes"])


@pytest.mark.parametrize("form", ["asc", "bin"])
def test_text_and_binary_files_are_read_alike(pattern_of_file, tmp_path, form):
    path = written(tmp_path, "dxf", form, lambda: drawn(lambda space, _: square(space), form))
    assert json.loads(pattern_of_file(path)["out"])["colours"][0]["area"] == 100


def test_what_is_no_file_is_not_waited_for(pattern_of_file, tmp_path):
    os.mkfifo(tmp_path / "pipe.dxf")
    (tmp_path / "folder.dxf").mkdir()
    for name in ("pipe", "folder", "missing"):
        found = pattern_of_file(tmp_path / f"{name}.dxf")
        assert found["code"] == 2
        assert f"{name}.dxf" in found["err"]


def test_a_dxf_cut_off_anywhere_is_refused(tmp_path):
    whole = raw(SQUARE).decode()
    path = tmp_path / "cut.dxf"
    for end in range(1, len(whole) - 6, 5):  # what lacks its last word too is no whole file
        path.write_text(whole[:end], encoding="utf-8")
        with pytest.raises(InputError, match=r"cut\.dxf"):
            read_drawing(path, root=tmp_path)
