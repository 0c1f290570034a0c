"""How large a tracing is: where each pixel of the scan lies, mm.

Stands in pen lines before lines. Four ways to know: the scan's dots to the inch; distances
measured on the paper; places of it that are known; the outline of the face, drawn on the paper with
the rest. The last also says where on the face the tracing lies. A photo of the paper is
straightened if enough is known; what is left of what was given is told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.capture.pen_lines.placed import Placed, Residual
from mateline.capture.pen_lines.slanted import FLAT, SLANTED, WITH_LENS, map_of, settled
from mateline.curves import flattened
from mateline.errors import InputError
from mateline.products import ring_area

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from mateline.capture.pen_lines.slanted import Known, Map
    from mateline.curves import Chain, Point

    Floats = NDArray[np.float64]

MM_PER_INCH = 25.4
TURNS = (0.0, np.pi / 2, -np.pi / 2, np.pi)  # of the paper on the scanner, to begin with
ROUNDS = 40
STILL = 1e-6  # mm
ASKEW = 0.35  # rad: how far a paper lies askew besides
FACETS = 0.01  # mm
RIDGE = 1e-9  # of each sum of squares: where a wrong turn lays all places on one edge
LEAST = 0.3  # of the area that a scale has to begin with
WORSE = 1.2  # how much better another turn of the paper must fit
CLEARLY = 1.1  # times less that a freer map must leave between outlines
MARKS, MARKS_WITH_LENS = 4, 6  # from which on a photo's slant, and its lens, can be told
SHAPE = (0, 1, 4, 6, 7)  # unknowns that distances tell: where the paper lies they do not
LENS = 8  # the unknown that is the lens
TAPE = 0.3  # mm, rms: what a tape and a careful hand leave
FINE = 0.05  # mm, rms: what is not worth a lens
WORTH = 2.0  # times less that a freer map must leave of what was measured
SPARE = 8  # measures to spare from which on what is left tells the whole of what is wrong
NEAR_PX, NEAR_MM = 3.0, 0.01  # marks that are nearer are one
NARROW = 0.03  # how wide places must lie, to how long
LEAST_DEPTH = 0.2  # of the farthest corner's: how near the camera a picture's nearest may be


@dataclass(frozen=True, slots=True)
class Resolution:
    """The scan's own: dots to the inch."""

    dpi: float


@dataclass(frozen=True, slots=True)
class Spans:
    """Distances measured on the paper: each two places, pixels (column, row), and mm."""

    measured: tuple[tuple[Point, Point, float], ...]


@dataclass(frozen=True, slots=True)
class OnFace:
    """The face's outline, closed, mm, is drawn on the paper. `stretched`: the scan's axes may be
    scaled unlike one another, and paper may have crept.
    """

    outline: Chain
    stretched: bool = True


@dataclass(frozen=True, slots=True)
class Places:
    """Known places of the paper: each a pixel (column, row), and mm from any corner, y up."""

    known: tuple[tuple[Point, Point], ...]


Size = Resolution | Spans | Places | OnFace


def upright(density: float, rows: int) -> Placed:
    """Pixels at `density` to a mm, the last row lowest: the picture's lower-left corner is 0, 0."""
    pitch = 1 / density
    return Placed(np.array([[pitch, 0.0, pitch / 2], [0.0, -pitch, (rows - 0.5) * pitch]]))


def density_of(size: Size, file: str, shape: tuple[int, ...]) -> float:
    """Pixels to a mm; roughly, where the outline is still to be found.

    Raises InputError for measures that say nothing.
    """
    if isinstance(size, Resolution):
        if not 20 <= size.dpi <= 2400:
            raise InputError(
                file, "dpi", f"{size.dpi:g} dots to the inch is no scanner's.",
                "Give the resolution that the scan was made with, 150 to 600 as a rule.",
            )  # fmt: skip
        return size.dpi / MM_PER_INCH
    if isinstance(size, Spans):
        return _spans_density(size, file)
    if isinstance(size, Places):
        return round(placed_by_marks(size, file, shape).density_at(_middle(shape)), 3)
    points = np.array(size.outline.points)
    extent = points.max(axis=0) - points.min(axis=0)
    return round(max(shape[:2]) / (1.1 * float(extent.max())), 3)


def _spans_density(size: Spans, file: str) -> float:
    if not size.measured:
        raise InputError(file, "marks", "No distance was given.", "Measure one between two marks.")
    pixels = [float(np.hypot(a[0] - b[0], a[1] - b[1])) for a, b, _ in size.measured]
    lengths = [mm for _, _, mm in size.measured]
    if min(pixels) < 1 or min(lengths) <= 0:
        raise InputError(
            file, "marks", "Two marks lie on each other, or their distance isn't above 0.",
            "Take marks that lie far apart: an error of the tape then counts least.",
        )  # fmt: skip
    return sum(p * p for p in pixels) / sum(p * mm for p, mm in zip(pixels, lengths, strict=True))


def spans_residual(size: Spans, density: float) -> Residual:
    """How far measured distances are from the scan's, and between which two marks most."""
    off = [
        (abs(float(np.hypot(a[0] - b[0], a[1] - b[1])) / density - mm), a, b)
        for a, b, mm in size.measured
    ]
    worst, a, b = max(off, key=lambda each: each[0])
    rms = float(np.sqrt(np.mean([each[0] ** 2 for each in off])))
    middle = ((a[0] + b[0]) / 2 / density, (a[1] + b[1]) / 2 / density)
    return Residual(round(rms, 4), round(worst, 4), middle)


def placed_by_spans(size: Spans, density: float, shape: tuple[int, ...]) -> Placed:
    """Where pixels lie if these distances were measured: flat, or slanted where they say so."""
    flat = replace(upright(density, shape[0]), residual=spans_residual(size, density))
    marks = _apart([mark for a, b, _ in size.measured for mark in (a, b)])
    if len(marks) < MARKS or len(size.measured) < len(SHAPE):
        return flat
    ends = np.array([[*a, *b] for a, b, _ in size.measured])
    lengths = np.array([mm for _, _, mm in size.measured])

    def known(now: Map) -> tuple[Floats, Floats, Floats]:
        apart = now.places(ends[:, 2:]) - now.places(ends[:, :2])
        long = np.hypot(*apart.T)
        way = apart / long[:, None]
        slope = now.slopes(ends[:, 2:]) - now.slopes(ends[:, :2])
        return (
            long - lengths, way[:, :1] * slope[:, 0] + way[:, 1:] * slope[:, 1],
            np.ones(len(long)),
        )  # fmt: skip

    def told(now: Map) -> Residual:
        off = known(now)[0]
        middles = (now.places(ends[:, 2:]) + now.places(ends[:, :2])) / 2
        return _residual(off, middles)

    lens = len(marks) >= MARKS_WITH_LENS
    ways = [SHAPE, *([(*SHAPE, LENS)] if lens else [])]
    return _straightened(flat, shape, known, told, ways, len(lengths))


def placed_by_marks(size: Places, file: str, shape: tuple[int, ...]) -> Placed:
    """Where pixels lie if these places are known: two are laid by a similarity, three by an affine
    map, more by a projective one, six with the lens where it shows.

    Raises InputError for places that say nothing.
    """
    pixels = np.array([pixel for pixel, _ in size.known], dtype=np.float64).reshape(-1, 2)
    places = np.array([place for _, place in size.known], dtype=np.float64).reshape(-1, 2)
    if len(_apart(pixels.tolist())) < max(2, len(pixels)) or len(
        _apart(places.tolist(), NEAR_MM)
    ) < len(pixels):
        raise InputError(
            file, "place", "Fewer than two places are known, or two lie on each other.",
            "Give four or more that lie far apart, such as the corners of the tracing.",
        )  # fmt: skip
    flat = _similar(pixels, places)

    def known(now: Map) -> tuple[Floats, Floats, Floats]:
        off = (now.places(pixels) - places).ravel()
        return off, now.slopes(pixels).reshape(-1, 9), np.ones(len(off))

    def told(now: Map) -> Residual:
        return _residual(np.hypot(*(now.places(pixels) - places).T), places)

    found = flat
    if len(pixels) >= 3:
        start = map_of(flat, _middle(shape), max(shape[:2]) / 2)
        free = (*range(FLAT),) if len(pixels) == 3 else (*range(SLANTED),)
        first = settled(start, known, free)
        if first is None or not _unfolded(first, shape) or _on_a_line(places):
            raise InputError(
                file, "place", "No camera sees the known places so: they lie on a line, or run the"
                " other way round.",
                "Give pixels as column and row (down), and mm from the left and from below.",
            )  # fmt: skip
        found = replace(
            first.placed(told(first)), kind="stretched" if len(pixels) == 3 else "slanted"
        )
        if len(pixels) >= MARKS_WITH_LENS:
            second = settled(first, known, (*range(WITH_LENS),))
            if second is not None and _better(
                told(first), told(second), 2 * len(pixels) - WITH_LENS, FINE
            ):
                found = second.placed(told(second))
    return found


def _straightened(
    flat: Placed, shape: tuple[int, ...], known: Known, told: Callable[[Map], Residual],
    ways: Sequence[tuple[int, ...]], count: int,
) -> Placed:  # fmt: skip
    """`flat`, or the first of the freer maps after which none is clearly better."""
    found, now = flat, map_of(flat, _middle(shape), max(shape[:2]) / 2)
    for free in ways:
        freer = settled(now, known, free)
        if freer is None or found.residual is None or not _unfolded(freer, shape):
            break
        left, least = told(freer), TAPE if found is flat else FINE
        if not _better(found.residual, left, count - len(free), least):
            break
        found, now = freer.placed(left), freer
    return found


def _better(before: Residual, after: Residual, freedom: int, least: float) -> bool:
    """Whether a map of more unknowns is worth them: what is left by the other is more than `least`,
    and by the freer one, which has `freedom` to spare, clearly less.
    """
    if before.rms <= least:
        return False
    spent = (SPARE / max(min(freedom, SPARE), 1)) ** 0.5
    return bool(after.rms * WORTH * spent < before.rms)


def _unfolded(now: Map, shape: tuple[int, ...]) -> bool:
    """Whether the whole picture lies before the camera, seen from the front."""
    rows, columns = shape[:2]
    pixels = np.array([(0, 0), (columns, 0), (columns, rows), (0, rows)], dtype=np.float64)
    at = now.placed(None)
    below = 1 + at.slant[0] * pixels[:, 0] + at.slant[1] * pixels[:, 1]
    ring = now.places(pixels)
    return bool((below > LEAST_DEPTH * below.max()).all()) and ring_area(ring) < 0


def _residual(off: Floats, at: Floats) -> Residual:
    worst = int(np.argmax(np.round(np.abs(off), 4)))
    x, y = at[worst].tolist()
    return Residual(
        round(float(np.sqrt(np.mean(off**2))), 4), round(float(abs(off[worst])), 4),
        (round(x, 2), round(y, 2)),
    )  # fmt: skip


def _similar(pixels: Floats, places: Floats) -> Placed:
    """The similarity, rows running down, that fits places best, and what it leaves."""
    here, there = pixels.mean(axis=0), places.mean(axis=0)
    (x, y), (u, v) = (pixels - here).T, (places - there).T
    y = -y
    whole = float((x * x + y * y).sum())
    cos, sin = float((x * u + y * v).sum()) / whole, float((x * v - y * u).sum()) / whole
    linear = np.array([[cos, sin], [sin, -cos]])
    placed = Placed(np.column_stack([linear, there - _times(linear, here[None])[0]]))
    return replace(placed, residual=_residual(np.hypot(*(placed(pixels) - places).T), places))


def _on_a_line(places: Floats) -> bool:
    x, y = (places - places.mean(axis=0)).T
    a, b, c = float((x * x).sum()), float((x * y).sum()), float((y * y).sum())
    half = math.hypot((a - c) / 2, b)
    return (a + c) / 2 - half < NARROW**2 * ((a + c) / 2 + half)


def _apart(marks: Sequence[Sequence[float]], near: float = NEAR_PX) -> list[Sequence[float]]:
    """Marks, each once: two nearer than `near` are one."""
    found: list[Sequence[float]] = []
    for mark in marks:
        if all(max(abs(mark[0] - x), abs(mark[1] - y)) > near for x, y in found):
            found.append(mark)
    return found


def _middle(shape: tuple[int, ...]) -> Point:
    return (shape[1] - 1) / 2, (shape[0] - 1) / 2


def on_face(drawn: Floats, size: OnFace, shape: tuple[int, ...] | None = None) -> Placed | None:
    """Where pixels lie on the face, from places (n, 2), pixels, of its outline as it was drawn; of
    a picture of `shape` (rows, columns), without which it is no photo. None where no map of the
    paper lays it there.
    """
    ring = flattened(size.outline, FACETS)
    target = ring if ring_area(ring) > 0 else ring[::-1]
    found: tuple[float, Placed] | None = None
    for turn in TURNS:
        placed = _settled(drawn, target, turn, stretched=size.stretched)
        if placed.residual is None:
            continue
        rms = placed.residual.rms
        if found is None or rms * WORSE < found[0]:
            found = (rms, placed)
    if found is None:
        return None
    if shape is None or not size.stretched:
        return found[1]
    return _on_face_slanted(drawn, target, found[1], shape)


def _on_face_slanted(drawn: Floats, ring: Floats, flat: Placed, shape: tuple[int, ...]) -> Placed:
    """`flat`, or the map of a photo where that leaves clearly less between both outlines."""

    def known(now: Map) -> tuple[Floats, Floats, Floats]:
        at = now.places(drawn)
        foot, normal = _feet(at, ring)
        off = ((at - foot) * normal).sum(axis=1)
        slope = now.slopes(drawn)
        return (
            off, normal[:, :1] * slope[:, 0] + normal[:, 1:] * slope[:, 1],
            _trusted(off),
        )  # fmt: skip

    found, now = flat, map_of(flat, _middle(shape), max(shape[:2]) / 2)
    for unknowns in (SLANTED, WITH_LENS):
        freer = settled(now, known, (*range(unknowns),))
        if freer is None or not _unfolded(freer, shape) or found.residual is None:
            break
        at = freer.places(drawn)
        foot, _ = _feet(at, ring)
        left = _residual(np.hypot(*(at - foot).T), foot)
        if left.rms * CLEARLY + FACETS > found.residual.rms:
            break
        found, now = freer.placed(left), freer
    return found


def _settled(drawn: Floats, ring: Floats, turn: float, *, stretched: bool) -> Placed:
    """The map that lays drawn places on the ring best, starting at a turn of the paper."""
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    span = high - low
    cos, sin = round(float(np.cos(turn))), round(float(np.sin(turn)))
    wide, tall = (span[1], span[0]) if sin else (span[0], span[1])
    extent = ring.max(axis=0) - ring.min(axis=0)
    scale = float(np.sqrt(extent[0] * extent[1] / (wide * tall)))
    middle, centre = (low + high) / 2, (ring.min(axis=0) + ring.max(axis=0)) / 2
    linear = scale * np.array([[cos, sin], [sin, -cos]], dtype=np.float64)
    matrix = np.column_stack([linear, centre - _times(linear, middle[None])[0]])
    for step in range(ROUNDS):
        at = Placed(matrix)(drawn)
        foot, normal = _feet(at, ring)
        off = ((at - foot) * normal).sum(axis=1)
        weight = _trusted(off)
        free = stretched and step > 10
        change = _change(at, normal, off, weight, affine=free)
        matrix = _after(change, matrix)
        if not LEAST < _scale(matrix) / scale**2 < 1 / LEAST:
            return Placed(matrix)  # a turn so wrong that the paper shrinks or folds up
        if step > 12 and float(np.abs(_moved(change, ring)).max()) < STILL:
            break
    at = Placed(matrix)(drawn)
    foot, _ = _feet(at, ring)
    residual = _residual(np.hypot(*(at - foot).T), foot)
    return Placed(np.round(matrix, 9), residual, kind="stretched" if stretched else "flat")


def _trusted(off: Floats) -> Floats:
    """What places count that are so far off, mm: those far off less."""
    usual = 1.4826 * float(np.median(np.abs(off)))
    trusted: Floats = np.minimum(1.0, (3 * max(usual, 0.02) / np.maximum(np.abs(off), 1e-9)) ** 2)
    return trusted


def _feet(at: Floats, ring: Floats) -> tuple[Floats, Floats]:
    """The nearest place of the ring to each, and the direction across it there."""
    line = shapely.linestrings(ring)
    along = shapely.line_locate_point(line, shapely.points(at))
    cuts = np.append(0.0, np.cumsum(np.hypot(*np.diff(ring, axis=0).T)))
    edge = np.clip(np.searchsorted(cuts, along, side="right") - 1, 0, len(ring) - 2)
    way = ring[edge + 1] - ring[edge]
    way = way / np.hypot(way[:, 0], way[:, 1])[:, None]
    foot = ring[edge] + way * (along - cuts[edge])[:, None]
    return foot, np.column_stack([way[:, 1], -way[:, 0]])


def _change(at: Floats, normal: Floats, off: Floats, weight: Floats, *, affine: bool) -> Floats:
    """The small map (2, 3) that takes most of `off` away: a similarity, or an affine one."""
    x, y = at.T
    u, v = normal.T
    if affine:
        columns = np.column_stack([u * x, u * y, u, v * x, v * y, v])
    else:
        columns = np.column_stack([u * x + v * y, v * x - u * y, u, v])
    normal_matrix = (columns[:, :, None] * columns[:, None] * weight[:, None, None]).sum(axis=0)
    right = -(columns * (weight * off)[:, None]).sum(axis=0)
    ridge = np.diag(np.maximum(np.diag(normal_matrix) * RIDGE, RIDGE))
    found = np.linalg.solve(normal_matrix + ridge, right)
    if affine:
        a, b, c, d, e, f = found.tolist()
        return np.array([[1 + a, b, c], [d, 1 + e, f]])
    s, r, c, f = found.tolist()
    r = float(np.clip(r, -ASKEW, ASKEW))
    return np.array([[1 + s, -r, c], [r, 1 + s, f]])


def _after(change: Floats, matrix: Floats) -> Floats:
    linear = np.array([
        [(change[i, 0] * matrix[0, j] + change[i, 1] * matrix[1, j]) for j in range(3)]
        for i in range(2)
    ])  # fmt: skip
    linear[:, 2] += change[:, 2]
    return linear


def _scale(matrix: Floats) -> float:
    """How large a square pixel is, mm²; negative where rows would run up."""
    (a, b, _), (c, d, _) = matrix.tolist()
    return float(b * c - a * d)


def _moved(change: Floats, places: Floats) -> Floats:
    return Placed(change)(places) - places


def _times(linear: Floats, places: Floats) -> Floats:
    return np.column_stack([
        linear[0, 0] * places[:, 0] + linear[0, 1] * places[:, 1],
        linear[1, 0] * places[:, 0] + linear[1, 1] * places[:, 1],
    ])  # fmt: skip
