"""Figures that are each other's mirror image about one line, as far as their errors tell.

Stands in regularity after figures and targets, before kinds. Every two circles of one radius, and
every two lines of one length, would be mirror images about one axis; where many axes fall together
the art is mirrored there. The axis is then fitted to all pairs that it explains.

    reflected    p - 2 (n . p - d) n    about the axis n . p = d, n = (cos way, sin way)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.regularity.figures import LIKELY
from mateline.capture.regularity.targets import OnCircle, OnLine
from mateline.products import inverted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.capture.regularity.figures import Circle, Line
    from mateline.curves import Point

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

FEWEST_PAIRS = 3
ENDS = 3.0  # tolerances: how far the ends of mirrored lines may be from mirrored
TOGETHER = 4.0  # tolerances within which axes are one, at half the width of the art
MOST_AXES = 20_000  # axes that are looked at, of the longest figures
MOST_TRIED = 6  # of the axes where most fall together
LEAST = 1e-3  # mm: no figure is surer
SQUARE = 0.02  # radians: an axis nearer than this to upright or level may be meant so
ROUNDS = 6


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """Circles and lines with their marks (n, 2, 2), mm: a line's two ends, a circle's centre twice;
    `reach` is a radius or half a length, `errors` are those of the marks.
    """

    figures: tuple[Circle | Line, ...]
    round: NDArray[np.bool_]
    marks: Floats
    reach: Floats
    errors: Floats


@dataclass(frozen=True, slots=True)
class Mirror:
    """An axis n . p = d, `way` the direction of n in radians, with the pairs of figures about it;
    a figure that is its own image is paired with itself.
    """

    way: float
    d: float
    pairs: tuple[tuple[int, int], ...]

    def segments(self, own: Figures) -> tuple[int, ...]:
        """The segments of all that is mirrored."""
        there = {segment for pair in self.pairs for at in pair
                 for segment in own.figures[at].segments}  # fmt: skip
        return tuple(sorted(there))

    def words(self) -> str:
        """How many pairs, and where the axis is."""
        many = sum(a != b for a, b in self.pairs)
        degrees = round(float(np.degrees(self.way)), 2) % 180
        if degrees in (0.0, 90.0):
            axis = "x" if degrees == 0 else "y"
            return f"{many} pairs mirrored about {axis} = {self.d:.2f} mm"
        x, y = self.d * np.cos(self.way), self.d * np.sin(self.way)
        return (
            f"{many} pairs mirrored about the line through ({x:.2f}, {y:.2f}) "
            f"at {(degrees + 90) % 180:.2f}°"
        )


def figures_of(circles: Sequence[Circle], lines: Sequence[Line], ends: Floats) -> Figures:
    """The figures to compare; `ends` (n, 2, 2) are those of the lines."""
    middles = np.array([each.centre for each in circles], dtype=np.float64).reshape(-1, 2)
    half = np.hypot(*(ends[:, 1] - ends[:, 0]).T) / 2
    across = [float(np.hypot(each.error, size * each.turned))
              for each, size in zip(lines, half.tolist(), strict=True)]  # fmt: skip
    return Figures(
        (*circles, *lines),
        np.arange(len(circles) + len(lines)) < len(circles),
        np.concatenate([np.stack([middles, middles], axis=1), ends]),
        np.concatenate([[each.reach for each in circles], half]),
        np.concatenate([[2 * each.error for each in circles], across]),
    )


def mirrors(own: Figures, tolerance: float) -> tuple[Mirror, ...]:
    """The axes with the most pairs first; each figure is mirrored about one of them."""
    left = np.arange(len(own.figures))
    made = []
    while len(left) >= 2 * FEWEST_PAIRS:
        mirror = _best(own, left, tolerance)
        if mirror is None:
            break
        made.append(mirror)
        left = np.setdiff1d(left, np.unique(mirror.pairs))
    return tuple(made)


def ties(own: Figures, mirror: Mirror) -> tuple[OnCircle | OnLine, ...]:
    """What holds each pair to the mean of the one and the other's image."""
    return tuple(tie for pair in mirror.pairs for tie in _tied(own, mirror, *pair))


def _tied(own: Figures, mirror: Mirror, one: int, other: int) -> Iterator[OnCircle | OnLine]:
    marks = _matched(own, mirror.way, mirror.d, one, other)
    mean = (own.marks[one] + marks) / 2
    image = reflected(mean, mirror.way, mirror.d)
    for at, spots in ((one, mean), (other, image)) if one != other else ((one, mean),):
        segments = own.figures[at].segments
        (ax, ay), (bx, by) = spots.tolist()
        if own.round[at]:
            yield OnCircle(segments, (ax, ay), float((own.reach[one] + own.reach[other]) / 2))
        else:
            place: Point = ((ax + bx) / 2, (ay + by) / 2)
            yield OnLine(segments, place, float(np.arctan2(by - ay, bx - ax)))


def reflected(spots: Floats, way: float, d: float) -> Floats:
    """The mirror images of spots (..., 2) about n . p = d."""
    return _imaged(spots, np.array([np.cos(way), np.sin(way)]), d)


def _imaged(spots: Floats, n: Floats, d: Floats | float) -> Floats:
    """The mirror images of spots (..., 2) about n . p = d, `n` (..., 2) being unit vectors."""
    off = spots[..., 0] * n[..., 0] + spots[..., 1] * n[..., 1] - d
    found: Floats = spots - 2 * off[..., None] * n
    return found


def _matched(own: Figures, way: float, d: float, one: int, other: int) -> Floats:
    """The image of the other's marks, in the order in which they lie at the one's."""
    image = reflected(own.marks[other], way, d)
    ahead = np.hypot(*(image - own.marks[one]).T).sum()
    back = np.hypot(*(image[::-1] - own.marks[one]).T).sum()
    return image[::-1] if back < ahead else image


def _best(own: Figures, left: Ints, tolerance: float) -> Mirror | None:
    """The axis that explains most pairs of the figures that are left; None where too few."""
    found = [
        mirror
        for way, d in _crowded(own, left, tolerance)
        if (mirror := _fitted(own, left, way, d, tolerance)) is not None
    ]
    return max(found, key=lambda each: len(each.pairs), default=None)


def _crowded(own: Figures, left: Ints, tolerance: float) -> Iterator[tuple[float, float]]:
    """The axes where most pairs have theirs, way and d, a few of them."""
    from scipy.spatial import cKDTree  # noqa: PLC0415  slow to import

    middle = np.round(own.marks[left].mean(axis=(0, 1)), 6)
    way, off = _axes(own, left, middle, tolerance)
    if len(way) == 0:
        return
    width = float(np.ptp(own.marks[left].reshape(-1, 2), axis=0).max()) / 2
    # where an axis comes nearest to the middle, and twice its direction: one axis, one spot
    spots = np.round(
        np.column_stack([off * np.cos(way), off * np.sin(way),
                         width / 2 * np.cos(2 * way), width / 2 * np.sin(2 * way)]), 6,
    )  # fmt: skip
    tree = cKDTree(spots)
    near = TOGETHER * tolerance
    counts = tree.query_ball_point(spots, near, return_length=True)
    open_yet = np.ones(len(spots), dtype=bool)
    for _ in range(MOST_TRIED):
        at = int(np.argmax(np.where(open_yet, counts, 0)))
        if not open_yet[at] or counts[at] < FEWEST_PAIRS:
            return
        around = sorted(tree.query_ball_point(spots[at], near))
        open_yet[around] = False
        double = np.arctan2(np.median(spots[around, 3]), np.median(spots[around, 2]))
        direction = float(double) / 2
        foot = np.median(spots[around, :2], axis=0) + middle
        yield direction, float(foot[0] * np.cos(direction) + foot[1] * np.sin(direction))


def _axes(own: Figures, left: Ints, middle: Floats, tolerance: float) -> tuple[Floats, Floats]:
    """The axis of each two figures that might be mirrored: way, and d measured from the middle."""
    left = left[np.argsort(-np.round(own.reach[left], 6), kind="stable")]
    one, other = (left[each] for each in np.triu_indices(len(left), 1))
    near = ENDS * tolerance
    limit = np.where(own.round[one], tolerance, near)
    alike = (own.round[one] == own.round[other]) & (
        np.round(np.abs(own.reach[one] - own.reach[other]) - limit, 9) <= 0
    )
    one, other = one[alike][:MOST_AXES], other[alike][:MOST_AXES]
    ways, offs = [], []
    for order in ([0, 1], [1, 0]):
        a, b = own.marks[one] - middle, own.marks[other][:, order] - middle
        far = np.hypot(*(b - a).transpose(2, 0, 1))
        rows, at = np.arange(len(one)), np.argmax(np.round(far, 6), axis=1)
        step = (b - a)[rows, at]
        n = step / np.maximum(far[rows, at], 1e-9)[:, None]
        d = ((a + b)[rows, at] * n).sum(axis=1) / 2
        off = np.hypot(*(_imaged(b, n[:, None], d[:, None]) - a).transpose(2, 0, 1)).max(axis=1)
        good = (far[rows, at] > near) & (np.round(off, 9) <= near)
        good &= ~own.round[one] | (order == [0, 1])
        ways.append(np.arctan2(n[good, 1], n[good, 0]))
        offs.append(d[good])
    return np.concatenate(ways), np.concatenate(offs)


def _fitted(own: Figures, left: Ints, way: float, d: float, tolerance: float) -> Mirror | None:
    """The axis nearest to a rough one that the pairs about it have; None where they are few."""
    pairs = _pairs(own, left, way, d, TOGETHER * tolerance)
    for _ in range(ROUNDS):
        if sum(a != b for a, b in pairs) < FEWEST_PAIRS:
            return None
        way, d = _adjusted(own, pairs, way, d)
        kept = [pair for pair in pairs if _holds(own, pair, way, d, tolerance)]
        if kept == pairs:
            return Mirror(*_named(*_squared(own, pairs, way, d, tolerance)), tuple(pairs))
        pairs = kept
    return None


def _squared(
    own: Figures, pairs: list[tuple[int, int]], way: float, d: float, tolerance: float
) -> tuple[float, float]:
    """The axis upright or level where that explains all pairs as well."""
    quarter = round(way / (np.pi / 2)) * np.pi / 2
    if abs(way - quarter) < SQUARE:
        _, beside = _adjusted(own, pairs, quarter, d, turning=False)
        if all(_holds(own, pair, quarter, beside, tolerance) for pair in pairs):
            return quarter, beside
    return way, d


def _named(way: float, d: float) -> tuple[float, float]:
    """Way from 0 to below half a turn, rounded so that it is the same on every machine."""
    if not -1e-9 <= way < np.pi - 1e-9:
        turned = way + np.pi if way < 0 else way - np.pi
        way, d = turned, -d
    return round(max(way, 0.0), 9), round(d, 6)


def _pairs(own: Figures, left: Ints, way: float, d: float, near: float) -> list[tuple[int, int]]:
    """Which figures lie at each other's images, each in one pair."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    middles = own.marks[left].mean(axis=1)
    tree = cKDTree(np.round(middles, 6))
    images = reflected(middles, way, d)
    told = []
    for at, around in enumerate(tree.query_ball_point(np.round(images, 6), near)):
        one = int(left[at])
        for other in left[sorted(around)].tolist():
            if own.round[one] != own.round[other] or other < one:
                continue
            off = np.hypot(*(_matched(own, way, d, one, other) - own.marks[one]).T).max()
            apart = abs(own.reach[one] - own.reach[other])
            if max(off, apart) <= near:
                told.append((round(float(off + apart), 6), one, other))
    taken: set[int] = set()
    found = []
    for _, one, other in sorted(told):
        if not taken & {one, other}:
            taken |= {one, other}
            found.append((one, other))
    return sorted(found)


def _offsets(own: Figures, pair: tuple[int, int], way: float, d: float) -> tuple[Floats, Floats]:
    """How far the image of the other figure is off the one, (2, 2), and the normals (k, 2) along
    which that counts: across a line, both ways for a circle.
    """
    one, other = pair
    off = _matched(own, way, d, one, other) - own.marks[one]
    if own.round[one]:
        return off, np.eye(2)
    step = own.marks[one, 1] - own.marks[one, 0]
    return off, np.array([[-step[1], step[0]]]) / np.hypot(*step)


def _adjusted(
    own: Figures,
    pairs: Sequence[tuple[int, int]],
    way: float,
    d: float,
    *,
    turning: bool = True,
) -> tuple[float, float]:
    """The axis by least squares over all pairs (Gauss and Newton); it may be kept from turning."""
    for _ in range(ROUNDS):
        normal, pull = np.zeros((2, 2)), np.zeros(2)
        n, m = np.array([np.cos(way), np.sin(way)]), np.array([-np.sin(way), np.cos(way)])
        for pair in pairs:
            off, across = _offsets(own, pair, way, d)
            image = off + own.marks[pair[0]]
            weight = 1 / max(float(np.hypot(*own.errors[list(pair)])), LEAST) ** 2
            # the image's own place gives back the place it is of: n . p - d turns its sign
            beside = d - (image * n).sum(axis=1)
            along = (image * m).sum(axis=1)
            by_way = -2 * along[:, None] * n - 2 * beside[:, None] * m
            for mark in (0, 1):
                for unit in across:
                    row = np.array([(by_way[mark] * unit).sum(), (2 * n * unit).sum()])
                    normal += weight * row[:, None] * row
                    pull -= weight * row * (off[mark] * unit).sum()
        if not turning:
            normal[0], normal[:, 0], pull[0] = 0.0, 0.0, 0.0
            normal[0, 0] = 1.0
        step = (inverted(normal + np.eye(2) * 1e-12) * pull).sum(axis=1)
        way, d = way + float(step[0]), d + float(step[1])
    return way, d


def _holds(own: Figures, pair: tuple[int, int], way: float, d: float, tolerance: float) -> bool:
    """Whether errors explain all that is not mirrored in a pair."""
    off, across = _offsets(own, pair, way, d)
    error = float(np.hypot(*own.errors[list(pair)]))
    limit = min(LIKELY * error, 2 * tolerance)  # each moves half of the way
    beside = max(abs(float((each * unit).sum())) for each in off for unit in across)
    ends = float(np.hypot(*off.T).max())
    apart = abs(float(own.reach[pair[0]] - own.reach[pair[1]])) if own.round[pair[0]] else 0.0
    return round(max(beside, apart) - limit, 9) <= 0 and ends <= ENDS * tolerance
