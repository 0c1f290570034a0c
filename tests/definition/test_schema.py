"""The definition file: every fault told at once, with where it is and how to mend it."""

import json
import tomllib

import pytest

from boxes import PRELUDE, SQUARE, faults_of
from mateline.definition.schema import load, parsed, schema

BOX = PRELUDE + SQUARE.format(more="", board=18)


def read(text):
    return parsed(tomllib.loads(text), "cabinet.toml")


def test_a_good_file_is_read_whole():
    definition = read(BOX)
    assert definition.carcase[0].panels["front"].edge == "D-A"
    assert definition.palette.base == "cream"


def test_all_faults_are_told_at_once():
    text = BOX.replace('view = "side"', 'view = "above"').replace("graduation = 1\n", "")
    faults = faults_of(lambda: read(text))
    assert len(faults) == 2
    assert "tape, graduation: This is missing." in faults[0]
    assert "carcase 1 (box), view" in faults[1]
    assert "'above'" in faults[1]


def test_a_slip_of_the_pen_in_a_word_is_found():
    (fault,) = faults_of(lambda: read(BOX.replace("width = 300", "width = 300\nwitdh = 3")))
    assert "carcase 1 (box), witdh: The definition knows no such word." in fault


def test_a_length_of_the_wrong_type_is_one_fault():
    faults = faults_of(lambda: read(BOX.replace("width = 300", "width = [300]")))
    assert len(faults) == 1


def test_the_schema_is_json_and_names_every_table():
    text = json.loads(json.dumps(schema()))
    assert {"tape", "palette", "carcase", "hardware", "art"} <= text["properties"].keys()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "There is no such file."),
        (b"title = ", "This is no valid TOML"),
        (b"title = '\xff'", "can't be read"),
    ],
)
def test_a_file_that_is_none_is_told(tmp_path, content, words):
    if content is not None:
        (tmp_path / "cabinet.toml").write_bytes(content)
    (fault,) = faults_of(lambda: load(tmp_path))
    assert str(tmp_path / "cabinet.toml") in fault
    assert words in fault
