"""Where lines and arcs meet, by formulas: to tell whether borders cross elsewhere than at nodes.

    meeting   a point that lies on two segments and is no end that both have
    depth     how far the two go over each other there: 0 where they only touch

Segments that have an end in common meet there, and that is no meeting.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

EXACT = 1e-9  # share of the extent: points this near are one
SAMPLES = 17  # points of a stretch between two meetings, to find how deep it is
ROOT = 1e-6  # share of the extent: what formulas find this near a common end is that end, since
# two that are tangent there have their meetings apart by the root of what rounding is
MOST = 400  # pairs looked at for their depth


@dataclass(frozen=True)
class Meetings:
    """Pairs of segments that meet, how deep, and a point of each."""

    pairs: np.ndarray
    depth: np.ndarray
    at: np.ndarray

    def deeper(self, than):
        return int((self.depth > than).sum())


def meetings(segments):
    """All pairs of the segments that meet."""
    low, high = segments.boxes()
    extent = max(float(np.abs([low, high]).max()), 1e-300)
    near, shared = EXACT * extent, ROOT * extent
    boxes = shapely.box(*(low - near).T, *(high + near).T)
    one, other = shapely.STRtree(boxes).query(boxes)
    one, other = one[one < other], other[one < other]
    points, real = _common(segments.rows(one), segments.rows(other), (near, shared))
    meets = real.any(axis=1)
    pairs = np.column_stack([one, other])[meets]
    at = points[meets][np.arange(len(pairs)), real[meets].argmax(axis=1)]
    depth = np.full(len(pairs), np.inf)
    for row, (a, b) in enumerate(pairs[:MOST].tolist()):
        places = points[meets][row][real[meets][row]]
        depth[row] = _depth(segments.rows([a]), segments.rows([b]), places)
    return Meetings(pairs, depth, at)


def _common(one, other, reach):
    """Up to four points on both of each pair, (n, 4, 2), and which of them are real meetings."""
    near, common = reach
    straight, round_ = one.turn == 0, other.turn == 0
    points = np.full((len(one), 4, 2), np.nan)
    for both, found in (
        (straight & round_, _of_lines),
        (straight & ~round_, _of_line_and_arc),
        (~straight & round_, lambda a, b: _of_line_and_arc(b, a)),
        (~straight & ~round_, _of_arcs),
    ):
        at = np.flatnonzero(both)
        if len(at):
            points[at, :2] = found(one.rows(at), other.rows(at))
    # Along one line or circle no formula gives points: then an end of one is on the other.
    same = ~np.isfinite(points[:, :2]).all(axis=2).any(axis=1)
    ends = np.stack([one.start, one.end, other.start, other.end], axis=1)
    points[same] = ends[same]
    real = np.isfinite(points).all(axis=2)
    for which in range(4):
        spot = points[:, which]
        real[:, which] &= _away(one, spot) <= near
        real[:, which] &= _away(other, spot) <= near
        for a in (one.start, one.end):
            for b in (other.start, other.end):
                shared = (a == b).all(axis=1) & (np.hypot(*(spot - a).T) <= common)
                real[:, which] &= ~shared
    return points, real


def _of_lines(one, other):
    a, b = one.end - one.start, other.end - other.start
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    gap = other.start - one.start
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (gap[:, 0] * b[:, 1] - gap[:, 1] * b[:, 0]) / cross
        found = one.start + share[:, None] * a
    level = np.abs(cross) <= 1e-14 * np.hypot(*a.T) * np.hypot(*b.T)
    found[level] = np.nan
    return np.stack([found, np.full_like(found, np.nan)], axis=1)


def _of_line_and_arc(line, arc):
    way = line.end - line.start
    way = way / np.hypot(*way.T)[:, None]
    foot = line.start + ((arc.centre - line.start) * way).sum(axis=1)[:, None] * way
    return _beside(foot, way, arc.radius, np.hypot(*(foot - arc.centre).T))


def _of_arcs(one, other):
    gap = other.centre - one.centre
    apart = np.hypot(*gap.T)
    with np.errstate(invalid="ignore", divide="ignore"):
        way = gap / apart[:, None]
        far = (apart + (one.radius - other.radius) * (one.radius + other.radius) / apart) / 2
        foot = one.centre + far[:, None] * way
        across = np.column_stack([-way[:, 1], way[:, 0]])
        found = _beside(foot, across, one.radius, np.abs(far))
    same = apart <= 1e-12 * (one.radius + other.radius)
    found[same] = np.nan
    return found


def _beside(foot, way, radius, away):
    """The two points on a circle along `way` from a foot that is `away` from its centre."""
    # (r - d)(r + d), not r² - d²; a foot a hair outside the circle touches it
    room = (radius - away) * (radius + away)
    touch = room > -1e-12 * radius * radius
    with np.errstate(invalid="ignore"):
        half = np.where(touch, np.sqrt(np.maximum(room, 0.0)), np.nan)
    return np.stack([foot + half[:, None] * way, foot - half[:, None] * way], axis=1)


def _away(segments, spots):
    """The distance of each segment's own spot from it."""
    return distances(segments, np.arange(len(segments)), spots)


def distances(segments, owner, spots):
    """The distance of each spot from the segment that it is paired with."""
    some = segments.rows(owner)
    ends = np.minimum(np.hypot(*(spots - some.start).T), np.hypot(*(spots - some.end).T))
    chord, way = some.end - some.start, spots - some.start
    with np.errstate(invalid="ignore", divide="ignore"):
        along = (way * chord).sum(axis=1) / (chord * chord).sum(axis=1)
        level = np.abs(way[:, 0] * chord[:, 1] - way[:, 1] * chord[:, 0]) / np.hypot(*chord.T)
        out = spots - some.centre
        angle = np.arctan2(*out.T[::-1]) - np.arctan2(*(some.start - some.centre).T[::-1])
        ahead = np.mod(np.where(some.turn > 0, angle, -angle), 2 * np.pi)
        radial = np.abs(np.hypot(*out.T) - some.radius)
    beside = np.where(some.turn == 0, (along >= 0) & (along <= 1), ahead <= np.abs(some.turn))
    return np.where(beside, np.where(some.turn == 0, level, radial), ends)


def _depth(one, other, places):
    """The least that a stretch beside a meeting has to go back over the other segment."""
    least = np.inf
    for own, twin in ((one, other), (other, one)):
        cuts = np.sort(np.clip(_shares(own, places), 0.0, 1.0))
        stops = np.concatenate([[0.0], cuts, [1.0]])
        for a, b in pairwise(stops):
            spots = own.points(np.linspace(a, b, SAMPLES)[None])[0]
            far = distances(twin, np.zeros(SAMPLES, dtype=int), spots).max()
            least = min(least, float(far))
    return least


def _shares(segment, places):
    """How far along the segment each place is, 0 to 1."""
    chord = segment.end - segment.start
    if segment.turn[0] == 0:
        return ((places - segment.start) * chord).sum(axis=1) / (chord * chord).sum()
    out = places - segment.centre
    first = np.arctan2(*(segment.start - segment.centre)[0][::-1])
    angle = np.arctan2(*out.T[::-1]) - first
    turn = segment.turn[0]
    ahead = np.mod(angle if turn > 0 else -angle, 2 * np.pi)
    ahead = np.where(ahead > (2 * np.pi + abs(turn)) / 2, ahead - 2 * np.pi, ahead)
    return ahead / abs(turn)
