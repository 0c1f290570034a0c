"""Faces as photos are squared by them: their outlines, how sure they are, and what is seen there.

Stands after the definition and the cabinet, before captured. A face is squared by its flat part,
since a rounded edge has no line in a photo that a tape could have found.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.refit import refitted
from mateline.capture.squaring.outline import Outline, outline_of
from mateline.capture.squaring.sights import DistanceSight, PointSight, Sights
from mateline.curves import Chain
from mateline.pattern.pattern import pattern_of
from mateline.products import product, ring_area
from mateline.tape.accuracy import deviation

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.faces import Face
    from mateline.capture.asked import KnownPlace, Photo
    from mateline.errors import Faults
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline as Measured

    Floats = NDArray[np.float64]

SAME = 1e-3  # mm: corners of a face and of the carcase's outline that are one
BORED = 0.5  # mm: how far hardware may be from where it was measured
BOX = ("lower left", "lower right", "upper right", "upper left")


def photographed(face: Face, cabinet: Cabinet, tape: Tape) -> Outline:
    """The outline that a photo of `face` is squared by, with the tape's doubt of its corners.

    Corners come from the lower left one on, counter-clockwise as the face is seen.
    """
    rim = rim_of(face.flat)
    corners = np.array(rim.points[:-1])
    names = _named(face, corners)
    covariance = _measured(face, cabinet, corners)
    if covariance is None:
        covariance = _boxed(corners, tape)
    return outline_of(face.name, rim, covariance, names)


def rim_of(area: Polygon) -> Chain:
    """The rim of an area as lines and true arcs, counter-clockwise from its lower left corner."""
    chain = refitted(pattern_of([], area, base="rim")).chains[0]
    if ring_area(np.array(chain.points)) < 0:
        from mateline.curves import backwards  # noqa: PLC0415  rarely

        chain = backwards(chain)
    points = np.array(chain.points[:-1])
    first = int(np.lexsort((points[:, 0], points.sum(axis=1).round(3)))[0])
    segments = (*chain.segments[first:], *chain.segments[:first])
    return Chain(segments[-1].to, segments)


def sights_of(photo: Photo, face: Face, faults: Faults) -> Sights:
    """What the definition says is seen in a photo; places without `at` are those of hardware."""
    holes = {hole.name: hole.centre for hole in face.holes}
    points = []
    for each in photo.places:
        at = each.at if each.at is not None else holes.get(each.name)
        if at is None:
            where = f"{photo.place}, landmarks"
            faults.unknown(where, each.name, f"hardware on {face.name}", holes)
            continue
        points.append(PointSight(each.name, each.pixel, at, _doubt(each)))
    distances = tuple(
        DistanceSight(f"distance {number}", each.pixels, each.length, each.deviation)
        for number, each in enumerate(photo.distances, start=1)
    )
    return Sights(tuple(points), distances)


def _doubt(place: KnownPlace) -> float:
    return place.deviation or BORED


def _named(face: Face, corners: Floats) -> tuple[str, ...]:
    """The definition's letters for corners, where it has some."""
    known = {
        name: np.array(at)
        for name, at in zip(face.panel.corners, face.panel.outline, strict=True)
        if name is not None
    }
    found = []
    for number, corner in enumerate(corners, start=1):
        near = [n for n, at in known.items() if math.dist(at, corner) < SAME]
        box = BOX[number - 1] if len(corners) == len(BOX) else f"corner {number}"
        found.append(near[0] if near else box)
    return tuple(found)


def _measured(face: Face, cabinet: Cabinet, corners: Floats) -> Floats | None:
    """The covariance of a side's corners, carried from the outline that was measured; None for a
    face whose corners no outline has.
    """
    outline = _outline_of(face, cabinet)
    if outline is None:
        return None
    names = list(outline.corners)
    at = [names.index(name) if name in names else None for name in _named(face, corners)]
    if None in at or outline.covariance.size == 0:
        return None
    order = [each for each in at if each is not None]
    turn = _turn(outline.points[order], corners)
    if turn is None:
        return None
    picked = np.ravel([[2 * each, 2 * each + 1] for each in order])
    whole = np.kron(np.eye(len(order)), turn)
    covariance = outline.covariance[np.ix_(picked, picked)]
    carried: Floats = product(product(whole, covariance), whole.T)
    return carried


def _outline_of(face: Face, cabinet: Cabinet) -> Measured | None:
    name = face.panel.carcase
    return cabinet.outlines.get(f"{name} {face.panel.name}") or cabinet.outlines.get(name)


def _turn(points: Floats, corners: Floats) -> Floats | None:
    """The rotation, or mirror image, (2, 2) that takes points onto corners but for a shift."""
    a, b = points - points.mean(axis=0), corners - corners.mean(axis=0)
    for flip in (np.eye(2), np.diag([-1.0, 1.0])):
        turned = product(a, flip)
        cos = float((turned * b).sum())
        sin = float((turned[:, 0] * b[:, 1] - turned[:, 1] * b[:, 0]).sum())
        size = math.hypot(cos, sin)
        if size == 0:
            continue
        rotation = np.array([[cos, -sin], [sin, cos]]) / size
        if np.abs(product(turned, rotation.T) - b).max() < SAME:
            return product(rotation, flip)
    return None


def _boxed(corners: Floats, tape: Tape) -> Floats:
    """The covariance of corners that hang on a width and a height, each read once."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    pull = np.zeros((2 * len(corners), 2))
    for axis in (0, 1):
        pull[axis::2, axis] = (corners[:, axis] - low[axis]) / (high[axis] - low[axis])
    spread = np.array([deviation(float(each), tape) for each in high - low])
    scaled = pull * spread
    covariance: Floats = product(scaled, scaled.T)
    return covariance
