"""Files with their edits: whatever moment a bench is killed at, nothing is lost."""

import os
import random

import pytest

from killing import CALLS, WRITES, at_each_call, full, killed, run_with
from mateline.bench.keeping import history as history_module
from mateline.bench.keeping.folder import NEW, version_of
from mateline.bench.keeping.history import MOST_TEXT, OWN, History, OutsideError
from mateline.errors import InputError

FORKS = pytest.mark.skipif(not hasattr(os, "fork"), reason="moments are tried in forks")
FILE = "cabinet.toml"
MOMENTS = 20


@pytest.fixture
def root(tmp_path):
    (tmp_path / "pier").mkdir()
    (tmp_path / "pier" / FILE).write_text("0")
    return tmp_path / "pier"


@pytest.fixture
def history(root):
    history = History(root, FILE)
    yield history
    history.close()


def put(history, text, file=FILE):
    history.change(file, f"to {text}", text.encode(), history.folder.version(file))


def texts(history):
    """All texts that undo goes back through, newest first."""
    found = [history.folder.read(FILE).decode()]
    while history.counts[0]:
        history.undo()
        found.append(history.folder.read(FILE).decode())
    return found


def test_an_edit_is_in_the_file_and_can_be_undone_when_it_was_opened_anew(history, root):
    for text in ("1", "12", "2"):
        put(history, text)
    history.close()
    again = History(root, FILE)
    assert again.next_words == ("to 2", None)
    assert texts(again) == ["2", "12", "1", "0"]
    assert again.counts == (0, 3)
    with pytest.raises(InputError, match="nothing left to undo"):
        again.undo()
    for text in ("1", "12", "2"):
        assert again.redo().way == "redo"
        assert (root / FILE).read_text() == text
    with pytest.raises(InputError, match="nothing left to redo"):
        again.redo()
    again.close()


@FORKS
def test_killed_at_any_call_of_an_edit_the_file_is_whole_and_the_next_bench_goes_on(root):
    def work():
        history = History(root, FILE)
        put(history, "new")
        history.undo()

    ends = set()
    for number, code in at_each_call(work, killed):
        assert code in (-9, 7), number
        left = (root / FILE).read_text()
        assert left in {"0", "new"}
        history = History(root, FILE)  # and what was begun is ended
        counts = history.counts
        assert (root / FILE).read_text() == {(0, 0): "0", (1, 0): "new", (0, 1): "0"}[counts]
        ends.add((left, counts))
        if counts[0]:
            assert texts(history) == ["new", "0"]
        history.close()
        for each in (root / OWN).iterdir():
            each.unlink()
        (root / FILE).write_text("0")
    assert ("0", (1, 0)) in ends  # in the journal and not in the file yet: finished
    assert {("0", (0, 0)), ("new", (1, 0)), ("0", (0, 1))} <= ends


@FORKS
def test_killed_at_twenty_moments_of_many_edits_nothing_that_was_answered_is_lost(root):
    chance = random.Random(2027)  # noqa: S311
    answered = root.parent / "answered"

    def work():
        history = History(root, FILE)
        first = history.counts[0]
        for number in range(first, first + 20):
            put(history, f"edit {number}")
            with answered.open("a") as file:  # what a page was told
                file.write(f"edit {number}\n")

    told = []
    for _ in range(MOMENTS):
        # The system's calls while it writes: counted, not timed.
        assert run_with(work, killed, chance.randrange(1, 140), CALLS) in {-9, 7}
        told = answered.read_text().splitlines() if answered.exists() else []
        history = History(root, FILE)
        done = [f"edit {n}" for n in range(history.counts[0])]
        assert done[: len(told)] == told
        assert len(done) <= len(told) + 1  # one that was finished and that nobody was told of yet
        assert (root / FILE).read_text() == (done[-1] if done else "0")
        history.close()
        answered.write_text("".join(f"{each}\n" for each in done))
    assert len(told) > 40
    history = History(root, FILE)
    every = [f"edit {n}" for n in range(history.counts[0])]
    assert texts(history) == [*reversed(every), "0"]
    history.close()


@FORKS
def test_killed_while_a_line_of_the_journal_is_written_it_counts_as_not_begun(root):
    def work(cut):
        history = History(root, FILE)
        put(history, "1")
        write = os.write

        def torn(file, raw):
            write(file, raw[:cut])
            killed()

        history_module.os.write = torn
        put(history, "2")

    for cut in (0, 1, 9, 40):
        assert run_with(lambda cut=cut: work(cut), killed, 10_000) == -9
        history = History(root, FILE)
        assert texts(history) == ["1", "0"]
        history.close()
        for each in (root / OWN).iterdir():
            each.unlink()
        (root / FILE).write_text("0")


@FORKS
def test_a_full_disk_changes_nothing_and_is_told(root):
    refused = set()

    def work():
        history = History(root, FILE)
        if history.refusal is not None:
            raise history.refusal
        put(history, "new")

    for number, code in at_each_call(work, full, WRITES):
        history = History(root, FILE)
        left = (root / FILE).read_text()
        assert left == ("new" if code != 9 or history.counts[0] else "0"), number
        refused.add((code, left))
        history.close()
        (root / FILE).write_text("0")
        for each in (root / OWN).iterdir():
            each.unlink()
    assert (9, "0") in refused


def test_what_changed_the_file_while_no_bench_was_open_can_be_undone(history, root):
    put(history, "1")
    history.close()
    (root / FILE).write_text("by an editor")
    again = History(root, FILE)
    assert again.next_words[0] == "Changed outside the bench"
    assert texts(again) == ["by an editor", "1", "0"]
    again.close()


def test_what_a_backup_brought_back_is_kept_too(history, root):
    """The text is the one before the last edit, and still it is no edit that was not finished."""
    put(history, "1")
    history.close()
    (root / FILE).write_text("0")
    again = History(root, FILE)
    assert (root / FILE).read_text() == "0"
    assert texts(again) == ["0", "1", "0"]
    again.close()


def test_nothing_is_written_over_what_came_from_outside(history, root):
    put(history, "1")
    base = version_of(b"1")
    (root / FILE).write_text("by an editor")
    with pytest.raises(OutsideError):
        history.change(FILE, "to 2", b"2", base)
    assert (root / FILE).read_text() == "by an editor"
    assert texts(history) == ["by an editor", "1", "0"]
    (root / FILE).write_text("again")
    with pytest.raises(OutsideError):
        history.redo()
    assert (root / FILE).read_text() == "again"


def test_a_file_that_was_taken_away_comes_back(history, root):
    put(history, "1")
    (root / FILE).unlink()
    assert history.take_in(FILE)
    assert history.folder.version(FILE) == NEW
    history.undo()
    assert (root / FILE).read_text() == "1"


def test_a_drawing_that_is_new_goes_when_it_is_undone_and_comes_again(history, root):
    put(history, "<svg/>", "art/side.svg")
    put(history, "<svg>2</svg>", "art/side.svg")
    history.undo()
    assert (root / "art" / "side.svg").read_text() == "<svg/>"
    history.undo()
    assert not (root / "art" / "side.svg").exists()
    history.redo()
    assert (root / "art" / "side.svg").read_text() == "<svg/>"


def test_a_drawing_changed_outside_is_kept_when_it_is_edited_next(history, root):
    put(history, "1", "side.svg")
    (root / "side.svg").write_text("2")
    put(history, "3", "side.svg")
    for text in ("2", "1"):
        history.undo()
        assert (root / "side.svg").read_text() == text


@pytest.mark.parametrize("content", [b"\xff\xd8", b"x" * (MOST_TEXT + 1)])
def test_what_is_no_text_is_written_and_its_edits_are_forgotten(history, root, content):
    put(history, "1")
    put(history, "<svg/>", "side.svg")
    history.change("side.svg", "a photo", content, history.folder.version("side.svg"))
    assert (root / "side.svg").read_bytes() == content
    assert history.counts == (1, 0)
    put(history, "<svg>2</svg>", "side.svg")
    assert history.counts == (1, 0)  # from no text to text: nothing to go back to


def test_a_definition_that_is_no_text_for_a_while_loses_no_edit(history, root):
    put(history, "1")
    (root / FILE).write_bytes(b"\xff")
    assert history.take_in(FILE)
    assert history.counts == (1, 0)
    (root / FILE).write_text("2")
    assert history.take_in(FILE)
    assert texts(history) == ["2", "1", "0"]


def test_one_bench_has_a_folder_at_a_time(history, root):
    with pytest.raises(InputError, match="Another bench has this cabinet open"):
        History(root, FILE)
    history.close()
    History(root, FILE).close()


def test_a_disk_without_locks_is_used_all_the_same(root, monkeypatch):
    def unlockable(_):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(history_module, "locked", unlockable)
    history = History(root, FILE)
    put(history, "1")
    history.close()


def test_a_folder_that_cannot_be_written_is_told_and_may_be_looked_at(root):
    (root / OWN).write_text("a file where the journal's folder would be")
    history = History(root, FILE)
    assert history.refusal.what == "It can't be written: File exists. Nothing was changed."
    assert history.folder.read(FILE) == b"0"
    assert not history.take_in(FILE)
    for act in (history.undo, history.redo, lambda: put(history, "1")):
        with pytest.raises(InputError, match="can't be written"):
            act()
    assert (root / FILE).read_text() == "0"


def test_a_journal_that_somebody_removed_begins_anew(history, root):
    put(history, "1")
    for each in (root / OWN).iterdir():
        each.unlink()
    put(history, "2")
    assert texts(history) == ["2", "1"]
    assert (root / OWN / ".gitignore").read_text() == "*\n"


def test_all_of_it_is_hidden_from_git_and_from_the_list_of_files(history, root):
    put(history, "1")
    assert sorted(each.name for each in (root / OWN).iterdir()) == [".gitignore", "journal", "open"]
    assert [each.path for each in history.folder.files()] == [FILE]
