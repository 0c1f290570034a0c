"""No drawing hangs the command, fills the memory or ends in a traceback: what is refused."""

import re

import pytest

from hard import hostile_dxf, hostile_svg
from hard.files import written

REFUSED = [
    *(("dxf", name, *case) for name, case in hostile_dxf.REFUSED.items()),
    *(("svg", name, *case) for name, case in hostile_svg.REFUSED.items()),
]


@pytest.mark.parametrize(
    ("suffix", "name", "build", "reason"), REFUSED, ids=[f"{each[0]}-{each[1]}" for each in REFUSED]
)
def test_a_drawing_made_to_harm_is_refused_in_time_with_its_reason(
    pattern_of_file, tmp_path, suffix, name, build, reason
):
    path = written(tmp_path, suffix, name, build)
    found = pattern_of_file(path)
    assert found["code"] == 2, found["out"]
    assert found["err"].startswith(f"mateline: {path.name}: ")
    assert re.search(reason, found["err"])
    assert len(found["err"].strip().splitlines()) == 1
    assert len(found["err"]) < 600
