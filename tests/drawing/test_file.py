"""What is no file of the cabinet's folder is refused before it is opened, whatever its kind."""

import os

import pytest

from mateline.drawing.dxf.reader import read_dxf
from mateline.drawing.reader import read_drawing
from mateline.drawing.svg.reader import read_svg
from mateline.errors import InputError

LONG = "x" * 300


def loop(folder, name):
    (folder / name).symlink_to(name)


def loop_of_two(folder, name):
    (folder / name).symlink_to("other")
    (folder / "other").symlink_to(name)


def pipe(folder, name):
    os.mkfifo(folder / name)


def inside_a_file(folder, name):
    (folder / "plain").write_text("")
    return folder / "plain" / name


CASES = {
    "loop of links": (loop, "art", "can't be read: symlink loop"),
    "loop of two links": (loop_of_two, "art", "can't be read: symlink loop"),
    "name of 300 letters": (lambda *_: None, LONG, "can't be read: File name too long"),
    "name with a zero": (lambda *_: None, "a\0", "can't be read: embedded null byte"),
    "pipe": (pipe, "art", "a folder or a device"),
    "folder": (lambda folder, name: (folder / name).mkdir(), "art", "a folder or a device"),
    "in a file": (inside_a_file, "art", "can't be read"),
    "in no folder": (lambda folder, name: folder / "gone" / name, "art", "no such drawing"),
    "outside": (lambda folder, name: folder / ".." / name, "art", "outside the cabinet's folder"),
}


@pytest.mark.parametrize("suffix", [".svg", ".dxf"])
@pytest.mark.parametrize("case", CASES)
def test_what_is_no_drawing_is_refused_alike_by_all_readers(tmp_path, case, suffix):
    prepare, name, reason = CASES[case]
    path = prepare(tmp_path, name + suffix) or tmp_path / (name + suffix)
    told = set()
    for read in (read_drawing, read_svg if suffix == ".svg" else read_dxf):
        with pytest.raises(InputError, match=reason) as error:
            read(path, root=tmp_path)
        told.add(str(error.value))
    assert len(told) == 1
    assert len(told.pop()) < 400
