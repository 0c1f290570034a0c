"""The door: texts become plain data once, and all that is wrong with them is told in one go."""

import dataclasses
import math
import tomllib
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from boxes import PRELUDE, SQUARE, faults_of
from mateline.cabinet.joints import Bevel
from mateline.cabinet.specification import Board, Distance, Joint, Position, ShapedEdge
from mateline.definition.carcases import readings_of
from mateline.definition.definition import Definition, measured_only, settled, usual_shop
from mateline.definition.schema import load, parsed
from mateline.errors import Faults
from mateline.placing.art import Anchored, Landmarks, OnFaces, Wrapped
from mateline.tape.accuracy import Tape

CABINETS = Path(__file__).parents[2] / "cabinets"
BOX = SQUARE.format(
    board=18,
    more='joints = ["front over top"]\nedges = { "left and front" = {'
    ' bevel = "1/2 in", angle = 30 } }\nat = { x = 10, z = "5 cm", turn = 90 }',
)


def door(text, prelude=PRELUDE):
    return settled(parsed(tomllib.loads(prelude + text), "cabinet.toml"), Faults("cabinet.toml"))


def told(text, prelude=PRELUDE):
    return faults_of(lambda: door(text, prelude))


def test_lengths_come_out_in_mm_and_angles_in_radians():
    (box,) = door(BOX).carcases
    assert box.boards[0] == Board("front", 18.0, ("D", "A"))
    assert box.joints == (Joint("front", "over", "top", "carcase 1 (box), joints 1"),)
    where = "carcase 1 (box), edges, left and front"
    assert box.edges == (ShapedEdge(("left", "front"), Bevel(12.7, math.radians(30)), where),)
    assert box.where == Position(10.0, 0.0, 50.0, math.pi / 2)
    assert (box.width, box.thickness, box.corners) == (300.0, 18.0, ("A", "B", "C", "D"))


def test_hardware_carries_how_sure_its_distances_are():
    # A class II tape at 60 and 2500 mm: 0.3 + 0.2 per started metre + 0.2 for the hook (2014/32/EU,
    # annex X), as a uniform distribution; 1 mm graduation likewise (GUM 4.3.7).
    text = '\n[[hardware]]\nname = "b"\nkind = "bolt"\nsize = "M8"\non = "box-left"\nturn = 180\n'
    (bolt,) = door(BOX + text + 'from = { front = 60, bottom = "2500 mm" }\n').hardware
    sure = [math.hypot(limit / math.sqrt(3), 1 / math.sqrt(12)) for limit in (0.7, 1.1)]
    assert bolt.distances == (
        ("front", Distance(60.0, pytest.approx(sure[0]))),
        ("bottom", Distance(2500.0, pytest.approx(sure[1]))),
    )
    assert (bolt.form.kind, bolt.form.length, bolt.turn) == ("round", 9.0, math.pi)  # ISO 273


def test_art_says_where_it_goes_in_one_word():
    text = """
[[art]]
drawing = "a.svg"
on = "box-left"
offset = ["1 in", 2]
turn = 180
[[art]]
drawing = "a.svg"
wrap = ["box-left", "box-top off box-left"]
landmarks = { star = ["1 cm", 0] }
"""
    flat, bent = door(BOX + text).art
    assert flat.where == OnFaces(("box-left",))
    assert flat.put == Anchored(offset=(25.4, 2.0), turn=math.pi)
    assert bent.where == Wrapped((("box-left", None), ("box-top", "box-left")))
    # Class II up to a metre, from the hook: 0.3 + 0.2 + 0.2 mm; marks of 1 mm.
    tape = math.hypot(0.7 / math.sqrt(3), 1 / math.sqrt(12))
    assert bent.put == Landmarks((("star", (10.0, 0.0)),), (pytest.approx(tape),))


def test_faults_of_all_tables_are_told_at_once_and_keep_their_place():
    text = BOX.replace("width = 300", 'width = "3OO"').replace("left and front", "left or front")
    faults = told(
        text
        + """
[stencil]
reach = "long"
[painting]
put_back_play = -1
[[hardware]]
name = "slot"
kind = "slot"
length = 10
width = 20
on = "box-left"
from = { front = 1 }
[[art]]
drawing = "a.svg"
""",
        PRELUDE.replace('base = "cream"', 'base = "creme"'),
    )
    starts = [
        "cabinet.toml: palette, base: There is no colour “creme”. Did you mean “cream”?",
        "cabinet.toml: carcase 1 (box), width: ",
        "cabinet.toml: carcase 1 (box), edges, left or front: This names no two panels that meet.",
        "cabinet.toml: hardware 1 (slot): The slot is 10.0 mm long and 20.0 mm wide.",
        "cabinet.toml: hardware 1 (slot), from: A place takes two distances.",
        "cabinet.toml: art 1: It says in no ways where it goes.",
        "cabinet.toml: stencil, reach: ",
        "cabinet.toml: painting, put_back_play: “-1” is less than 0.",
    ]
    assert len(faults) == len(starts)
    for start in starts:
        assert any(fault.startswith(start) for fault in faults), start


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('edge = "D-A"', 'edge = "DA"', "“DA” names no edge"),
        ('["front over top"]', '["front on top"]', "names no two panels that meet"),
        ('bevel = "1/2 in", ', "", "has a bevel or a round"),
        ('corners = ["A", "B", "C", "D"]', 'corners = ["A", "B", "C", "C"]', "one name"),
        ("at = {", 'stands_on = { carcase = "b", edge = "A-B" }\nat = {', "both at and stands_on"),
    ],
)
def test_a_carcase_that_cannot_be_read_is_told(old, new, words):
    assert old in BOX
    assert any(words in fault for fault in told(BOX.replace(old, new)))


def test_a_length_that_cannot_be_read_is_told_once():
    hardware = '[[hardware]]\nname = "b"\nkind = "bolt"\nsize = "M8"\non = "box-left"\n'
    found = told(
        BOX.replace("board = 18", 'board = "thick"')
        + hardware
        + 'from_corners = { A = "far", B = -2 }\n'
    )
    places = [fault.split(": ")[1] for fault in found]
    assert places == [
        "carcase 1 (box), board",
        "hardware 1 (b), from, A",
        "hardware 1 (b), from, B",
    ]


def test_the_tape_asks_for_outlines_only():
    broken = BOX.replace("left and front", "left or front") + '[stencil]\nreach = "long"\n'
    table = parsed(tomllib.loads(PRELUDE + broken), "cabinet.toml")
    (box,), tape = measured_only(table, Faults("cabinet.toml"))
    assert (box.name, tape.unit) == ("box", "mm")


PLAIN = (bool, int, float, str, Fraction, np.ndarray, type(None))


def held(value):
    """Every value in plain data, taken apart."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from held(getattr(value, field.name))
    elif isinstance(value, dict):
        for name, each in value.items():
            yield from held(name)
            yield from held(each)
    elif isinstance(value, tuple | list | frozenset):
        for each in value:
            yield from held(each)
    else:
        yield value


@pytest.mark.parametrize("name", ["corner-box", "harbour-lights", "quilt"])
def test_what_comes_through_the_door_is_plain_data_and_frozen(name):
    definition = settled(load(CABINETS / name), Faults("cabinet.toml"))
    kinds = {type(value) for value in held(definition)}
    assert {kind for kind in kinds if kind not in PLAIN} <= {type(definition.shop.start)}
    with pytest.raises(dataclasses.FrozenInstanceError):
        definition.title = "another"


def test_readings_are_read_as_people_write_them():
    tape = Tape("in", Fraction(254, 160), "HB44")
    read = readings_of("ABC", {"A-B": "1' 2", "C above A-B": "10 cm"}, tape, reflex="C")
    assert read.distances == {("A", "B"): Fraction(14) * Fraction(254, 10)}
    assert read.heights == {("C", "A", "B"): Fraction(100)}
    assert read.reflex == ("C",)


def test_what_is_no_reading_is_told():
    faults = faults_of(lambda: readings_of("ABC", {"A-X": "1", "A to B": "2", "B-C": "3 ells"}))
    assert [fault.split(": ")[0] for fault in faults] == [
        "readings, readings, A-X", "readings, readings, A to B", "readings, readings, B-C"
    ]  # fmt: skip


def test_a_usual_shop_has_every_figure_as_a_range():
    colours = door(BOX).colours
    shop = usual_shop(colours)
    assert shop.coatings["cream"].dry.low < shop.coatings["cream"].dry.high
    assert Definition("t", colours, ()).board == door(BOX).board  # nothing is stated of it there
