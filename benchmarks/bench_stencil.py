"""The stencil's files: lifts and travel against lower bounds, and times against a floor.

The bound of travel is an integer program's (tests/travelling.py), solved as far as `SECONDS` go.
It pairs odd nodes as it likes, and doesn't know that inner comes before outer.

The floor of times is making the pattern itself from its shapes, in the same run; and for the
quilt in cabinets/, its check without tacks and joins. The aim there is 3 times that for tacks,
joins, labels and the cut path together, processor time.

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

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from fractions import Fraction

from mateline import job as road
from mateline.artwork.pattern import pattern_of
from mateline.artwork.shapes import Shape
from mateline.exports.handsheet import hand_sheet
from mateline.exports.layers import layers_of
from mateline.exports.pdf import stencil_pdf
from mateline.exports.sheets import drawn_besides
from mateline.stencil import pieces
from mateline.stencil.board import Board, Punch
from mateline.stencil.cutpath import cut_path, travel
from mateline.stencil.eulertrails import lifts
from mateline.stencil.joins import grid_for
from mateline.tape.tolerance import Tape
from stencils import FRONT, board, painted_by
from travelling import inner_parts, least_travel

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


def report(name, shapes):
    start = time.perf_counter()
    pattern = pattern_of([Shape(area, colour, "bench") for colour, area in shapes], FACE,
                         base="cream")  # fmt: skip
    floor = time.perf_counter() - start
    start = time.perf_counter()
    path = cut_path(pattern)
    took = time.perf_counter() - start
    groups = inner_parts(pattern)
    least = sum(lifts(group) for group in groups)
    used = Counter(at if at >= 0 else ~at for stroke in path.strokes for at in stroke)
    assert set(used) == set(range(len(pattern.borders)))
    assert set(used.values()) == {1}
    way, (bound, solved) = travel(path, pattern), least_travel(pattern, SECONDS)
    if not bound > 0:
        raise RuntimeError(f"{name}: no bound within {SECONDS:g} s")
    ratio = way / bound
    known = "least" if solved else "bound"
    print(f"{name:12s} {len(pattern.regions):5d} pieces {len(groups):4d} parts "
          f"{len(path.strokes):5d} lifts, least {least:5d}; travel {way:7.0f} mm, "
          f"{ratio:.3f} x the {known}; {took / floor:.2f} x the pattern")  # fmt: skip
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


def clocked(step, *given):
    start = time.process_time()
    found = step(*given)
    return found, time.process_time() - start


def timed(step, shares):
    """`step`, with the time it takes put into `shares`."""

    def run(*given):
        found, took = clocked(step, *given)
        shares.append(took)
        return found

    return run


def shop(folder):
    """Tacks, joins, labels and cut paths of a whole cabinet against its check without them."""
    road.surveyed(folder)  # imports and caches
    inside = {"tacks": ("tacks_for", "taken_over"), "joins": ("grid_for", "mirrored")}
    shares = {share: [] for share in (*inside, "labels and marks", "cut path")}
    kept = {name: getattr(pieces, name) for names in inside.values() for name in names}
    for share, names in inside.items():
        for name in names:
            setattr(pieces, name, timed(kept[name], shares[share]))
    try:
        job, check = clocked(road.surveyed, folder)
    finally:
        for name, step in kept.items():
            setattr(pieces, name, step)
    check -= sum(shares["tacks"]) + sum(shares["joins"])
    for stencil in road.with_true_borders(job).stencils:
        _, path = clocked(cut_path, stencil.pattern)
        _, layers = clocked(layers_of, stencil, job.tape, None, drawn_besides(stencil.grid))
        shares["labels and marks"].append(layers - path)  # layers have the cut path in them
        shares["cut path"].append(path)
    count = sum(len(stencil.pieces) for stencil in job.stencils)
    print(f"{folder.name}: {count} pieces; check without tacks and joins {check:.2f} s")
    for share, took in shares.items():
        print(f"  {share:16s} {sum(took):6.2f} s, {sum(took) / check:.2f} x the check")
    print(f"  together {sum(map(sum, shares.values())) / check:.2f} x, aim 3")


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
    shop(Path(__file__).parent.parent / "cabinets" / "quilt")


if __name__ == "__main__":
    main()
