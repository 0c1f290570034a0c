"""All checks, one after another. A new one is one line in `CHECKS`.

Last of the room. Each check is run on the parts of the cabinet that it can judge alone, so that
whoever remembers need not judge a part again.

    part   a subject that holds no more than one answer of the check depends on
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.checks import (
    coverage,
    hardware,
    joins,
    landmarks,
    mended,
    mirror,
    pieces,
    readings,
)
from mateline.memory import AFRESH

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mateline.checks.findings import Finding, Subject
    from mateline.memory import Stages

    Check = Callable[[Subject], tuple[Finding, ...]]
    Parts = Callable[[Subject], Iterator[Subject]]

LEVELS = MappingProxyType({"stop": 0, "warn": 1, "note": 2})


def findings_of(subject: Subject, stages: Stages | None = None) -> tuple[Finding, ...]:
    """What all checks find: stops first, then by face, code and place."""
    recall = (AFRESH if stages is None else stages).recall
    found = [
        finding
        for check, parts in CHECKS
        for part in parts(subject)
        for finding in recall(check, part)
    ]
    return tuple(sorted(found, key=_order))


def _outlines(subject: Subject) -> Iterator[Subject]:
    """All outlines; with the faces only where a reading is wrong, whose finding has its place."""
    wrong = any(outline.shift is not None for outline in subject.outlines.values())
    faces = subject.stencils if wrong else ()
    yield replace(subject, stencils=faces, pairs=(), letterings=(), art=())


def _faces(subject: Subject) -> Iterator[Subject]:
    for stencil in subject.stencils:
        yield replace(subject, stencils=(stencil,), outlines={}, pairs=(), letterings=(), art=())


def _pairs(subject: Subject) -> Iterator[Subject]:
    for pair in subject.pairs:
        both = {pair.left, pair.right}
        yield replace(
            subject,
            stencils=tuple(each for each in subject.stencils if each.face.name in both),
            pairs=(pair,),
            letterings=(),
            art=(),
        )


def _letterings(subject: Subject) -> Iterator[Subject]:
    yield replace(subject, stencils=(), outlines={}, pairs=(), art=())


def _placements(subject: Subject) -> Iterator[Subject]:
    """The art of one entry, and the stencils of the faces that it reaches."""
    for placement in sorted({art.placement for art in subject.art}):
        together = tuple(art for art in subject.art if art.placement == placement)
        reached = {art.face for art in together}
        yield replace(
            subject,
            stencils=tuple(each for each in subject.stencils if each.face.name in reached),
            outlines={},
            pairs=(),
            letterings=(),
            art=together,
        )


def _drawn_faces(subject: Subject) -> Iterator[Subject]:
    """One face with the art on it."""
    for stencil in subject.stencils:
        here = tuple(art for art in subject.art if art.face == stencil.face.name)
        if here:
            yield replace(
                subject, stencils=(stencil,), outlines={}, pairs=(), letterings=(), art=here
            )


CHECKS: tuple[tuple[Check, Parts], ...] = (
    (readings.check, _outlines),
    (hardware.check, _faces),
    (pieces.check, _faces),
    (joins.check, _faces),
    (mirror.check, _pairs),
    (mirror.lettering, _letterings),
    (coverage.check, _placements),
    (coverage.bare, _drawn_faces),
    (landmarks.check, _placements),
    (mended.check, _faces),
)


def _order(finding: Finding) -> tuple[int, str, str, tuple[float, ...], str]:
    return (
        LEVELS[finding.level],
        finding.face or "",
        finding.code,
        finding.at or (),
        finding.message,
    )
