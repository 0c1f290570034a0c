"""Arcs of loose stretches made tangent to each other, and to the exact arcs and lines beside them.

Stands after arc_fitting, in refit. All arcs of a stretch are bent together: each joint may leave
its vertex across the border, and all directions at joints may turn, as little as tangency needs.

An arc that starts in direction s and ends in direction e has a chord of direction (s + e) / 2
(tangents make equal angles with a chord, elementary). So with one direction at each joint every
arc gives one equation, s + e = 2 phi. Newton's method solves them with the least weighted
squares of all changes. An arc shares joints with its two neighbours only, so the matrix of the
multipliers has three diagonals.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.arc_fitting import bows_of, deviations, joined, longest, together, too_flat

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_fitting import Bows

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

STEPS = 6  # of Newton's method, which doubles its digits from a start within 0.1 rad
SPLITS = 3  # rounds of halving arcs that can't follow
SHARES = (0.8, 0.6, 0.45, 0.35)  # of the tolerance: how near to their vertices arcs begin instead
SOLVED = 1e-9  # rad: a joint that kinks by no more is tangent
LEASH = 4  # times the tolerance: a joint goes no farther, even on the way to its place
RIDGE = 1e-10  # share added to the diagonal, so that rounding can't make the matrix singular
SHORTEST = 1e-9  # mm: a chord to divide by
MANY = 300  # rows that it takes longer to work on than to leave out
STRAIGHT = 2e-7  # rad: an arc that turns by no more than twice this is written as a line


@dataclass(frozen=True, slots=True)
class Ends:
    """One row a segment: what is known of the directions at its two ends.

    `linked` says that it ends at a smooth joint with the segment in the next row; `before` and
    `after` are directions that are given, radians, and not a number where none is.
    """

    linked: Bools
    before: Floats
    after: Floats

    def rows(self, which: Ints) -> Ends:
        """Some of the segments."""
        return Ends(*(getattr(self, each.name)[which] for each in fields(self)))


def tangent(points: Floats, bows: Bows, ends: Ends, tolerance: float) -> Bows:
    """The segments `bows` bent until they are tangent at linked joints and in given directions.

    Rows that are linked are a stretch. Arcs that use up the tolerance have no room to bend, so a
    stretch that can't follow its vertices is tried again with shorter ones, and the fewest win.
    Where nothing helps (a facet or two between two given directions) the fit wins, and a joint
    keeps its kink. Rows come in the order of their vertices.
    """
    stretch = np.cumsum(np.append(0, ~ends.linked[:-1]))
    number = int(stretch[-1]) + 1
    any_number = np.full(number, len(points))
    made, home, at_once = _followed(points, (bows, ends, stretch), any_number, tolerance)
    left = np.setdiff1d(np.arange(number), at_once)
    if len(left):
        shorter = _shorter(points, (bows, ends, stretch), left, tolerance)
        rows = np.bincount(home, minlength=number)
        most = np.where(rows > 0, rows - 1, any_number)
        other, of, _ = _followed(points, shorter, most, tolerance)
        both = (made, other), (home, of + number)
        made, home = _fewest(both, number, 1 + len(SHARES))
    lost = np.flatnonzero(~np.isin(stretch, home))
    if len(lost):
        made = joined(made, _kinked(points, bows.rows(lost), ends.rows(lost), tolerance))
    return joined(made)


def _fewest(
    tried: tuple[tuple[Bows, ...], tuple[Ints, ...]], number: int, times: int
) -> tuple[Bows, Ints]:
    """Of the trials of each stretch the one that has the fewest rows: stretch k's are k, number +
    k, 2 number + k and so on.
    """
    home = np.concatenate(tried[1])
    many = np.bincount(home, minlength=number * times).reshape(times, number)
    best = np.argmin(np.where(many > 0, many, np.iinfo(np.int64).max), axis=0)
    chosen = best[home % number] == home // number
    return together(*tried[0]).rows(np.flatnonzero(chosen)), home[chosen] % number


def _shorter(
    points: Floats, whole: tuple[Bows, Ends, Ints], wanted: Ints, tolerance: float
) -> tuple[Bows, Ends, Ints]:
    """The wanted stretches in segments within all shares of the tolerance, a trial each; numbered
    as `_fewest` has them.
    """
    bows, ends, stretch = whole
    shares = np.repeat(SHARES, len(wanted))
    trial = np.repeat(np.arange(len(SHARES)), len(wanted))
    first = np.tile(np.searchsorted(stretch, wanted), len(SHARES))
    last = np.tile(np.searchsorted(stretch, wanted, side="right") - 1, len(SHARES))
    joint, home = longest(points, bows.first[first], bows.last[last], shares * tolerance)
    times = np.bincount(home, minlength=len(first))
    final = np.cumsum(times) - 1
    start = np.append(0, joint[:-1])
    start[final - times + 1] = bows.first[first]
    linked = np.ones(len(joint), dtype=bool)
    linked[final] = False
    before, after = np.full(len(joint), np.nan), np.full(len(joint), np.nan)
    before[final - times + 1], after[final] = ends.before[first], ends.after[last]
    made = bows_of(points, start, joint, tolerance)
    number = int(stretch[-1]) + 1
    return made, Ends(linked, before, after), (trial * number + np.tile(wanted, len(SHARES)))[home]


def _followed(
    points: Floats, whole: tuple[Bows, Ends, Ints], most: Ints, tolerance: float
) -> tuple[Bows, Ints, Ints]:
    """Stretches that could be bent, some of their segments halved: rows and their stretches, and
    the stretches that needed no halving.

    What gets more than `most` rows is given up, and what gets more than another trial of the same
    stretch has done with (numbers as `_fewest` has them): halving never makes them fewer.
    """
    bows, ends, home = whole
    nothing = home[:0]
    done, homes, lost, at_once = [bows.rows(nothing)], [nothing], [nothing], nothing
    for attempt in range(SPLITS + 1):
        many, most = _counted(np.concatenate([*homes, home]), np.concatenate([*lost, home]), most)
        beaten = many[home] > most[home % len(most)]
        if beaten.any():
            lost.append(home[beaten])
            kept = np.flatnonzero(~beaten)
            bows, ends, home = bows.rows(kept), ends.rows(kept), home[kept]
        if len(home) == 0:
            break
        bent, good, fine = _bent_and_judged(points, bows, ends, tolerance)
        flat = fine & too_flat(bent)
        if flat.any():
            ends, frozen = _frozen(points, bows, ends, flat)
            bows = replace(
                bows, sin=np.where(frozen, 0.0, bows.sin), cos=np.where(frozen, 1.0, bows.cos)
            )
            bent, good, fine = _bent_and_judged(points, bows, ends, tolerance)
            fine = _all_good(ends, good & ~too_flat(bent))
        done.append(bent.rows(np.flatnonzero(fine)))
        homes.append(home[fine])
        left = np.flatnonzero(~fine)
        if attempt == 0:
            at_once = np.setdiff1d(home, home[left])
        bows, ends, home = bows.rows(left), ends.rows(left), home[left]
        if attempt == SPLITS:
            break
        halved = ~good[left] & (bows.last - bows.first > 1)
        bows, ends, row = _halved(bows, ends, halved, linked=True)
        home = home[row]
        bows = bows_of(points, bows.first, bows.last, tolerance)
    of, left_over = np.concatenate(homes), np.concatenate([*lost, home])
    kept = np.flatnonzero(~np.isin(of, left_over))
    return together(*done).rows(kept), of[kept], at_once


def _counted(homes: Ints, left: Ints, most: Ints) -> tuple[Ints, Ints]:
    """How many rows each trial of a stretch has, and the most that one may have, now that only
    some of them are `left` or lost.
    """
    many = np.bincount(homes)
    over = np.flatnonzero((many > 0) & ~np.isin(np.arange(len(many)), left))
    most = most.copy()
    np.minimum.at(most, over % len(most), many[over])
    return many, most


def _frozen(points: Floats, bows: Bows, ends: Ends, which: Bools) -> tuple[Ends, Bools]:
    """Rows made lines between their vertices, and every other one beside another such row not;
    what meets them has to have their directions.
    """
    beside = np.append(False, which[:-1] & ends.linked[:-1])
    which = which & ~beside
    chord = points[bows.last] - points[bows.first]
    along = np.arctan2(chord[:, 1], chord[:, 0])
    linked, before, after = ends.linked.copy(), ends.before.copy(), ends.after.copy()
    rows = np.flatnonzero(which)
    ahead = rows[linked[rows]]
    before[ahead + 1] = along[ahead]
    back = rows[(rows > 0)]
    back = back[linked[back - 1]]
    after[back - 1] = along[back]
    linked[rows] = linked[back - 1] = False
    free = np.isnan(before[rows]) & np.isnan(after[rows])
    which[rows[~free]] = False  # a direction is given: only an arc can have it
    return Ends(linked, before, after), which


def _bent_and_judged(
    points: Floats, bows: Bows, ends: Ends, tolerance: float
) -> tuple[Bows, Bools, Bools]:
    """Bent segments, which of them are good, and which are in a stretch where all are."""
    bent, kink = _bent(points, bows, ends, tolerance)
    bent = replace(bent, off=deviations(points, bent, tolerance))
    good = (bent.off <= tolerance) & (kink <= SOLVED)
    return bent, good, _all_good(ends, good)


def _all_good(ends: Ends, good: Bools) -> Bools:
    """Which rows are in a stretch where all are good."""
    stretch = np.cumsum(np.append(0, ~ends.linked[:-1]))
    found: Bools = np.bincount(stretch[~good], minlength=stretch[-1] + 1)[stretch] == 0
    return found


def _kinked(points: Floats, bows: Bows, ends: Ends, tolerance: float) -> Bows:
    """The segments with kinks beside those that can't follow; a lone one is halved."""
    done = []
    while True:
        bent, good, fine = _bent_and_judged(points, bows, ends, tolerance)
        if (flat := fine & too_flat(bent)).any():
            good &= ~flat
            fine = _all_good(ends, good)
        done.append(bent.rows(np.flatnonzero(fine)))
        if fine.all():
            return joined(*done)
        left = np.flatnonzero(~fine)
        bad, bows, ends = ~good[left], bows.rows(left), ends.rows(left)
        behind = np.append(False, ends.linked[:-1])
        lone = ~ends.linked & ~behind & np.isnan(ends.before) & np.isnan(ends.after)
        freed = bad & ~lone
        linked = ends.linked & ~freed & ~np.append(freed[1:], False)
        ends = Ends(
            linked, np.where(freed, np.nan, ends.before), np.where(freed, np.nan, ends.after)
        )
        bows, ends, _ = _halved(bows, ends, bad & lone, linked=False)
        bows = bows_of(points, bows.first, bows.last, tolerance)


def _halved(bows: Bows, ends: Ends, which: Bools, *, linked: bool) -> tuple[Bows, Ends, Ints]:
    """The rows with some of the segments cut at their middle vertex, and their old places."""
    row = np.repeat(np.arange(len(which)), 1 + which)
    second = np.flatnonzero(row[1:] == row[:-1]) + 1
    found, new = bows.rows(row), ends.rows(row)
    middle = (found.first[second] + found.last[second]) // 2
    found.first[second] = found.last[second - 1] = middle
    new.linked[second - 1] = linked
    new.before[second] = new.after[second - 1] = np.nan
    return found, new, row


def _bent(points: Floats, bows: Bows, ends: Ends, tolerance: float) -> tuple[Bows, Floats]:
    """The bent segments, and how much each still misses the directions at its ends, radians."""
    linked, leash = ends.linked, LEASH * tolerance
    behind = np.append(False, linked[:-1])
    first_start, first_end = _first_directions(bows, ends)
    start, end, shift = first_start, first_end, np.zeros(len(linked))
    right, up = -np.sin(first_end) * linked, np.cos(first_end) * linked
    right_behind, up_behind = _behind(right), _behind(up)
    (px, py), (qx, qy) = (points.take(each, axis=0).T for each in (bows.first, bows.last))
    ease_start, ease_end = _ease(points, bows, ends)
    ease, long = ease_end + ease_start, _lengths(linked)
    for step in range(STEPS + 1):
        dx, dy = shift * right, shift * up
        ax, ay, bx, by = px + _behind(dx), py + _behind(dy), qx + dx, qy + dy
        x, y = bx - ax, by - ay
        along = np.arctan2(y, x)
        one, other = wrapped(along - start), wrapped(end - along)
        miss = other - one
        if step == STEPS:
            break
        square = np.maximum(x * x + y * y, SHORTEST**2)
        ahead = -2 * (x * up - y * right) / square
        back = 2 * (x * up_behind - y * right_behind) / square
        rest = (first_end - end) + (first_start - start) - ahead * shift - back * _behind(shift)
        diagonal = (ease + ahead**2 + back**2) * (1 + RIDGE)
        shared = linked[:-1] * (ease_end[:-1] + ahead[:-1] * back[1:])
        pull = _three_diagonals(shared, np.where(diagonal > 0, diagonal, 1.0), miss + rest, long)
        after = linked * _ahead(pull)
        end = first_end - ease_end * (pull + after)
        shift = -(ahead * pull + _ahead(back) * after) * linked
        shift = np.minimum(np.maximum(shift, -leash), leash)
        start = np.where(behind, _behind(end), first_start - ease_start * pull)
    half = (one + other) / 2
    flat = np.abs(half) <= STRAIGHT
    sin, cos = np.where(flat, 0.0, np.sin(half)), np.where(flat, 1.0, np.cos(half))
    p, q = np.column_stack([ax, ay]), np.column_stack([bx, by])
    return replace(bows, start=p, end=q, sin=sin, cos=cos), np.abs(miss)


def _first_directions(bows: Bows, ends: Ends) -> tuple[Floats, Floats]:
    """Directions to begin with: as given, else midway between the arcs that meet, else free."""
    start, end = bows.directions()
    linked = np.flatnonzero(ends.linked)
    middle = end[linked] + wrapped(start[linked + 1] - end[linked]) / 2
    end[linked] = start[linked + 1] = middle
    return (
        np.where(np.isnan(ends.before), start, ends.before),
        np.where(np.isnan(ends.after), end, ends.after),
    )


def _ease(points: Floats, bows: Bows, ends: Ends) -> tuple[Floats, Floats]:
    """How easily directions turn, the inverse of their weights, rad² for each mm².

    Turning both ends of an arc over a chord c by t moves its middle by t c / 4; moving a joint
    by as much counts the same.
    """
    way = points.take(bows.last, axis=0) - points.take(bows.first, axis=0)
    chord = np.maximum(np.hypot(way[:, 0], way[:, 1]), SHORTEST)
    start, end = (4 / chord) ** 2, (4 / chord) ** 2
    linked = np.flatnonzero(ends.linked)
    start[linked + 1] = end[linked] = np.minimum(end[linked], start[linked + 1])
    return np.where(np.isnan(ends.before), start, 0.0), np.where(np.isnan(ends.after), end, 0.0)


def _lengths(linked: Bools) -> Ints:
    """How many rows the stretch of each row has."""
    final = np.append(np.flatnonzero(~linked[:-1]), len(linked) - 1)
    count = np.diff(final, prepend=-1)
    return count.repeat(count)


def _three_diagonals(beside: Floats, diagonal: Floats, right: Floats, long: Ints) -> Floats:
    """Solve a symmetric positive definite matrix of three diagonals, in stretches that are tied
    to no other one; `long` says how many rows the stretch of each row has.

    Parallel cyclic reduction (R. W. Hockney and C. R. Jesshope, Parallel Computers, 1981): each
    round takes out the neighbours and ties a row to those twice as far off, until none is left.
    """
    found = np.empty_like(right)
    place = np.arange(len(right))
    low, high = np.append(0.0, beside), np.append(beside, 0.0)
    diagonal, right = diagonal.copy(), right.copy()
    far, longest_one = 1, int(long.max())
    while far < longest_one:
        if len(place) > MANY and not (more := long > far).all():
            done = ~more
            found[place[done]] = right[done] / diagonal[done]
            place, long, low, high = place[more], long[more], low[more], high[more]
            diagonal, right = diagonal[more], right[more]
        back, ahead = low[far:] / diagonal[:-far], high[:-far] / diagonal[far:]
        taken = (
            (diagonal, back * high[:-far], ahead * low[far:]),
            (right, back * right[:-far], ahead * right[far:]),
        )
        for values, before, after in taken:
            values[far:] -= before
            values[:-far] -= after
        back *= low[:-far]
        ahead *= high[far:]
        np.negative(back, out=low[far:])  # nothing is so far before the first ones
        np.negative(ahead, out=high[:-far])
        far *= 2
    found[place] = right / diagonal
    return found


def _behind(values: Floats) -> Floats:
    """The value of the row before each."""
    found = np.empty_like(values)
    found[0], found[1:] = 0.0, values[:-1]
    return found


def _ahead(values: Floats) -> Floats:
    """The value of the row after each."""
    found = np.empty_like(values)
    found[-1], found[:-1] = 0.0, values[1:]
    return found


def wrapped(angle: Floats) -> Floats:
    """The same angles between -pi and pi."""
    turned = angle + np.pi
    beyond = (turned < 0) | (turned >= 2 * np.pi)
    if beyond.any():  # the remainder of what is within is itself, and dear
        turned[beyond] %= 2 * np.pi
    found: Floats = turned - np.pi
    return found
