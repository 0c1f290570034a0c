"""Pieces that are too small in several ways: one finding each, with one remedy.

Stands after findings. A piece that is narrow and tiny, has a sharp tip and no room for a tack is
too small to be a piece; that is one thing to mend, however many checks tell of it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mateline.checks.places import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.checks.findings import Finding

# What a check says of a small piece, the gravest first, and the word for it beside another one.
WORDS = {
    "piece-without-tack": "without a tack",
    "piece-tiny": "tiny",
    "piece-narrow": "narrow",
    "tack-out-of-reach": "far from its tack",
    "tip-sharp": "sharp",
}
SMALL = ("piece-without-tack", "piece-tiny")  # these make one finding of all others
REMEDY = "Enlarge it, or give it to a neighbouring colour and paint it by hand afterwards."


def small_pieces(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, where those of a piece that is too small are one with the others' in it."""
    of_piece: dict[str, list[int]] = {}
    for at, each in enumerate(findings):
        if each.piece is not None and each.code in WORDS:
            of_piece.setdefault(each.piece, []).append(at)
    left: dict[int, Finding] = dict(enumerate(findings))
    for places in of_piece.values():
        together = [findings[at] for at in places]
        if len(together) > 1 and any(each.code in SMALL for each in together):
            head, *others = sorted(together, key=_gravity)
            for at in places[1:]:
                del left[at]
            left[places[0]] = _as_one(head, others)
    return tuple(left.values())


def _gravity(finding: Finding) -> int:
    return list(WORDS).index(finding.code)


def _as_one(head: Finding, others: Sequence[Finding]) -> Finding:
    words = dict.fromkeys(WORDS[each.code] for each in others)
    tiny = "piece-tiny" in {head.code, *(each.code for each in others)}
    return replace(
        head,
        message=f"Piece {head.piece} is {listed(list(words))}. {head.message}",
        remedy=REMEDY if tiny else head.remedy,
        consequences=tuple(others),
    )
