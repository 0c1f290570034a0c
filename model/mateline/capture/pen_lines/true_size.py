"""How large a tracing is: where each pixel of the scan lies, mm.

Stands in pen lines before lines. Three ways to know: the scan's dots to the inch; distances
measured on the paper; the outline of the face, drawn on the paper with the rest. The last also
says where on the face the tracing lies, and what is left between both outlines is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.curves import flattened
from mateline.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.curves import Chain, Point

    Floats = NDArray[np.float64]

MM_PER_INCH = 25.4
TURNS = (0.0, np.pi / 2, -np.pi / 2, np.pi)  # of the paper on the scanner, to begin with
ROUNDS = 40
STILL = 1e-6  # mm
SLANTED = 0.35  # rad: how far a paper lies askew besides
FACETS = 0.01  # mm
RIDGE = 1e-9  # of each sum of squares: where a wrong turn lays all places on one edge
LEAST = 0.3  # of the area that a scale has to begin with
WORSE = 1.2  # how much better another turn of the paper must fit


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


Size = Resolution | Spans | OnFace


@dataclass(frozen=True, slots=True)
class Residual:
    """What is left between what was given and what the scan says, mm."""

    rms: float
    worst: float
    at: Point  # mm, where it is worst


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """`matrix` (2, 3) takes pixels, column then row, the first one's middle (0, 0), to mm, y up."""

    matrix: Floats
    residual: Residual | None = None

    def __call__(self, pixels: Floats) -> Floats:
        """Places, mm, of pixels (n, 2)."""
        x = self.matrix[0, 0] * pixels[:, 0] + self.matrix[0, 1] * pixels[:, 1] + self.matrix[0, 2]
        y = self.matrix[1, 0] * pixels[:, 0] + self.matrix[1, 1] * pixels[:, 1] + self.matrix[1, 2]
        return np.column_stack([x, y])

    def pixel(self, place: Point) -> Point:
        """The pixel of one place, mm: backwards."""
        (a, b, c), (d, e, f) = self.matrix.tolist()
        x, y, whole = place[0] - c, place[1] - f, a * e - b * d
        return (e * x - b * y) / whole, (a * y - d * x) / whole


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


def on_face(drawn: Floats, size: OnFace) -> Placed:
    """Where pixels lie on the face, from places (n, 2), pixels, of its outline as it was drawn."""
    ring = flattened(size.outline, FACETS)
    target = ring if _area(ring) > 0 else ring[::-1]
    found: tuple[float, Placed] | None = None
    for turn in TURNS:
        placed = _settled(drawn, target, turn, stretched=size.stretched)
        if placed.residual is None:
            continue
        rms = placed.residual.rms
        if found is None or rms * WORSE < found[0]:
            found = (rms, placed)
    if found is None:
        raise ValueError("no outline was drawn")
    return found[1]


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
        usual = 1.4826 * float(np.median(np.abs(off)))
        weight = np.minimum(1.0, (3 * max(usual, 0.02) / np.maximum(np.abs(off), 1e-9)) ** 2)
        free = stretched and step > 10
        change = _change(at, normal, off, weight, affine=free)
        matrix = _after(change, matrix)
        if not LEAST < _scale(matrix) / scale**2 < 1 / LEAST:
            return Placed(matrix)  # a turn so wrong that the paper shrinks or folds up
        if step > 12 and float(np.abs(_moved(change, ring)).max()) < STILL:
            break
    at = Placed(matrix)(drawn)
    foot, _ = _feet(at, ring)
    away = np.hypot(*(at - foot).T)
    worst = int(np.argmax(np.round(away, 4)))
    residual = Residual(
        round(float(np.sqrt(np.mean(away**2))), 4), round(float(away[worst]), 4),
        (round(float(foot[worst, 0]), 2), round(float(foot[worst, 1]), 2)),
    )  # fmt: skip
    return Placed(np.round(matrix, 9), residual)


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
    r = float(np.clip(r, -SLANTED, SLANTED))
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


def _area(ring: Floats) -> float:
    x, y = ring.T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) / 2
