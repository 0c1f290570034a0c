"""The cracks between pixels of unlike regions, walked into borders between junctions.

Stands first in tracing; knows neither light nor mm. Pixels hang together by their sides only.

    lattice    corners of pixels; (row, column) r, c is the upper left corner of pixel r, c
    crack      a side that two pixels of unlike regions share
    junction   a lattice point where three or four cracks meet

       +---+---+      Walked with its region on the left: at each lattice point the next crack is
       | a | a |      the first to the left, ahead, to the right.
       +===O---+
       | b I c |      O is a junction of a, b and c.
       +---+---+
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Place = tuple[int, int]  # row and column in the padded array's lattice

OUTSIDE = -1
EAST, NORTH, WEST, SOUTH = range(4)  # each a quarter turn to the left of the one before
STEPS = ((0, 1), (-1, 0), (0, -1), (1, 0))  # rows, columns


@dataclass(frozen=True, slots=True, eq=False)
class CrackMap:
    """Borders of regions of pixels. `nodes` (k, 2) and each of `paths` (n, 2) are in pixels,
    column then row, the first pixel's middle being (0, 0); a path runs from node `start` to node
    `end` (-1 both for a ring, whose last point is its first), with the region on each side.
    `loops` are signed borders for each region, the outer one first; `colours` its numbers.
    `regions` (rows, columns) says which one each pixel is in.
    """

    nodes: Floats
    paths: tuple[Floats, ...]
    start: tuple[int, ...]
    end: tuple[int, ...]
    left: tuple[int, ...]
    right: tuple[int, ...]
    loops: tuple[tuple[tuple[int, ...], ...], ...]
    colours: tuple[int, ...]
    regions: Ints


def regions_of(numbers: Ints) -> tuple[Ints, Ints]:
    """Which region each pixel is in, and the number of each region; OUTSIDE is none.

    Regions are counted row by row from the top.
    """
    from skimage.measure import label  # noqa: PLC0415  slow to import

    found = label(numbers, background=OUTSIDE, connectivity=1)  # type: ignore[no-untyped-call]
    found = found.astype(np.int64) - 1
    flat = found.ravel()
    first = np.zeros(int(flat.max(initial=-1)) + 2, dtype=np.int64)
    first[flat[::-1]] = np.arange(len(flat) - 1, -1, -1)  # the first one is written last
    order = np.argsort(first[:-1], kind="stable")
    rank = np.full(len(first), OUTSIDE, dtype=np.int64)
    rank[order] = np.arange(len(order))
    return rank[found], numbers.ravel()[first[:-1][order]].astype(np.int64)


def crack_map(numbers: Ints) -> CrackMap:
    """The borders of all areas of one number (rows, columns); OUTSIDE and what is beyond the array
    belong to no region.
    """
    regions, colours = regions_of(numbers)
    padded = np.pad(regions, 1, constant_values=OUTSIDE)
    ways = _ways(padded)
    tracks, node_at = _tracks(ways)
    nodes = np.array(list(node_at), dtype=np.int64).reshape(-1, 2)
    beside = [_beside(padded, track[0], track[1]) for track in tracks]
    start = tuple(node_at.get(track[0], -1) for track in tracks)
    end = tuple(node_at.get(track[-1], -1) for track in tracks)
    return CrackMap(
        _pixels(nodes),
        tuple(_pixels(np.array(track)) for track in tracks),
        start,
        end,
        tuple(left for left, _ in beside),
        tuple(right for _, right in beside),
        _loops(tracks, node_at, beside, len(colours)),
        tuple(colours.tolist()),
        regions,
    )


def _pixels(lattice: Ints) -> Floats:
    """Lattice points of the padded array, as column and row in pixels."""
    return lattice[:, ::-1].astype(np.float64) - 1.5


def _ways(padded: Ints) -> NDArray[np.uint8]:
    """For each lattice point, a bit for each direction that a crack leaves it in."""
    rows, columns = padded.shape
    ways = np.zeros((rows + 1, columns + 1), dtype=np.uint8)
    level = np.zeros((rows + 1, columns), dtype=bool)  # from (r, c) to (r, c + 1)
    level[1:-1] = padded[1:] != padded[:-1]
    upright = np.zeros((rows, columns + 1), dtype=bool)  # from (r, c) to (r + 1, c)
    upright[:, 1:-1] = padded[:, 1:] != padded[:, :-1]
    ways[:, :-1] |= level * np.uint8(1 << EAST)
    ways[:, 1:] |= level * np.uint8(1 << WEST)
    ways[:-1] |= upright * np.uint8(1 << SOUTH)
    ways[1:] |= upright * np.uint8(1 << NORTH)
    return ways


def _tracks(ways: NDArray[np.uint8]) -> tuple[list[list[Place]], dict[Place, int]]:
    """Lattice points of each border in order, and the number of each junction."""
    rows, columns = np.nonzero(ways)
    values = ways[rows, columns].tolist()
    bits = dict(zip(zip(rows.tolist(), columns.tolist(), strict=True), values, strict=True))
    crowded = [place for place, each in bits.items() if each.bit_count() > 2]
    node_at = {place: number for number, place in enumerate(crowded)}
    tracks = []
    for place in (*crowded, *list(bits)):
        while bits[place]:
            tracks.append(_walked(bits, place, node_at))
    return tracks, node_at


def _walked(bits: dict[Place, int], start: Place, node_at: dict[Place, int]) -> list[Place]:
    """Lattice points from `start` to the next junction or back; the cracks walked are taken out."""
    place = start
    track = [start]
    while True:
        way = (bits[place] & -bits[place]).bit_length() - 1
        bits[place] &= ~(1 << way)
        place = place[0] + STEPS[way][0], place[1] + STEPS[way][1]
        bits[place] &= ~(1 << (way + 2) % 4)
        track.append(place)
        if place in node_at or place == start:
            return track


def _beside(padded: Ints, at: Place, to: Place) -> Place:
    """The regions left and right of a crack."""
    (row, column), (next_row, next_column) = at, to
    if row == next_row:
        between = min(column, next_column)
        up, down = int(padded[row - 1, between]), int(padded[row, between])
        return (up, down) if next_column > column else (down, up)
    between = min(row, next_row)
    west, east = int(padded[between, column - 1]), int(padded[between, column])
    return (west, east) if next_row < row else (east, west)


def _loops(
    tracks: list[list[Place]],
    node_at: dict[Place, int],
    beside: list[Place],
    count: int,
) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Signed borders around each region, the region on their left, the outer loop first."""
    away: dict[tuple[int, int, int], int] = {}  # junction and direction to the half-edge there
    arriving: dict[int, tuple[int, int, int]] = {}
    for at, track in enumerate(tracks):
        for half, (first, second, before, last) in (
            (at, (track[0], track[1], track[-2], track[-1])),
            (~at, (track[-1], track[-2], track[1], track[0])),
        ):
            if first in node_at:
                away[*first, _way(first, second)] = half
                arriving[half] = (*last, _way(before, last))
    loops: list[list[tuple[float, tuple[int, ...]]]] = [[] for _ in range(count)]
    left = {at: beside[at][0] for at in range(len(tracks))}
    left |= {~at: beside[at][1] for at in range(len(tracks))}
    done: set[int] = set()
    for half in sorted(left, key=lambda each: (max(each, ~each), each < 0)):
        if half in done or left[half] == OUTSIDE:
            continue
        loop = [half]
        while (step := arriving.get(loop[-1])) is not None:
            row, column, way = step
            after = next(
                away[row, column, (way + turn) % 4]
                for turn in (1, 0, 3)
                if (row, column, (way + turn) % 4) in away
            )
            if after == half:
                break
            loop.append(after)
        done.update(loop)
        loops[left[half]].append((_area(loop, tracks), tuple(loop)))
    return tuple(
        tuple(loop for _, loop in sorted(each, key=lambda one: one[0] < 0)) for each in loops
    )


def _way(at: Place, to: Place) -> int:
    return STEPS.index((to[0] - at[0], to[1] - at[1]))


def _area(loop: list[int], tracks: list[list[Place]]) -> float:
    """Positive for a loop to the left; rows run down."""
    total = 0
    for half in loop:
        track = tracks[max(half, ~half)]
        own = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(track))
        total += own if half >= 0 else -own
    return total
