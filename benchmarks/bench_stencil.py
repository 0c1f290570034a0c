"""The stencil's files: lifts and travel against lower bounds, and times against a floor.

The bound of travel is an integer program's (tests/travelling.py), solved as far as `SECONDS` go.
It pairs odd nodes as it likes, and doesn't know that inner comes before outer.

The floor of times is making the pattern itself from its shapes, in the same run.

For the quilt in cabinets/ it is its check: the processor time of the whole command `mateline check
cabinets/quilt`, in a process of its own, without what tacks and joins take in it. Imports are in
that, for a user waits for them too; the ratio without them is printed beside. The aim is that
tacks, joins, labels and the cut path together take at most 3 times the check. All are medians.

Run: python benchmarks/bench_stencil.py
"""

import gc
import json
import math
import resource
import statistics
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from fractions import Fraction

from mateline import survey as road
from mateline.drawing.shapes import Shape
from mateline.exports.by_hand.strokes import hand_sheets
from mateline.exports.cut.layers import layers_of
from mateline.exports.cut.sheets import drawn_besides
from mateline.exports.print.pdf import stencil_pdf
from mateline.pattern.pattern import pattern_of
from mateline.stencil.board import Board, Punch
from mateline.stencil.cutting.cut_path import cut_path, travel
from mateline.stencil.cutting.euler_trails import lifts
from mateline.stencil.sheets.joins import grid_for
from mateline.stencil.turned_over import turned_over
from mateline.tape.accuracy import Tape
from stencils import FRONT, board, painted_by
from travelling import inner_parts, least_travel

SIZE = (1200.0, 1600.0)
FACE = shapely.box(0, 0, *SIZE)
COLOURS = ("cream", "sea blue", "sun yellow")
SHEET = Board((762.0, 1016.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2)
SECONDS = 6.0  # for each bound
RUNS = 3  # of all that is clocked for a whole cabinet
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
        "by hand": lambda: hand_sheets(stencil, TAPE, cut_path(stencil.pattern)),
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


def checked(folder):
    """Processor seconds of one check of `folder`: `whole`, and the shares that are in it."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    script = Path(__file__).with_name("check_clocked.py")
    done = subprocess.run(
        [sys.executable, script, folder], capture_output=True, text=True, check=False
    )
    if done.returncode not in {0, 1}:
        sys.exit(done.stderr)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    whole = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return {"whole": whole, **json.loads(done.stdout)}


def written(job):
    """Processor seconds of what a build adds for the stencils of `job`."""
    took = {"labels and marks": 0.0, "cut path": 0.0}
    faces = {stencil.face.name: stencil for stencil in job.stencils}
    twins = {pair.left: (faces[pair.right], pair.matrix) for pair in job.pairs if pair.shared}
    for name, stencil in faces.items():
        path, cut = clocked(cut_path, stencil.pattern)
        besides = drawn_besides(stencil.grid)
        turned, over = clocked(turned_over, stencil, *twins[name]) if name in twins else (None, 0)
        _, layers = clocked(layers_of, stencil, job.tape, turned, besides, path)
        took["labels and marks"] += over + layers
        took["cut path"] += cut
    return took


def medians(runs):
    return {share: statistics.median(run[share] for run in runs) for share in runs[0]}


def shop(folder):
    """Tacks, joins, labels and cut paths of a whole cabinet against its check without them."""
    gc.disable()  # as the commands do
    job = road.with_true_borders(road.surveyed(folder))
    runs = medians([checked(folder) for _ in range(RUNS)])
    check = runs["whole"] - runs["tacks"] - runs["joins"]
    bare = check - runs["imports"]
    shares = {share: runs[share] for share in ("tacks", "joins")}
    shares |= medians([written(job) for _ in range(RUNS)])
    count = sum(len(stencil.pieces) for stencil in job.stencils)
    print(f"{folder.name}: {count} pieces; `mateline check` takes {runs['whole']:.2f} s, without "
          f"tacks and joins {check:.2f} s, and without imports {bare:.2f} s")  # fmt: skip
    shares["together"] = sum(shares.values())
    for share, took in shares.items():
        print(f"  {share:16s} {took:6.2f} s, {took / check:.2f} x the check, "
              f"{took / bare:.2f} x without imports")  # fmt: skip
    print("  aim: together at most 3 x the check")


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
