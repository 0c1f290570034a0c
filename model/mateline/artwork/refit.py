"""Borders refitted to the fewest lines and circular arcs between their nodes.

Stands after the pattern, before anything is written: true arcs leave the booleans as facets
and come back here, once for each border, so both neighbours get the same ones.

    joint   a vertex where one segment ends and the next begins
    exact   a run of vertices on one circle to the last bits: an arc of the drawing
    loose   all the rest: Béziers, ellipses, traced lines; fitted within the tolerance
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.artwork.arcfit import fits, fits_of_radius
from mateline.artwork.arcruns import circles, exact_runs, line_edges, shared_circles
from mateline.artwork.polylines import Polylines, polylines_of
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.artwork.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TOLERANCE = 0.02  # mm: how far a segment may leave the vertices that it stands for
CORNER = 0.5  # rad: a turn sharper than this is a joint
FLAT = 0.1  # share of the tolerance: a stretch this straight is a line, though an arc is nearer


@dataclass(frozen=True, slots=True)
class Refit:
    """Chains of all borders, and how far the worst segment leaves its vertices, mm."""

    chains: tuple[Chain, ...]
    largest_deviation: float


def refit(pattern: Pattern, tolerance: float = TOLERANCE) -> tuple[Chain, ...]:
    """One chain for each border of the pattern, in their order, within `tolerance` of them.

    A chain starts and ends at its border's nodes to the bit. A closed border that no other
    border touches may start at another of its vertices: at a joint, where it has one.
    """
    return refitted(pattern, tolerance).chains


def refitted(pattern: Pattern, tolerance: float = TOLERANCE) -> Refit:
    """The same, with the largest distance of a vertex from its segment."""
    if not pattern.borders:
        return Refit((), 0.0)
    lines = polylines_of(pattern, tolerance)
    joints, reach = _known(lines, tolerance)
    joints = _loose(lines, joints, reach, tolerance)
    joints = _merged(lines, joints, reach, tolerance)
    joints = _sound(lines, joints, reach, tolerance)
    return _built(lines, joints, reach, tolerance)


def _known(lines: Polylines, tolerance: float) -> tuple[Bools, Floats]:
    """Joints that the drawing has, and for each edge the radius of the exact arc it is on.

    The radius is 0 for loose edges and infinite for lines.
    """
    reach = np.zeros(len(lines.points))
    joints = lines.ends.copy()
    runs = [*circles(lines, tolerance), *exact_runs(lines, tolerance)]
    for a, b, radius, _ in runs:
        if not reach[a:b].any():
            reach[a:b] = radius
            joints[[a, b]] = True
    turn = np.abs(lines.turns())
    loose = reach == 0
    joints |= (turn > CORNER) & (loose | np.roll(loose, 1))
    straight = line_edges(lines, tolerance) & loose
    reach[straight] = np.inf
    joints |= straight | np.roll(straight, 1)
    first, last = _segments(lines, joints)
    short = (reach[first] == 0) & (last - first > 1)
    first, last, shared = shared_circles(lines, (first[short], last[short]), runs, tolerance)
    count = last - first
    edges = np.arange(count.sum()) + np.repeat(first - np.cumsum(count) + count, count)
    reach[edges] = np.repeat(shared, count)
    return joints, reach


def _loose(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Bools:
    """Joints of loose stretches too: each segment as long as it can be, from the front on.

    All stretches are probed side by side; a probe doubles until it fails and is then halved.
    """
    joints = joints.copy()
    first, last = _segments(lines, joints)
    open_ended = (reach[first] == 0) & (last - first > 1)
    start, end = first[open_ended], last[open_ended]
    good, bad = start + 1, end + 1
    step = np.full(len(start), 4)
    while len(start):
        probe = np.where(bad <= end, (good + bad) // 2, np.minimum(good + step, end))
        found = fits(lines.points, start, probe, tolerance)
        fit = (np.minimum(found.line_off, found.arc_off) <= tolerance) | (probe == start + 1)
        good, bad = np.where(fit, probe, good), np.where(fit, bad, probe)
        step = np.where(fit, 2 * step, step)
        done = (good == end) | (bad - good <= 1)
        joints[good[done]] = True
        step = np.where(done, np.maximum(good - start, 2), step)
        start = np.where(done, good, start)
        bad = np.where(done, end + 1, bad)
        good = np.where(done, start + 1, good)
        more = end - start > 1
        start, end, good, bad, step = start[more], end[more], good[more], bad[more], step[more]
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


def _built(lines: Polylines, joints: Bools, reach: Floats, tolerance: float) -> Refit:
    first, last = _segments(lines, joints)
    found = fits(lines.points, first, last, tolerance)
    centres, leftward, off = found.centres(), found.leftward.copy(), found.arc_off.copy()
    known = _known_reach(reach, first, last)
    exact = np.flatnonzero(np.isfinite(known) & (known > found.half) & (last - first > 1))
    if len(exact):
        base = found.rows(exact)
        snug = fits_of_radius(
            lines.points, first[exact], last[exact], base, known[exact], tolerance
        )
        good = snug.arc_off <= tolerance
        at = exact[good]
        centres[at], leftward[at], off[at] = (
            snug.centres()[good], snug.leftward[good], snug.arc_off[good],
        )  # fmt: skip
    straight = (last - first == 1) | (off > tolerance)
    straight |= (found.line_off <= FLAT * tolerance) & (known == 0)
    off = np.where(straight, found.line_off, off)
    if (off > tolerance).any():
        raise RuntimeError(f"a segment leaves its border by {off.max()} mm")
    # Columns, not rows: a list for each point would keep the garbage collector busy.
    columns = (*lines.points[last].T, *centres.T, leftward, straight)
    segments = [
        Segment((x, y)) if flat else Segment((x, y), (cx, cy), way)
        for x, y, cx, cy, way, flat in zip(*(each.tolist() for each in columns), strict=True)
    ]
    counts = np.bincount(lines.owner[first], minlength=len(lines.offsets) - 1)
    cuts = np.append(0, np.cumsum(counts)).tolist()
    xs, ys = (each.tolist() for each in lines.points[lines.offsets[:-1]].T)
    chains = tuple(
        Chain((x, y), tuple(segments[a:b]))
        for x, y, a, b in zip(xs, ys, cuts[:-1], cuts[1:], strict=True)
    )
    return Refit(chains, float(off.max()))


def _known_reach(reach: Floats, first: Ints, last: Ints) -> Floats:
    """The radius of the exact arc in each segment; 0 where there is none."""
    cuts = np.column_stack([first, last]).ravel()
    whole = np.append(reach, 0.0)
    return np.maximum.reduceat(whole, cuts)[0::2]
