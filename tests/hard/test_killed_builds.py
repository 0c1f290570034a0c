"""Whole builds of a cabinet, killed at moments spread over all that they do.

Eight moments here; a hundred with `pytest -m moments tests/hard/test_killed_builds.py`. A moment is
a call of the system, so there is no clock. After each, exports are the old ones or the new ones,
every byte of them, and the next build leaves nothing of the one that was killed.
"""

import hashlib
import os
import sys
from collections import Counter

import pytest

from killing import CALLS, counted, killed, run_with
from mateline.cli import main
from mateline.starter import write_starter

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="moments are tried in forks")


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write_starter(tmp_path / "old")
    write_starter(tmp_path / "box")
    toml = tmp_path / "old" / "cabinet.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text.replace("My cabinet", "What it was"), encoding="utf-8")
    return tmp_path


def built(name):
    assert main(["build", name, "--out", "exports/box", "--cores", "1"]) == 0


def bytes_of(folder):
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def killed_at(shop, moments):
    """How often exports were the old or the new ones, after builds killed at so many moments."""
    target = shop / "exports" / "box"
    built("box")
    new = bytes_of(target)
    built("old")
    old = bytes_of(target)
    calls = counted(lambda: built("box"), CALLS)
    seen = Counter()
    for moment in range(moments):
        number = 1 + (2 * moment + 1) * calls // (2 * moments)
        assert run_with(lambda: built("box"), killed, number, CALLS) == -9
        there = bytes_of(target)
        assert there in (old, new), number
        hidden = [path for path in target.parent.iterdir() if path.name != "box"]
        seen["old" if there == old else "new"] += 1
        seen["left a hidden folder"] += bool(hidden)
        if hidden or there == new:
            built("old")
            assert [path.name for path in target.parent.iterdir()] == ["box"], number
    return seen


def test_builds_killed_at_eight_moments_leave_whole_exports(shop):
    assert killed_at(shop, 8)["left a hidden folder"] > 0


@pytest.mark.moments
def test_builds_killed_at_a_hundred_moments_leave_whole_exports(shop, capsys):
    seen = killed_at(shop, 100)
    with capsys.disabled():
        sys.stdout.write(f"\n100 moments: {dict(seen)}\n")
    assert seen["old"] + seen["new"] == 100
