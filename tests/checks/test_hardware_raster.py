"""The hardware check against brute force: the same faces painted and labelled pixel by pixel.

Nothing here uses the pattern, shapely's overlays or the chains of holes: colours are painted back
to front on pixel centres, holes are distance formulas, regions are connected pixels. A case counts
only where a hole half a millimetre larger or smaller makes no difference to the raster's answer,
which is what the raster can know.
"""

import math
from collections import Counter

import numpy as np
from scipy import ndimage
from shapely import Point, Polygon, box, contains_xy

from mateline.cabinet.hole import Hole
from mateline.checks.hardware import check
from specimens import BOARD, stencil, subject

WIDE, HIGH = 180.0, 130.0
PIXEL = 0.5  # mm
DOUBT = 0.75  # mm: a pixel's diagonal and a facet
SPECK = 20  # pixels: a part smaller than this may be an artefact

XS, YS = np.meshgrid(
    np.arange(PIXEL / 2, WIDE, PIXEL), np.arange(PIXEL / 2, HIGH, PIXEL), indexing="xy"
)


def random_shapes(rng):
    """A few shapes of two colours over the base coat."""
    shapes = []
    for _ in range(rng.integers(2, 6)):
        colour = ("blue", "red", "cream")[rng.integers(3)]
        x, y = rng.uniform(0, WIDE), rng.uniform(0, HIGH)
        kind = rng.integers(3)
        if kind == 0:
            half = rng.uniform(5, 15)
            area = box(x - 150, y - half, x + 60, y + half)
        elif kind == 1:
            area = Point(x, y).buffer(rng.uniform(4, 30), quad_segs=32)
        else:
            turn = rng.uniform(0, math.tau) + np.array([0.0, 2.1, 4.2])
            reach = rng.uniform(15, 90)
            area = Polygon(np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)]))
        shapes.append((area, colour))
    return shapes


def random_holes(rng, shapes):
    """Up to three holes, half of them near the middle of a shape."""
    holes = []
    for number in range(rng.integers(1, 4)):
        kind = ("round", "rectangle", "slot")[rng.integers(3)]
        width = rng.uniform(5, 25)
        length = width if kind == "round" else width + rng.uniform(0, 40)
        centre = (rng.uniform(5, WIDE - 5), rng.uniform(5, HIGH - 5))
        if rng.integers(2):
            middle = shapes[rng.integers(len(shapes))][0].centroid
            near = (middle.x + rng.normal(0, 3), middle.y + rng.normal(0, 3))
            centre = near if 5 < near[0] < WIDE - 5 and 5 < near[1] < HIGH - 5 else centre
        stays = bool(rng.integers(2))
        turn = 0.0 if kind == "round" else rng.uniform(0, math.pi)
        margin = rng.uniform(0, 4) if stays else 0.0
        holes.append(
            Hole(f"h{number}", kind, centre, length, width, turn, stays=stays, margin=margin)
        )
    return holes


def beyond(hole):
    """Distance of each pixel's centre from the hole's edge, negative inside."""
    x, y = XS - hole.centre[0], YS - hole.centre[1]
    if hole.kind == "round":
        return np.hypot(x, y) - hole.width / 2
    cos, sin = math.cos(hole.turn), math.sin(hole.turn)
    across, up = np.abs(x * cos + y * sin), np.abs(y * cos - x * sin)
    if hole.kind == "slot":
        return np.hypot(np.maximum(across - (hole.length - hole.width) / 2, 0), up) - hole.width / 2
    over = np.stack([across - hole.length / 2, up - hole.width / 2])
    return np.hypot(*np.maximum(over, 0)) + np.minimum(over.max(axis=0), 0)


def labelled(shapes):
    """Connected pixels of one colour, numbered from 0."""
    colours = np.zeros(XS.shape, dtype=int)
    for area, colour in shapes:
        colours[contains_xy(area, XS, YS)] = ("cream", "blue", "red").index(colour)
    labels, count = np.full(XS.shape, -1), 0
    for colour in range(3):
        numbers, found = ndimage.label(colours == colour)
        labels[numbers > 0] = numbers[numbers > 0] - 1 + count
        count += found
    return labels, count


def firm(answers):
    """The answer if all agree, else None."""
    return answers[0] if all(answer == answers[0] for answer in answers) else None


def parts_of(region, kept):
    """How many parts of more than a speck are left, or None where specks are."""
    numbers, _ = ndimage.label(region & ~kept)
    sizes = np.bincount(numbers.ravel())[1:]
    return int((sizes > SPECK).sum()) if not ((sizes > 0) & (sizes <= SPECK)).any() else None


def brute_kept(labels, count, holes):
    """(codes by region) of what stays: numbers of splits and swallows, or None where in doubt."""
    fields = [beyond(hole) - hole.margin for hole in holes if hole.stays]
    total = Counter()
    for number in range(count):
        region = labels == number
        met = [field for field in fields if (region & (field < DOUBT)).any()]
        if not met:
            continue
        parts = firm(
            [
                parts_of(region, np.any([field < grow for field in met], axis=0))
                for grow in (-DOUBT, 0.0, DOUBT)
            ]
        )
        if parts is None:
            return None
        total["hole-splits-piece"] += parts > 1
        total["hole-swallows-piece"] += parts == 0
    return total


def brute_open(labels, holes):
    """Names of open holes under two regions; None where in doubt."""
    names = set()
    for hole in holes:
        if not hole.stays:
            field = beyond(hole)
            several = firm([len(np.unique(labels[field < grow])) > 1 for grow in (-DOUBT, DOUBT)])
            if several is None:
                return None
            if several:
                names.add(hole.name)
    return names


def brute_thin(labels, hole, holes):
    """Whether a hole wholly inside one region leaves too little beside it; None where in doubt."""
    field = beyond(hole) - hole.margin
    around = np.unique(labels[field < DOUBT])
    touches_rim = (field[[0, -1]] < DOUBT).any() or (field[:, [0, -1]] < DOUBT).any()
    if len(around) != 1 or touches_rim:
        return None
    other = labels != around[0]
    for each in holes:
        if each is not hole and each.stays:
            kept = beyond(each) - each.margin
            if (kept + field).min() < 2 * DOUBT:
                return None  # they may run into one another
            other |= kept < 0
    rim = np.minimum.reduce([XS, WIDE - XS, YS, HIGH - YS])
    to_other = ndimage.distance_transform_edt(~other) * PIXEL if other.any() else np.inf
    gap = np.minimum(np.where(field < 0, np.minimum(to_other, rim), np.inf).min(), np.inf)
    least = BOARD.least_width
    return None if abs(gap - least) < 2 * DOUBT else bool(gap < least)


def agreed(seed, told):
    """Compare one random face; `told` counts what was compared."""
    rng = np.random.default_rng(seed)
    shapes = random_shapes(rng)
    holes = random_holes(rng, shapes)
    labels, count = labelled(shapes)
    if count == 1:
        return
    findings = check(subject(stencil(shapes, *holes, size=(WIDE, HIGH))))
    kept = brute_kept(labels, count, holes)
    if kept is not None:
        stops = {
            (labels[int(each.at[1] / PIXEL), int(each.at[0] / PIXEL)], each.code)
            for each in findings
            if each.level == "stop"
        }
        assert Counter(code for _, code in stops) == +kept, seed
        told.update(kept)
    across = brute_open(labels, holes)
    if across is not None:
        assert {e.hardware for e in findings if e.code == "border-over-hole"} == across, seed
        told["border-over-hole"] += len(across)
        told["no border"] += not across
    for hole in holes:
        thin = brute_thin(labels, hole, holes) if hole.stays else None
        if thin is not None:
            named = [each for each in findings if each.code == "hole-thins-piece"]
            assert any(f"“{hole.name}”" in each.message for each in named) == thin, (seed, hole)
            told["hole-thins-piece" if thin else "thick"] += 1


def test_the_check_agrees_with_pixels():
    told = Counter()
    for seed in range(180):
        agreed(seed, told)
    assert told["hole-splits-piece"] >= 5
    assert told["hole-swallows-piece"] >= 2
    assert told["hole-thins-piece"] >= 5
    assert told["border-over-hole"] >= 20
    assert told["thick"] >= 10
    assert told["no border"] >= 10
