"""Findings that the definition settles, and settlements that settle nothing or too much."""

import pytest

from mateline.checks.findings import Finding, Settled, Settlement
from mateline.checks.grouping.settlements import NEAR, settled_apart
from specimens import codes

LOCK = Finding("mirror-extra", "warn", "“lock” is on the right only.", "Look.",
               face="body-right", hardware="lock", at=(300.0, 200.0))  # fmt: skip
VENT = Finding("mirror-extra", "warn", "“vent” is on the right only.", "Look.",
               face="body-right", hardware="vent", at=(500.0, 200.0))  # fmt: skip
STOP = Finding("piece-without-tack", "stop", "No room.", "Widen it.",
               face="body-left", piece="body-left R1", at=(20.0, 30.0))  # fmt: skip
NOTE = Finding("word-without-effect", "note", "Painting, can_size_ml has no effect.", "Leave it.")
ALL = (STOP, LOCK, VENT, NOTE)
WHY = "The operator's lock."


def meant(code, **more):
    return Settlement(code, WHY, place="settled 1", **more)


@pytest.mark.parametrize(
    "more",
    [
        {"hardware": "lock"},
        {"face": "body-right", "hardware": "lock"},
        {"at": (300.0 + 0.7 * NEAR, 200.0 - 0.7 * NEAR)},
        {"says": "“lock”"},
    ],
)
def test_a_settled_finding_is_set_apart_with_its_reason(more):
    left, settled = settled_apart(ALL, [meant("mirror-extra", **more)])
    assert settled == (Settled(LOCK, WHY),)
    assert left == (STOP, VENT, NOTE)


@pytest.mark.parametrize(
    ("code", "more"),
    [
        ("mirror-extra", {"hardware": "bolt"}),
        ("mirror-extra", {"face": "body-left"}),
        ("mirror-extra", {"piece": "body-right R1"}),
        ("mirror-extra", {"at": (300.0 + 0.8 * NEAR, 200.0 - 0.8 * NEAR)}),
        ("mirror-extra", {"says": "lamp"}),
        ("mirror-missing", {"hardware": "lock"}),
        ("word-without-effect", {"at": (0.0, 0.0)}),  # that finding has no place
    ],
)
def test_a_settlement_that_fits_nothing_is_told(code, more):
    left, settled = settled_apart(ALL, [meant(code, **more)])
    assert settled == ()
    *others, told = left
    assert tuple(others) == ALL
    assert (told.code, told.level) == ("settlement-unmatched", "warn")
    assert told.message.startswith(f"Settled 1 ({code}) fits no finding")
    assert told.face == more.get("face")


def test_it_says_where_that_code_is_found():
    *_, told = settled_apart(ALL, [meant("piece-without-tack", piece="body-left R2")])[0]
    assert "Of this code there is body-left R1." in told.message


def test_a_stop_may_be_settled():
    left, settled = settled_apart(ALL, [meant("piece-without-tack", piece="body-left R1")])
    assert [each.finding for each in settled] == [STOP]
    assert {each.level for each in left} == {"warn", "note"}


def test_a_finding_of_the_whole_cabinet_is_settled_by_what_it_says():
    left, settled = settled_apart(ALL, [meant("word-without-effect", says="can_size_ml")])
    assert settled == (Settled(NOTE, WHY),)
    assert NOTE not in left


def test_what_fits_two_settles_none_and_says_how_to_tell_them_apart():
    left, settled = settled_apart(ALL, [meant("mirror-extra")])
    assert settled == ()
    assert left[:-1] == ALL
    assert left[-1].code == "settlement-unclear"
    assert "fits 2 findings where it speaks of 1" in left[-1].message
    assert "“lock”" in left[-1].message
    assert "count = 2" in left[-1].remedy


def test_two_that_are_meant_are_both_settled():
    left, settled = settled_apart(ALL, [meant("mirror-extra", count=2)])
    assert [each.finding for each in settled] == [LOCK, VENT]
    assert left == (STOP, NOTE)


def test_of_three_that_were_meant_the_two_that_are_left_are_settled_and_the_third_is_told():
    left, settled = settled_apart(ALL, [meant("mirror-extra", count=3)])
    assert [each.finding for each in settled] == [LOCK, VENT]
    assert codes(left) == ["piece-without-tack", "settlement-unmatched", "word-without-effect"]
    assert "count = 2" in left[-1].remedy


def test_which_of_two_settlements_stands_first_is_all_the_same():
    both = [meant("mirror-extra"), meant("mirror-extra", hardware="lock")]
    for order in (both, both[::-1]):
        left, settled = settled_apart(ALL, order)
        assert {each.finding for each in settled} == {LOCK, VENT}
        assert left == (STOP, NOTE)


def test_a_second_settlement_of_one_finding_has_nothing_left_to_settle():
    twice = [meant("mirror-extra", hardware="lock")] * 2
    left, settled = settled_apart(ALL, twice)
    assert len(settled) == 1
    assert left[-1].code == "settlement-unmatched"


def test_what_is_told_of_settlements_is_not_settled_by_any():
    fits_all = Settlement("settlement-unmatched", WHY)  # no file can say so: see the schema
    lost = meant("mirror-size")
    left, settled = settled_apart(ALL, [lost, fits_all])
    assert settled == ()
    assert codes(left).count("settlement-unmatched") == 2


def test_a_consequence_is_not_settled_without_its_cause():
    tiny = Finding("piece-tiny", "warn", "Tiny.", "Enlarge it.", piece="body-left R1")
    cause = Finding("piece-without-tack", "stop", "No room.", "Widen it.",
                    piece="body-left R1", consequences=(tiny,))  # fmt: skip
    left, settled = settled_apart([cause], [meant("piece-tiny", piece="body-left R1")])
    assert settled == ()
    assert "It is part of piece-without-tack on body-left R1 now" in left[-1].message
    _, settled = settled_apart([cause], [meant("piece-without-tack", piece="body-left R1")])
    assert settled == (Settled(cause, WHY),)  # and all that comes of it
