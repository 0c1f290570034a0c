"""Borders refitted to the fewest lines and circular arcs between their nodes.

Stands after the pattern, before anything is written: true arcs leave the booleans as facets
and come back here, once for each border, so both neighbours get the same ones.

    joint   a vertex where one segment ends and the next begins
    exact   a run of vertices on one circle to the last bits: an arc of the drawing
    loose   all the rest: Béziers, ellipses, traced lines; fitted within the tolerance
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.arc_detection import circles, exact_runs, line_edges, shared_circles
from mateline.borders.arc_fitting import Bows, bows_of, bows_of_radius, deviations, joined
from mateline.borders.end_tangency import tangent_at_nodes
from mateline.borders.fewest import fewest
from mateline.borders.measured import measured, swept, written
from mateline.borders.polylines import corners, polylines_of, sharpest
from mateline.borders.standard_radii import snapped, standard
from mateline.borders.tangency import Ends, tangent, wrapped
from mateline.borders.uncross import crossing, uncrossed
from mateline.curves import Chain, Segment
from mateline.pattern.dissolve import OUTSIDE
from mateline.planar.crossings import ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_detection import Run
    from mateline.borders.measured import Written
    from mateline.borders.polylines import Polylines
    from mateline.pattern.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TOLERANCE = 0.02  # mm: how far a segment may leave the vertices that it stands for
CLOSING = 1e-9  # share of the outline's area that regions may miss it by
ROUNDING = 1e-9  # share of the tolerance that a distance measured anew may be over it
HALF_TURN = 1 - 1e-5  # share of its radius that half the chord of an arc of a half turn has
FACET_SHARE = 0.26  # of the tolerance: a facet of a curve leaves it by less, a line by more


@dataclass(frozen=True, slots=True)
class Refit:
    """Chains of all borders; the largest distance between one of them and its facets, either
    way, mm, as measured on the chains; which borders are their facets after all, because what
    was fitted did not measure up; and the areas within the chains of each region, mm².
    """

    chains: tuple[Chain, ...]
    largest_deviation: float
    faceted: tuple[int, ...] = ()
    areas: tuple[float, ...] = ()


def refit(
    pattern: Pattern, tolerance: float = TOLERANCE, step: float | None = None
) -> tuple[Chain, ...]:
    """One chain for each border of the pattern, in their order, within `tolerance` of them.

    A chain starts and ends at its border's nodes to the bit. A closed border that no other
    border touches has no node: its chain starts at a joint, where it has one.

    Where the drawing was smooth, joints are tangent to 1e-6 rad. Left with a kink are: stretches
    too short to bend within the tolerance; a few arcs of the drawing that nodes cut off at both
    ends or that can't roll back to where they touch; borders that go on beyond a node.

    Radii within the tolerance of a multiple of `step` are that, if `step` is given and where no
    joint is kinked by it.
    """
    return refitted(pattern, tolerance, step).chains


def refitted(pattern: Pattern, tolerance: float = TOLERANCE, step: float | None = None) -> Refit:
    """The same, with what was measured on the chains themselves."""
    if not pattern.borders:
        return Refit((), 0.0)
    lines = polylines_of(pattern, tolerance)

    def fitted(some: Polylines, closely: float) -> Bows:
        return _bows(some, closely, None)

    bows = uncrossed(lines, _bows(lines, tolerance, step), tolerance, fitted)
    made = written(bows)
    most = tolerance * (1 + ROUNDING)
    away = measured(lines, bows, made, most)
    faceted = np.flatnonzero(away > most)
    if len(faceted):
        bows, made, faceted = _faceted(lines, bows, faceted, tolerance)
        away = measured(lines, bows, made)
    areas = _areas(pattern, lines, bows, made)
    return Refit(_built(lines, bows, made), float(away.max()), tuple(faceted.tolist()), areas)


def _areas(pattern: Pattern, lines: Polylines, bows: Bows, made: Written) -> tuple[float, ...]:
    """Areas of the regions within the segments.

    Raises RuntimeError unless they fill the outline, to a billionth.
    """
    border = np.bincount(lines.owner[bows.first], weights=swept(made)).tolist()
    areas = tuple(
        math.fsum(border[at] if at >= 0 else -border[~at] for loop in region.loops for at in loop)
        for region in pattern.regions
    )
    rim = math.fsum(
        area if each.right == OUTSIDE else -area
        for each, area in zip(pattern.borders, border, strict=True)
        if OUTSIDE in {each.left, each.right}
    )
    if not abs(math.fsum(areas) - rim) <= CLOSING * abs(rim):
        raise RuntimeError(f"regions of {math.fsum(areas)} within an outline of {rim}")
    return areas


def _faceted(
    lines: Polylines, bows: Bows, borders: Ints, tolerance: float
) -> tuple[Bows, Written, Ints]:
    """The segments with those of some borders as their facets, and of all that cross these."""
    facets = lines.points[:-1], lines.points[1:]
    edge = np.ones(len(lines.points), dtype=bool)
    edge[lines.offsets[1:] - 1] = False
    while True:
        own = edge & np.isin(lines.owner, borders)
        first = np.flatnonzero(own)
        count = len(first)
        straight = Bows(
            first, first + 1, facets[0][first], facets[1][first],
            np.zeros(count), np.ones(count), np.zeros(count),
        )  # fmt: skip
        bows = joined(
            bows.rows(np.flatnonzero(~np.isin(lines.owner[bows.first], borders))), straight
        )
        across = crossing(bows, np.flatnonzero(np.isin(bows.first, first)), tolerance)
        more = np.setdiff1d(lines.owner[bows.first[across]], borders)
        if len(more) == 0:
            return bows, written(bows), borders
        borders = np.union1d(borders, more)


def _bows(lines: Polylines, tolerance: float, step: float | None) -> Bows:
    """The segments of some borders, each fitted for itself."""
    cornered = corners(lines, tolerance)
    rounds = list(circles(lines, tolerance))
    whole = _whole_circles(lines, rounds, step, tolerance)
    drawn, rest, straight = _drawn(lines, cornered, (rounds, whole), tolerance)
    last = fewest(lines.points, *rest, tolerance)
    fitted = bows_of(lines.points, _first_of(last, rest), last, tolerance)
    bows = joined(drawn, fitted)
    lone = np.add.reduceat(np.append(straight, 0), _cuts(bows))[0::2] > 0
    loose = np.isin(bows.first, fitted.first) & ~(lone & (bows.sin == 0))
    bows = tangent_at_nodes(lines.points, bows, _joints(lines, bows, cornered), ~loose, tolerance)
    bows = _smooth(lines, bows, loose, cornered, tolerance)
    if step is not None:
        bows = snapped(lines.points, bows, _joints(lines, bows, cornered), step, tolerance)
    return bows


def _drawn(
    lines: Polylines, cornered: Bools, circular: tuple[list[Run], Bows], tolerance: float
) -> tuple[Bows, tuple[Ints, Ints], Bools]:
    """The arcs that the drawing itself has, the whole circles too; first and last vertices of
    the stretches between them, which have to be fitted; and which edges were lines in it.
    """
    rounds, whole = circular
    runs = [*rounds, *exact_runs(lines, cornered, tolerance)]
    straight = line_edges(lines, cornered, tolerance)
    reach = np.zeros(len(lines.points))
    joints = lines.ends.copy()
    for a, b, radius, _ in runs:
        if not reach[a:b].any():
            reach[a:b] = radius
            joints[[a, b]] = True
    straight |= _lone_edges(lines, joints, reach, tolerance)
    straight &= reach == 0
    parted = joints | cornered | straight | np.roll(straight, 1)
    first, last = _segments(lines, parted)
    short = (reach[first] == 0) & (last - first > 1)
    first, last, shared = shared_circles(lines, (first[short], last[short]), runs, tolerance)
    joints[first] = joints[last] = True
    reach[ranges(first, last)] = np.repeat(shared, last - first)
    first, last = _segments(lines, joints)
    known = reach[first]
    arcs = _arcs(lines, first[known > 0], last[known > 0], known[known > 0], tolerance)
    part = ~np.isin(arcs.first, whole.first) & (arcs.off <= tolerance)
    arcs = joined(whole, arcs.rows(np.flatnonzero(part)))
    joints[:] = lines.ends | sharpest(lines, tolerance)
    joints |= cornered & lines.rim[lines.owner]  # no arc goes round a corner of the face itself
    joints[ranges(arcs.first, arcs.last)] = False
    joints[arcs.first] = joints[arcs.last] = True
    first, last = _segments(lines, joints)
    others = ~np.isin(first, arcs.first)
    return arcs, (first[others], last[others]), straight


def _arcs(lines: Polylines, first: Ints, last: Ints, reach: Floats, tolerance: float) -> Bows:
    """Arcs of known radii; a half turn says its radius itself, for its centre would be the noise
    of the given one.
    """
    given = bows_of_radius(lines.points, first, last, reach, tolerance)
    half = np.hypot(*(given.end - given.start).T) / 2
    rows = np.flatnonzero(half > HALF_TURN * reach)
    own = bows_of(lines.points, first[rows], last[rows], tolerance)
    good = own.off <= tolerance
    other = np.setdiff1d(np.arange(len(first)), rows[good])
    return joined(given.rows(other), own.rows(np.flatnonzero(good)))


def _lone_edges(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Bools:
    """Lone edges beside arcs of the drawing that are lines of it: between two of them, or too
    long to be a facet of the one.
    """
    first, last = _segments(lines, joints)
    lone = first[(last - first == 1) & (reach[first] == 0)]
    _, size = lines.edges()
    near = np.column_stack([lone - 1, np.minimum(lone + 1, len(reach) - 1)])
    arc = (lines.owner[near] == lines.owner[lone][:, None]) & (reach[near] > 0)
    long = arc & (size[lone, None] ** 2 > 8 * FACET_SHARE * tolerance * reach[near])
    found = np.zeros(len(reach), dtype=bool)
    found[lone[arc.all(axis=1) | long.any(axis=1)]] = True
    return found


def _first_of(last: Ints, stretches: tuple[Ints, Ints]) -> Ints:
    """First vertices of segments that fill the stretches, from their last ones."""
    first = np.append(-1, last[:-1])
    starts, ends = stretches
    if len(last) == 0:
        return last
    at = np.searchsorted(last, ends) + 1
    first[np.append(0, at[:-1])] = starts
    return first


def _segments(lines: Polylines, joints: Bools) -> tuple[Ints, Ints]:
    """First and last vertex of each segment."""
    at = np.flatnonzero(joints)
    inside = lines.owner[at[:-1]] == lines.owner[at[1:]]
    return at[:-1][inside], at[1:][inside]


def _smooth(lines: Polylines, bows: Bows, loose: Bools, cornered: Bools, tolerance: float) -> Bows:
    """The segments with the loose ones tangent to what they meet, where the drawing was smooth."""
    count = len(bows.first)
    after = _after(lines, bows)
    smooth = (after >= 0) & ~cornered[bows.last]
    linked = smooth & (after == np.arange(1, count + 1)) & loose & loose[after]
    before_given, after_given = np.full(count, np.nan), np.full(count, np.nan)
    one = np.flatnonzero(smooth & ~linked)
    other = after[one]
    leaving, arriving = bows.directions()
    meeting = arriving[one] + wrapped(leaving[other] - arriving[one]) / 2
    after_given[one] = np.where(loose[other], meeting, leaving[other])
    before_given[other] = np.where(loose[one], meeting, arriving[one])
    bent = loose & (
        linked | np.append(False, linked[:-1]) | ~np.isnan(before_given) | ~np.isnan(after_given)
    )
    if not bent.any():
        return bows
    ends = Ends(linked, before_given, after_given).rows(np.flatnonzero(bent))
    made = tangent(lines.points, bows.rows(np.flatnonzero(bent)), ends, tolerance)
    return joined(bows.rows(np.flatnonzero(~bent)), made)


def _after(lines: Polylines, bows: Bows) -> Ints:
    """The segment that each one goes on in, -1 for none: a closed border goes on at its start."""
    start, end = lines.rings()
    ahead = np.append(bows.last[:-1] == bows.first[1:], False)
    after = np.where(ahead, np.arange(1, len(ahead) + 1), -1)
    after[np.searchsorted(bows.last, end)] = np.searchsorted(bows.first, start)
    return after


def _joints(lines: Polylines, bows: Bows, cornered: Bools) -> tuple[Ints, Bools, Bools]:
    """For the end of each segment: which goes on there, is it a corner or a node, can it move."""
    after = _after(lines, bows)
    movable = ~lines.ends[bows.last] | lines.free[lines.owner[bows.last]]
    return after, cornered[bows.last] | (after < 0), movable


def _whole_circles(
    lines: Polylines, rounds: list[Run], step: float | None, tolerance: float
) -> Bows:
    """Free circles as two half turns about one centre: their joints leave their vertices."""
    rows = []
    for (first, middle, reach, centre), (_, last, _, _) in zip(
        rounds[::2], rounds[1::2], strict=True
    ):
        if not lines.free[lines.owner[first]]:
            continue
        own = lines.points[first : last + 1] - centre
        away = np.hypot(own[:-1, 0], own[:-1, 1])
        size = reach
        if step is not None:
            near = float(standard(np.array([reach]), step, tolerance)[0])
            size = near if near and np.abs(away - near).max() <= tolerance else reach
        side = np.sign(own[0, 0] * own[1, 1] - own[0, 1] * own[1, 0])
        way = size * own[0] / away[0]
        rows += [(first, middle, *(centre + way), *(centre - way), side)]
        rows += [(middle, last, *(centre - way), *(centre + way), side)]
    table = np.array(rows).reshape(-1, 7)
    ends = table[:, :2].astype(np.int64)
    made = Bows(
        ends[:, 0], ends[:, 1], table[:, 2:4], table[:, 4:6], table[:, 6],
        np.zeros(len(table)), np.zeros(len(table)),
    )  # fmt: skip
    made = replace(made, off=deviations(lines.points, made, tolerance))
    good = made.off <= tolerance
    both = good[0::2] & good[1::2]
    return made.rows(np.flatnonzero(np.repeat(both, 2)))


def _built(lines: Polylines, bows: Bows, made: Written) -> tuple[Chain, ...]:
    # Columns, not rows: a list for each point would keep the garbage collector busy.
    columns = (*made.end.T, *made.centre.T, made.left, made.flat)
    segments = [
        Segment((x, y)) if flat else Segment((x, y), (cx, cy), way)
        for x, y, cx, cy, way, flat in zip(*(each.tolist() for each in columns), strict=True)
    ]
    counts = np.bincount(lines.owner[bows.first], minlength=len(lines.offsets) - 1)
    cuts = np.append(0, np.cumsum(counts)).tolist()
    begin = np.searchsorted(bows.first, lines.offsets[:-1])
    xs, ys = (each.tolist() for each in made.start[begin].T)
    return tuple(
        Chain((x, y), tuple(segments[a:b]))
        for x, y, a, b in zip(xs, ys, cuts[:-1], cuts[1:], strict=True)
    )


def _cuts(bows: Bows) -> Ints:
    """Where the edges of each segment begin and end, as reduceat wants them."""
    found: Ints = np.column_stack([bows.first, bows.last]).ravel()
    return found
