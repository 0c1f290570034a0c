r"""Drawings that end short of their face's edge, and all that comes of the strip that is left.

Stands after findings. A face is often a little larger than it was drawn, by its rounds and bevels:

    +-----------------+--+
    |                 |  |   base coat shows in a strip beyond the drawing's box; its pieces are
    |    drawing      |  |   narrow, split by hardware, on folds: each is told, and all of them go
    |                 |  |   when the drawing reaches the edge
    +-----------------+--+

Only a drawing whose box nearly covers its face is taken to be meant to cover it. A box that was
turned counts by its bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.checks.findings import Finding
from mateline.checks.places import area_size, listed, size
from mateline.tape.quantities import bound_said

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from shapely import Geometry

    from mateline.checks.findings import Level, PlacedArt, Subject
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil

NEARLY = 0.8  # share of a face: a drawing whose box covers as much is meant to cover it
BARE = 1.0  # mm²: a strip that is no larger shows nothing
ON = 1e-6  # mm: rounding of a place on the strip's edge
OF_PIECES = ("piece-", "tack-", "tip-", "join-")  # codes that tell of a piece of the strip
OF_HOLES = ("hole-", "border-over-")  # codes that tell of a border of the strip as well
SIDES = ("left", "right", "lower", "upper")  # edges of a face
LEVELS: tuple[Level, ...] = ("stop", "warn", "note")


@dataclass(frozen=True, slots=True)
class Strip:
    """What the drawing `art` leaves of the face of `stencil` beyond its box, and no other covers.

    It ends `short` of each of the face's edges, mm, as in `SIDES`.
    """

    art: PlacedArt
    stencil: Stencil
    area: Geometry
    short: tuple[float, ...]


def short_art(findings: Sequence[Finding], subject: Subject) -> tuple[Finding, ...]:
    """The findings, where those that come of strips are in one of the drawing that leaves them."""
    strips = {each.stencil.face.name: each for each in _strips(subject)}
    of_face: dict[str, list[int]] = {}
    for at, each in enumerate(findings):
        strip = strips.get(each.face or "")
        if strip is not None and _comes_of(each, strip, subject):
            of_face.setdefault(strip.stencil.face.name, []).append(at)
    told: set[int] = set()
    causes: list[Finding] = []
    here = [name for name in strips if name in of_face]
    for faces in _of_one_entry(strips, here, subject):
        places = [at for face in faces for at in of_face[face]]
        found = [findings[at] for at in places]
        if any(each.code != "face-uncovered" for each in found):
            told |= set(places)
            causes.append(_cause(strips[faces[0]], found, subject))
    return (*(each for at, each in enumerate(findings) if at not in told), *causes)


def _of_one_entry(
    strips: Mapping[str, Strip], faces: Iterable[str], subject: Subject
) -> Iterator[list[str]]:
    """The faces on which one entry's drawing is short, also where it is mirrored to."""
    across = {pair.left: pair.right for pair in subject.pairs}
    across |= {pair.right: pair.left for pair in subject.pairs}
    of_entry: dict[int, list[str]] = {}
    for name in sorted(faces, key=lambda name: strips[name].art.mirrored):  # sources first
        art = strips[name].art
        source = strips.get(across.get(name, ""))
        if art.mirrored and source is not None and source.art.placement in of_entry:
            of_entry[source.art.placement].append(name)
        else:
            of_entry.setdefault(art.placement, []).append(name)
    yield from of_entry.values()


def _strips(subject: Subject) -> Iterator[Strip]:
    for stencil in subject.stencils:
        art = [each for each in subject.art if each.face == stencil.face.name]
        boxes = np.array([each.page for each in art if each.page is not None], dtype=object)
        if len(boxes) == 0:
            continue
        outline = stencil.face.outline
        covered = shapely.area(shapely.intersection(boxes, outline))
        most = int(np.argmax(covered))
        if covered[most] < NEARLY * outline.area:
            continue
        rest = _bare(shapely.difference(outline, shapely.union_all(boxes)), art)
        if shapely.area(rest) <= BARE:
            continue
        largest = [each for each in art if each.page is not None][most]
        yield Strip(largest, stencil, rest, _short(rest, boxes[most].bounds))


def _bare(rest: Geometry, art: Sequence[PlacedArt]) -> Geometry:
    """What no shape covers either of what no drawing's box does."""
    if shapely.area(rest) <= BARE:
        return rest
    areas = np.array([shape.area for each in art for shape in each.shapes], dtype=object)
    over = areas[shapely.intersects(rest, areas)]
    return shapely.difference(rest, shapely.union_all(over))


def _short(rest: Geometry, box: tuple[float, float, float, float]) -> tuple[float, ...]:
    """How far `rest` reaches beyond each side of a box, mm."""
    x, y = shapely.get_coordinates(rest).T
    left, low, right, high = box
    reaches = (left - x, x - right, low - y, y - high)
    return tuple(max(0.0, float(each.max())) for each in reaches)


def _comes_of(finding: Finding, strip: Strip, subject: Subject) -> bool:
    """Whether a finding tells of a piece of base coat in the strip, or of hardware at its edge."""
    if finding.at is None:
        return False
    at = shapely.Point(finding.at)
    if finding.code.startswith(OF_HOLES):
        return bool(shapely.dwithin(strip.area, at, subject.board.least_width))
    if not shapely.dwithin(strip.area, at, ON):
        return False
    colours = {piece.id: piece.colour for piece in strip.stencil.pieces}
    of_base = finding.piece is not None and colours[finding.piece] == strip.stencil.base
    return finding.code == "face-uncovered" or (finding.code.startswith(OF_PIECES) and of_base)


def _cause(strip: Strip, found: Sequence[Finding], subject: Subject) -> Finding:
    tape, face = subject.tape, strip.stencil.face
    area = area_size(float(shapely.area(strip.area)), tape)
    edges = [
        f"{size(short, tape)} short of the {side} edge"
        for side, short in zip(SIDES, strip.short, strict=True)
        if short > ON
    ]
    level = next(level for level in LEVELS if any(each.level == level for each in found))
    return Finding(
        "face-uncovered",
        level,
        f"{strip.art.drawing} ends {listed(edges)} of {face.name}, so that the base coat, "
        f"{strip.stencil.base}, shows there in a strip of {area}. {_counted(found)} come of it"
        f"{_elsewhere(found, face.name)}.",
        _remedy(strip, subject),
        face=face.name,
        at=_middle(strip),
        consequences=tuple(found),
    )


def _elsewhere(found: Sequence[Finding], face: str) -> str:
    others = dict.fromkeys(each.face for each in found if each.face not in {None, face})
    return f", also on {listed([str(each) for each in others])}" if others else ""


def _counted(found: Sequence[Finding]) -> str:
    """`12 stops and 17 warnings`."""
    words = {"stop": "stop", "warn": "warning", "note": "note"}
    counts = [(sum(each.level == level for each in found), words[level]) for level in LEVELS]
    return listed([f"{count} {word}{'s' * (count != 1)}" for count, word in counts if count])


def _remedy(strip: Strip, subject: Subject) -> str:
    """One that mends all of it."""
    if strip.art.mirrored:
        return "Draw it larger where it is mirrored from, or put a background under it."
    if strip.art.landmarks or strip.art.wrapped or strip.art.warped:
        most = bound_said(max(strip.short), subject.tape.unit)
        return f"Draw it larger, by {most} at the least on that side, or put a background under it."
    left, low, right, high = strip.stencil.face.outline.bounds
    page = strip.art.page
    x0, y0, x1, y1 = (left, low, right, high) if page is None else page.bounds
    wide, tall = (right - left) / (x1 - x0), (high - low) / (y1 - y0)
    return (
        f'Write fit = "face" in art {strip.art.placement}, in place of anchor, to, offset, turn '
        f"and scale: it makes the drawing {wide:.3f} times as wide and {tall:.3f} times as high "
        "as it is, so that it reaches every edge. Or draw it larger."
    )


def _middle(strip: Strip) -> Point:
    parts = shapely.get_parts(strip.area)
    point = parts[int(np.argmax(shapely.area(parts)))].point_on_surface()
    return float(point.x), float(point.y)
