"""Art and faces that do not meet: shapes that fall off a face, and base coat that shows.

Stands beside the other checks. A shape is lost where it lies off every face that its entry puts
it on, and cut where it lies partly off the only one. A background that is larger than its face
is meant to be: a shape that covers half of a face may be cut without a word, and any shape of an
entry that says how far it bleeds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.checks.findings import Finding, IdleWord
from mateline.checks.hardware import kept_areas
from mateline.checks.left_out import without_effect
from mateline.checks.places import area_size, listed, size, spot
from mateline.planar.farthest import farthest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.checks.findings import PlacedArt, Subject
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil

TOUCH = 1e-3  # mm²: a shape with no more than this on a face does not show
BARE = 1.0  # mm²: less base coat than this is a line between two shapes that nearly meet
BACKGROUND = 0.5  # share of a face: a shape that covers as much is its background
OVERHANG = 1.0  # mm: what is cut by less is trimmed by the face's edge as any drawing is
REACH_STEP = 1e-3  # mm: how nearly it is known how far a shape goes beyond the edge
NAMED = 4  # shapes named in one message


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every placement of art: shapes that fall off, and that are cut by the rim."""
    stencils = {stencil.face.name: stencil for stencil in subject.stencils}
    found: list[Finding] = []
    for placement in sorted({art.placement for art in subject.art}):
        together = [art for art in subject.art if art.placement == placement]
        found += _lost(together, stencils, subject)
        found += _behind(together, stencils, subject)
        first = together[0]
        if first.mirrored:  # its source has been asked
            continue
        if len(together) == 1:
            found += _trimmed(first, stencils[first.face], subject)
        elif first.bleed:
            found.append(_idle_bleed(first, "only art on one face is asked what its edge cuts"))
    return tuple(found)


def bare(subject: Subject) -> tuple[Finding, ...]:
    """Every face with art on it: base coat that shows where art was meant."""
    found: list[Finding] = []
    for stencil in subject.stencils:
        arts = [art for art in subject.art if art.face == stencil.face.name]
        if arts:
            found += _bare(stencil, arts, subject)
    return tuple(found)


def _lost(
    arts: Sequence[PlacedArt], stencils: dict[str, Stencil], subject: Subject
) -> Iterator[Finding]:
    """Shapes that fall on none of the faces of one placement, and faces that get none."""
    shown = np.zeros(len(arts[0].shapes), dtype=bool)
    idle: list[PlacedArt] = []
    for art in arts:
        outline = stencils[art.face].face.outline
        areas = _areas(art)
        near = np.flatnonzero(shapely.intersects(outline, areas))
        here = near[shapely.area(shapely.intersection(areas[near], outline)) > TOUCH]
        shown[here] = True
        if art.named and len(here) == 0:
            idle.append(art)
    if shown.any():
        yield from (_nothing_on(art, stencils[art.face], subject) for art in idle)
    if shown.all():
        return
    first, faces = arts[0], listed([art.face for art in arts])
    lost = [shape.element for shape, seen in zip(first.shapes, shown, strict=True) if not seen]
    if not shown.any():
        what = f"Nothing of {first.drawing} falls on {faces}"
    else:
        names = lost[:NAMED] + ([f"{len(lost) - NAMED} more"] if len(lost) > NAMED else [])
        what = (
            f"{listed(names)} of {first.drawing} {_fall(lost)} off {faces} and will not be painted"
        )
    outline = stencils[first.face].face.outline
    left, low, right, high = outline.bounds
    yield Finding(
        "art-off-face",
        "warn",
        f"{what}; the face {first.face} is {size(right - left, subject.tape)} wide and "
        f"{size(high - low, subject.tape)} high.",
        "Change the art's anchor, offset, turn or scale, or take the shapes out of the drawing.",
        face=first.face,
        at=_missed(outline, _areas(first)[~shown]),
    )


def _behind(
    arts: Sequence[PlacedArt], stencils: dict[str, Stencil], subject: Subject
) -> Iterator[Finding]:
    """What is cast on places that other faces hide from where it comes."""
    for art in arts:
        if art.mirrored or art.hidden.is_empty:
            continue
        outline = stencils[art.face].face.outline
        areas = shapely.intersection(_areas(art), art.hidden.intersection(outline))
        parts = shapely.get_parts(shapely.union_all(areas))
        total = float(shapely.area(parts).sum())
        if total <= BARE:
            continue
        at = parts[int(np.argmax(shapely.area(parts)))].point_on_surface()
        yield Finding(
            "cast-hidden",
            "note",
            f"{art.drawing} is cast on {area_size(total, subject.tape)} of {art.face} too that "
            f"stand behind {listed(list(art.before))} from where it comes.",
            f"Leave it if that is to be painted too; otherwise name the faces in onto, without "
            f"{art.face}.",
            face=art.face,
            at=(float(at.x), float(at.y)),
        )


def _nothing_on(art: PlacedArt, stencil: Stencil, subject: Subject) -> Finding:
    """A face that the entry names and its drawing misses, while it falls on others."""
    outline = stencil.face.outline
    left, low, right, high = outline.bounds
    return Finding(
        "art-off-face",
        "warn",
        f"Nothing of {art.drawing} falls on {art.face}, which its entry names; the face is "
        f"{size(right - left, subject.tape)} wide and {size(high - low, subject.tape)} high.",
        "Change the art's anchor, offset, turn or scale, or take the face out of the entry.",
        face=art.face,
        at=_missed(outline, _areas(art)),
    )


def _fall(names: list[str]) -> str:
    return "falls" if len(names) == 1 else "fall"


@dataclass(frozen=True, slots=True)
class _Overhang:
    """Shapes that the edge of their face cuts: their positions, what is over, how far, mm, and
    which share of each is lost.
    """

    positions: NDArray[np.intp]
    over: NDArray[np.object_]
    reach: NDArray[np.float64]
    share: NDArray[np.float64]


def _trimmed(art: PlacedArt, stencil: Stencil, subject: Subject) -> Iterator[Finding]:
    """Shapes that the edge of the only face cuts farther out than they may be."""
    found = _overhang(art, stencil)
    runs_off = found.reach > OVERHANG
    if art.bleed and not runs_off.any():
        yield _idle_bleed(art, f"the edge of {art.face} cuts none of its shapes")
    worse = found.reach > max(OVERHANG, art.bleed)
    if not worse.any():
        return
    worst = int(np.argmax(np.where(worse, found.share, -1.0)))
    count = int(worse.sum())
    at = _nearest(stencil.face.outline, found.over[worst : worst + 1])
    more = f" {count} shapes are cut in all." if count > 1 else ""
    may = f"; its bleed is {size(art.bleed, subject.tape)}" if art.bleed else ""
    yield Finding(
        "art-off-face",
        "note",
        f"The edge of {art.face} cuts {art.shapes[found.positions[worst]].element} of "
        f"{art.drawing} at {spot(at, subject.tape, stencil.face)}: {found.share[worst]:.0%} of it, "
        f"up to {size(found.reach[worst], subject.tape)} beyond the edge, is lost{may}.{more}",
        "If the art is meant to run off the edge, add bleed = true to its entry, or how far it may "
        "run off; otherwise move or scale the drawing.",
        face=art.face,
        at=at,
    )


def _overhang(art: PlacedArt, stencil: Stencil) -> _Overhang:
    """Shapes that lie partly off the face, without backgrounds."""
    outline = stencil.face.outline
    areas = _areas(art)
    shapely.prepare(outline)
    out = np.flatnonzero(~shapely.covers(outline, areas) & shapely.intersects(outline, areas))
    inside = shapely.area(shapely.intersection(areas[out], outline))
    small = (inside > TOUCH) & (inside < BACKGROUND * outline.area)
    out, inside = out[small], inside[small]
    over = shapely.difference(areas[out], outline)
    beyond = ~shapely.is_empty(over)  # what is over by less than GEOS resolves leaves nothing
    out, inside, over = out[beyond], inside[beyond], over[beyond]
    # Along its rim, not at corners: those of a shape across a notch are on the outline.
    reach = np.array(
        [farthest(shapely.boundary(part), outline.boundary, REACH_STEP)[1] for part in over]
    )
    return _Overhang(out, over, reach, 1 - inside / shapely.area(areas[out]))


def _idle_bleed(art: PlacedArt, why: str) -> Finding:
    return without_effect(IdleWord(f"art {art.placement}, bleed", why))


def _bare(stencil: Stencil, arts: Sequence[PlacedArt], subject: Subject) -> Iterator[Finding]:
    """Where no shape covers the face, so that the base coat shows."""
    outline = stencil.face.outline
    areas = np.concatenate([_areas(art) for art in arts])
    areas = areas[shapely.intersects(outline, areas)]
    if shapely.covers(areas, outline).any():
        return
    kept = kept_areas([hole for hole in stencil.face.holes if hole.stays])
    covered = shapely.union_all([*areas, *kept])
    parts = shapely.get_parts(shapely.difference(outline, covered))
    parts = parts[shapely.area(parts) > BARE]
    if len(parts) == 0:
        return
    total = float(shapely.area(parts).sum())
    largest = parts[int(np.argmax(shapely.area(parts)))].point_on_surface()
    at = (float(largest.x), float(largest.y))
    places = f"{len(parts)} places" if len(parts) > 1 else "one place"
    yield Finding(
        "face-uncovered",
        "note",
        f"The art on {stencil.face.name} leaves {area_size(total, subject.tape)} of it "
        f"({total / outline.area:.1%}) in {places} uncovered, the largest round "
        f"{spot(at, subject.tape, stencil.face)}; the base coat, {stencil.base}, shows there.",
        f"Leave it if {stencil.base} is meant to show; otherwise enlarge the art or put a "
        "background under it.",
        face=stencil.face.name,
        at=at,
    )


def _areas(art: PlacedArt) -> NDArray[np.object_]:
    areas = np.empty(len(art.shapes), dtype=object)
    areas[:] = [shape.area for shape in art.shapes]
    return areas


def _missed(outline: Polygon, areas: NDArray[np.object_]) -> Point | None:
    """The point of the face's edge nearest to what misses it; None where a cast has cut it off."""
    left = areas[~shapely.is_empty(areas)]
    return _nearest(outline, left) if len(left) else None


def _nearest(outline: Polygon, areas: NDArray[np.object_]) -> Point:
    """The point of the face's edge nearest to what lies off it."""
    lines = shapely.shortest_line(outline.exterior, areas)
    line = lines[int(np.argmin(shapely.length(lines)))]
    x, y = line.coords[0]
    return float(x), float(y)
