"""No SVG file hangs the command, fills the memory or ends in a traceback.

The limit (1 GB) is in conftest; a file that can be read must be read right.
"""

import json
import os

import pytest

from hard.files import written
from hard.hostile_svg import READ, RED, svg


@pytest.mark.parametrize("name", READ)
def test_a_drawing_that_only_looks_so_is_read_right_and_in_time(pattern_of_file, tmp_path, name):
    build, areas = READ[name]
    found = pattern_of_file(written(tmp_path, "svg", name, build))
    assert found["code"] == 0, found["err"]
    colours = {one["colour"]: one["area"] for one in json.loads(found["out"])["colours"]}
    for colour, area in areas.items():
        assert colours[colour] == pytest.approx(area, rel=1e-6)


def test_what_is_no_file_is_not_waited_for(pattern_of_file, tmp_path):
    os.mkfifo(tmp_path / "pipe.svg")
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "device.svg").symlink_to("/dev/zero")
    (tmp_path / "gone.svg").symlink_to("nowhere.svg")
    for name in ("pipe", "folder", "device", "gone", "missing"):
        found = pattern_of_file(tmp_path / f"{name}.svg")
        assert found["code"] == 2
        assert f"{name}.svg" in found["err"]


@pytest.mark.parametrize(
    "name", ["a b.svg", "-o.svg", "ä\u202e%s{0}.svg", "line\nend.svg", "A.SVG"]
)
def test_odd_names_are_names(pattern_of_file, tmp_path, name):
    (tmp_path / name).write_bytes(svg(RED))
    assert pattern_of_file(tmp_path / name)["code"] == 0


def test_too_many_shapes_across_each_other_are_refused_with_the_name_of_the_file(
    pattern_of_file, tmp_path
):
    line = '<path stroke="#{:03x}" stroke-width=".05" d="M0 {}L100 {}"/>'
    lines = "".join(line.format(at, at / 10, at * 7 % 1000 / 10) for at in range(1000))
    found = pattern_of_file(written(tmp_path, "svg", "lines", lambda: svg(lines)))
    assert found["code"] == 2
    assert found["err"].startswith("mateline: lines.svg: Too many of its 1000 shapes")
