"""Where along a course one line or arc ends and the next begins: as few as its errors explain.

Stands in fitting after courses. A shortest path over breakpoints: a step from one to a later one
costs the weighted sum of squares (chi²) of the best line or arc for the places between them, and a
price for the segment. Sums of squares come from prefix sums of the places' moments.

A picture's blur rounds corners off, so places within `CORNER` of a breakpoint do not count.

Fits of circles: the algebraic distance A (x² + y²) + B x + C y + D over its slope on the circle,
sqrt(B² + C² - 4 A D) (V. Pratt, Direct least-squares fitting of algebraic surfaces, 1987), for
the least sums with C = 1 across the stretch (flat arcs) and with A = 1 (round ones).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

LINE, ARC = 30.0, 46.0  # chi²: what a segment has to be worth; an arc is a line bent by 4 sigma
CORNER = 2  # places: so many beside a breakpoint belong to neither segment
MOST = 260  # breakpoints tried at even steps along a course, and all near a corner
SHARP = 0.12  # rad: turn between places before and after that may be a corner
WINDOW = 6  # places to tell a turn by
GUESSED = 1.0  # mm: places of a larger error don't tell
BEND = 6  # places that do: fewer make no arc
FLATTEST = 1 / 1900  # half the turn of the flattest arc, as in borders
FINEST = 1e-3  # chi²: costs that differ by less are the same
BETWEEN, ASIDE, SHARE = 3, 70, 0.35  # stretches between two lines, their places, and those to the
#  lines' own; mm that a scratch may have moved them by, and that labels may be off behind damage
HAIR, RAGGED = 0.25, 1.0
WEAK = 0.35  # mm: places of such errors are not measured; only the labels tell of them
SAME = 0.02  # mm: and how much farther from one line than from two the places of both may be, rms
UNKNOWN = 1e12  # chi²: a stretch that no segment stands for


@dataclass(frozen=True, slots=True)
class Stretch:
    """Places `first` up to (without) `last` of a course stand for one segment: a line or an arc.
    In a ring places go on counting beyond the last one.
    """

    first: int
    last: int
    round: bool


@dataclass(frozen=True, slots=True, eq=False)
class Leave:
    """What segments cost all of whose places are in `where` (n,): `price` is a share of what they
    have to be worth elsewhere, `straight` allows lines only.
    """

    where: Bools
    price: float
    straight: bool


def stretches(
    places: Floats, errors: Floats, *, ring: bool, leave: Leave | None = None
) -> list[Stretch]:
    """The segments of a course, in order. A ring that is one circle is one round stretch."""
    count = len(places)
    if count < 4:
        return [Stretch(0, count, round=False)]
    if not ring:
        return _cheapest(places, errors, leave, ring=False)[0]
    start = int(np.argmax(np.round(np.abs(_turns(places, ring=True)), 6)))
    found, cost = _turned(places, errors, start, leave)
    if len(found) > 1:
        # The start may be no corner: from a joint that was found, there may be one less.
        joint = found[len(found) // 2].first % count
        other, less = _turned(places, errors, joint, leave)
        if less < cost:
            found, cost = other, less
    price = ARC if leave is None or not leave.where.all() else _arc_of(leave)
    if circle_cost(places, errors) + price <= cost + FINEST * min(price, ARC):
        return [Stretch(0, count, round=True)]
    if len(found) == 1:  # a ring has two corners at least
        first, last = found[0].first, found[0].last
        middle = (first + last) // 2
        return [Stretch(first, middle, found[0].round), Stretch(middle, last, found[0].round)]
    return found


def circle_cost(places: Floats, errors: Floats) -> float:
    """The chi² of the best whole circle."""
    sums = _sums(places, errors)
    _, whole = _costs(sums[None, -1] - sums[None, 0])
    return float(whole[0])


def _arc_of(leave: Leave) -> float:
    """What an arc costs that the leave is for."""
    return np.inf if leave.straight else leave.price * ARC


def _turned(
    places: Floats, errors: Floats, start: int, leave: Leave | None
) -> tuple[list[Stretch], float]:
    """The cheapest way round a ring from one of its places."""
    order = (np.arange(len(places)) + start) % len(places)
    if leave is not None:
        leave = replace(leave, where=leave.where[order])
    found, cost = _cheapest(places[order], errors[order], leave, ring=True)
    return [Stretch(each.first + start, each.last + start, each.round) for each in found], cost


def _cheapest(
    places: Floats, errors: Floats, leave: Leave | None, *, ring: bool
) -> tuple[list[Stretch], float]:
    """The cheapest stretches and their cost; a `ring` has a corner where it starts, too."""
    count = len(places)
    sums = _sums(places, errors)
    at = _candidates(places)
    # Between breakpoints i < j: places from `low` up to `high` count.
    low = np.minimum(at + np.where((at > 0) | ring, CORNER, 0), count)
    high = np.maximum(at - np.where((at < count) | ring, CORNER, 0), 0)
    one, other = np.triu_indices(len(at), 1)
    few = high[other] - low[one]
    enough = few >= 1
    line, arc = np.zeros(len(one)), np.full(len(one), np.inf)
    line[enough], arc[enough] = _costs(sums[high[other[enough]]] - sums[low[one[enough]]])
    known = np.append(0, np.cumsum(errors < GUESSED))
    arc[(few < 4) | (known[high[other]] - known[low[one]] < BEND)] = np.inf
    line[few < 3] = 0.0
    line, arc = line + LINE, arc + ARC
    if leave is not None:
        there = np.append(0, np.cumsum(leave.where))
        own = there[at[other]] - there[at[one]] == at[other] - at[one]
        line[own] -= (1 - leave.price) * LINE
        arc[own] = np.inf if leave.straight else arc[own] - (1 - leave.price) * ARC
    cost = np.full((len(at), len(at)), UNKNOWN)
    cost[other, one] = np.round(np.minimum(line, arc) / FINEST) * FINEST
    bent = np.zeros((len(at), len(at)), dtype=bool)
    bent[other, one] = arc < line
    tight = at[None, :] + 2 * CORNER + 1 > at[:, None]  # no room for a segment
    tight[-1, 0] = False
    cost[tight] = UNKNOWN
    best, came = np.zeros(len(at)), np.zeros(len(at), dtype=np.int64)
    for to in range(1, len(at)):
        whole = best[:to] + cost[to, :to]
        came[to] = int(np.argmin(whole))
        best[to] = whole[came[to]]
    found = []
    to = len(at) - 1
    while to > 0:
        found.append(Stretch(int(at[came[to]]), int(at[to]), bool(bent[to, came[to]])))
        to = int(came[to])
    ways = found[::-1]
    return _lines_gone_on(ways, places, errors, sums), float(best[-1])


def _lines_gone_on(
    found: list[Stretch], places: Floats, errors: Floats, sums: Floats
) -> list[Stretch]:
    """The stretches, lines that go on in one another beyond short ones as one: what a scratch that
    no label knows of has moved by a hair is no part of the art.
    """
    made = list(found)
    beside = np.where(errors < WEAK, HAIR, RAGGED)
    at = 0
    while at < len(made) - 2:
        for to in range(min(at + BETWEEN + 1, len(made) - 1), at + 1, -1):
            one, other = made[at], made[to]
            if not (one.round or other.round) and _goes_on((one, other), places, beside, sums):
                made[at : to + 1] = [Stretch(one.first, other.last, round=False)]
                break
        else:
            at += 1
    return made


def _goes_on(lines: tuple[Stretch, Stretch], places: Floats, beside: Floats, sums: Floats) -> bool:
    """Whether two lines are one for their places, and those between them as far `beside` it at the
    most, mm.
    """
    one, other = lines
    low, high = one.last - CORNER, other.first + CORNER
    own = one.last - one.first + other.last - other.first
    if high - low > min(ASIDE, own * SHARE) or min(low - one.first, other.last - high) < WINDOW:
        return False
    parts = np.stack([sums[low] - sums[one.first], sums[other.last] - sums[high]])
    alone = _costs(parts)[0].sum()
    together = float(_costs(parts.sum(axis=0)[None])[0][0])
    more = together - float(alone)
    if round(more, 3) > LINE and round(more / float(parts[:, 0].sum()), 9) > SAME**2:
        return False
    line = np.vstack([places[one.first : low], places[high : other.last]])
    middle = line.mean(axis=0)
    (xx, xy), (_, yy) = (line - middle).T @ (line - middle)
    turn = np.arctan2(xy, (xx - yy) / 2) / 2
    across = (places[low:high] - middle) @ np.array([-np.sin(turn), np.cos(turn)])
    return bool((np.round(np.abs(across), 6) <= beside[low:high]).all())


def _candidates(places: Floats) -> Ints:
    count = len(places)
    chosen = np.zeros(count + 1, dtype=bool)
    chosen[:: max(1, -(-count // MOST))] = True
    turn = np.abs(_turns(places, ring=False))
    chosen[1:-1] |= turn[1:] > SHARP
    chosen[[0, count]] = True
    return np.flatnonzero(chosen)


def _turns(places: Floats, *, ring: bool) -> Floats:
    """Angle turned at each place, between the means of the places around it."""
    count = len(places)
    wide = min(WINDOW, max(1, (count - 1) // 2))
    index = np.arange(count)[:, None]
    back, ahead = index - 1 - np.arange(wide), index + 1 + np.arange(wide)
    if ring:
        back, ahead = back % count, ahead % count
    else:
        back, ahead = np.maximum(back, 0), np.minimum(ahead, count - 1)
    before = places - places[back].mean(axis=1)
    after = places[ahead].mean(axis=1) - places
    across = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    found: Floats = np.arctan2(across, (before * after).sum(axis=1))
    return found


def _sums(places: Floats, errors: Floats) -> Floats:
    """Weighted sums of 1, x, y, x x, x y, y y, q, q x, q y and q q, q = x x + y y, over all places
    before each one (n + 1, 10), about their middle.
    """
    x, y = (places - places.mean(axis=0)).T
    q = x * x + y * y
    one = np.ones(len(x))
    table = np.column_stack([one, x, y, x * x, x * y, y * y, q, q * x, q * y, q * q])
    table /= (errors * errors)[:, None]
    return np.vstack([np.zeros((1, 10)), np.cumsum(table, axis=0)])


def _costs(sums: Floats) -> tuple[Floats, Floats]:
    """The chi² of the best line and of the best arc for each row of sums."""
    w, sx, sy, sxx, sxy, syy, sq, sqx, sqy, sqq = sums.T
    a, b = sx / w, sy / w
    c = a * a + b * b
    # About their own middle: u = x - a, v = y - b, q = x x + y y - 2 a x - 2 b y + c.
    uu, uv, vv = sxx - a * sx, sxy - a * sy, syy - b * sy
    own = np.maximum(uu + vv, 0.0)
    qu = sqx - a * sq - 2 * a * (sxx - a * sx) - 2 * b * (sxy - a * sy)
    qv = sqy - b * sq - 2 * a * (sxy - b * sx) - 2 * b * (syy - b * sy)
    qq = (
        sqq + 4 * a * a * sxx + 4 * b * b * syy + c * c * w - 4 * a * sqx - 4 * b * sqy
        + 2 * c * sq + 8 * a * b * sxy - 4 * a * c * sx - 4 * b * c * sy
    )  # fmt: skip
    # Along and across the stretch.
    half = np.hypot((uu - vv) / 2, uv)
    turn = np.arctan2(uv, (uu - vv) / 2) / 2
    cos, sin = np.cos(turn), np.sin(turn)
    long = np.maximum(own / 2 + half, 1e-300)
    thin = np.maximum(own / 2 - half, 0.0)
    ql, qt = qu * cos + qv * sin, qv * cos - qu * sin
    mean = own / w
    spread = np.maximum(qq - own * mean, 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        rest = long * spread - ql * ql
        bend = long * qt / rest
        tilt = -ql * qt / rest
        flat = (thin - bend * qt) / (1 + tilt * tilt + 4 * bend * bend * mean)
        # u, v and q alone: 2 R across is the slope of q - a u - b v - mean on its circle.
        p, r = ql / long, qt / np.maximum(thin, 1e-300)
        full = (spread - p * ql - r * qt) / (p * p + r * r + 4 * mean)
        # A bend is a half of 1 / R here, and the stretch about sqrt(12 long / w) in length.
        faint = np.abs(bend) * np.sqrt(12 * long / w) < FLATTEST
    flat = np.where(np.isfinite(flat) & ~faint, np.maximum(flat, 0.0), np.inf)
    full = np.where(np.isfinite(full), np.maximum(full, 0.0), np.inf)
    return thin, np.where(faint, np.inf, np.minimum(flat, full))
