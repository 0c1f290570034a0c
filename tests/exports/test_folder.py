import json
import os
import shutil
from pathlib import Path

import pytest

from mateline.errors import InputError
from mateline.exports import folder
from mateline.exports.folder import MARK, files_in, swapped_in


def build(target, **files):
    """One export with `files` (name to text)."""
    with swapped_in(target) as new:
        fill(new, **files)


def fill(folder, **files):
    for name, text in files.items():
        path = folder / name.replace("__", "/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    listed = [*files_in(folder), MARK]
    (folder / MARK).write_text(json.dumps({"made_by": "mateline", "files": listed}))


def snapshot(folder: Path):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*.*")}


def test_a_new_folder_appears_whole_with_its_parents(tmp_path):
    target = tmp_path / "exports" / "pier"
    build(target, faces__front="art")
    assert files_in(target) == ["faces/front", MARK]
    assert list(target.parent.iterdir()) == [target]


def test_an_earlier_build_is_replaced_and_nothing_of_it_stays(tmp_path):
    target = tmp_path / "pier"
    build(target, old="1", both="1")
    build(target, new="2", both="2")
    assert files_in(target) == ["both", MARK, "new"]
    assert (target / "both").read_text() == "2"
    assert list(tmp_path.iterdir()) == [target]


def test_an_empty_folder_is_used(tmp_path):
    build(tmp_path / "pier", a="1")
    (tmp_path / "other").mkdir()
    build(tmp_path / "other", a="1")
    assert (tmp_path / "other" / "a").exists()


@pytest.mark.parametrize("failure", [ValueError, KeyboardInterrupt, SystemExit])
def test_a_failure_leaves_the_earlier_build_and_no_litter(tmp_path, failure):
    target = tmp_path / "pier"
    build(target, a="1")
    before = snapshot(target)

    def fail():
        with swapped_in(target) as folder:
            fill(folder, a="2")
            raise failure

    with pytest.raises(failure):
        fail()
    assert snapshot(target) == before
    assert list(tmp_path.iterdir()) == [target]


def test_a_swap_that_fails_half_way_is_undone(tmp_path, monkeypatch):
    target = tmp_path / "pier"
    build(target, a="1")
    before = snapshot(target)
    rename = Path.rename

    def failing(self, to):
        if self.name == "new":
            raise KeyboardInterrupt
        return rename(self, to)

    monkeypatch.setattr(folder, "exchanged", lambda *_: False)  # as on Windows: two renames
    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises(KeyboardInterrupt):
        build(target, a="2")
    assert snapshot(target) == before
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_of_the_users_own_is_never_replaced(tmp_path):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "cabinet.jpg").write_text("dear")
    with pytest.raises(InputError) as caught:
        build(tmp_path / "photos", a="1")
    assert "no job.json of a build" in caught.value.what
    assert "--out" in caught.value.remedy
    assert (tmp_path / "photos" / "cabinet.jpg").read_text() == "dear"


@pytest.mark.parametrize("mark", ["{}", "[]", "no json", '{"made_by": "another", "files": []}'])
def test_a_job_json_of_something_else_is_no_mark(tmp_path, mark):
    (tmp_path / "work").mkdir()
    (tmp_path / "work" / MARK).write_text(mark)
    with pytest.raises(InputError):
        build(tmp_path / "work", a="1")
    assert (tmp_path / "work" / MARK).read_text() == mark


def test_a_file_put_into_a_build_is_never_lost(tmp_path):
    target = tmp_path / "pier"
    build(target, a="1")
    (target / "my notes.txt").write_text("dear")
    with pytest.raises(InputError) as caught:
        build(target, a="2")
    assert "my notes.txt was not written by a build" in caught.value.what
    assert (target / "my notes.txt").read_text() == "dear"
    assert (target / "a").read_text() == "1"


def test_a_file_saved_while_the_build_runs_is_not_lost_either(tmp_path):
    target = tmp_path / "pier"
    build(target, a="1")

    def interrupted():
        with swapped_in(target) as folder:
            fill(folder, a="2")
            (target / "my notes.txt").write_text("dear")

    with pytest.raises(InputError, match="my notes"):
        interrupted()
    assert (target / "my notes.txt").read_text() == "dear"
    assert (target / "a").read_text() == "1"


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "pier").write_text("dear")
    with pytest.raises(InputError, match="This is a file"):
        build(tmp_path / "pier", a="1")


def test_a_parent_that_is_a_file_is_told(tmp_path):
    (tmp_path / "exports").write_text("dear")
    with pytest.raises(InputError, match="cannot be written here"):
        build(tmp_path / "exports" / "pier", a="1")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_place_without_the_right_to_write_is_told(tmp_path):
    tmp_path.chmod(0o555)
    with pytest.raises(InputError, match="cannot be written here"):
        build(tmp_path / "pier", a="1")


def test_a_full_disk_is_told_and_leaves_the_earlier_build(tmp_path):
    target = tmp_path / "pier"
    build(target, a="1")
    before = snapshot(target)

    def overflow():
        with swapped_in(target):
            raise OSError(28, "No space left on device")

    with pytest.raises(InputError, match="No space left on device"):
        overflow()
    assert snapshot(target) == before


def test_an_export_without_its_mark_is_a_bug_and_loud(tmp_path):
    with pytest.raises(RuntimeError, match=MARK), swapped_in(tmp_path / "pier"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_link_to_a_build_stays_a_link(tmp_path):
    build(tmp_path / "real", a="1")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    build(tmp_path / "link", a="2")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real" / "a").read_text() == "2"


def test_the_folder_has_the_rights_of_any_new_folder(tmp_path):
    build(tmp_path / "pier", a="1")
    (tmp_path / "plain").mkdir()
    assert (tmp_path / "pier").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_link_or_a_folder_put_into_a_build_is_named_and_kept(tmp_path):
    target = tmp_path / "pier"
    for put in (
        lambda at: (at / "my photos").mkdir(),
        lambda at: (at / "faces" / "mine").mkdir(),
        lambda at: (at / "link").symlink_to(tmp_path),
        lambda at: (at / "dead link").symlink_to("nowhere"),
        lambda at: ((at / "a").unlink(), (at / "a").symlink_to(tmp_path)),
        lambda at: ((at / "a").unlink(), (at / "a").mkdir()),
    ):
        build(target, a="1", faces__front__b="1")
        put(target)
        before = sorted(target.rglob("*"))
        with pytest.raises(InputError, match="was not written by a build"):
            build(target, a="2")
        assert sorted(target.rglob("*")) == before
        shutil.rmtree(target)


def test_a_build_with_files_taken_away_is_still_replaced(tmp_path):
    target = tmp_path / "pier"
    build(target, a="1", faces__front__b="1")
    (target / "faces" / "front" / "b").unlink()
    (target / "a").unlink()
    build(target, a="2")
    assert files_in(target) == ["a", MARK]


def test_what_is_saved_at_the_very_last_moment_is_kept_as_well(tmp_path, monkeypatch):
    target = tmp_path / "pier"
    for swap in (folder.exchanged, lambda *_: False):
        build(target, a="1")

        def late(new, old, swap=swap):
            (target / "my notes.txt").write_text("dear")  # after the last look at it
            return swap(new, old)

        monkeypatch.setattr(folder, "exchanged", late)
        with pytest.raises(InputError, match=r"my notes\.txt was not written") as caught:
            build(target, a="2")
        assert caught.value.file == str(target)
        assert (target / "my notes.txt").read_text() == "dear"
        assert (target / "a").read_text() == "1"
        assert list(tmp_path.iterdir()) == [target]
        shutil.rmtree(target)
        monkeypatch.undo()


def test_an_error_about_some_other_file_is_not_told_as_one_of_this_place(tmp_path):
    def failing(error):
        with swapped_in(tmp_path / "pier"):
            raise error

    for error in (
        PermissionError(13, "Permission denied", "/home/somebody/.config"),
        OSError(5, None),
        FileNotFoundError(2, "No such file", str(tmp_path / "other")),
    ):
        with pytest.raises(InputError if error.errno == 5 else type(error)):
            failing(error)
    with pytest.raises(InputError, match="cannot be written here"):
        failing(PermissionError(13, "Permission denied", str(tmp_path / "pier" / "x")))
