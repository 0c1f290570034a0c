"""What was mended in a drawing is told once a face, with where and how much."""

from dataclasses import replace

from shapely import box

from mateline.checks.mended import check, faceted
from mateline.stencil.stencil import refitted
from specimens import SEA, TAPE, stencil, subject

HAIR = 0.01  # mm


def test_shapes_that_mate_need_no_mending():
    whole = [(SEA, "blue"), (box(0, 100, 400, 300), "red")]
    assert check(subject(stencil(whole))) == ()


def test_a_hair_gap_is_told_with_its_place():
    #  the red shape starts a hair above the blue one: base coat would show between them
    parted = [(SEA, "blue"), (box(0, 100 + HAIR, 400, 300), "red")]
    (found,) = check(subject(stencil(parted)))
    assert (found.code, found.level, found.face) == ("drawing-mended", "note", "body-front")
    assert found.message.startswith("1 hair gap on body-front was mended")
    assert abs(found.at[1] - 100) < HAIR


def test_the_mended_pieces_share_their_border():
    parted = [(SEA, "blue"), (box(0, 100 + HAIR, 400, 300), "red")]
    colours = sorted(piece.colour for piece in stencil(parted).pieces)
    assert colours == ["blue", "red"]


def test_borders_that_are_their_facets_are_told_once_a_face():
    whole = refitted(stencil([(SEA, "blue"), (box(0, 100, 400, 300), "red")]), 0.02)
    assert faceted([whole], TAPE) == ()
    (found,) = faceted([replace(whole, faceted=(1, 2))], TAPE)
    assert (found.code, found.level, found.face) == ("border-faceted", "note", "body-front")
    assert found.message.startswith("2 borders on body-front are cut along short straight")
    assert found.at == whole.chains[1].start
