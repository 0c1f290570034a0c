"""A definition made to harm, or written in the wrong unit, ends in one fault with its place."""

import os
import shutil
from pathlib import Path

import pytest

from mateline import starter
from mateline.definition.schema import FILE, MOST_BYTES, load
from mateline.errors import InputError, InputFaultsError
from mateline.survey import surveyed

STARTER = Path(starter.__file__).parent


@pytest.fixture
def folder(tmp_path):
    for name in (FILE, "band.svg"):
        shutil.copy(STARTER / name, tmp_path)
    return tmp_path


def faults_of(folder, *changes, read=surveyed):
    """What is said of the starter's definition once it is changed."""
    path = folder / FILE
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises((InputError, InputFaultsError)) as error:
        read(folder)
    return getattr(error.value, "faults", (error.value,))


@pytest.mark.parametrize(
    ("stencil", "place", "what", "remedy"),
    [
        ('sheet = ["3", "3"]', "stencil, sheet", "can't be parted into sheets of 76.2 by",
         "whole sheet"),
        ('sheet = ["20 mm", "20 mm"]', "stencil, sheet", "all wider than 6 mm", "whole sheet"),
        ('reach = "1/1000"', "stencil, reach", 'A reach of under 1/64" is too short for box-left',
         'Give 1" or more'),
        ("reach = 0.5", "stencil, reach", "more than 10000", '1" or more'),
    ],
)  # fmt: skip
def test_a_board_that_no_face_can_be_cut_from_is_refused(folder, stencil, place, what, remedy):
    (fault,) = faults_of(folder, ("[palette]", f"[stencil]\n{stencil}\n\n[palette]"))
    assert (fault.file, fault.place) == (str(folder / FILE), place)
    assert what in fault.what
    assert remedy in fault.remedy


def test_the_reach_that_a_refusal_names_is_taken(folder):
    (fault,) = faults_of(folder, ("[palette]", '[stencil]\nreach = "1 mm"\n\n[palette]'))
    assert fault.remedy.startswith('Give 1" or more')  # told in 1/32", and 31/32" is too short
    (again,) = faults_of(folder, ('"1 mm"', '"31/32"'))
    assert again.place == "stencil, reach"


@pytest.mark.parametrize("code", [0x00, 0x07, 0x0A, 0x0D, 0x7F, 0x85, 0x2028, 0xFFFF])
def test_control_characters_are_refused_with_their_places(folder, code):
    odd = f"\\u{code:04X}"
    faults = faults_of(
        folder,
        ("My cabinet", f"My{odd}cabinet"),
        ("leg bolt", f"leg{odd}bolt"),
        ('letter = "C"', f'letter = "C", label = "a{odd}"'),
        ("band.svg", f"band{odd}.svg"),
        ('board = "3/4"', f'"bo{odd}ard" = "3/4"'),
        read=load,
    )
    places = [fault.place for fault in faults]
    assert places[:1] + places[-1:] == ["title", "art 1, drawing"]
    assert [one for one in places if "measures" in one or "label" in one or "hardware" in one] == [
        places[1], "palette, colours, cream, label", "hardware 1, name",
    ]  # fmt: skip
    assert all(f"U+{code:04X}" in fault.what for fault in faults)
    assert all(str(fault).isprintable() for fault in faults)


def test_letters_of_any_language_are_no_control_characters(folder):
    path = folder / FILE
    title = "Größe \u2009 \u200d\U0001f3b2 שלום"
    path.write_text(path.read_text(encoding="utf-8").replace("My cabinet", title), encoding="utf-8")
    assert load(folder).title == title


@pytest.mark.parametrize(
    ("prepare", "what"),
    [
        (lambda path: path.symlink_to(path.name), "can't be read"),
        (os.mkfifo, "a folder or a device"),
        (Path.mkdir, "a folder or a device"),
        (lambda path: path.symlink_to("/dev/zero"), "a folder or a device"),
        (lambda path: path.write_text("a = " + "[" * 100_000), "too deep"),
        (lambda path: path.write_text("a = " + "9" * 10_000), "no valid TOML"),
        (lambda path: path.write_text("#" * (MOST_BYTES + 1)), "more than 2000000 bytes"),
    ],
    ids=["loop", "pipe", "folder", "device", "brackets", "digits", "two megabytes"],
)
def test_what_is_no_definition_is_not_waited_for(tmp_path, prepare, what):
    prepare(tmp_path / FILE)
    with pytest.raises(InputError, match=what) as error:
        load(tmp_path)
    assert error.value.file == str(tmp_path / FILE)
    assert len(str(error.value)) < 400
