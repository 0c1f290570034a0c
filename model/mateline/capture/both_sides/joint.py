"""Two damaged sides into one: each side's colours behind its damage, from the other's paint.

Stands last in both sides.

    border points of both -> warp -> what the other says, on each grid -> differences -> labels

What damage hides weighs nothing against paint that is seen. Where both are hidden the guess counts
that is nearer to paint; where both are seen and differ over more than the registration explains,
each side keeps its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.both_sides.border_points import border_points
from mateline.capture.both_sides.carried import PixelMap, carried, pixel_map, told
from mateline.capture.both_sides.differences import Difference, differences
from mateline.capture.both_sides.registration import registered
from mateline.capture.enlarged import enlarged
from mateline.capture.face_picture import FacePicture
from mateline.capture.labels import OUTSIDE, Labels

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.both_sides.border_points import BorderPoints
    from mateline.capture.both_sides.carried import Told
    from mateline.capture.both_sides.registration import Registered
    from mateline.capture.face_picture import Grid

    Floats = NDArray[np.float64]
    Light = NDArray[np.float32]
    Bools = NDArray[np.bool_]

Side = tuple[FacePicture, Labels]

SUREST, LEAST = np.float32(0.9995), np.float32(0.02)
FADES = 12.0  # mm from paint over which a guess is worth less
BESIDE = 1.0  # mm, the same where the other side shows paint
PATCH = 20.0  # mm: light is compared over such squares
DARK = 1e-3  # linear light


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Each side's picture and labels on its own grid, with what the other showed; both label sets
    count the same colours. Where they differ is told in the left face frame.
    """

    left: Side
    right: Side
    differences: tuple[Difference, ...]
    registered: Registered
    axis: float  # mm: x of the left is 2 axis - x of the right, before the warp


def joined(left: Side, right: Side) -> Joined:
    """Both sides with each other's paint.

    Raises UnlikeError where hardly any border of one is on the other.
    """
    colours = (
        *left[1].colours,
        *(each for each in right[1].colours if each not in left[1].colours),
    )
    left, right = (_recounted(side, colours) for side in (left, right))
    axis = (_middle(left[1]) + _middle(right[1])) / 2
    own, other = border_points(*left), border_points(*right).mirrored(axis)
    left_says, right_says = told(left[1]), told(right[1])
    found, laid = _laid((left[1], right[1]), (own, other), axis)
    unlike, apart, from_right = _compared(left_says, right_says, laid[0], (left[1], found))
    if unlike:  # what differs must not draw the warp towards itself
        rest = own.where(~_at(apart, left[1].grid, own.at))
        found, laid = _laid((left[1], right[1]), (rest, other), axis)
        unlike, apart, from_right = _compared(left_says, right_says, laid[0], (left[1], found))
    to_right, to_left = laid
    apart_right = _nearest(apart, to_left)
    from_left = carried(left_says, to_left, OUTSIDE, _off(found, right[1]))
    return Joined(
        _both(left, right, (left_says, from_right), (to_right, apart), found.rms),
        _both(right, left, (right_says, from_left), (to_left, apart_right), found.rms),
        unlike, found, axis,
    )  # fmt: skip


def _laid(
    labels: tuple[Labels, Labels], points: tuple[BorderPoints, BorderPoints], axis: float
) -> tuple[Registered, tuple[PixelMap, PixelMap]]:
    """The warp from the left to the right, and the pixels of each on the other."""
    left, right = labels
    found = registered(*points, _box(left))
    return found, (
        pixel_map(left.grid, right.grid, lambda at: _behind(found.warp.moved(at), axis)),
        pixel_map(right.grid, left.grid, lambda at: found.warp.back(_behind(at, axis))),
    )


def _compared(
    left: Told, right: Told, to_right: PixelMap, side: tuple[Labels, Registered]
) -> tuple[tuple[Difference, ...], Bools, Told]:
    """Where the sides differ, where each keeps its own, and what the right says on the left."""
    labels, found = side
    from_right = carried(right, to_right, OUTSIDE, _off(found, labels))
    unlike, apart = differences(left, from_right, labels.grid, labels.colours, found.rms)
    return unlike, apart, from_right


def _off(found: Registered, labels: Labels) -> float:
    """How far a border of one side may be off on the other, mm: a pixel's own width counts too."""
    return float(np.hypot(found.rms, labels.grid.pitch / 2))


def _at(mask: Bools, grid: Grid, places: Floats) -> Bools:
    """What a mask says at places, mm."""
    pixels = np.floor(grid.pixels(places) + 0.5).astype(np.int64)
    row = np.clip(pixels[:, 1], 0, grid.rows - 1)
    column = np.clip(pixels[:, 0], 0, grid.columns - 1)
    found: Bools = mask[row, column]
    return found


def _recounted(side: Side, colours: tuple[str, ...]) -> Side:
    """A side whose labels count `colours`; a paint that it lacks is black."""
    picture, labels = side
    number = np.array([*(colours.index(each) for each in labels.colours), OUTSIDE], dtype=np.int16)
    paints = np.zeros((len(colours), 3), dtype=np.float32)
    paints[number[:-1]] = labels.paints
    return picture, replace(labels, colours=colours, numbers=number[labels.numbers], paints=paints)


def _box(labels: Labels) -> tuple[float, float, float, float]:
    """Left, low, right and up of what is inside the outline, mm."""
    inside = labels.numbers != OUTSIDE
    rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    corners = np.array([
        (columns[0] - 0.5, rows[-1] + 0.5), (columns[-1] + 0.5, rows[0] - 0.5),
    ])  # fmt: skip
    (left, low), (right, up) = labels.grid.places(corners).tolist()
    return left, low, right, up


def _middle(labels: Labels) -> float:
    left, _, right, _ = _box(labels)
    return (left + right) / 2


def _behind(places: Floats, axis: float) -> Floats:
    return np.column_stack([2 * axis - places[:, 0], places[:, 1]])


def _nearest(mask: Bools, by: PixelMap) -> Bools:
    row, column, there = by.nearest(mask.shape)
    found: Bools = mask[row, column] & there
    return found


def _both(
    side: Side,
    other: Side,
    says: tuple[Told, Told],
    where: tuple[PixelMap, Bools],
    rms: float,
) -> Side:
    """One side with what the other says, but where they differ."""
    picture, labels = side
    own, theirs = says
    by, apart = where
    numbers, sureness = _decided(own, theirs, len(labels.colours))
    theirs_count = ~apart & (theirs.numbers != OUTSIDE) & (labels.numbers != OUTSIDE)
    numbers = np.where(theirs_count, numbers, labels.numbers).astype(np.int16)
    sureness = np.where(theirs_count, sureness, labels.sureness).astype(np.float32)
    sound = labels.sound | (theirs.sound & theirs_count)
    paints = labels.paints.copy()
    lacking = ~paints.any(axis=1)
    paints[lacking] = other[1].paints[lacking]
    shown = theirs.sound & theirs_count & (theirs.numbers == numbers)
    light, error = _lit(side, other[0], by, (own.sound & (own.numbers == numbers), shown), rms)
    return (
        replace(picture, light=light, error=error),
        replace(labels, numbers=numbers, sound=sound, sureness=sureness, paints=paints),
    )


def _decided(own: Told, theirs: Told, count: int) -> tuple[NDArray[np.int16], Light]:
    """The likelier colour of each pixel and how sure it is, by Bayes' rule: each side is right by
    its sureness, and wrong by any other colour alike. What damage hides weighs nothing where the
    other side shows paint.
    """
    even = np.float32(1 / max(2, count))
    one = _worth(own, theirs, even)
    two = _worth(theirs, own, even)
    others = np.float32(max(1, count - 1))
    same = own.numbers == theirs.numbers
    for_one = np.where(same, one * two, one * (1 - two) / others)
    for_two = np.where(same, 0, two * (1 - one) / others)
    rest = np.where(
        same, (1 - one) * (1 - two) / others, (1 - one) * (1 - two) * (others - 1) / others**2
    )
    total = for_one + for_two + rest
    chosen = np.round(for_two, 4) > np.round(for_one, 4)
    numbers = np.where(chosen, theirs.numbers, own.numbers)
    return numbers, np.where(chosen, for_two, for_one) / total


def _worth(side: Told, other: Told, even: np.float32) -> Light:
    """How far a side's word counts: as its sureness, less where it guesses far from paint, and
    hardly where it guesses and the other side sees.
    """
    fades = np.where(other.sound, np.float32(BESIDE), np.float32(FADES))
    guess = even + np.maximum(side.sureness - even, 0) * np.exp(-side.away / fades)
    worth = np.where(side.sound, side.sureness, guess)
    return np.clip(worth, LEAST, SUREST).astype(np.float32)


def _lit(
    side: Side, other: FacePicture, by: PixelMap, shown: tuple[Bools, Bools], rms: float
) -> tuple[Light, NDArray[np.float32] | float]:
    """The light of one side where only it shows sound paint, the other's where only that does, as
    this side's light would show it, and the mean of both where both do; and the error of places.
    """
    picture, labels = side
    mine, theirs = shown
    both = mine & theirs
    size = max(1, round(PATCH / labels.grid.pitch))
    light = picture.light.copy()
    for band in range(3):
        carried_light = by.between(other.light[..., band])
        gain = _gain(picture.light[..., band], carried_light, both, size)
        carried_light *= gain
        light[..., band] = np.where(both, (light[..., band] + carried_light) / 2, light[..., band])
        light[..., band] = np.where(theirs & ~mine, carried_light, light[..., band])
    error = np.broadcast_to(np.asarray(picture.error, dtype=np.float32), mine.shape)
    alone = np.hypot(error, np.float32(rms)).astype(np.float32)
    return light, np.where(theirs & ~mine, alone, error).astype(np.float32)


def _gain(own: Light, other: Light, both: Bools, size: int) -> Light:
    """How much lighter this side's picture is than the other's, smoothly over the face."""
    rows, columns = -(-own.shape[0] // size), -(-own.shape[1] // size)
    sums = []
    for values in (own, other):
        full = np.zeros((rows * size, columns * size), dtype=np.float32)
        full[: own.shape[0], : own.shape[1]] = np.where(both, values, 0)
        sums.append(full.reshape(rows, size, columns, size).sum(axis=(1, 3)))
    return _spread(sums[0], sums[1], own.shape, size)


def _spread(over: Light, under: Light, shape: tuple[int, ...], size: int) -> Light:
    from scipy import ndimage  # noqa: PLC0415  slow to import

    total = float(under.sum())
    usual = float(over.sum()) / total if total > 0 else 1.0
    hold = max(total / under.size / 10, DARK)  # squares without paint take the usual
    over = ndimage.gaussian_filter(over + np.float32(usual * hold), 1.0, mode="nearest")
    under = ndimage.gaussian_filter(under + np.float32(hold), 1.0, mode="nearest")
    return enlarged(over / under, size, shape)
