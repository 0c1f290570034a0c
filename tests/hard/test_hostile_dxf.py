"""No DXF file hangs the command, fills the memory or ends in a traceback.

Limits (5 s of the processor, 1 GB) are in conftest; a file that can be read must be read right.
"""

import json
import os
import re

import pytest

from hard.hostile_dxf import NOTED, REFUSED, drawn, square


def written(folder, name, build):
    path = folder / f"{re.sub('[^a-z0-9]', '-', name.lower())}.dxf"
    path.write_bytes(build())
    return path


@pytest.mark.parametrize("name", REFUSED)
def test_a_drawing_made_to_harm_is_refused_in_time_with_its_reason(pattern_of_file, tmp_path, name):
    build, reason = REFUSED[name]
    path = written(tmp_path, name, build)
    found = pattern_of_file(path)
    assert found["code"] == 2, found["out"]
    assert found["err"].startswith(f"mateline: {path.name}: ")
    assert re.search(reason, found["err"])
    assert len(found["err"].strip().splitlines()) == 1


@pytest.mark.parametrize("name", NOTED)
def test_what_is_left_out_is_said_and_the_rest_is_read_right(pattern_of_file, tmp_path, name):
    build, reason = NOTED[name]
    found = pattern_of_file(written(tmp_path, name, build))
    assert found["code"] == 0, found["err"]
    answer = json.loads(found["out"])
    assert (answer["width"], answer["height"], answer["regions"]) == (10, 10, 1)
    assert any(reason in note["message"] for note in answer["notes"])


@pytest.mark.parametrize("form", ["asc", "bin"])
def test_text_and_binary_files_are_read_alike(pattern_of_file, tmp_path, form):
    path = written(tmp_path, form, lambda: drawn(lambda space, _: square(space), form))
    assert json.loads(pattern_of_file(path)["out"])["colours"][0]["area"] == 100


def test_what_is_no_file_is_not_waited_for(pattern_of_file, tmp_path):
    os.mkfifo(tmp_path / "pipe.dxf")
    (tmp_path / "folder.dxf").mkdir()
    for name in ("pipe", "folder", "missing"):
        found = pattern_of_file(tmp_path / f"{name}.dxf")
        assert found["code"] == 2
        assert f"{name}.dxf" in found["err"]
