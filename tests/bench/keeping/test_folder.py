"""Files of a cabinet's folder: inside it only, read and written whole."""

import os
import stat
import sys

import pytest

from killing import WRITES, at_each_call, full, killed
from mateline.bench.keeping.folder import MOST_DEEP, MOST_NAME, NEW, Folder, version_of
from mateline.errors import InputError

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="links and modes as POSIX has them")


@pytest.fixture
def folder(tmp_path):
    root = tmp_path / "pier"
    (root / "art").mkdir(parents=True)
    (root / "cabinet.toml").write_text("title = 1\n")
    (root / "art" / "side.svg").write_text("<svg/>")
    (tmp_path / "secret.txt").write_text("secret")
    return Folder(root)


@pytest.mark.parametrize("path", [
    "../secret.txt", "art/../../secret.txt", "/etc/passwd", "", "/", "art/", "art//side.svg", ".",
    "./side.svg", ".bench/journal", "art/.hidden", "..", "art\\side.svg", "C:/side.svg", "c:side",
    "a\0b", "a\nb", "con", "CON.svg", "art/nul.txt", "com1", "lpt9.svg", "side.svg.", "side.svg ",
    "a?b", "a*b", "<a>", 'a"b', "a|b", "\ud800", "Cabinet.TOML", "x" * (MOST_NAME + 1),
    "/".join("a" * (MOST_DEEP + 1)), "%2e%2e/secret.txt\x7f",
])  # fmt: skip
def test_no_path_leads_anywhere_but_to_a_file_of_the_folder(folder, path):
    for do in (folder.place, folder.read, lambda p: folder.write(p, b"x"), folder.version):
        with pytest.raises(InputError) as fault:
            do(path)
        assert str(fault.value).isprintable()
        assert len(str(fault.value)) < 400
    assert sorted(p.name for p in folder.root.rglob("*")) == ["art", "cabinet.toml", "side.svg"]


@POSIX
def test_a_link_that_leads_out_is_not_followed(folder, tmp_path):
    (folder.root / "out").symlink_to(tmp_path)
    (folder.root / "file.svg").symlink_to(tmp_path / "secret.txt")
    (folder.root / "round").symlink_to(folder.root / "round")
    for path in ("out/secret.txt", "file.svg", "round", "round/a"):
        with pytest.raises(InputError, match="leads out"):
            folder.read(path)
        with pytest.raises(InputError, match="leads out"):
            folder.write(path, b"x")
    assert (tmp_path / "secret.txt").read_text() == "secret"
    assert [each.path for each in folder.files()] == ["cabinet.toml", "art/side.svg"]


@POSIX
def test_a_link_inside_stays_a_link_and_a_file_keeps_its_mode(folder):
    (folder.root / "link.svg").symlink_to("art/side.svg")
    (folder.root / "art" / "side.svg").chmod(0o640)
    folder.write("link.svg", b"<svg>2</svg>")
    assert (folder.root / "link.svg").is_symlink()
    assert (folder.root / "art" / "side.svg").read_bytes() == b"<svg>2</svg>"
    assert stat.S_IMODE((folder.root / "art" / "side.svg").stat().st_mode) == 0o640


@POSIX
def test_what_is_no_file_is_neither_read_nor_written(folder):
    os.mkfifo(folder.root / "pipe")
    for path in ("art", "pipe"):
        with pytest.raises(InputError, match="a folder or a device"):
            folder.read(path)
        with pytest.raises(InputError, match="a folder or a device"):
            folder.write(path, b"x")
    assert "pipe" not in [each.path for each in folder.files()]


def test_a_file_that_is_not_there_is_none_and_is_made_with_its_folders(folder):
    assert folder.read("new/side.svg") is None
    assert folder.version("new/side.svg") == NEW == version_of(None)
    folder.write("new/side.svg", b"x")
    assert folder.read("new/side.svg") == b"x"
    assert folder.version("new/side.svg") == version_of(b"x")
    folder.write("new/side.svg", None)
    assert folder.version("new/side.svg") == NEW
    assert folder.read("cabinet.toml/below") is None  # a file has nothing in it


def test_a_file_that_is_too_large_is_not_read(folder):
    with pytest.raises(InputError, match="more than"):
        folder.read("cabinet.toml", most=3)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="moments are tried in forks")
@pytest.mark.parametrize("what", [killed, full], ids=["killed", "disk full"])
def test_at_every_moment_of_a_write_the_file_is_the_old_one_or_the_new_one(folder, what):
    seen = set()
    calls = {"calls": WRITES | {"os.remove"}} if what is full else {}
    for _, code in at_each_call(lambda: folder.write("art/side.svg", b"new"), what, **calls):
        seen.add(folder.read("art/side.svg"))
        assert code in {-9, 9} or folder.read("art/side.svg") == b"new"
        folder.write("art/side.svg", b"<svg/>")
        assert sorted(p.name for p in (folder.root / "art").iterdir()) == ["side.svg"]
    assert seen == {b"<svg/>", b"new"}


def test_files_are_listed_by_what_they_are(folder):
    for name in ("front.JPG", "old.dxf", "notes.txt", ".hidden", "lines.svg"):
        (folder.root / name).write_text("x")
    (folder.root / "lines.svg").write_text(
        '<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" data-kind="borders"/>'
    )
    (folder.root / ".bench").mkdir()
    (folder.root / ".bench" / "journal").write_text("x")
    listed = {each.path: each.kind for each in folder.files()}
    assert listed == {
        "art/side.svg": "drawing", "cabinet.toml": "other", "front.JPG": "photo",
        "lines.svg": "borders", "notes.txt": "other", "old.dxf": "drawing",
    }  # fmt: skip
    sizes = {each.path: each.size for each in folder.files()}
    assert sizes["notes.txt"] == 1
    assert set(folder.marks()) == set(listed)


def test_a_version_is_read_again_when_the_file_was_written(folder):
    before = folder.version("art/side.svg")
    (folder.root / "art" / "side.svg").write_text("<svg>other</svg>")
    assert folder.version("art/side.svg") != before
