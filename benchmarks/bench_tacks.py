"""Tacks: how many, against a lower bound that no layout beats, and how long they take.

The bound is a linear program. Give points p of a piece weights so that every disc of the reach,
wherever its centre may be, holds no more than 1 in all; then their sum is a lower bound on the
number of discs. Centres are checked on a lattice and each disc is made larger by what a centre may
be off the lattice, so the bound is rigorous: finer sampling could only raise it.

Run: python benchmarks/bench_tacks.py
"""

import math
import statistics
import time

import numpy as np
import shapely
from scipy.optimize import linprog
from shapely import Point, Polygon, affinity, box

from mateline.stencil.board import Board, Punch
from mateline.stencil.tacks.farthest_point import gaps
from mateline.stencil.tacks.tape_tacks import least_count, tacks_for

BOARD = Board(
    sheet=(762.0, 1016.0),
    thickness=1.5,
    least_width=6.0,
    least_area=150.0,
    sharpest=math.radians(12),
    punches=(Punch(30.0, 12.0), Punch(16.0, 8.0), Punch(6.0, 6.0, round=True)),
    reach=150.0,
    tape_margin=4.0,
    kerf=0.2,
)
LARGE = 4  # tacks: pieces with at least as many count for the ratio


def lattice(area, step):
    left, low, right, high = area.bounds
    xs, ys = np.meshgrid(np.arange(left, right + step, step), np.arange(low, high + step, step))
    return np.column_stack([xs.ravel(), ys.ravel()])


def bound(area, reach):
    """The linear program's bound on the number of tacks, rounded up."""
    step = max(reach / 16, math.sqrt(area.area / 2500))
    room = shapely.buffer(area, step * math.sqrt(0.5))
    centres = lattice(room, step)
    centres = centres[shapely.contains_xy(room, *centres.T)]
    inner = lattice(area, 1.5 * step)
    points = np.vstack(
        [
            inner[shapely.contains_xy(area, *inner.T)],
            shapely.get_coordinates(shapely.segmentize(shapely.simplify(area, 2), 1.5 * step)),
        ]
    )
    points = points[shapely.dwithin(area, shapely.points(points), 1e-9)]
    held = gaps(centres, points) <= reach + step * math.sqrt(0.5)
    solved = linprog(-np.ones(len(points)), A_ub=held, b_ub=np.ones(len(centres)), method="highs")
    return max(math.ceil(-solved.fun - 1e-6), least_count(area, reach))


def blob(seed, size):
    rng = np.random.default_rng(seed)
    turns = np.linspace(0, math.tau, 72, endpoint=False)
    wave = sum(rng.uniform(0, 0.2) * np.sin(k * turns + rng.uniform(0, 6)) for k in (2, 3, 5))
    return Polygon(size * (0.8 + wave)[:, None] * np.column_stack([np.cos(turns), np.sin(turns)]))


def pieces():
    """Large pieces of many kinds: panels, bands, rings, blobs, panels with windows."""
    yield from (box(0, 0, w, h) for w, h in [(600, 400), (700, 700), (700, 1200), (500, 900)])
    yield from (box(0, 0, w, h) for w, h in [(1200, 40), (1200, 120), (900, 200), (1500, 300)])
    yield from (affinity.rotate(box(0, 0, 1000, 150), turn) for turn in (20, 45))
    yield from (Point(0, 0).buffer(r) - Point(0, 0).buffer(r - d) for r, d in
                [(300, 60), (400, 150), (350, 250)])  # fmt: skip
    yield from (blob(seed, 250.0 + 40 * seed) for seed in range(10))
    for seed in range(4):
        rng = np.random.default_rng(seed)
        windows = shapely.union_all(
            [Point(*rng.uniform(100, 700, 2)).buffer(rng.uniform(30, 110)) for _ in range(7)]
        )
        rest = box(0, 0, 800, 800) - windows
        yield max(shapely.get_parts(rest), key=lambda part: part.area)


def main():
    ratios = []
    for area in pieces():
        start = time.perf_counter()
        tacks = tacks_for(area, [], BOARD)
        took = time.perf_counter() - start
        least = bound(area, BOARD.reach)
        ratios.append((len(tacks) / least, len(tacks), least, took))
        print(f"{area.area / 100:8.0f} cm²  {len(tacks):3d} tacks, at least {least:3d}, "
              f"{1e3 * took:6.1f} ms")  # fmt: skip
    large = [ratio for ratio, count, _, _ in ratios if count >= LARGE]
    print(
        f"large pieces: median {statistics.median(large):.3f} x the bound, worst {max(large):.3f}"
    )
    small = [blob(seed, 20.0 + seed) for seed in range(100)]
    start = time.perf_counter()
    for area in small:
        tacks_for(area, [], BOARD)
    each = (time.perf_counter() - start) / len(small)
    print(f"small pieces of 72 corners: {1e3 * each:.2f} ms each")


if __name__ == "__main__":
    main()
