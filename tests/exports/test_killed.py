"""Builds that are killed, stopped or out of disk at any of their calls of the system.

What is there afterwards is the old exports or the new ones, whole, and the next build leaves
nothing of the one that ended badly.
"""

import json
import os
import subprocess
import sys
from contextlib import contextmanager

import pytest

from killing import CALLS, WRITES, at_each_call, full, interrupted, killed
from mateline.errors import InputError
from mateline.exports import folder as exports_folder
from mateline.exports.folder import MARK, files_in, swapped_in
from mateline.exports.hidden_folder import LOCK, HiddenFolder, write_whole

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="moments are tried in forks")
OLD, NEW = {"a": "1", "b/c": "1"}, {"a": "2", "d/e": "2"}


def build(target, files):
    with swapped_in(target) as new:
        for name, text in files.items():
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            (new / name).write_text(text)
        mark = {"made_by": "mateline", "files": [*files, MARK]}
        (new / MARK).write_text(json.dumps(mark))


def whole(target):
    """Which exports are there: OLD, NEW or None; anything else is an error."""
    if not target.exists():
        return None
    found = {name: (target / name).read_text() for name in files_in(target) if name != MARK}
    assert (target / MARK).is_file()
    assert found in (OLD, NEW)
    return found


@pytest.fixture(params=["one step", "two renames"])
def steps(request, monkeypatch):
    """Both ways in which folders change places."""
    if request.param == "two renames":
        monkeypatch.setattr(exports_folder, "exchanged", lambda *_: False)
    return request.param


@pytest.mark.parametrize("before", [None, OLD])
def test_a_build_killed_at_any_call_leaves_whole_exports_and_the_next_one_tidies_up(
    tmp_path, before, steps
):
    target = tmp_path / "pier"
    if before is not None:
        build(target, before)
    seen = set()
    for number, code in at_each_call(lambda: build(target, NEW), killed):
        assert code in (-9, 7), number
        there = whole(target)
        if steps == "one step":
            assert there in (before, NEW), number
        seen.add(str(there))
        build(target, OLD)
        assert whole(target) == OLD
        assert [path.name for path in tmp_path.iterdir()] == ["pier"], number
        if before is None:
            remove(target)
    assert {str(before), str(NEW)} <= seen  # it was killed before the swap and after it


def test_what_two_renames_left_in_between_goes_back_to_its_place(tmp_path, monkeypatch):
    monkeypatch.setattr(exports_folder, "exchanged", lambda *_: False)
    target = tmp_path / "pier"
    build(target, OLD)
    absent = 0
    for number, _ in at_each_call(lambda: build(target, NEW), killed):
        if not target.exists():
            absent += 1
            with pytest.raises(ValueError, match="on purpose"):
                failing(target)
            assert whole(target) == OLD, number
        build(target, OLD)
    assert absent > 0


def failing(target):
    with swapped_in(target):
        raise ValueError("on purpose")


@pytest.mark.parametrize(("what", "calls"), [(interrupted, CALLS), (full, WRITES)])
@pytest.mark.parametrize("before", [None, OLD])
def test_a_build_stopped_at_any_call_leaves_the_old_exports_and_no_litter(
    tmp_path, before, what, calls, steps
):
    target = tmp_path / "exports" / "pier"
    if before is not None:
        build(target, before)
    for number, code in at_each_call(lambda: build(target, NEW), what, calls):
        there = whole(target)
        # Ctrl-C between two moments of the last step comes too late, and the build ends well.
        assert there == (before if code == 9 else NEW), (number, steps)
        left = sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*"))
        assert not [name for name in left if "mateline-" in name], (number, left)
        if code == 9 and before is None:
            assert left == [], number
        remove(target)
        if before is not None:
            build(target, before)
        elif target.parent.exists():
            target.parent.rmdir()


def remove(target):
    import shutil

    if target.exists():
        shutil.rmtree(target)


def test_a_file_that_is_written_whole_is_old_or_new_wherever_it_is_killed(tmp_path):
    one, two = tmp_path / "one.svg", tmp_path / "two.svg"
    for number, _ in at_each_call(lambda: write_whole({one: "new", two: "new"}), killed):
        assert {path.read_text() for path in (one, two) if path.exists()} <= {"old", "new"}, number
        write_whole({one: "old", two: "old"})
        assert sorted(path.name for path in tmp_path.iterdir()) == ["one.svg", "two.svg"], number


def test_a_link_and_a_pipe_that_are_written_to_stay_what_they_are(tmp_path):
    real, link = tmp_path / "real", tmp_path / "link"
    real.write_text("old")
    link.symlink_to(real)
    write_whole({link: "new"})
    assert (link.is_symlink(), real.read_text()) == (True, "new")
    write_whole({type(real)(os.devnull): "gone"})
    assert not type(real)(os.devnull).is_file()


@contextmanager
def another_build(target):
    """A process that holds a hidden folder beside `target`."""
    code = (
        "import sys; from pathlib import Path\n"
        "from mateline.exports.hidden_folder import HiddenFolder\n"
        "h = HiddenFolder(Path(sys.argv[1])); h.make()\n"
        "(h.path / 'new').mkdir(); print(h.path, flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(target)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        yield process, type(target)(process.stdout.readline().strip())


def test_what_a_live_build_writes_is_never_cleared_and_what_a_killed_one_left_is(tmp_path):
    target = tmp_path / "pier"
    with another_build(target) as (process, hidden):
        build(target, OLD)
        assert (hidden / "new").is_dir()
        process.kill()
        process.wait()
    build(target, NEW)
    assert whole(target) == NEW
    assert list(tmp_path.iterdir()) == [target]


def test_two_builds_into_one_folder_are_both_whole_and_the_last_stays(tmp_path):
    target = tmp_path / "pier"
    with swapped_in(target) as outer:
        (outer / MARK).write_text(json.dumps({"made_by": "mateline", "files": ["late", MARK]}))
        (outer / "late").write_text("2")
        build(target, OLD)  # begun later and ended sooner
        assert whole(target) == OLD
    assert files_in(target) == [MARK, "late"]
    assert list(tmp_path.iterdir()) == [target]


def test_folders_that_only_look_like_ours_stay(tmp_path):
    target = tmp_path / "pier"
    kept = [tmp_path / ".pier.mateline-x", tmp_path / ".pier-1", tmp_path / ".pier.mateline-7"]
    for folder in kept:
        folder.mkdir()
        (folder / "dear").write_text("dear")
    build(target, OLD)
    assert [(folder / "dear").read_text() for folder in kept] == ["dear"] * 3


def test_a_disk_without_locks_is_built_on_and_nothing_is_cleared_there(tmp_path, monkeypatch):
    from mateline.exports import hidden_folder

    left = HiddenFolder(tmp_path / "pier")
    left.make()

    def unlockable(_):
        raise OSError(37, "No locks available")

    monkeypatch.setattr(hidden_folder, "locked", unlockable)
    build(tmp_path / "pier", NEW)
    assert whole(tmp_path / "pier") == NEW
    assert (left.path / LOCK).is_file()


def test_a_folder_that_has_vanished_meanwhile_is_told(tmp_path):
    import shutil

    def vanishing():
        with swapped_in(tmp_path / "pier") as new:
            shutil.rmtree(new.parent)
            (new / "a").write_text("1")

    with pytest.raises(InputError, match="cannot be written here"):
        vanishing()
    assert list(tmp_path.iterdir()) == []
