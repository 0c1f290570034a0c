"""Borders refitted to the fewest lines and circular arcs between their nodes.

Stands after the pattern, before anything is written: true arcs leave the booleans as facets
and come back here, once for each border, so both neighbours get the same ones.

    joint   a vertex where one segment ends and the next begins
    exact   a run of vertices on one circle to the last bits: an arc of the drawing
    loose   all the rest: Béziers, ellipses, traced lines; fitted within the tolerance
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.arc_detection import EXACT, circles, exact_runs, line_edges, shared_circles
from mateline.borders.arc_fitting import STRAIGHT, Bows, fits, fits_of_radius, joined, longest
from mateline.borders.end_tangency import tangent_at_nodes
from mateline.borders.polylines import corners, polylines_of
from mateline.borders.standard_radii import snapped, standard
from mateline.borders.tangency import Ends, tangent, wrapped
from mateline.borders.uncross import uncrossed
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_detection import Run
    from mateline.borders.polylines import Polylines
    from mateline.pattern.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TOLERANCE = 0.02  # mm: how far a segment may leave the vertices that it stands for
HALF_TURN = 1 - 1e-5  # share of its radius that half the chord of an arc of a half turn has
FLAT = 0.1  # share of the tolerance: a stretch this straight is a line, though an arc is nearer


@dataclass(frozen=True, slots=True)
class Refit:
    """Chains of all borders, and how far the worst segment leaves its vertices, mm."""

    chains: tuple[Chain, ...]
    largest_deviation: float


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
    """The same, with the largest distance of a vertex from its segment."""
    if not pattern.borders:
        return Refit((), 0.0)
    lines = polylines_of(pattern, tolerance)

    def fitted(some: Polylines, closely: float) -> Bows:
        return _bows(some, closely, None)

    bows = uncrossed(lines, _bows(lines, tolerance, step), tolerance, fitted)
    return _built(lines, bows)


def _bows(lines: Polylines, tolerance: float, step: float | None) -> Bows:
    """The segments of some borders, each fitted for itself."""
    cornered = corners(lines, tolerance)
    rounds = list(circles(lines, tolerance))
    joints, reach = _known(lines, cornered, rounds, tolerance)
    joints = _loose(lines, joints, reach, tolerance)
    joints = _merged(lines, joints, reach, tolerance)
    joints = _sound(lines, joints, reach, tolerance)
    bows, loose = _fitted(lines, joints, reach, tolerance)
    bows = tangent_at_nodes(lines.points, bows, _joints(lines, bows, cornered), ~loose, tolerance)
    bows = _smooth(lines, bows, loose, cornered, tolerance)
    if step is not None:
        bows = snapped(lines.points, bows, _joints(lines, bows, cornered), step, tolerance)
    return _rounded(lines, bows, rounds, step, tolerance)


def _known(
    lines: Polylines, cornered: Bools, rounds: list[Run], tolerance: float
) -> tuple[Bools, Floats]:
    """Joints that the drawing has, and for each edge the radius of the exact arc it is on.

    The radius is 0 for loose edges and infinite for lines.
    """
    reach = np.zeros(len(lines.points))
    joints = lines.ends.copy()
    runs = [*rounds, *exact_runs(lines, cornered, tolerance)]
    for a, b, radius, _ in runs:
        if not reach[a:b].any():
            reach[a:b] = radius
            joints[[a, b]] = True
    loose = reach == 0
    joints |= cornered & (loose | np.roll(loose, 1))
    straight = line_edges(lines, cornered, tolerance) & loose
    reach[straight] = np.inf
    joints |= straight | np.roll(straight, 1)
    _lines_beside_arcs(lines, joints, reach, tolerance)
    first, last = _segments(lines, joints)
    short = (reach[first] == 0) & (last - first > 1)
    first, last, shared = shared_circles(lines, (first[short], last[short]), runs, tolerance)
    count = last - first
    edges = np.arange(count.sum()) + np.repeat(first - np.cumsum(count) + count, count)
    reach[edges] = np.repeat(shared, count)
    return joints, reach


def _lines_beside_arcs(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> None:
    """Give lone edges beside arcs of the drawing an infinite radius where they are lines: between
    two of them, or too long to be a facet of the one.
    """
    first, last = _segments(lines, joints)
    lone = first[(last - first == 1) & (reach[first] == 0)]
    _, size = lines.edges()
    near = np.column_stack([lone - 1, np.minimum(lone + 1, len(reach) - 1)])
    beside = np.where(lines.owner[near] == lines.owner[lone][:, None], reach[near], 0.0)
    arc = (beside > 0) & np.isfinite(beside)
    long = arc & (size[lone, None] ** 2 > 8 * STRAIGHT * tolerance * beside)
    reach[lone[(beside > 0).all(axis=1) & arc.any(axis=1) | long.any(axis=1)]] = np.inf


def _loose(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Bools:
    """Joints of loose stretches too."""
    joints = joints.copy()
    first, last = _segments(lines, joints)
    open_ended = (reach[first] == 0) & (last - first > 1)
    found, _ = longest(lines.points, first[open_ended], last[open_ended], tolerance)
    joints[found] = True
    return joints


def _merged(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Bools:
    """Without the joints between two arcs that one arc can stand for."""
    joints = joints.copy()
    ends = lines.ends
    arcs = np.isfinite(reach)
    tried = np.zeros(len(joints), dtype=bool)
    while True:
        first, last = _segments(lines, joints)
        middle = last[:-1][(last[:-1] == first[1:])]
        after = np.flatnonzero(last[:-1] == first[1:])
        can = ~ends[middle] & arcs[middle] & arcs[middle - 1] & ~tried[middle]
        after = after[can]
        # Every other one at a time: a segment must not be merged to both sides at once.
        after = after[np.append(True, np.diff(after) > 1)] if len(after) else after
        after = after[_alternate(after)]
        if len(after) == 0:
            return joints
        a, b = first[after], last[after + 1]
        found = fits(lines.points, a, b, tolerance)
        good = np.minimum(found.arc_off, found.line_off) <= tolerance
        tried[last[after]] = True
        joints[last[after[good]]] = False


def _sound(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Bools:
    """Joints that hold everywhere: a run that no arc follows after all is fitted as a loose one."""
    first, last = _segments(lines, joints)
    found = fits(lines.points, first, last, tolerance)
    bad = (np.minimum(found.line_off, found.arc_off) > tolerance) & (last - first > 1)
    for a, b in zip(first[bad].tolist(), last[bad].tolist(), strict=True):
        reach[a:b] = 0.0
    return _loose(lines, joints, reach, tolerance) if bad.any() else joints


def _alternate(places: Ints) -> Bools:
    """Keeps places of which no two are neighbours."""
    kept = np.ones(len(places), dtype=bool)
    before = -2
    for index, place in enumerate(places.tolist()):
        kept[index] = place - before > 1
        before = place if kept[index] else before
    return kept


def _segments(lines: Polylines, joints: Bools) -> tuple[Ints, Ints]:
    """First and last vertex of each segment."""
    at = np.flatnonzero(joints)
    inside = lines.owner[at[:-1]] == lines.owner[at[1:]]
    return at[:-1][inside], at[1:][inside]


def _fitted(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> tuple[Bows, Bools]:
    """A line or an arc for each segment, and whether it is a loose one."""
    first, last = _segments(lines, joints)
    found = fits(lines.points, first, last, tolerance)
    (sin, cos), off = found.halves(), found.arc_off.copy()
    known = _known_reach(reach, first, last)
    exact = np.flatnonzero(np.isfinite(known) & (known > found.half) & (last - first > 1))
    if len(exact):
        base = found.rows(exact)
        snug = fits_of_radius(
            lines.points, first[exact], last[exact], base, known[exact], tolerance
        )
        good = snug.arc_off <= tolerance
        # A half turn says its radius itself; its centre would be the noise of the given one.
        half_turn = (base.half > HALF_TURN * known[exact]) & (base.arc_off <= EXACT)
        pinned = good & ~half_turn
        at = exact[pinned]
        sin[at], cos[at] = (each[pinned] for each in snug.halves())
        off[at] = snug.arc_off[pinned]
        mixed = _least_reach(reach, first[exact], last[exact]) == 0
        known[exact[mixed & ~good]] = 0.0
    straight = (last - first == 1) | (off > tolerance)
    straight |= (found.line_off <= FLAT * tolerance) & (known == 0)
    off = np.where(straight, found.line_off, off)
    if (off > tolerance).any():
        raise RuntimeError(f"a segment leaves its border by {off.max()} mm")
    sin[straight], cos[straight] = 0.0, 1.0
    points = lines.points
    return Bows(first, last, points[first], points[last], sin, cos, off), known == 0


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


def _rounded(
    lines: Polylines, bows: Bows, rounds: list[Run], step: float | None, tolerance: float
) -> Bows:
    """Free circles as two half turns about one centre: their joints leave their vertices."""
    start, end, off = bows.start.copy(), bows.end.copy(), bows.off.copy()
    sin, cos = bows.sin.copy(), bows.cos.copy()
    for (first, middle, reach, centre), (_, last, _, _) in zip(
        rounds[::2], rounds[1::2], strict=True
    ):
        row = int(np.searchsorted(bows.first, first))
        whole = bows.last[row] == middle and bows.last[row + 1] == last
        if not (whole and lines.free[lines.owner[first]]):
            continue
        away = np.hypot(*(lines.points[first:last] - centre).T)
        edge = np.hypot(*np.diff(lines.points[first : last + 1], axis=0).T).max()
        size = reach
        if step is not None:
            near = float(standard(np.array([reach]), step, tolerance)[0])
            size = near if near and np.abs(away - near).max() <= tolerance else reach
        way = size * (lines.points[first] - centre) / away[0]
        start[row] = end[row + 1] = centre + way
        end[row] = start[row + 1] = centre - way
        sin[row : row + 2], cos[row : row + 2] = np.sign(bows.sin[row]), 0.0
        flat = edge * edge / (8 * size)  # the bulge over a straight edge, if there is one
        off[row : row + 2] = max(
            np.abs(away - size).max(), flat if flat > STRAIGHT * tolerance else 0.0
        )
    return replace(bows, start=start, end=end, sin=sin, cos=cos, off=off)


def _built(lines: Polylines, bows: Bows) -> Refit:
    # Columns, not rows: a list for each point would keep the garbage collector busy.
    columns = (*bows.end.T, *bows.centres().T, bows.sin > 0, bows.sin == 0)
    segments = [
        Segment((x, y)) if flat else Segment((x, y), (cx, cy), way)
        for x, y, cx, cy, way, flat in zip(*(each.tolist() for each in columns), strict=True)
    ]
    counts = np.bincount(lines.owner[bows.first], minlength=len(lines.offsets) - 1)
    cuts = np.append(0, np.cumsum(counts)).tolist()
    begin = np.searchsorted(bows.first, lines.offsets[:-1])
    xs, ys = (each.tolist() for each in bows.start[begin].T)
    chains = tuple(
        Chain((x, y), tuple(segments[a:b]))
        for x, y, a, b in zip(xs, ys, cuts[:-1], cuts[1:], strict=True)
    )
    return Refit(chains, float(bows.off.max()))


def _least_reach(reach: Floats, first: Ints, last: Ints) -> Floats:
    """0 where a segment took in a loose edge beside an arc of the drawing."""
    cuts = np.column_stack([first, last]).ravel()
    return np.minimum.reduceat(np.append(reach, 0.0), cuts)[0::2]


def _known_reach(reach: Floats, first: Ints, last: Ints) -> Floats:
    """The radius of the exact arc in each segment; 0 where there is none."""
    cuts = np.column_stack([first, last]).ravel()
    whole = np.append(reach, 0.0)
    return np.maximum.reduceat(whole, cuts)[0::2]
