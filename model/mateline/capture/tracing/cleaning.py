"""A label map that borders can be drawn from: no specks, no strips thinner than a border's blur.

Stands in tracing after cracks. Nothing is smoothed: borders are measured in the picture, and the
map only says which colours meet where.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.tracing.cracks import OUTSIDE, regions_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

SPECK = 3.0  # mm²: the least region that is drawn
BLOT = 60.0  # mm²: and where most of its border can't be measured
SHOWN = 0.25  # share of a blot's border that has to be, or paint be seen over
PAINTED = 15.0  # mm²,
MOSTLY = 0.5  # and this share of it,
WITHIN = 4.0  # mm²: with so much of it away from the border, where pixels are not mixed
STRIP = 1  # pixels: what vanishes when so many are taken off all round is no region
AROUND = 8  # pixels around a strip in which its neighbours are looked for
ROUNDS = 8  # specks inside specks


def tidied(numbers: Ints, sound: Bools, paint: Bools, pitch: float) -> Ints:
    """The numbers (rows, columns) with one outside, and specks given to what they touch most.

    `paint`: sound paint is seen there; `sound`: and all around.
    """
    found = _one_piece(numbers)
    for _ in range(ROUNDS):
        regions, colours = regions_of(found)
        small = _small(regions, (sound, paint), len(colours), pitch)
        if not small.any() or small.all():
            break
        strips = small & ~_cored(regions, len(colours))
        if strips.any():
            found = _nearest(found, regions, strips)
            small &= ~strips
            if not small.any():
                continue
            regions, colours = regions_of(found)
            small = _small(regions, (sound, paint), len(colours), pitch)
        found = _given_away(found, regions, small, colours)
    return _unsaddled(found)


def without(numbers: Ints, regions: Ints, gone: Bools) -> Ints:
    """The numbers with some of their regions given to what they touch most."""
    colours = np.zeros(len(gone), dtype=np.int64)
    inside = regions != OUTSIDE
    colours[regions[inside]] = numbers[inside]
    return _unsaddled(_given_away(numbers, regions, gone, colours))


def _one_piece(numbers: Ints) -> Ints:
    """The numbers of the largest area inside, its holes filled from what is nearest."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    inside = numbers != OUTSIDE
    own, many = ndimage.label(inside)
    if many == 0:
        raise ValueError("no pixel is inside the outline")
    if many > 1:
        inside = own == 1 + int(np.argmax(np.bincount(own.ravel())[1:]))
    filled = ndimage.binary_fill_holes(inside)
    found = np.where(inside, numbers, OUTSIDE)
    holes = filled & ~inside
    if holes.any():
        row, column = ndimage.distance_transform_edt(
            ~inside, return_distances=False, return_indices=True
        )
        found[holes] = numbers[row[holes], column[holes]]
    return found.astype(np.int64)


def painted(regions: Ints, paint: Bools, count: int, pitch: float) -> Bools:
    """Which regions are most of them sound paint, and not little of it: no fault of the labels."""
    inside = regions != OUTSIDE
    size = np.bincount(regions[inside], minlength=count)
    seen = np.bincount(regions[inside & paint], minlength=count)
    core = np.bincount(regions[inside & paint & _core(regions)], minlength=count)
    wide = core * pitch * pitch > WITHIN
    found: Bools = wide & (seen * pitch * pitch > PAINTED) & (seen > MOSTLY * size)
    return found


def _small(regions: Ints, seen: tuple[Bools, Bools], count: int, pitch: float) -> Bools:
    sound, paint = seen
    inside = regions != OUTSIDE
    size = np.bincount(regions[inside], minlength=count) * pitch * pitch
    cracks, shown = np.zeros(count), np.zeros(count)
    for one, other, clear in (
        (regions[:, :-1], regions[:, 1:], sound[:, :-1] & sound[:, 1:]),
        (regions[:-1], regions[1:], sound[:-1] & sound[1:]),
    ):
        at = one != other
        for side in (one[at], other[at]):
            own = side != OUTSIDE
            cracks += np.bincount(side[own], minlength=count)
            shown += np.bincount(side[own], weights=clear[at][own], minlength=count)
    blot = (size < BLOT) & (shown < SHOWN * cracks)
    if (blot & (size >= SPECK)).any():
        blot &= ~painted(regions, paint, count, pitch)
    found: Bools = (size < SPECK) | blot
    return found


def _cored(regions: Ints, count: int) -> Bools:
    """Which regions have a pixel whose neighbours all round are in it too."""
    found = np.zeros(count + 1, dtype=bool)
    found[regions[_core(regions)]] = True
    return found[:count]


def _core(regions: Ints) -> Bools:
    """Pixels whose neighbours all round are in the same region."""
    core = np.ones(regions.shape, dtype=bool)
    for axis in (0, 1):
        for step in (1, -1):
            core &= np.roll(regions, step, axis) == regions
    return core


def _nearest(numbers: Ints, regions: Ints, which: Bools) -> Ints:
    """The numbers with some regions taken over by the nearest pixels of others inside."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    gone = np.append(which, False)[regions]
    other = gone | (regions == OUTSIDE)
    found = numbers.copy()
    own, _ = ndimage.label(gone)
    for number, (low, high) in enumerate(ndimage.find_objects(own), start=1):
        # strips are narrow: what is nearest is nearly always in a window around one
        window = tuple(slice(max(0, each.start - AROUND), each.stop + AROUND)
                       for each in (low, high))  # fmt: skip
        mine = own[window] == number
        away, at = ndimage.distance_transform_edt(other[window], return_indices=True)
        if other[window].all() or away[mine].max() >= AROUND:
            window, mine = (slice(None), slice(None)), own == number
            at = ndimage.distance_transform_edt(other, return_distances=False, return_indices=True)
        found[window][mine] = numbers[window][at[0], at[1]][mine]
    return found


def _given_away(numbers: Ints, regions: Ints, small: Bools, colours: Ints) -> Ints:
    """The numbers with each small region in the colour that most of its border is shared with."""
    pairs = []
    for one, other in (
        (regions[:, :-1], regions[:, 1:]),
        (regions[:-1], regions[1:]),
    ):
        at = (one != other) & (one != OUTSIDE) & (other != OUTSIDE)
        pairs += [np.column_stack([one[at], other[at]]), np.column_stack([other[at], one[at]])]
    table = np.vstack(pairs)
    table = table[small[table[:, 0]]]
    if len(table) == 0:
        return numbers
    table[:, 1] = colours[table[:, 1]]
    unique, many = np.unique(table, axis=0, return_counts=True)
    order = np.lexsort((unique[:, 1], -many, unique[:, 0]))
    _, first = np.unique(unique[order, 0], return_index=True)
    to = np.append(colours, OUTSIDE)
    to[unique[order[first], 0]] = unique[order[first], 1]
    return to[regions]


def _unsaddled(numbers: Ints) -> Ints:
    """The numbers without four pixels whose diagonals are alike: regions meet along sides."""
    found = numbers.copy()
    for _ in range(ROUNDS):
        a, b = found[:-1, :-1], found[:-1, 1:]
        c, d = found[1:, :-1], found[1:, 1:]
        at = np.argwhere((a == d) & (b == c) & (a != b))
        if len(at) == 0:
            break
        for row, column in at.tolist():
            if found[row, column] == OUTSIDE:
                found[row + 1, column] = OUTSIDE
            elif found[row + 1, column] == OUTSIDE:
                found[row, column] = OUTSIDE
            else:
                found[row + 1, column] = found[row, column]
    return found
