"""Public sets of flat drawings, each made into a pattern and compared with a renderer; and each
written, read back and judged.

Run with `pytest -m corpus`: it fetches the drawings with npm, and takes some minutes.
"""

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from corpus import judge_patterns
from corpus.drawing_compare import compared, table

HERE = Path(__file__).parent
#  folder, every how many of its drawings, and those that once came out worst
SETS = [
    ("flag-icons/flags/4x3", 1, ()),
    ("flag-icons/flags/1x1", 1, ()),
    ("circle-flags/flags", 1, ()),
    (
        "openmoji/color/svg",
        20,
        (
            "1F469-1F3FE-200D-1F3A8",  # a curve that runs back over itself
            "26F1",  # fill and stroke fade as one
            "1F6E9",  # strokes that touch along an edge, but for rounding
            "23F1",
            "E246",
        ),
    ),
]

pytestmark = pytest.mark.corpus


@pytest.fixture(scope="module")
def sets(request):
    if "corpus" not in request.config.getoption("markexpr"):
        pytest.skip("fetches public drawings: run with -m corpus")
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("npm is not installed")
    subprocess.run(
        [npm, "install", "--no-audit", "--no-fund", "--ignore-scripts"], cwd=HERE, check=True
    )
    return HERE / "node_modules"


@pytest.fixture(scope="module", params=SETS, ids=lambda one: one[0])
def results(request, sets):
    folder, step, worst = request.param
    files = sorted((sets / folder).glob("*.svg"))
    files = sorted({*files[::step], *(sets / folder / f"{name}.svg" for name in worst)})
    found = [compared(path) for path in files]
    print(table(found))  # noqa: T201  # with pytest -s
    return found


def test_every_drawing_becomes_a_pattern(results):
    assert [one.refused for one in results if one.refused] == []


def test_no_drawing_has_a_gap_or_an_overlap(results):
    assert [one.name for one in results if not one.tiles] == []
    assert max(one.closing for one in results) <= 1e-9


def test_the_pattern_shows_what_the_renderer_shows(results):
    assert np.median([one.agreeing for one in results]) >= 0.998
    assert min(one.agreeing for one in results if one.gradients == 0) >= 0.99


def test_no_drawing_takes_long(results):
    assert max(one.seconds for one in results) <= 10


@pytest.fixture(scope="module", params=[name for name, _, _ in SETS])
def written(request, sets):
    """All of a set: what is written is what was checked."""
    files = sorted((sets / request.param).glob("*.svg"))
    found = [judge_patterns.outcome(path, path.stem) for path in files]
    print(judge_patterns.table(found))  # noqa: T201
    return found


def test_every_written_file_is_sound(written):
    assert {one.name: one.faults for one in written if one.faults} == {}


def test_every_written_file_shows_what_the_drawing_shows(written):
    plain = {one.name: one.alike for one in written if one.gradients == 0}
    assert np.median(list(plain.values())) == 1
    assert {name: share for name, share in plain.items() if share < 0.998} == {}
