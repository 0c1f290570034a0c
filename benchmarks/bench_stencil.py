"""The stencil's files: lifts and travel against lower bounds, and times against a floor.

The bound of travel is an integer program's, solved as far as `SECONDS` go. It doesn't know that
inner comes before outer.

The floor of times is making the pattern itself from its shapes, in the same run.

Run: python benchmarks/bench_stencil.py
"""

import math
import statistics
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np
import shapely
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import coo_array, vstack

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from fractions import Fraction

from mateline.artwork.pattern import pattern_of
from mateline.artwork.shapes import Shape
from mateline.exports.handsheet import hand_sheet
from mateline.exports.layers import layers_of
from mateline.exports.pdf import stencil_pdf
from mateline.stencil.board import Board, Punch
from mateline.stencil.cutpath import cut_path, travel, trims
from mateline.stencil.eulertrails import lifts, odd_nodes
from mateline.stencil.joins import grid_for
from mateline.tape.tolerance import Tape
from stencils import FRONT, board, painted_by

SIZE = (1200.0, 1600.0)
FACE = shapely.box(0, 0, *SIZE)
COLOURS = ("cream", "sea blue", "sun yellow")
SHEET = Board((762.0, 1016.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2)
SECONDS = 6.0  # for each bound
TAPE = Tape("mm", Fraction(1), "II")


def quilt(count, seed):
    """Voronoi cells in three colours: a net of borders in which nearly every node is odd."""
    rng = np.random.default_rng(seed)
    points = shapely.multipoints(rng.uniform(0, SIZE, (count, 2)))
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=FACE))
    return [(COLOURS[at % 3], cell.intersection(FACE)) for at, cell in enumerate(cells)]


def net(count, seed):
    """The same cells, each of its own colour: one part, and no piece inside another."""
    return [(f"{at}", cell) for at, (_, cell) in enumerate(quilt(count, seed))]


def discs(count, seed):
    """Discs over each other and alone: many parts, some inside others."""
    rng = np.random.default_rng(seed)
    reach = 900 / math.sqrt(count)
    return [
        (COLOURS[rng.integers(1, 3)], shapely.Point(*rng.uniform(0, SIZE)).buffer(r))
        for r in rng.uniform(reach / 8, reach, count)
    ]


def parts(pattern, borders):
    """Connected parts of the borders: dictionaries of border to its two nodes."""
    home = {}

    def top(node):
        while home.setdefault(node, node) != node:
            node = home[node]
        return node

    ends = {at: (pattern.borders[at].start, pattern.borders[at].end) for at in borders}
    for a, b in ends.values():
        home[top(a)] = top(b)
    found = {}
    for at, pair in ends.items():
        found.setdefault(top(pair[0]), {})[at] = pair
    return list(found.values())


def least_travel(pattern, groups):
    """An integer program's bound, mm; the trim is left out as if it cost nothing.

    Links are pairs of places where strokes may end. An odd node ends one stroke, a part without
    odd nodes has one stroke, which ends twice at any node of it. A part is entered and left,
    or it is where the path begins or ends.
    """
    where, part, most, row = [], [], [], []
    for number, group in enumerate(groups):
        odd = odd_nodes(group)
        nodes = odd or sorted({node for pair in group.values() for node in pair})
        first = len(most)
        most += [1.0] * len(odd) or [2.0]
        row += list(range(first, first + len(odd))) or [first] * len(nodes)
        where += nodes
        part += [number] * len(nodes)
    a, b = np.triu_indices(len(where), 1)
    part, row, places = np.array(part), np.array(row), pattern.nodes[where]
    keep = row[a] != row[b]
    a, b = a[keep], b[keep]
    count, loose = len(a), len(groups)
    costs = np.r_[np.linalg.norm(places[a] - places[b], axis=1), np.zeros(loose)]
    each, ones = np.arange(count), np.ones(2 * count)
    uses = coo_array((ones, (np.r_[row[a], row[b]], np.r_[each, each])),
                     (len(most), count + loose))  # fmt: skip
    apart = np.flatnonzero(part[a] != part[b])
    rows = np.r_[part[a[apart]], part[b[apart]], np.arange(loose)]
    columns = np.r_[apart, apart, count + np.arange(loose)]
    leaves = coo_array((-np.ones(len(rows)), (rows, columns)), (loose, count + loose))
    limits = np.r_[most, -2.0 * np.ones(loose) if loose > 1 else np.zeros(1), 2.0]
    tips = coo_array(np.r_[np.zeros(count), np.ones(loose)][None])
    strokes = sum(lifts(group) for group in groups)
    total = np.r_[np.ones(count), np.zeros(loose)][None]
    rows_le = vstack([uses, leaves, tips]).tocsr()
    solved = milp(
        costs,
        integrality=np.r_[np.ones(count), np.zeros(loose)],
        bounds=(0, np.r_[np.ones(count), np.full(loose, np.inf)]),
        constraints=[
            LinearConstraint(rows_le, ub=limits),
            LinearConstraint(total, lb=strokes - 1, ub=strokes - 1),
        ],
        options={"time_limit": SECONDS},
    )
    return solved.mip_dual_bound


def report(name, shapes):
    start = time.perf_counter()
    pattern = pattern_of([Shape(area, colour, "bench") for colour, area in shapes], FACE,
                         base="cream")  # fmt: skip
    floor = time.perf_counter() - start
    start = time.perf_counter()
    path = cut_path(pattern)
    took = time.perf_counter() - start
    trim = {at if at >= 0 else ~at for ring in trims(pattern) for at in ring}
    groups = parts(pattern, [at for at in range(len(pattern.borders)) if at not in trim])
    least = sum(lifts(group) for group in groups)
    used = Counter(at if at >= 0 else ~at for stroke in path.strokes for at in stroke)
    assert set(used) == set(range(len(pattern.borders)))
    assert set(used.values()) == {1}
    way, bound = travel(path, pattern), least_travel(pattern, groups)
    if not bound > 0:
        raise RuntimeError(f"{name}: no bound within {SECONDS:g} s")
    ratio = way / bound
    print(f"{name:12s} {len(pattern.regions):5d} pieces {len(groups):4d} parts "
          f"{len(path.strokes):5d} lifts, least {least:5d}; travel {way:7.0f} mm, "
          f"{ratio:.3f} x the bound; {took / floor:.2f} x the pattern")  # fmt: skip
    return ratio


def times(count):
    stencil = painted_by(board("front", FRONT, SIZE), quilt(count, 1))
    start = time.perf_counter()
    pattern_of([Shape(area, colour, "bench") for colour, area in quilt(count, 1)], FACE,
               base="cream")  # fmt: skip
    floor = time.perf_counter() - start
    layers = layers_of(stencil)
    steps = {
        "cut path": lambda: cut_path(stencil.pattern),
        "joins": lambda: grid_for(stencil.face, stencil.pattern, stencil.pieces, SHEET),
        "layers": lambda: layers_of(stencil),
        "PDF": lambda: stencil_pdf(stencil, TAPE, None, layers),
        "hand sheet": lambda: hand_sheet(stencil, TAPE),
    }
    print(f"{len(stencil.pieces)} pieces; making their pattern takes {1e3 * floor:.0f} ms")
    for name, step in steps.items():
        start = time.perf_counter()
        step()
        took = time.perf_counter() - start
        print(f"  {name:10s} {1e3 * took:7.1f} ms, {took / floor:.2f} x the pattern")


def main():
    for kind, counts in ((net, (20, 40, 60)), (quilt, (30, 100, 250)), (discs, (30, 100, 300))):
        ratios = [
            report(f"{kind.__name__} {count}", kind(count, seed))
            for count in counts
            for seed in range(3)
        ]
        print(
            f"travel: median {statistics.median(ratios):.3f} x the bound, worst {max(ratios):.3f}"
        )
    times(1500)


if __name__ == "__main__":
    main()
