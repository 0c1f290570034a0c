"""All checks together."""

from dataclasses import replace

from shapely import box

from mateline.cabinet.hole import Hole
from mateline.checks.findings import Finding
from mateline.checks.run import CHECKS, LEVELS, findings_of, in_order
from specimens import SEA, stencil, subject

BOLT = Hole("bolt", "round", (200.0, 82.0), 30.0, 30.0, stays=True)
BAR = Hole("bar", "rectangle", (100.0, 50.0), 10.0, 140.0, stays=True)
BUTTON = Hole("button", "round", (300.0, 100.0), 30.0, 30.0)


def test_what_an_earlier_stage_shows_comes_first_within_its_level():
    road = ("settlement-unmatched", "reading-suspect", "word-without-effect",
            "drawing-left-out", "landmark-off", "mirror-extra")  # fmt: skip
    faces = ("z", "y", "x", "w", "v", "u")  # which would put them the other way round
    found = [
        Finding(code, "warn", "m", "r", face=face) for code, face in zip(road, faces, strict=True)
    ]
    stop = Finding("piece-without-tack", "stop", "m", "r", face="t")
    assert in_order([*found[::-1], stop]) == (stop, *found)


def test_findings_come_stops_first_then_by_face_code_and_place():
    faulty = [stencil([(SEA, "blue")], BOLT, BAR, BUTTON, name=name) for name in ("z", "a")]
    found = findings_of(subject(*faulty))
    keys = [(LEVELS[each.level], each.face, each.code, each.at) for each in found]
    assert keys == sorted(keys)
    assert [each.code for each in found] == [
        *["hole-splits-piece"] * 2,
        *["border-over-hole", "hole-thins-piece"] * 2,
    ]


def test_every_check_has_its_say():
    assert {check.__module__.rpartition(".")[2] for check, _ in CHECKS} >= {
        *("readings", "hardware", "pieces", "sides", "coverage")
    }


def test_a_sound_stencil_has_no_findings():
    sound = [stencil([(SEA, "blue")], replace(BOLT, centre=(200.0, 200.0)))]
    assert findings_of(subject(*sound)) == ()


def test_every_message_and_remedy_is_a_sentence():
    faulty = stencil([(SEA, "blue"), (box(350, 200, 353, 203), "red")], BOLT, BAR, BUTTON)
    for each in findings_of(subject(faulty)):
        for text in (each.message, each.remedy):
            assert text[0].isupper() or text[0] in "“”", text
            assert text.endswith("."), text
            assert "{" not in text
