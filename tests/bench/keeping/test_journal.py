"""The journal keeps every edit, loses at most a torn line, and does not grow for ever."""

import os
import random

import pytest

from mateline.bench.keeping.changes import applied, change_of
from mateline.bench.keeping.folder import version_of
from mateline.bench.keeping.journal import DAMAGED, KEPT_LEAST, NAME, Entry, Journal

FILE = "cabinet.toml"


class Kept:
    """A journal with a file of its own, as a text: what the bench does, without a disk's file."""

    def __init__(self, folder, most=8_000_000):
        self.folder, self.most = folder, most
        self.journal = Journal(folder, FILE, most)
        self.texts = {}

    def begin(self, file, text):
        self.texts[file] = text
        self.journal.know(file, version_of(text.encode()), text)

    def edit(self, file, new):
        old = self.texts[file]
        versions = version_of(old.encode()), version_of(new.encode())
        with self.journal.writing(Entry("edit", file, f"to {new}", *versions, change_of(old, new))):
            self.texts[file] = new

    def step(self, entry):
        with self.journal.writing(entry):
            self.texts[entry.file] = applied(self.texts[entry.file], entry.change)

    def again(self):
        """The same, opened anew."""
        self.journal.close()
        self.journal = Journal(self.folder, FILE, self.most)
        return self.journal


@pytest.fixture
def kept(tmp_path):
    kept = Kept(tmp_path)
    kept.begin(FILE, "a")
    yield kept
    kept.journal.close()


def test_what_was_done_is_undone_and_done_again_after_it_was_opened_anew(kept):
    for text in ("ab", "abc", "xbc"):
        kept.edit(FILE, text)
    assert kept.again().counts == (3, 0)
    assert kept.journal.next_words == ("to xbc", None)
    for text in ("abc", "ab", "a"):
        kept.step(kept.journal.next_undo())
        assert kept.texts[FILE] == text == kept.again().text(FILE)
    assert kept.journal.next_undo() is None
    for text in ("ab", "abc", "xbc"):
        kept.step(kept.journal.next_redo())
        assert kept.texts[FILE] == text
    assert kept.journal.next_redo() is None


def test_an_edit_after_an_undo_ends_what_could_be_done_again(kept):
    kept.edit(FILE, "ab")
    kept.step(kept.journal.next_undo())
    assert kept.journal.counts == (0, 1)
    kept.edit(FILE, "ac")
    assert kept.again().counts == (1, 0)


def test_random_edits_undone_and_done_again_are_as_a_list_of_texts_is(tmp_path):
    chance = random.Random(3)  # noqa: S311
    kept = Kept(tmp_path, most=4000)
    past, future = [], []  # the reference: every text there was
    kept.begin(FILE, "start")
    compacted = 0
    for nth in range(250):
        size = (tmp_path / NAME).stat().st_size
        kind = chance.choice(["edit", "edit", "undo", "redo", "again"])
        if kind == "edit":
            past.append(kept.texts[FILE])
            future.clear()
            text = kept.texts[FILE]
            at = chance.randrange(len(text) + 1)
            kept.edit(FILE, f"{text[:at]}{nth}{text[at + chance.randrange(3) :]}")
        elif kind == "undo" and kept.journal.counts[0]:
            future.append(kept.texts[FILE])
            kept.step(kept.journal.next_undo())
            assert kept.texts[FILE] == past.pop()
        elif kind == "redo" and kept.journal.counts[1]:
            past.append(kept.texts[FILE])
            kept.step(kept.journal.next_redo())
            assert kept.texts[FILE] == future.pop()
        elif kind == "again":
            kept.again()
        compacted += (tmp_path / NAME).stat().st_size < size
        assert kept.journal.text(FILE) == kept.texts[FILE]
        assert kept.journal.counts[0] <= len(past)
    assert compacted > 3
    assert kept.journal.counts[0] >= min(len(past), KEPT_LEAST)
    kept.journal.close()


def test_files_are_undone_in_the_order_in_which_they_were_edited(kept):
    kept.begin("side.svg", "s")
    kept.edit(FILE, "ab")
    kept.edit("side.svg", "st")
    kept.edit(FILE, "abc")
    undone = []
    while entry := kept.journal.next_undo():
        kept.step(entry)
        undone.append(entry.file)
    assert undone == [FILE, "side.svg", FILE]
    assert kept.texts == {FILE: "a", "side.svg": "s"}


def test_a_file_that_is_forgotten_takes_its_edits_with_it(kept):
    kept.begin("side.svg", "s")
    kept.edit("side.svg", "st")
    kept.edit(FILE, "ab")
    kept.journal.forget("side.svg")
    assert kept.again().counts == (1, 0)
    assert kept.journal.version("side.svg") is None


@pytest.mark.parametrize("cut", range(1, 40, 3))
def test_a_torn_last_line_is_dropped(kept, tmp_path, cut):
    kept.edit(FILE, "ab")
    size = (tmp_path / NAME).stat().st_size
    kept.edit(FILE, "abc")
    kept.journal.close()
    os.truncate(tmp_path / NAME, size + cut)
    kept.journal = Journal(tmp_path, FILE)
    assert kept.journal.counts == (1, 0)
    assert kept.journal.text(FILE) == "ab"
    assert (tmp_path / NAME).stat().st_size == size
    assert not kept.journal.is_damaged
    assert not (tmp_path / DAMAGED).exists()


def test_a_line_that_was_changed_ends_the_journal_and_a_copy_is_kept(kept, tmp_path):
    for text in ("ab", "abc", "abcd"):
        kept.edit(FILE, text)
    whole = (tmp_path / NAME).read_bytes()
    (tmp_path / NAME).write_bytes(whole.replace(b'"to abc"', b'"to abX"'))
    assert kept.again().is_damaged
    assert kept.journal.text(FILE) == "ab"
    assert b"to abcd" in (tmp_path / DAMAGED).read_bytes()


def test_a_write_that_fails_is_no_entry(kept):
    kept.edit(FILE, "ab")
    with (
        pytest.raises(OSError, match="full"),
        kept.journal.writing(Entry("edit", FILE, "x", "b", "c", change_of("ab", "abc"))),
    ):
        raise OSError("full")
    assert kept.journal.counts == (1, 0)
    assert kept.again().counts == (1, 0)
    assert kept.journal.pending() is None


def test_only_an_entry_that_is_not_known_to_be_in_its_file_is_pending(kept):
    kept.edit(FILE, "ab")
    assert kept.again().pending() is None
    entry = Entry("edit", FILE, "x", "1", "2", change_of("ab", "abc"))
    kept.journal._append(journal_line(entry))
    assert kept.again().pending() == entry
    kept.journal.mark_written()
    assert kept.again().pending() is None


def journal_line(entry):
    change = entry.change
    return {
        "kind": entry.way, "file": entry.file, "says": entry.says, "before": entry.before,
        "after": entry.after, "at": change.at, "removed": change.removed,
        "inserted": change.inserted,
    }  # fmt: skip


def test_a_journal_of_long_edits_stays_below_a_few_times_its_limit(tmp_path):
    kept = Kept(tmp_path, most=30_000)
    kept.begin(FILE, "")
    for nth in range(200):
        kept.edit(FILE, f"{nth}" * 200)
    assert (tmp_path / NAME).stat().st_size < 120_000
    assert KEPT_LEAST <= kept.journal.counts[0] < 200
    while entry := kept.journal.next_undo():
        kept.step(entry)
    assert kept.journal.text(FILE) == kept.texts[FILE]
    kept.journal.close()


def test_a_journal_that_cannot_be_written_anew_goes_on_as_it_is(tmp_path):
    (tmp_path / f"{NAME}.new").mkdir()  # in the way
    kept = Kept(tmp_path, most=2000)
    kept.begin(FILE, "")
    for nth in range(40):
        kept.edit(FILE, f"{nth}")
    assert kept.again().counts == (40, 0)
    kept.journal.close()


def test_what_is_said_may_hold_any_letter(kept):
    with kept.journal.writing(Entry("edit", FILE, "ü \ud800 \n", "a", "b", change_of("a", "ä"))):
        pass
    assert kept.again().next_words[0] == "ü \ud800 \n"
