"""The view that fits the edges: projection, lens and what the tape leaves open, solved at once.

Stands after edge places, before the error map. Least squares over the view's eleven unknowns, the
corners' modes (a movement of variance one each, so that the tape's covariance is their prior) and
the bows of edges that are not straight. Places far off count less and then nothing (Tukey's
biweight); an edge whose places lie off together, in stretches, counts as if it had fewer.
Sources: Mikhail and Ackermann, Observations and Least Squares (1976), on prior weights; Beaton
and Tukey (1974) on the biweight.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.outline import modes, places_on
from mateline.capture.squaring.sights import CLICK, Sights, beforehand
from mateline.capture.squaring.view import (
    UNKNOWNS,
    moved_by,
    pixels_of,
    places_of,
    rounded,
    slopes,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.edge_places import EdgePlaces
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

BIWEIGHT = 4.685  # times the deviation at which a place counts nothing: 95 % as good on normal ones
ROUNDS = 12  # of least squares with weights of the round before
FEW = 4  # where places are to be looked for again anyway
STRETCHES = (8, 24, 72)  # places of an edge that are looked at together for faults they share
MOST_SHARED = 12.0
LEAST_PLACES = 12  # of an edge that a bow is told from
LEAST_SCALE = 1.0  # of a place's own deviation
ROUGHER = 2.5  # times the scale of all edges that one edge's may be
# px: what all places of an edge may be off together, by light and lens; and before it is told by
# their look which of them are rough
TOGETHER, AT_FIRST = 0.006, 0.015
ROUGH_TOGETHER = 0.3  # of how far rough places are off from one another: what they are off together


@dataclass(frozen=True, slots=True, eq=False)
class Observed:
    """What one photo gives: places on every edge, what was pointed at, columns and rows."""

    edges: tuple[EdgePlaces, ...]
    sights: Sights
    size: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Manner:
    """How a view is solved: places farther off than about five times `softness` px and their
    deviation count nothing; camera and lens are taken as known `stiffness` times better than they
    are, while places are not to be trusted yet. `by_look`: it is near the solution, and each place
    counts by how rough those are whose board looks like its own, not by how rough its edge is.
    """

    softness: float = 0.0
    stiffness: float = 1.0
    by_look: bool = False
    rounds: int = ROUNDS


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A view with the outline it was solved with: `modes` (m,) of the corners, `bows` mm at the
    middle of edges, outwards. `covariance` of view, modes and bows together. `scales` and
    `sharing` of each edge: how many times a place's own deviation it is off, and how many places
    count as one; `manner` is how it was solved. `left` (edge by edge) are px between place and
    model, `counted` their weights.
    """

    view: View
    modes: Floats
    bows: tuple[tuple[int, float], ...]
    covariance: Floats
    scales: Floats
    sharing: Floats
    manner: Manner = Manner()
    left: tuple[Floats, ...] = ()
    counted: tuple[Floats, ...] = ()

    def corners(self, outline: Outline) -> Floats:
        """Corners (n, 2), mm, as they are now thought to be."""
        moved: Floats = outline.corners + (modes(outline) * self.modes).sum(axis=1).reshape(-1, 2)
        return moved


def started(view: View, outline: Outline) -> Solved:
    """Before anything was adjusted."""
    count = modes(outline).shape[1]
    return Solved(
        view, np.zeros(count), (), np.zeros((UNKNOWNS + count,) * 2),
        np.full(len(outline), 3.0), np.ones(len(outline)),
    )  # fmt: skip


def adjusted(
    solved: Solved,
    outline: Outline,
    observed: Observed,
    manner: Manner = Manner(),
    *,
    bowed: tuple[int, ...] = (),
) -> Solved:
    """`solved` fitted to what was `observed`, with a bow for each edge of `bowed`.

    Raises numpy.linalg.LinAlgError where nothing holds the view.
    """
    known = dict(solved.bows)
    bows = tuple((edge, known.get(edge, 0.0)) for edge in bowed)
    now = replace(solved, bows=bows, manner=manner)
    ways = modes(outline)
    for _ in range(manner.rounds):
        now = _round(now, outline, ways, observed)
    now = replace(now, view=rounded(now.view), modes=np.round(now.modes, 9),
                  bows=tuple((edge, round(bow, 6)) for edge, bow in now.bows))  # fmt: skip
    return _weighed(now, outline, observed.edges)


def _round(now: Solved, outline: Outline, ways: Floats, observed: Observed) -> Solved:
    """One step of least squares, with weights of where the places are now."""
    now = _weighed(now, outline, observed.edges)
    normal, pull = equations(now, outline, ways, observed)
    covariance = inverse(normal)
    step = covariance @ pull
    modes_end = UNKNOWNS + len(now.modes)
    return replace(
        now,
        view=moved_by(now.view, step[:UNKNOWNS]),
        modes=now.modes + step[UNKNOWNS:modes_end],
        bows=tuple(
            (edge, bow + float(more))
            for (edge, bow), more in zip(now.bows, step[modes_end:], strict=True)
        ),
        covariance=covariance,
    )


def inverse(normal: Floats) -> Floats:
    """Of a symmetric matrix whose unknowns have units of their own."""
    scale = 1 / np.sqrt(np.maximum(np.diag(normal), 1e-300))
    found: Floats = np.linalg.inv(normal * scale[:, None] * scale) * scale[:, None] * scale
    return found


def equations(
    now: Solved, outline: Outline, ways: Floats, observed: Observed
) -> tuple[Floats, Floats]:
    """Normal equations of view, modes and bows about where they are now."""
    prior, off = beforehand(now.view, observed.size, now.manner.stiffness, now.manner.stiffness)
    count = UNKNOWNS + len(now.modes) + len(now.bows)
    normal = np.zeros((count, count))
    pull = np.zeros(count)
    normal[:UNKNOWNS, :UNKNOWNS] = prior.T @ prior
    pull[:UNKNOWNS] = -(prior.T @ off)
    held = np.arange(UNKNOWNS, UNKNOWNS + len(now.modes))
    normal[held, held] = 1.0
    pull[held] = -now.modes
    edges = tuple(each for each in observed.edges if len(each))
    if edges:
        slope = _edge_slopes(now, outline, ways, edges)
        counted = np.concatenate(now.counted)
        normal += slope.T @ (counted[:, None] * slope)
        pull += slope.T @ (counted * np.concatenate(now.left))
    for slope, left, weight in _pointed_at(now, observed.sights):
        wide = np.zeros((len(slope), count))
        wide[:, :UNKNOWNS] = slope
        normal += wide.T @ (weight[:, None] * wide)
        pull += wide.T @ (weight * left)
    return normal, pull


def bow_tests(now: Solved, outline: Outline, observed: Observed) -> tuple[tuple[float, float], ...]:
    """Of each edge the bow, mm, that its places ask for if all others are straight, and its
    deviation; nothing asked for is (0, inf).

    The new unknown is reckoned from normal equations of the old ones: a step of block elimination.
    """
    ways = modes(outline)
    normal, _ = equations(now, outline, ways, observed)
    spread = inverse(normal)
    found = []
    for places, left, counted in zip(observed.edges, now.left, now.counted, strict=True):
        if len(places) < LEAST_PLACES or any(edge == places.edge for edge, _ in now.bows):
            found.append((0.0, np.inf))
            continue
        slope = _edge_slopes(now, outline, ways, (places,))
        _, by_place = slopes(now.view, model_places(now, outline, places))
        along = (by_place * places.normals[:, :, None]).sum(axis=1)
        bent = (along * bulge(outline, places.edge, places.shares)).sum(axis=1)
        shared = slope.T @ (counted * bent)
        stiff = float((counted * bent * bent).sum()) - float(shared @ spread @ shared)
        if stiff <= 0:
            found.append((0.0, np.inf))
            continue
        found.append((float((counted * bent * left).sum()) / stiff, stiff**-0.5))
    return tuple(found)


def model_places(now: Solved, outline: Outline, places: EdgePlaces) -> Floats:
    """Where on the face, mm, the model has the places of an edge."""
    corners = now.corners(outline)
    at = places_on(outline, corners, places.edge, places.shares)
    bow = dict(now.bows).get(places.edge)
    if bow is None:
        return at
    return at + bow * bulge(outline, places.edge, places.shares)


def bulge(outline: Outline, edge: int, shares: Floats) -> Floats:
    """How places of an edge (m, 2) move if it bows outwards by one mm at its middle."""
    here, there = outline.corners[edge], outline.corners[(edge + 1) % len(outline)]
    way = (there - here) / np.hypot(*(there - here))
    out = np.array([way[1], -way[0]])
    moved: Floats = (4 * shares * (1 - shares))[:, None] * out
    return moved


def _edge_slopes(
    now: Solved, outline: Outline, ways: Floats, edges: tuple[EdgePlaces, ...]
) -> Floats:
    """How the model of places moves along their normals, px, by each unknown: (m, unknowns)."""
    by_view, by_place = slopes(
        now.view, np.vstack([model_places(now, outline, each) for each in edges])
    )
    normal = np.vstack([each.normals for each in edges])[:, :, None]
    parts = [(by_view * normal).sum(axis=1)]
    along = (by_place * normal).sum(axis=1)  # (m, 2)
    if ways.shape[1]:
        here = np.repeat([each.edge for each in edges], [len(each) for each in edges])
        there = (here + 1) % len(outline)
        share = np.concatenate([each.shares for each in edges])[:, None]
        ends = ways.reshape(len(outline), 2, -1)
        first, second = ends[here], ends[there]  # (m, 2, modes)
        parts.append(
            along[:, :1] * ((1 - share) * first[:, 0] + share * second[:, 0])
            + along[:, 1:] * ((1 - share) * first[:, 1] + share * second[:, 1])
        )
    if now.bows:
        moved = np.vstack([bulge(outline, each.edge, each.shares) for each in edges])
        bent = (along * moved).sum(axis=1)
        mine = [
            np.full(len(each), float(each.edge == edge)) for edge, _ in now.bows for each in edges
        ]
        parts.append(bent[:, None] * np.concatenate(mine).reshape(len(now.bows), -1).T)
    return np.hstack(parts)


def _weighed(now: Solved, outline: Outline, edges: tuple[EdgePlaces, ...]) -> Solved:
    """What is left of every place, and what each counts."""
    left = [np.zeros(0)] * len(edges)
    for at, places in enumerate(edges):
        if len(places):
            model = pixels_of(now.view, model_places(now, outline, places))
            left[at] = ((places.pixels - model) * places.normals).sum(axis=1)
    scales = _scales_by_look(left, edges) if now.manner.by_look else _scales_by_edge(left, edges)
    told, sharing = now.scales.copy(), now.sharing.copy()
    counted = []
    for at, places in enumerate(edges):
        if not len(places):
            counted.append(np.zeros(0))
            continue
        deviation = np.maximum(scales[at] * places.deviations, now.manner.softness)
        share = np.clip(1 - (left[at] / (BIWEIGHT * deviation)) ** 2, 0, None) ** 2
        weight = share / deviation**2
        if now.manner.by_look:
            weight = _without_rough(weight, scales[at], places.deviations)
        together = TOGETHER if now.manner.by_look else AT_FIRST
        sharing[at] = _shared(left[at], weight) + float(weight.sum()) * together**2
        told[at] = float(np.median(scales[at]))
        counted.append(weight / sharing[at])
    return replace(now, left=tuple(left), counted=tuple(counted), scales=told, sharing=sharing)


def _scales_by_edge(left: list[Floats], edges: tuple[EdgePlaces, ...]) -> list[Floats]:
    """How many times its own deviation a place is off: the same all along an edge.

    All edges share a scale, for one that lies off as a whole (a scratch along it, say) looks
    sound by itself; each may still be rougher than the others by a few times.
    """
    times = [np.abs(off) / places.deviations for off, places in zip(left, edges, strict=True)]
    common = _scale(np.concatenate(times))
    lowest, highest = max(LEAST_SCALE, common / ROUGHER), common * ROUGHER
    return [
        np.full(len(each), min(max(_scale(each), lowest), max(highest, lowest))) for each in times
    ]


def _scales_by_look(left: list[Floats], edges: tuple[EdgePlaces, ...]) -> list[Floats]:
    """How many times its own deviation a place is off: as those that look like it scatter.

    Where paint is gone from the rim, wood shows, and the rim is gone in parts or splintered; where
    paint is whole, so is the rim, and an edge with a few such places is known by these.
    """
    scales = []
    for off, places in zip(left, edges, strict=True):
        if not len(places):
            scales.append(np.zeros(0))
            continue
        times = (off / places.deviations)[places.alike]
        scatter = np.abs(times - np.median(times, axis=1, keepdims=True))
        scales.append(np.maximum(LEAST_SCALE, 1.4826 * np.median(scatter, axis=1)))
    return scales


def _without_rough(weight: Floats, scale: Floats, deviations: Floats) -> Floats:
    """Weights less what rough places of an edge are off together: many do not make up for it."""
    rough = 1 - 1 / scale**2
    together = (ROUGH_TOGETHER * deviations) ** 2 * (scale**2 - 1)
    lowered: Floats = weight / (1 + rough * together * float((weight * rough).sum()))
    return lowered


def _scale(times: Floats) -> float:
    """How many times its own deviation a place is off, by the median: half may be wrong."""
    return max(LEAST_SCALE, 1.4826 * float(np.median(times))) if len(times) else LEAST_SCALE


def _shared(off: Floats, weight: Floats) -> float:
    """How many places of an edge count as one, because faults are shared by those beside them.

    Means of stretches scatter by 1/sum(weight) if places are independent; the sum of squares of
    stretches over that tells how much more they do. Stretches of some lengths are tried: the
    residuals of some edges wander slowly.
    """
    most = 1.0
    for stretch in STRETCHES:
        stretches = max(1, len(off) // stretch)
        starts = np.arange(stretches) * len(off) // stretches
        total = np.add.reduceat(weight, starts)
        mean = np.add.reduceat(weight * off, starts) / np.maximum(total, 1e-30)
        ratio = float((mean * mean * total).sum()) / max(1, int((total > 0).sum()))
        most = max(most, ratio)
    return min(most, MOST_SHARED)


def _pointed_at(now: Solved, sights: Sights) -> list[tuple[Floats, Floats, Floats]]:
    """Slopes by the view, what is left, and weights of points and distances."""
    rows = []
    for point in sights.points:
        at = np.array([point.place])
        by_view, by_place = slopes(now.view, at)
        density = float(np.sqrt((by_place[0] ** 2).sum() / 2))
        left = np.array(point.pixel) - pixels_of(now.view, at)[0]
        weight = 1 / (CLICK**2 + (density * point.deviation) ** 2)
        rows.append((by_view[0], left, np.full(2, weight)))
    for distance in sights.distances:
        pixels = np.array(distance.pixels)
        ends = places_of(now.view, pixels)
        by_view, by_place = slopes(now.view, ends)
        apart = ends[1] - ends[0]
        long = float(np.hypot(*apart))
        moved = [-np.linalg.solve(by_place[at], by_view[at]) for at in (0, 1)]
        slope = (apart / long) @ (moved[1] - moved[0])
        density = float(np.sqrt((by_place**2).sum() / 4))
        weight = 1 / (distance.deviation**2 + 2 * (CLICK / density) ** 2)
        rows.append((slope[None, :], np.array([distance.length - long]), np.array([weight])))
    return rows
