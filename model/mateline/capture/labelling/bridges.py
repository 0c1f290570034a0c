"""Borders carried through damage: ends that are each other's are joined, near ones first.

Stands after stretches.

    bridge   the way of a border through damage; `joined` if it is seen on both sides of it
    gap      how far apart two ends are, mm

Joining two stretches makes one, whose ends are known better: so a band that ten scratches cross is
one line before the patch that hides a third of it is asked about.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.stretches import Ends, Stretch, ends_of, stretches_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

ROUNDS = (4.0, 12.0, 40.0, 160.0)  # mm: gaps that are bridged
TIMES = 12.0  # lengths of the shorter piece that a gap may have
SLACK = 0.7  # mm: how far two ends may miss each other, and two swings for each mm of gap
WIDEST = 1.0  # rad: how far an arc may turn from its chord
FARTHEST = 160.0  # mm that a border is run on by itself
DRIFT = 8.0  # mm: how unsure the place of a border may get before it is given up
LANDED = 1.6  # mm of known paint after which it has left the damage
PLAIN = 1.2  # mm of paint of one colour that a bridge may cross, for the places of ends are unsure


@dataclass(frozen=True, slots=True, eq=False)
class Bridge:
    """`path` (n, 2) cells, half a cell apart; `drift` (n,) mm: how far off it may be there."""

    path: Floats
    drift: Floats
    joined: bool


def bridges_of(
    share: NDArray[np.float32], known: Bools, inside: Bools, pitch: float
) -> list[Bridge]:
    """All bridges of a picture's cells: `share` of each label, what is `known` of them."""
    stretches = stretches_of(share, known, pitch)
    plain = _plain(share, known)
    found = []
    for gap in ROUNDS:
        ends = ends_of(stretches, pitch)
        pairs = _pairs(ends, gap, pitch)
        kept = []
        for a, b in pairs:
            path = _between(ends, a, b)
            if _crossed(path, plain) * 0.5 * pitch > PLAIN:
                continue
            size = len(path) * 0.5 * pitch
            drift = np.minimum(np.arange(len(path)), np.arange(len(path))[::-1]) * 0.5 * pitch
            found.append(Bridge(path, drift * min(ends.swing[a], ends.swing[b]) * (size > 3), True))
            kept.append((a, b))
        stretches = _linked(stretches, kept)
    ends = ends_of(stretches, pitch)
    for at in np.flatnonzero(ends.told).tolist():
        bridge = _alone(ends, at, (known, plain, inside), pitch)
        if bridge is not None:
            found.append(bridge)
    return found


def _pairs(ends: Ends, gap: float, pitch: float) -> list[tuple[int, int]]:
    """Ends that are each other's, the best fitting first; each in one pair."""
    from scipy.spatial import cKDTree  # noqa: PLC0415  slow to import

    told = np.flatnonzero(ends.told)
    if len(told) < 2:
        return []
    near = cKDTree(ends.at[told]).query_pairs(gap / pitch, output_type="ndarray")
    if not len(near):
        return []
    a, b = told[near.min(axis=1)], told[near.max(axis=1)]
    # a stretch begins where its label's last one stopped, or the label would change hands
    fits = (ends.inside[a] == ends.inside[b]) & (a % 2 != b % 2) & (a // 2 != b // 2)
    fits |= (a // 2 == b // 2) & (ends.length[a] > 4)
    a, b = a[fits], b[fits]
    chord = ends.at[b] - ends.at[a]
    size = np.sqrt((chord**2).sum(axis=1))
    unit = chord / np.maximum(size, 1e-6)[:, None]
    turn_a, turn_b = _angle(ends.way[a], unit), _angle(unit, -ends.way[b])
    # run on, each end should come to the other
    # rounded: angles differ in their last bits from machine to machine
    miss_a = np.round(np.abs(turn_a - ends.bend[a] * size / 2) * size * pitch, 6)
    miss_b = np.round(np.abs(turn_b + ends.bend[b] * size / 2) * size * pitch, 6)
    room_a = SLACK + 2 * np.minimum(ends.swing[a], 0.3) * size * pitch
    room_b = SLACK + 2 * np.minimum(ends.swing[b], 0.3) * size * pitch
    small = size * pitch < 1.5
    good = (
        (miss_a < room_a)
        & (miss_b < room_b)
        & (np.abs(turn_a) < WIDEST)
        & (np.abs(turn_b) < WIDEST)
    )
    facing = (ends.way[a] * ends.way[b]).sum(axis=1) < -0.8
    good |= small & facing
    good &= size * pitch < TIMES * np.minimum(ends.length[a], ends.length[b])
    cost = (miss_a / room_a) ** 2 + (miss_b / room_b) ** 2 + size * pitch / 20
    order = np.lexsort([b[good], a[good], np.round(cost[good], 4)])
    taken: set[int] = set()
    pairs = []
    for at in order:
        one, other = int(a[good][at]), int(b[good][at])
        if one not in taken and other not in taken:
            pairs.append((one, other))
            taken |= {one, other}
    return pairs


def _angle(a: Floats, b: Floats) -> Floats:
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    angle: Floats = np.round(np.arctan2(cross, (a * b).sum(axis=1)), 9)
    return angle


def _between(ends: Ends, a: int, b: int) -> Floats:
    """Hermite's cubic from one end to another, every half cell."""
    p, q = ends.at[a], ends.at[b]
    size = float(np.sqrt(((q - p) ** 2).sum()))
    t = np.linspace(0, 1, int(2 * size) + 2)[:, None]
    m, n = ends.way[a] * size, -ends.way[b] * size
    path: Floats = (
        (2 * t**3 - 3 * t**2 + 1) * p + (t**3 - 2 * t**2 + t) * m
        + (-2 * t**3 + 3 * t**2) * q + (t**3 - t**2) * n
    )  # fmt: skip
    return path


def _plain(share: NDArray[np.float32], known: Bools) -> Bools:
    """Cells that are known and have no border near."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    label = np.where(known, share.argmax(axis=2), -1).astype(np.int8)
    border = (share.max(axis=2) < 0.9) & known
    for axis in (0, 1):
        one = np.moveaxis(label, axis, 0)
        into = np.moveaxis(border, axis, 0)
        differ = (one[1:] != one[:-1]) & (one[1:] >= 0) & (one[:-1] >= 0)
        into[1:] |= differ
        into[:-1] |= differ
    plain: Bools = known & ~ndimage.binary_dilation(border, iterations=2)
    return plain


def _crossed(path: Floats, plain: Bools) -> int:
    where = np.clip(np.round(path).astype(int), 0, np.array(plain.shape) - 1)
    return int(plain[where[:, 0], where[:, 1]].sum())


def _linked(stretches: list[Stretch], pairs: list[tuple[int, int]]) -> list[Stretch]:
    """Stretches with those joined that have a pair of ends; a ring is left as it is."""
    after = {}
    for a, b in pairs:
        stop, begin = (a, b) if a % 2 else (b, a)
        after[stop // 2] = begin // 2
    heads = set(range(len(stretches))) - set(after.values())
    joined = []
    for head in sorted(heads):
        parts, at = [stretches[head].points], head
        while at in after:
            at = after[at]
            parts.append(stretches[at].points)
        joined.append(Stretch(np.vstack(parts), stretches[head].inside))
    return joined


def _alone(ends: Ends, at: int, cells: tuple[Bools, Bools, Bools], pitch: float) -> Bridge | None:
    """An end run on by itself until it leaves the damage or nobody knows where it is."""
    known, plain, inside = cells
    s = np.arange(0, FARTHEST / pitch, 0.5)
    bend, way = ends.bend[at], ends.way[at]
    side = np.array([-way[1], way[0]])
    if bend == 0:
        path = ends.at[at] + s[:, None] * way
    else:
        s = s[np.abs(bend) * s < 2.5]
        path = (ends.at[at] + (np.sin(bend * s) / bend)[:, None] * way
                + ((1 - np.cos(bend * s)) / bend)[:, None] * side)  # fmt: skip
    drift = 0.2 + s * pitch * ends.swing[at]
    path = np.round(path, 6)
    where = np.round(path).astype(int)
    stays = ((where >= 0) & (where < known.shape)).all(axis=1) & (drift < DRIFT)
    stop = len(s) if stays.all() else int(np.argmin(stays))
    free = inside[where[:stop, 0], where[:stop, 1]]
    stop = stop if free.all() else int(np.argmin(free))
    seen = known[where[:stop, 0], where[:stop, 1]]
    if seen.all():
        return None
    begin = int(np.argmin(seen))
    if begin * 0.5 * pitch > 4.0:
        return None
    landed = max(1, int(LANDED / pitch / 0.5))
    clear = plain[where[begin:stop, 0], where[begin:stop, 1]]
    run = np.convolve(clear, np.ones(landed), "valid") >= landed
    stop = begin + int(np.argmax(run)) if run.any() else stop
    return Bridge(path[:stop], drift[:stop], joined=False) if stop > 1 else None
