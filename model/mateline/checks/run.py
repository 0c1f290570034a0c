"""All checks, one after another. A new one is one line in `CHECKS`.

Last of the room. Each check is run on the parts of the cabinet that it can judge alone, so that
whoever remembers need not judge a part again.

    part   a subject that holds no more than one answer of the check depends on
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from mateline.checks import (
    coverage,
    ends,
    guessed,
    hardware,
    joins,
    landmarks,
    left_out,
    mended,
    pieces,
    readings,
)
from mateline.checks.findings import STAGES
from mateline.checks.grouping.causes import by_cause
from mateline.checks.mirror import art as mirror_art
from mateline.checks.mirror import sides as mirror
from mateline.memory import AFRESH

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from mateline.checks.findings import Finding, Subject
    from mateline.memory import Stages

    Check = Callable[[Subject], tuple[Finding, ...]]
    Parts = Callable[[Subject], Iterator[Subject]]

LEVELS = MappingProxyType({"stop": 0, "warn": 1, "note": 2})
STAGE_OF = MappingProxyType({code: at for at, stage in enumerate(STAGES) for code in stage})


def findings_of(subject: Subject, stages: Stages | None = None) -> tuple[Finding, ...]:
    """What all checks find, each with what comes of it: stops first, and causes before others."""
    recall = (AFRESH if stages is None else stages).recall
    found = [
        finding
        for check, parts in CHECKS
        for part in parts(subject)
        for finding in recall(check, part)
    ]
    return in_order(by_cause(found, subject))


def _only(subject: Subject, **kept: Any) -> Subject:
    """The subject with nothing but what is `kept` of it."""
    nothing: dict[str, Any] = dict.fromkeys(
        ("stencils", "pairs", "letterings", "art", "notes", "idle", "rows", "ends"), ()
    )
    return replace(subject, **{**nothing, "outlines": {}, **kept})


def _outlines(subject: Subject) -> Iterator[Subject]:
    """All outlines; with the faces only where a reading is wrong, whose finding has its place."""
    wrong = any(outline.shift is not None for outline in subject.outlines.values())
    faces = subject.stencils if wrong else ()
    yield _only(subject, outlines=subject.outlines, stencils=faces)


def _faces(subject: Subject) -> Iterator[Subject]:
    for stencil in subject.stencils:
        yield _only(subject, stencils=(stencil,))


def _pairs(subject: Subject) -> Iterator[Subject]:
    for pair in subject.pairs:
        both = {pair.left, pair.right}
        stencils = tuple(each for each in subject.stencils if each.face.name in both)
        yield _only(subject, stencils=stencils, pairs=(pair,), outlines=subject.outlines)


def _pairs_with_art(subject: Subject) -> Iterator[Subject]:
    for pair, part in zip(subject.pairs, _pairs(subject), strict=True):
        both = {pair.left, pair.right}
        art = tuple(each for each in subject.art if each.face in both)
        letterings = tuple(each for each in subject.letterings if each.face in both)
        yield replace(part, art=art, letterings=letterings)


def _letterings(subject: Subject) -> Iterator[Subject]:
    told = {each.face for each in subject.letterings if each.backwards}
    told |= {row.face for row in subject.rows}
    stencils = tuple(each for each in subject.stencils if each.face.name in told)
    kept = {"letterings": subject.letterings, "rows": subject.rows, "stencils": stencils}
    yield _only(subject, **kept)


def _notes(subject: Subject) -> Iterator[Subject]:
    for each in subject.notes:
        yield _only(subject, notes=(each,))


def _words(subject: Subject) -> Iterator[Subject]:
    yield _only(subject, idle=subject.idle)


def _placements(subject: Subject) -> Iterator[Subject]:
    """The art of one entry, and the stencils of the faces that it reaches."""
    for placement in sorted({art.placement for art in subject.art}):
        together = tuple(art for art in subject.art if art.placement == placement)
        reached = {art.face for art in together}
        stencils = tuple(each for each in subject.stencils if each.face.name in reached)
        yield _only(subject, stencils=stencils, art=together)


def _drawn_faces(subject: Subject) -> Iterator[Subject]:
    """One face with the art on it."""
    for stencil in subject.stencils:
        here = tuple(art for art in subject.art if art.face == stencil.face.name)
        if here:
            yield _only(subject, stencils=(stencil,), art=here)


def _faces_with_ends(subject: Subject) -> Iterator[Subject]:
    """One face with the art on it, and the ends of other boards that lie in its plane."""
    for part in _drawn_faces(subject):
        name = part.stencils[0].face.name
        beside = tuple(each for each in subject.ends if each.owner == name)
        if beside:
            boards = {each.board for each in beside}
            run_on = {each.placement for each in subject.art if each.face in boards}
            yield replace(part, ends=beside, run_on=tuple(sorted(run_on)))


CHECKS: tuple[tuple[Check, Parts], ...] = (
    (readings.check, _outlines),
    (hardware.check, _faces),
    (pieces.check, _faces),
    (joins.check, _faces),
    (mirror.check, _pairs),
    (mirror.lettering, _letterings),
    (mirror_art.check, _pairs_with_art),
    (coverage.check, _placements),
    (coverage.bare, _drawn_faces),
    (ends.check, _faces_with_ends),
    (landmarks.check, _placements),
    (guessed.check, _placements),
    (landmarks.warped, _placements),
    (mended.check, _faces),
    (left_out.check, _notes),
    (left_out.words, _words),
)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Stops first; then by the stage whose flaw it is, so that causes come first; then by face,
    code and place.
    """
    return tuple(sorted(findings, key=_order))


def _order(finding: Finding) -> tuple[int, int, str, str, tuple[float, ...], str]:
    return (
        LEVELS[finding.level],
        STAGE_OF.get(finding.code, -1),  # before all: what is told of settlements
        finding.face or "",
        finding.code,
        finding.at or (),
        finding.message,
    )
