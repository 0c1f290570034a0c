"""Areas of paper between pen lines, in spite of breaks in the lines.

Stands in pen lines after colour marks. Paper is flooded from where ink is farthest (watershed:
F. Meyer, Topographic distance and watershed lines, 1994); floods meet in the middle of lines, and
across a break between the line's ends. There are too many floods at first; two are one where
hardly any ink is between them:

    ===.  .===  a break: bare for less than OPEN, with ink on both sides of it
    ===    |    a neck: bare from line to line, with no more ink between than the lines' own
           |    halves
    ===
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.pen_lines.bridges import bridged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

FAINT, CLEAR = 0.3, 0.6  # ink: a line is at least the one everywhere and somewhere the other
SPECK = 1.5  # mm: what is no longer than this and touches no line is dirt
PINHOLE = 1.0  # mm²: a bare spot in a line or where lines run together
LEAST = 3.0  # mm²: no area is smaller
OPEN = 3.7  # mm: a longer bare stretch is no break
LEVELS = (6.0, 4.0, 3.0, 2.4, 2.0, 1.7, 1.4, 1.15, 0.95, 0.75, 0.6, 0.45, 0.3, 0.2)  # mm from ink
WAY = 0.8  # of the cracks between pixels: about how long a line of any slope is
SCARCE = 0.25  # ink beyond the ends' own, a share of what is bare: less is no line
BARE = 0.6  # of the inked length, that may be bare though breaks are closed
LOOSE = 2.5  # mm: a line that parts nothing is told of when it is longer


@dataclass(frozen=True, slots=True, eq=False)
class Basins:
    """`numbers` (rows, columns): which area each square is in, 0 the one round the tracing.
    `lines`: where lines are, with their breaks closed. `loose` (n, 2): squares, column then row,
    where a line parts nothing.
    """

    numbers: Ints
    lines: Bools
    loose: NDArray[np.float64]


def lines_of(ink: Floats, pitch: float) -> Bools:
    """Where pen lines are, by ink (rows, columns) in squares of `pitch` mm."""
    from scipy import ndimage  # noqa: PLC0415  slow to import
    from skimage.measure import label, regionprops_table  # noqa: PLC0415  slow to import
    from skimage.morphology import remove_small_holes  # noqa: PLC0415  slow to import

    weak = label(ink > FAINT, connectivity=2)  # type: ignore[no-untyped-call]
    table = regionprops_table(  # type: ignore[no-untyped-call]
        weak, intensity_image=ink, properties=("label", "bbox", "intensity_max")
    )
    long = np.hypot(table["bbox-2"] - table["bbox-0"], table["bbox-3"] - table["bbox-1"]) * pitch
    kept = np.zeros(int(weak.max()) + 1, dtype=bool)
    kept[table["label"]] = (long > SPECK) & (table["intensity_max"] > CLEAR)
    found: Bools = kept[weak]
    found = ndimage.binary_closing(found, iterations=1) | found
    filled: Bools = remove_small_holes(found, max_size=round(PINHOLE / pitch**2), connectivity=1)
    return filled


def basins_of(lines: Bools, ink: Floats, pitch: float, pen: float) -> Basins:
    """Areas that `lines`, `pen` mm wide, part in squares of `pitch` mm."""
    from scipy import ndimage  # noqa: PLC0415  slow to import
    from skimage.segmentation import watershed  # noqa: PLC0415  slow to import

    lines = lines | bridged(lines, pitch, pen)
    away = ndimage.distance_transform_edt(~lines).astype(np.float32) * np.float32(pitch)
    deep = ndimage.distance_transform_edt(lines).astype(np.float32) * np.float32(pitch)
    smooth = ndimage.gaussian_filter(ink, 1.0)
    height = np.where(lines, deep + np.float32(0.2) * smooth, -away)
    floods = watershed(height, _seeds(away))  # type: ignore[no-untyped-call]
    numbers = floods.astype(np.int64)
    numbers = _joined(numbers, lines, pitch, pen)
    numbers = _round_first(_without_specks(numbers, lines, pitch))
    return Basins(numbers, lines, _loose(numbers, lines, pitch, pen))


def _seeds(away: Floats) -> NDArray[np.int32]:
    """A number for each place that is farther from ink than all around it, roughly."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    found: NDArray[np.int32] = np.zeros(away.shape, dtype=np.int32)
    count = 0
    for level in LEVELS:
        parts, most = ndimage.label(away > level)
        seeded = np.zeros(most + 1, dtype=bool)
        seeded[parts[found > 0]] = True
        fresh = np.cumsum(~seeded)  # 0 is never seeded, and counted as 1
        fresh[seeded] = 0
        fresh[0] = 0
        new = fresh[parts]
        found[new > 0] = new[new > 0] + count
        count = int(found.max())
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Sides:
    """Sides between squares of unlike areas: the lower and the higher area's number, where (twice
    the row and column of its middle), and whether it is bare.
    """

    low: Ints
    high: Ints
    at: Ints
    bare: Bools


def _sides(numbers: Ints, lines: Bools) -> _Sides:
    parts = []
    for axis in (0, 1):
        one, other = (np.s_[:-1], np.s_[1:]) if axis == 0 else (np.s_[:, :-1], np.s_[:, 1:])
        a, b = numbers[one], numbers[other]
        rows, columns = np.nonzero(a != b)
        at = np.column_stack([2 * rows + (axis == 0), 2 * columns + (axis == 1)])
        low, high = np.minimum(a, b)[rows, columns], np.maximum(a, b)[rows, columns]
        parts.append((low, high, at, ~(lines[one] | lines[other])[rows, columns]))
    low, high, at, bare = (np.concatenate(each) for each in zip(*parts, strict=True))
    return _Sides(low, high, at, bare)


def _joined(numbers: Ints, lines: Bools, pitch: float, pen: float) -> Ints:
    """Areas made one where no line is between them: first those without any, then where a line is
    open for longer than a break.
    """
    for judge in (_hardly_any, _open):
        while True:
            sides = _sides(numbers, lines)
            pairs = judge(sides, pitch, pen)
            if not pairs:
                break
            root = np.arange(int(numbers.max()) + 1)
            for low, high in pairs:
                a, b = sorted((_root(root, low), _root(root, high)))
                root[b] = a
            numbers = np.array([_root(root, at) for at in range(len(root))])[numbers]
    return numbers


def _root(root: Ints, at: int) -> int:
    while root[at] != at:
        at = int(root[at])
    return at


def _grouped(sides: _Sides) -> list[tuple[tuple[int, int], Ints]]:
    """The sides between each two areas, by their positions."""
    key = sides.low * (int(sides.high.max(initial=0)) + 1) + sides.high
    order = np.argsort(key, kind="stable")
    cuts = np.flatnonzero(np.diff(key[order])) + 1
    groups = np.split(order, cuts) if len(order) else []
    return [((int(sides.low[each[0]]), int(sides.high[each[0]])), each) for each in groups]


def _hardly_any(sides: _Sides, pitch: float, pen: float) -> list[tuple[int, int]]:
    """Pairs with no line between, the clearest first; no area is in two, for what joins two areas
    by way of a third has to be looked at again.
    """
    found = []
    for pair, own in _grouped(sides):
        bare = float(sides.bare[own].sum()) * WAY * pitch
        inked = float((~sides.bare[own]).sum()) * WAY * pitch
        lack = round(max(SCARCE * bare + pen - inked, bare - BARE * inked), 4)
        if bare > 0 and lack > 0:
            found.append((-lack, pair))
    taken: set[int] = set()
    chosen = []
    for _, pair in sorted(found):
        if not taken & {*pair}:
            taken |= {*pair}
            chosen.append(pair)
    return chosen


def _open(sides: _Sides, pitch: float, pen: float) -> list[tuple[int, int]]:
    """The pair with the longest bare stretch, if it is longer than a break."""
    del pen
    worst, found = OPEN, None
    for pair, own in _grouped(sides):
        bare = own[sides.bare[own]]
        if len(bare) * pitch > worst:
            longest = _longest(sides.at[bare]) * pitch / 2
            if longest > worst:
                worst, found = longest, pair
    return [] if found is None else [found]


def _longest(at: Ints) -> float:
    """The extent of the longest run of sides that hang together, in half squares."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    corner = at.min(axis=0)
    board = np.zeros(at.max(axis=0) - corner + 1, dtype=bool)
    board[tuple((at - corner).T)] = True
    parts, _ = ndimage.label(ndimage.binary_dilation(board, np.ones((3, 3))), np.ones((3, 3)))
    spans = [
        float(np.hypot(*(each.stop - each.start - 1 for each in place)))
        for place in ndimage.find_objects(parts)
    ]
    return max(spans, default=0.0)


def _without_specks(numbers: Ints, lines: Bools, pitch: float) -> Ints:
    """Areas too small to be meant, given to the one that they share most of their sides with."""
    while True:
        size = np.bincount(numbers.ravel()) * pitch**2
        sides = _sides(numbers, lines)
        small = (size > 0) & (size < LEAST)
        shared: dict[int, dict[int, int]] = {int(at): {} for at in np.flatnonzero(small)}
        for (low, high), own in _grouped(sides):
            for one, other in ((low, high), (high, low)):
                if one in shared:
                    shared[one][other] = len(own)
        if not any(shared.values()):
            return numbers
        root = np.arange(len(size))
        for one, near in sorted(shared.items(), key=lambda each: (size[each[0]], each[0])):
            if near:
                best = max(near, key=lambda other: (near[other], -other))
                root[_root(root, one)] = _root(root, best)
        numbers = np.array([_root(root, at) for at in range(len(root))])[numbers]


def _round_first(numbers: Ints) -> Ints:
    """Areas that reach the picture's edge are one, number 0; the others follow, row by row."""
    rim = np.concatenate([numbers[0], numbers[-1], numbers[:, 0], numbers[:, -1]])
    values, first = np.unique(numbers, return_index=True)
    order = [int(each) for each in values[np.argsort(first, kind="stable")]]
    outer = {int(each) for each in np.unique(rim)}
    rank = np.zeros(int(values.max()) + 1, dtype=np.int64)
    for place, value in enumerate(each for each in order if each not in outer):
        rank[value] = place + 1
    return rank[numbers]


def _loose(numbers: Ints, lines: Bools, pitch: float, pen: float) -> NDArray[np.float64]:
    """Where lines are that part nothing: the middle of each."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    border = np.zeros(numbers.shape, dtype=bool)
    for axis in (0, 1):
        one, other = (np.s_[:-1], np.s_[1:]) if axis == 0 else (np.s_[:, :-1], np.s_[:, 1:])
        unlike = numbers[one] != numbers[other]
        border[one] |= unlike
        border[other] |= unlike
    away = ndimage.distance_transform_edt(~border) * pitch
    parts, _ = ndimage.label(lines & (away > 1.2 * pen), np.ones((3, 3)))
    found = []
    for number, place in enumerate(ndimage.find_objects(parts), 1):
        if np.hypot(*(each.stop - each.start for each in place)) * pitch > LOOSE:
            rows, columns = np.nonzero(parts[place] == number)
            middle = len(rows) // 2
            found.append((columns[middle] + place[1].start, rows[middle] + place[0].start))
    return np.array(found, dtype=np.float64).reshape(-1, 2)
