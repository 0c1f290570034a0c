"""A piece that is too small in several ways is one finding."""

from dataclasses import replace

from shapely import Polygon, box

from mateline.checks.findings import Finding
from mateline.checks.grouping.small_pieces import small_pieces
from mateline.checks.run import findings_of
from specimens import SEA, codes, stencil, subject


def told(code, piece="body-front R1", level="warn"):
    return Finding(code, level, f"Piece {piece}: {code}.", f"Mend {code}.", face="body-front",
                   piece=piece, at=(1.0, 2.0))  # fmt: skip


NARROW, TINY, TIP = (told(code) for code in ("piece-narrow", "piece-tiny", "tip-sharp"))
LOOSE = told("piece-without-tack", level="stop")


def test_a_piece_that_is_narrow_tiny_and_without_a_tack_is_one_finding():
    (one,) = small_pieces((NARROW, TINY, LOOSE))
    assert (one.code, one.level, one.piece) == ("piece-without-tack", "stop", "body-front R1")
    assert one.consequences == (TINY, NARROW)
    assert one.message.startswith("Piece body-front R1 is tiny and narrow. ")
    assert one.message.endswith(LOOSE.message)
    assert one.remedy.startswith("Enlarge it, or give it to a neighbouring colour")


def test_a_real_one_is_found_so():
    """3 by 20 mm of 400 mm² at the least, where 6 mm of width hold together and a tack takes 14."""
    slip = stencil([(SEA, "blue"), (box(350, 200, 353, 220), "red")])
    (one,) = findings_of(subject(slip))
    assert (one.code, one.level) == ("piece-without-tack", "stop")
    assert codes(one.consequences) == ["piece-narrow", "piece-tiny"]
    assert {each.piece for each in one.consequences} == {one.piece}


def test_a_tiny_piece_that_is_held_is_a_warning_as_before():
    (one,) = small_pieces((TIP, NARROW, TINY))
    assert (one.code, one.level) == ("piece-tiny", "warn")
    assert one.message.startswith("Piece body-front R1 is narrow and sharp. ")
    assert one.consequences == (NARROW, TIP)


def test_what_is_narrow_in_two_places_and_large_is_mended_in_two_places():
    two = (NARROW, replace(NARROW, at=(90.0, 2.0)), TIP)
    assert small_pieces(two) == two


def test_a_narrow_piece_without_a_tack_keeps_the_remedy_of_the_gravest():
    (one,) = small_pieces((NARROW, replace(NARROW, at=(90.0, 2.0)), LOOSE))
    assert one.message.startswith("Piece body-front R1 is narrow. ")
    assert one.remedy == LOOSE.remedy
    assert len(one.consequences) == 2


def test_other_pieces_and_other_findings_stay_as_they_are():
    others = (told("piece-narrow", "body-front R2"), told("hole-splits-piece", level="stop"))
    assert small_pieces((*others, TINY)) == (*others, TINY)
    assert small_pieces((TINY, *others, NARROW)) == (
        small_pieces((TINY, NARROW))[0],
        *others,
    )


def test_nothing_of_a_small_piece_is_silent():
    wedge = Polygon([(300, 200), (340, 203), (300, 206)])
    seen = subject(stencil([(SEA, "blue"), (wedge, "red")]))
    (one,) = findings_of(seen)
    raw = {each.code for each in (one, *one.consequences)}
    assert raw == {"piece-without-tack", "piece-tiny", "piece-narrow", "tip-sharp"}
