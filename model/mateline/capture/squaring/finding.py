"""Where a face is in a photo, if nobody has pointed at its corners.

Stands after lines and the adjustment. Four straight edges of the outline are laid on four lines of
a small picture, in all ways that a person with a camera could stand; of these the one whose whole
outline lies on changes of the picture, with wall beyond them, is taken, and fitted in the small
picture by its edges. Up is up: the photo is not turned.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.adjustment import FEW, Manner, Observed, adjusted, started
from mateline.capture.squaring.edge_places import Search, edge_places
from mateline.capture.squaring.first_view import view_from
from mateline.capture.squaring.lines import DIRECTIONS, changes_of
from mateline.capture.squaring.outline import lengths, places_on
from mateline.capture.squaring.sights import Sights
from mateline.capture.squaring.splines import Splined, splined
from mateline.capture.squaring.view import View, pixels_of
from mateline.products import ring_area

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.lines import Changes
    from mateline.capture.squaring.outline import Outline

    Floats = NDArray[np.float64]
    Light = NDArray[np.float32]

SMALL = 420  # px: the longer side of the small picture
SETS = 4  # of four edges that are tried
LINES = 11  # that each edge is laid on
LEAN = math.radians(24)  # that an edge may be turned by in the picture
SAMPLES = 160  # places around the outline
BEYOND = 3.0  # px outside the outline where there should be wall
WALL = 0.6  # share of a change that counts only with wall beyond it
LEAST_AREA, MOST_AREA = 0.04, 1.1  # of the picture
SLANTED = math.radians(25)  # from which on a face that is not square on has a far end, unless
LONGEST = 8.0  # times the longer side of the picture is its focal length: more no phone has
STRETCHED = 1.9  # times as large in one place or direction as in another
CHUNK = 2000  # of them that are scored at once
FITTED = 10  # of the best that are fitted by their edges
APART = 3.0  # px: corners of two of them are not all nearer to one another
PASSES = ((5.0, 2.0, 6.0), (3.0, 0.7, 3.0), (2.0, 0.4, 1.5))  # px, softness, stiffness of fits
BLUR = 0.65  # px, of a picture that was made smaller
RIM, CUT = 0.02, 0.6  # of the picture that a face may be beyond its rim, and if it is cut short
END = 0.12  # of the face, from one of its ends: what is gone first where a picture cuts it
HALF = 0.5  # share of an edge that must be in the picture, and of the outline
LEAST_SEEN = 0.3  # of the outline: less says nothing
FOUND = 0.40  # of what a perfect outline scores
LARGER = 0.93  # of the best score: the larger of two alike is the board, not a line painted in it


@dataclass(frozen=True, slots=True, eq=False)
class Finding:
    """A view of the face in the full picture, and how well its outline lies on changes, 0 to 1."""

    view: View
    score: float


def found(light: Light, outline: Outline) -> Finding | None:
    """The view of a face in a picture (rows, columns, 3), or None if it isn't clear."""
    factor = max(1, round(max(light.shape[:2]) / SMALL))
    small = smaller(light, factor)
    changes = changes_of(small)
    quads = _hypotheses(outline, changes, small.shape[:2])
    if not len(quads):
        return None
    samples = _samples(outline)
    scores = np.concatenate([
        _scores(_mapped(quads[at : at + CHUNK], samples)[0], outline, changes)
        for at in range(0, len(quads), CHUNK)
    ])  # fmt: skip
    fitted = []
    picture = splined("", small)
    for at in _best_apart(quads, scores, outline):
        one = _fitted(picture, outline, quads[at], changes)
        if one is not None:
            ring = pixels_of(one[1], samples)
            fitted.append((one[0], abs(ring_area(ring)), one[1]))
    if not fitted:
        return None
    best = max(score for score, _, _ in fitted)
    most = max(area for _, area, _ in fitted)
    score, _, view = max(
        (each for each in fitted if each[0] >= LARGER * best),
        key=lambda each: (round(each[1] / most, 2), round(each[0], 4)),
    )
    if score < FOUND:
        return None
    return Finding(larger(view, factor), score)


def _best_apart(maps: Floats, scores: Floats, outline: Outline) -> list[int]:
    """The maps with the best scores that are not all but the same."""
    corners, _ = _mapped(maps, outline.corners)
    order = np.argsort(-np.round(scores, 6), kind="stable")
    kept: list[int] = []
    while len(order) and len(kept) < FITTED:
        kept.append(int(order[0]))
        away = np.abs(corners[order] - corners[order[0]]).max(axis=(1, 2))
        order = order[np.round(away, 6) > APART]
    return kept


def found_partly(light: Light, outline: Outline) -> tuple[float, tuple[int, ...]] | None:
    """How well a part of the outline lies on a picture that cuts one end of it off, 0 to 1, and the
    edges that are then outside; None if no end is cut off.
    """
    small = smaller(light, max(1, round(max(light.shape[:2]) / SMALL)))
    changes = changes_of(small)
    samples = _samples(outline)
    edge_of = np.repeat(np.arange(len(outline)), [len(each) for each in _shares(outline)])
    rows, columns = small.shape[:2]
    best: tuple[float, tuple[int, ...]] | None = None
    for gone in _ends(outline):
        maps = _hypotheses(outline, changes, small.shape[:2], gone)
        for at in range(0, len(maps), CHUNK):
            rings = _mapped(maps[at : at + CHUNK], samples)[0]
            scores = _scores(rings, outline, changes, whole=False)
            top = int(np.argmax(np.round(scores, 4)))
            _, _, inside = _pixels_at(rings[top], rows, columns)
            share = np.bincount(edge_of, inside) / np.bincount(edge_of)
            outside = tuple(np.flatnonzero(share < HALF).tolist())
            enough = float(inside.mean()) > HALF
            if outside and enough and (best is None or scores[top] > best[0]):
                best = (round(float(scores[top]), 4), outside)
    return best


def _ends(outline: Outline) -> list[tuple[int, ...]]:
    """The edges at each of the four ends of a face: what a picture may have cut off."""
    low, high = outline.corners.min(axis=0), outline.corners.max(axis=0)
    middles = (outline.corners + np.roll(outline.corners, -1, axis=0)) / 2
    share = (middles - low) / (high - low)
    ends = [share[:, 0] < END, share[:, 0] > 1 - END, share[:, 1] < END, share[:, 1] > 1 - END]
    return [tuple(np.flatnonzero(each).tolist()) for each in ends if each.any()]


def smaller(light: Light, factor: int) -> Light:
    """The picture with each `factor` by `factor` pixels as one, their mean."""
    rows, columns = (size // factor for size in light.shape[:2])
    cut = light[: rows * factor, : columns * factor]
    high = cut.reshape(rows, factor, -1).sum(axis=1)  # whole rows first: memory lies so
    mean: Light = high.reshape(rows, columns, factor, 3).sum(axis=2) / np.float32(factor * factor)
    return mean


def larger(view: View, factor: int) -> View:
    """A view of the small picture as one of the full picture."""
    x, y = view.centre
    middle = (factor - 1) / 2
    return replace(
        view, focal=view.focal * factor, centre=(x * factor + middle, y * factor + middle)
    )


def _samples(outline: Outline) -> Floats:
    """Places (SAMPLES or so, 2), mm, around the outline."""
    parts = []
    for edge, share in enumerate(_shares(outline)):
        parts.append(places_on(outline, outline.corners, edge, share))
    return np.vstack(parts)


def _shares(outline: Outline) -> list[Floats]:
    long = lengths(outline)
    counts = np.maximum(6, np.round(SAMPLES * long / long.sum())).astype(int)
    return [0.06 + 0.88 * (np.arange(count) + 0.5) / count for count in counts.tolist()]


def _hypotheses(
    outline: Outline, changes: Changes, shape: tuple[int, ...], gone: tuple[int, ...] = ()
) -> Floats:
    """Homographies (n, 3, 3), face to small picture, that a person's camera could have, by edges
    that are not `gone`; if some are, the picture may cut the face.
    """
    found_ones = [np.zeros((0, 3, 3))]
    for edges in _edge_sets(outline, gone):
        lines = [_lines_for(outline, edge, changes) for edge in edges]
        if any(not len(each) for each in lines):
            continue
        chosen = np.array(list(itertools.product(*(range(len(each)) for each in lines))))
        image = np.stack([lines[at][chosen[:, at]] for at in range(4)], axis=1)  # (n, 4, 3)
        face = np.array([_line_of(outline, edge) for edge in edges])[None]
        maps = _homographies(_meetings(face), _meetings(image))
        beyond = CUT if gone else RIM
        found_ones.append(maps[_sound(maps, outline, shape, beyond)])
    return np.concatenate(found_ones)


def _edge_sets(outline: Outline, gone: tuple[int, ...] = ()) -> list[tuple[int, int, int, int]]:
    """Sets of four straight edges, round the outline, that hold a view best: long and spread."""
    long = lengths(outline)
    straight = [
        at for at, edge in enumerate(outline.edges) if edge.centre is None and at not in gone
    ]
    straight = sorted(straight, key=lambda at: -round(float(long[at]), 6))[:7]
    ranked = []
    for four in itertools.combinations(sorted(straight), 4):
        lines = np.array([_line_of(outline, edge) for edge in four])[None]
        with np.errstate(divide="ignore", invalid="ignore"):
            corners = _meetings(lines)[0]
        if not np.isfinite(corners).all() or np.abs(corners).max() > 4 * outline.size:
            continue
        area = ring_area(corners)
        if area <= 0:
            continue
        ranked.append((-round(min(long[list(four)]) * math.sqrt(area), 3), four))
    ranked.sort()
    return [four for _, four in ranked[:SETS]]


def _line_of(outline: Outline, edge: int) -> tuple[float, float, float]:
    (ax, ay), (bx, by) = (
        outline.corners[edge].tolist(), outline.corners[(edge + 1) % len(outline)].tolist()
    )  # fmt: skip
    long = math.hypot(bx - ax, by - ay)
    a, b = (by - ay) / long, -(bx - ax) / long
    return a, b, a * ax + b * ay


def _lines_for(outline: Outline, edge: int, changes: Changes) -> Floats:
    """Lines (n, 3) of the picture that lean about as the edge does; rows run down."""
    a, b, _ = _line_of(outline, edge)
    away = np.abs(changes.lines[:, 0] * a - changes.lines[:, 1] * b)
    return changes.lines[away > math.cos(LEAN)][:LINES]


def _meetings(lines: Floats) -> Floats:
    """Where each of four lines (n, 4, 3) meets the next one: (n, 4, 2)."""
    other = np.roll(lines, -1, axis=1)
    a, b, c = (lines[..., at] for at in range(3))
    d, e, f = (other[..., at] for at in range(3))
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = a * e - b * d
        return np.stack([(c * e - b * f) / apart, (a * f - c * d) / apart], axis=-1)


def _homographies(face: Floats, image: Floats) -> Floats:
    """Maps (n, 3, 3) that take four places to four places, (1, 4, 2) to (n, 4, 2).

    Each by way of the unit square. Source: P. S. Heckbert, Fundamentals of Texture Mapping and
    Image Warping (1989), 2.2.3.
    """
    square = _from_square(face)[0]
    inverse = np.linalg.inv(square)
    with np.errstate(invalid="ignore"):  # lines that run beside each other do not meet
        maps: Floats = (_from_square(image)[..., None] * inverse[None, None]).sum(axis=2)
    return maps


def _from_square(places: Floats) -> Floats:
    p, q, r, s = (places[:, at] for at in range(4))
    with np.errstate(divide="ignore", invalid="ignore"):
        sides = p - q + r - s
        one, other = q - r, s - r
        size = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
        g = (sides[:, 0] * other[:, 1] - sides[:, 1] * other[:, 0]) / size
        h = (one[:, 0] * sides[:, 1] - one[:, 1] * sides[:, 0]) / size
        found_map = np.empty((len(places), 3, 3))
        found_map[:, :2, 0] = q - p + g[:, None] * q
        found_map[:, :2, 1] = s - p + h[:, None] * s
        found_map[:, :2, 2] = p
        found_map[:, 2, 0], found_map[:, 2, 1], found_map[:, 2, 2] = g, h, 1
    return found_map


def _mapped(maps: Floats, places: Floats) -> tuple[Floats, Floats]:
    """Where maps (n, 3, 3) take places (m, 2): (n, m, 2), and their third coordinates (n, m)."""
    x, y = places[:, 0], places[:, 1]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        third = maps[:, 2, :1] * x + maps[:, 2, 1:2] * y + maps[:, 2, 2:]
        first = (maps[:, 0, :1] * x + maps[:, 0, 1:2] * y + maps[:, 0, 2:]) / third
        second = (maps[:, 1, :1] * x + maps[:, 1, 1:2] * y + maps[:, 1, 2:]) / third
    return np.stack([first, second], axis=-1), third


def _sound(
    maps: Floats, outline: Outline, shape: tuple[int, ...], beyond: float
) -> NDArray[np.bool_]:
    """Which maps a person's camera could have: the face upright, not stretched, and at most a share
    `beyond` of the picture beyond its rim.
    """
    rows, columns = shape[:2]
    low, high = outline.corners.min(axis=0), outline.corners.max(axis=0)
    middle = (low + high) / 2
    step = outline.size / 100
    spots = np.vstack([low, [high[0], low[1]], high, [low[0], high[1]], middle])
    at, third = _mapped(maps, spots)
    beside, _ = _mapped(maps, spots + np.array([step, 0.0]))
    above, _ = _mapped(maps, spots + np.array([0.0, step]))
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        right, up = (beside - at) / step, (above - at) / step
        turn = -(right[..., 0] * up[..., 1] - right[..., 1] * up[..., 0])
        wide, tall = np.hypot(right[..., 0], right[..., 1]), np.hypot(up[..., 0], up[..., 1])
        size = np.sqrt(np.abs(turn))
        corners, _ = _mapped(maps, outline.corners)
        focal = _focal_lengths(maps, right[:, 4], up[:, 4], third[:, 4])
        area = turn[:, 4] * ring_area(outline.corners)
        kept: NDArray[np.bool_] = (
            np.isfinite(at).all(axis=(1, 2))
            & (third * np.sign(third[:, :1]) > 0).all(axis=1)
            & (turn > 0).all(axis=1)
            & (size.max(axis=1) < STRETCHED * size.min(axis=1))
            & (wide < STRETCHED * tall).all(axis=1)
            & (tall < STRETCHED * wide).all(axis=1)
            & (right[:, 4, 0] > 0)  # or it is upside down: a rectangle's outline does not show it
            & (np.abs(right[:, 4, 1]) < math.sin(LEAN) * wide[:, 4])
            & (focal < LONGEST * max(rows, columns))
            & (area > LEAST_AREA * rows * columns)
            & (area < (MOST_AREA + 2 * (beyond - RIM)) * rows * columns)
            & (corners[..., 0] > -beyond * columns).all(axis=1)
            & (corners[..., 0] < (1 + beyond) * columns).all(axis=1)
            & (corners[..., 1] > -beyond * rows).all(axis=1)
            & (corners[..., 1] < (1 + beyond) * rows).all(axis=1)
        )
    return kept


def _focal_lengths(maps: Floats, right: Floats, up: Floats, third: Floats) -> Floats:
    """The focal length, px, that maps (n, 3, 3) tell of a face that is seen slanted, 0 for others.

    `right`, `up` (n, 2): how the middle moves in the picture with the face's x and y; `third` (n,)
    its third coordinate. A face that leans by t is narrower by cos t one way, and its depth grows
    by sin t / depth a mm: what is narrow and has no far end was seen from very far away, or the
    lines belong to something else.
    """
    squares = (right**2).sum(axis=1) + (up**2).sum(axis=1)
    twist = right[:, 0] * up[:, 1] - right[:, 1] * up[:, 0]
    apart = np.sqrt(np.maximum(squares**2 - 4 * twist**2, 0.0))
    large, small = (squares + apart) / 2, np.maximum((squares - apart) / 2, 1e-12)
    sine = np.sqrt(np.maximum(1 - small / large, 0.0))
    deeper = np.hypot(maps[:, 2, 0], maps[:, 2, 1]) / np.abs(third)
    focal: Floats = np.sqrt(large) * sine / np.maximum(deeper, 1e-12)
    return np.where(sine > math.sin(SLANTED), focal, 0.0)


def _scores(rings: Floats, outline: Outline, changes: Changes, *, whole: bool = True) -> Floats:
    """How well places round the outline (n, m, 2) lie on changes, wall beyond: (n,), 0 to 1; unless
    the `whole` outline is meant, of what the picture has of it.
    """
    rows, columns = changes.wall.shape
    weights = np.sqrt(lengths(outline))
    total = np.zeros(len(rings))
    weight = np.zeros(len(rings))
    start = 0
    for edge, share in enumerate(_shares(outline)):
        at = rings[:, start : start + len(share)]
        start += len(share)
        way = at[:, -1] - at[:, 0]
        way = way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
        out = np.column_stack([-way[:, 1], way[:, 0]])
        angle = np.arctan2(out[:, 1], out[:, 0]) % math.pi
        direction = np.round(angle * DIRECTIONS / math.pi).astype(int) % DIRECTIONS
        column, row, inside = _pixels_at(at, rows, columns)
        strong = changes.strength[direction[:, None], row, column] * inside
        column, row, _ = _pixels_at(at + BEYOND * out[:, None, :], rows, columns)
        beyond = 1 - WALL + WALL * changes.wall[row, column]
        total += weights[edge] * (strong * beyond).mean(axis=1, dtype=np.float64)
        weight += weights[edge] * (1.0 if whole else inside.mean(axis=1))
    found_scores: Floats = total / np.maximum(weight, LEAST_SEEN * weights.sum())
    return found_scores


def _pixels_at(
    places: Floats, rows: int, columns: int
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Columns and rows of the pixels at places, and whether these are in the picture."""
    # a view gone astray has places nowhere, or very far away
    far = 10.0 * (rows + columns)
    near = np.round(np.clip(np.nan_to_num(places, nan=-far), -far, far)).astype(np.int64)
    column, row = near[..., 0], near[..., 1]
    inside = (column >= 0) & (row >= 0) & (column < columns) & (row < rows)
    return np.clip(column, 0, columns - 1), np.clip(row, 0, rows - 1), inside


def _fitted(
    picture: Splined, outline: Outline, homography: Floats, changes: Changes
) -> tuple[float, View] | None:
    """The view of a map, fitted to edges of the small picture, and its score.

    None if it falls apart. A fit may go astray among lines of the art: the best on its way counts.
    """
    size = picture.size
    pixels, _ = _mapped(homography[None], outline.corners)
    view, left = view_from(outline.corners, pixels[0], size, 2.0)
    if left > 0.05 * max(size):
        return None
    now = started(view, outline)
    best = (_score_of(now.view, outline, changes), now.view)
    for reach, softness, stiffness in PASSES:
        places = edge_places(picture, outline, now.corners(outline), now.view, Search(reach, BLUR))
        seen = Observed(places, Sights(), size)
        try:
            now = adjusted(now, outline, seen, Manner(softness, stiffness, rounds=FEW))
        except np.linalg.LinAlgError:
            break
        score = _score_of(now.view, outline, changes)
        if score >= best[0]:
            best = (score, now.view)
    return best


def _score_of(view: View, outline: Outline, changes: Changes) -> float:
    rings = pixels_of(view, _samples(outline))[None]
    return round(float(_scores(rings, outline, changes)[0]), 4)
