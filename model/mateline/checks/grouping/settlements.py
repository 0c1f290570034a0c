"""Findings that the definition settles: set apart with their reasons, and counted no more.

Stands after findings. A settlement speaks of as many findings as it says, one where it says
nothing; one that fits fewer is told, and one that fits more settles none of them, since what nobody
has looked at must not be silenced. What is told here can't be settled itself.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding, Settled, Settlement
from mateline.checks.places import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

NEAR = 10.0  # mm: how near to the place of a settlement the finding's own may be
NAMED = 4  # findings named in one message


def settled_apart(
    findings: Sequence[Finding], settlements: Sequence[Settlement]
) -> tuple[tuple[Finding, ...], tuple[Settled, ...]]:
    """The findings that are left, with what is to be told of settlements, and those settled.

    Those that fit what they say go first, so that none is unclear for what another one settles.
    """
    left, settled = list(findings), list[Settled]()
    waiting = list(settlements)
    while (sure := _sure(waiting, left)) is not None:
        settled += _taken(left, sure)
        waiting.remove(sure)
    told: list[Finding] = []
    for each in waiting:
        fit = [finding for finding in left if _fits(finding, each)]
        if len(fit) > each.count:
            told.append(_unclear(each, fit))
            continue
        settled += _taken(left, each)
        told.append(_unmatched(each, len(fit), findings))
    return (*left, *told), tuple(settled)


def _sure(waiting: Sequence[Settlement], left: Sequence[Finding]) -> Settlement | None:
    for each in waiting:
        if sum(_fits(finding, each) for finding in left) == each.count:
            return each
    return None


def _taken(left: list[Finding], settlement: Settlement) -> list[Settled]:
    """What it settles, out of what is `left`."""
    fit = [finding for finding in left if _fits(finding, settlement)]
    left[:] = [finding for finding in left if not _fits(finding, settlement)]
    return [Settled(finding, settlement.because) for finding in fit]


def _fits(finding: Finding, settlement: Settlement) -> bool:
    stated = (
        (settlement.code, finding.code),
        (settlement.face, finding.face),
        (settlement.piece, finding.piece),
        (settlement.hardware, finding.hardware),
    )
    if any(wanted is not None and wanted != found for wanted, found in stated):
        return False
    if settlement.at is not None and (
        finding.at is None or math.dist(settlement.at, finding.at) > NEAR
    ):
        return False
    return settlement.says is None or settlement.says in finding.message


def _unmatched(settlement: Settlement, fit: int, findings: Sequence[Finding]) -> Finding:
    what = "fits no finding" if fit == 0 else f"fits {_many(fit)} where it speaks of "
    what += "" if fit == 0 else f"{settlement.count}"
    return Finding(
        "settlement-unmatched",
        "warn",
        f"{_called(settlement)} {what}: what it settled is mended, or has another name now."
        f"{_elsewhere(settlement, findings)}",
        "Take it out if all is well; otherwise name the finding as it is told now."
        if fit == 0
        else f"Write count = {fit}, or look where the others went.",
        face=settlement.face,
        piece=settlement.piece,
        hardware=settlement.hardware,
    )


def _unclear(settlement: Settlement, fit: Sequence[Finding]) -> Finding:
    names = [_named(finding) for finding in fit[:NAMED]]
    more = [f"{len(fit) - NAMED} more"] if len(fit) > NAMED else []
    return Finding(
        "settlement-unclear",
        "warn",
        f"{_called(settlement)} fits {_many(len(fit))} where it speaks of {settlement.count}, so "
        f"it settles none: {listed(names + more)}.",
        "Name the one that is meant by face, piece, hardware, at or says; or, if it is meant of "
        f"them all, write count = {len(fit)}.",
        face=settlement.face,
        piece=settlement.piece,
        hardware=settlement.hardware,
    )


def _called(settlement: Settlement) -> str:
    place = settlement.place or "A settlement"
    return f"{place[:1].upper()}{place[1:]} ({settlement.code})"


def _many(count: int) -> str:
    return "1 finding" if count == 1 else f"{count} findings"


def _elsewhere(settlement: Settlement, findings: Sequence[Finding]) -> str:
    """Where that code is found, if anywhere, also among what follows from another finding."""
    heads = [
        head for head in findings if any(_fits(each, settlement) for each in head.consequences)
    ]
    if heads:
        head = heads[0]
        return f" It is part of {head.code} on {_named(head)} now: settle that, or mend it."
    names = [_named(each) for each in findings if each.code == settlement.code]
    if not names:
        return ""
    more = [f"{len(names) - NAMED} more"] if len(names) > NAMED else []
    return f" Of this code there is {listed(names[:NAMED] + more)}."


def _named(finding: Finding) -> str:
    """What tells a finding from others of its code."""
    parts = (finding.piece or finding.face, finding.hardware and f"“{finding.hardware}”")
    where = ", ".join(part for part in parts if part)
    return where or "the cabinet"
