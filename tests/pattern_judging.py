"""Judges the file that `mateline pattern` writes, by a reader of the tests' own.

    quantum            what the file's decimals keep, units: a tenth of a micrometre
    judged(report)     how a drawing's pattern came out once written
    Judged.faults      what is wrong with it, by kind, as counts; empty for a sound file

A file is judged by its text alone; only how far borders moved needs the borders before refit.
Regions that nothing covers are written too for that, in no colour: so regions must tile the
view, and whatever is left out of the real file is left out whole.
"""

from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from mateline.exports.picture.pattern_svg import decimals_of, pattern_svg
from mateline.exports.svg_path import path_data
from segment_meetings import distances, meetings
from written_segments import UnreadableError, parsed, read

KEPT = 1e-4  # mm
BARE = "none"
FLATTEST = 1000.0  # times its chord: the largest radius of an arc that is no line
CLOSING = 1e-9  # share of the view's area
MARGIN = 2.0  # times the quantum: so far rounding of the text may take borders over each other
FEW = 20_000  # pairs of a border's points and segments that are all looked at
PAIRS = 2_000_000  # points and segments at a time: bounds the memory


@dataclass(frozen=True)
class Judged:
    """Counts and measures of one written pattern, in drawing units.

    `measured` is a lower bound, exact to some 1e-3 of itself, of the two-sided distance between
    the borders and their segments. `said` is what the report says that it is.
    """

    segments: int = 0
    arcs: int = 0
    unreadable: str = ""
    wild: int = 0
    flat_arcs: int = 0
    open_loops: bool = False
    unshared: int = 0
    doubled: int = 0
    off_closing: float = 0.0
    crossings: int = 0
    touches: int = 0
    overlap: float = 0.0
    turned: int = 0
    missing: int = 0
    measured: float = 0.0
    said: float = 0.0
    over: bool = False
    misreported: bool = False
    where: tuple = field(default=())

    @property
    def faults(self):
        """Kinds of fault, with how many or how much."""
        found = {
            "unreadable": self.unreadable,
            "wild": self.wild,
            "flat arcs": self.flat_arcs,
            "open": self.open_loops,
            "unshared": self.unshared,
            "doubled": self.doubled,
            "not closing": self.off_closing > CLOSING and self.off_closing,
            "crossing": self.crossings,
            "gap or overlap": self.overlap > CLOSING and self.overlap,
            "turned": self.turned,
            "missing": self.missing,
            "over tolerance": self.over and self.measured,
            "misreported": self.misreported and (self.measured, self.said),
        }
        return {kind: value for kind, value in found.items() if value}


def judged(report, tolerance):
    """The written pattern of a `PatternReport` made with this `tolerance`, mm."""
    regions = tuple(
        replace(region, colour=region.colour or BARE) for region in report.pattern.regions
    )
    whole = replace(report, pattern=replace(report.pattern, regions=regions))
    text = pattern_svg(whole)
    kept = [line for line in text.splitlines() if f'fill="{BARE}"' not in line]
    missing = sum(a != b for a, b in zip(kept, pattern_svg(report).splitlines(), strict=True))
    allowed, quantum = tolerance / report.scale, KEPT / report.scale
    try:
        written = read(text)
        found = judged_text(written, allowed, quantum)
        if found.wild:  # what runs away is far from its border, and no number says more
            return replace(found, missing=missing)
        moved = _moved(report, written)
    except UnreadableError as wrong:
        return Judged(unreadable=str(wrong))
    said = report.fit.largest_deviation
    return replace(
        found,
        missing=missing + moved[1],
        measured=moved[0],
        said=said,
        over=moved[0] > allowed + quantum,
        misreported=moved[0] > said + quantum,
    )


def judged_text(written, allowed, quantum):
    """What the text alone tells; segments may leave the view by `allowed`, units."""
    some = written.segments
    x, y, width, height = written.view
    low, high = some.boxes()
    edge = np.array([(x - allowed, y - allowed), (x + width + allowed, y + height + allowed)])
    inside = np.isfinite(low).all(axis=1) & (low >= edge[0]).all(axis=1)
    inside &= (high <= edge[1]).all(axis=1)
    wild = int((~inside).sum())
    once, single, doubled = _shared(some)
    rim = _on_rim(some.rows(single), written.view, quantum)
    middle = np.array([x + width / 2, y + height / 2])
    parts = -some.areas(middle)  # y down: outer loops run counter-clockwise as seen
    off = abs(parts.sum() / (width * height) - 1)
    found = Judged(
        segments=len(once),
        arcs=int((some.turn[once] != 0).sum()),
        wild=wild,
        flat_arcs=int((some.radius[once] > FLATTEST * some.chords()[once]).sum()),
        open_loops=not written.closed,
        unshared=int((~rim).sum()),
        doubled=doubled,
        off_closing=float(off) if np.isfinite(off) else np.inf,
        turned=_turned(some, parts, len(written.fills)),
    )
    if wild:
        return found
    met = meetings(some.rows(once))
    deep = met.deeper(MARGIN * quantum)
    overlap = _overlap(written, met, quantum) if len(met.pairs) else 0.0
    return replace(
        found,
        crossings=deep,
        touches=len(met.pairs) - deep,
        overlap=overlap,
        where=tuple(map(tuple, met.at[met.depth > MARGIN * quantum].tolist())),
    )


def _keys(some):
    """Each segment undirected, as a row, and which way it runs."""
    ends = np.hstack([some.start, some.end]) + 0.0
    swap = (ends[:, 0] > ends[:, 2]) | ((ends[:, 0] == ends[:, 2]) & (ends[:, 1] > ends[:, 3]))
    ends[swap] = ends[swap][:, [2, 3, 0, 1]]
    turn = np.where(swap, -some.turn, some.turn)
    return np.column_stack([ends, some.radius, np.sign(turn), np.abs(turn) > np.pi]), swap


def _shared(some):
    """A row for each segment, rows of those that stand once, how many stand more than twice or
    twice the same way.
    """
    keys, swap = _keys(some)
    _, first, which, count = np.unique(
        keys, axis=0, return_index=True, return_inverse=True, return_counts=True
    )
    balance = np.bincount(which.ravel(), np.where(swap, -1, 1), len(first))
    wrong = (count > 2) | ((count == 2) & (balance != 0))
    return first, first[count == 1], int(wrong.sum())


def _on_rim(some, view, near):
    """Which segments are lines along the view's edges."""
    x, y, width, height = view
    found = np.zeros(len(some), dtype=bool)
    for axis, sides in ((0, (x, x + width)), (1, (y, y + height))):
        for side in sides:
            along = np.abs(some.start[:, axis] - side) <= near
            found |= along & (np.abs(some.end[:, axis] - side) <= near) & (some.turn == 0)
    return found


def _turned(some, parts, paths):
    """How many loops run the wrong way: of a path the first must hold the others."""
    name = some.path * (some.loop.max(initial=0) + 1) + some.loop
    loops, which = np.unique(name, return_inverse=True)
    area = np.bincount(which, parts, len(loops))
    outer = some.loop[np.searchsorted(which, np.arange(len(loops)))] if _grouped(which) else None
    if outer is None:
        return len(loops)
    wrong = ((area > 0) != (outer == 0)).sum()
    return int(wrong) + abs(paths - int((outer == 0).sum()))


def _grouped(which):
    return bool((np.diff(which) >= 0).all())


def _overlap(written, met, quantum):
    """Share of the view by which the areas as filled differ from those that the loops run round.

    Looked at are only the paths that have a meeting, with arcs in fine facets, the same both ways.
    """
    some = written.segments
    once = _shared(some)[0]
    names = _keys(some)[0]
    hit = np.unique(names[once][np.unique(met.pairs)], axis=0)
    paths = np.unique(some.path[(names[:, None] == hit[None]).all(axis=2).any(axis=1)])
    total = 0.0
    for path in paths.tolist():
        rings = []
        for loop in range(int(some.loop[some.path == path].max()) + 1):
            points = _facets(some.rows((some.path == path) & (some.loop == loop)), quantum)
            if len(points) >= 3:
                rings.append(shapely.Polygon(points))
        run = abs(sum(_signed(ring) for ring in rings))
        filled = shapely.Polygon()
        for ring in rings:
            filled = filled.symmetric_difference(_even_odd(ring))
        total += abs(filled.area - run)
    return total / (written.view[2] * written.view[3])


def _even_odd(ring):
    """What an even-odd fill of one loop covers: `make_valid` of line work is defined so."""
    return shapely.make_valid(ring, method="linework")


def _signed(ring):
    x, y = np.array(ring.exterior.coords).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)


def _facets(some, fine):
    """The loop's points, arcs in facets that leave them by a quarter of `fine` at most."""
    points = []
    for row in range(len(some)):
        one = some.rows([row])
        turn, radius = abs(float(one.turn[0])), float(one.radius[0])
        count = 1
        if turn:
            step = 2 * np.arccos(max(0.0, 1 - fine / 4 / radius)) if radius > fine else np.pi / 8
            count = int(np.ceil(turn / max(step, 1e-4)))
        points.append(one.points(np.arange(count)[None] / count)[0])
    return np.concatenate(points) if points else np.empty((0, 2))


def _moved(report, written):
    """How far borders and their segments are from each other at most, and how many segments of
    borders the file has not got, or has and no border.
    """
    decimals = decimals_of(report)
    data = [path_data([chain], report.top, decimals) for chain in report.fit.chains]
    some, _ = parsed(data)
    own, every = ({tuple(key) for key in _keys(s)[0].tolist()} for s in (some, written.segments))
    facets = [b.points * (1, -1) + (0, report.top) for b in report.pattern.borders]
    return max(_from_facets(some, facets), _from_segments(some, facets)), len(own ^ every)


def _from_facets(some, facets):
    """How far facets leave the segments of their own borders: looked at in quarters of each."""
    begin = np.searchsorted(some.path, np.arange(len(facets) + 1))
    low, high = some.boxes()
    worst = 0.0
    for border, points in enumerate(facets):
        rows, spots = np.arange(begin[border], begin[border + 1]), _quarters(points)
        if len(rows) == 0:
            continue
        spot = np.repeat(np.arange(len(spots)), len(rows))
        owner = np.tile(rows, len(spots))
        if len(owner) > FEW:  # only segments whose boxes are no farther than what was found so far
            spot, owner = _near_pairs(low[rows], high[rows], spots)
            owner += rows[0]
        far = np.full(len(spots), np.inf)
        for at in range(0, len(spot), PAIRS):
            part = slice(at, at + PAIRS)
            np.minimum.at(far, spot[part], distances(some, owner[part], spots[spot[part]]))
        worst = max(worst, float(far.max()))
    return worst


def _near_pairs(low, high, spots):
    """Pairs of a spot and a segment that may be the nearest to it."""
    places, boxes = shapely.points(spots), shapely.box(*low.T, *high.T)
    # A segment is nowhere farther from a spot than the far corner of its box.
    size = float(np.hypot(*(high - low).T).max())
    tree = shapely.STRtree(boxes)
    nearest = tree.query_nearest(places, return_distance=True, all_matches=False)[1]
    reach = nearest + np.hypot(*(high - low).T).min() if len(low) == 1 else nearest + size
    found = tree.query(places, predicate="dwithin", distance=reach)
    return found[0], found[1].copy()


def _quarters(points):
    step = np.diff(points, axis=0)
    shares = np.array([0.0, 0.25, 0.5, 0.75])
    return np.vstack([(points[:-1, None] + shares[:, None] * step[:, None]).reshape(-1, 2),
                      points[-1:]])  # fmt: skip


def _from_segments(some, facets):
    """How far segments leave the facets of their own borders: four looks or more at a facet."""
    begin = np.searchsorted(some.path, np.arange(len(facets) + 1))
    with np.errstate(invalid="ignore"):
        length = np.where(some.turn == 0, some.chords(), some.radius * np.abs(some.turn))
    worst = 0.0
    for border, points in enumerate(facets):
        rows = np.arange(begin[border], begin[border + 1])
        if len(rows) == 0:
            continue
        facet = float(np.median(np.hypot(*np.diff(points, axis=0).T)))
        looks = np.clip(np.ceil(4 * length[rows] / facet), 8, 400).astype(int)
        share = (np.arange(looks.sum()) - np.repeat(np.cumsum(looks) - looks, looks)) + 0.5
        share /= np.repeat(looks, looks)
        spots = some.rows(np.repeat(rows, looks)).points(share[:, None])[:, 0]
        worst = max(worst, _far(spots, points))
    return worst


def _far(spots, points):
    places = shapely.points(spots)
    if len(points) < 64:
        return float(shapely.distance(shapely.linestrings(points), places).max())
    edges = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    _, far = shapely.STRtree(edges).query_nearest(places, return_distance=True, all_matches=False)
    return float(far.max())
