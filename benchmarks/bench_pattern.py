"""The pattern step against `shapely.coverage_clean` on the same shapes in the same run.

    python benchmarks/bench_pattern.py [1000 10000 50000]

Discs and stars of 64 vertices at paint depth 3 in a square. Prints each stage's share, the
always-on tiling check, the refit of every border, and how the cost grows. Times are processor
seconds, so that a busy machine changes little; short ones are the best of a few runs. Memory is
what each of the two adds to the peak of a process of its own; both have imported the same
modules before, so none of them counts. Shares are of one run stage by stage; what is left over
is the pattern's own bookkeeping (colours, palettes, whether each region is valid).
"""

import gc
import math
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path
from unittest.mock import patch

import numpy as np
import shapely
from shapely import Polygon, box

from mateline.borders.refit import refitted
from mateline.drawing.shapes import Shape
from mateline.pattern import arrangement
from mateline.pattern import pattern as steps
from mateline.pattern.pattern import pattern_of, tiling

DEPTH, VERTICES, SIDE, COLOURS = 3, 64, 1000.0, 6
SHORT = 2000  # shapes: times of fewer are the best of a few runs


def painted(count):
    rng = np.random.default_rng(count)
    reach = SIDE * math.sqrt(DEPTH / (math.pi * count))
    turn = np.linspace(0, math.tau, VERTICES, endpoint=False)
    shapes = []
    for at in range(count):
        far = reach * (1 + 0.3 * np.cos(5 * turn) * (at % 2))
        ring = rng.uniform(0, SIDE, 2) + np.column_stack([far * np.cos(turn), far * np.sin(turn)])
        shapes.append(Shape(Polygon(ring), f"#00000{rng.integers(COLOURS)}", "shape"))
    return shapes


def timed(function, *arguments, **named):
    start = time.process_time()
    result = function(*arguments, **named)
    return time.process_time() - start, result


def peak(which, count):
    """MB that one of the two adds to the peak of a new process."""
    command = [sys.executable, __file__, which, str(count)]
    return float(subprocess.run(command, capture_output=True, check=True, text=True).stdout)


def measure(which, count):
    shapes = painted(count)
    before = high_water()
    if which == "clean":
        shapely.coverage_clean([shape.area for shape in shapes])
    else:
        pattern_of(shapes, box(0, 0, SIDE, SIDE), base="#ffffff")
    print(high_water() - before)


def high_water():
    """Peak memory of this process, MB (Linux: what getrusage tells includes the parent's)."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


STAGES = {
    "layers": ((steps, "_layers"),),
    "rings": ((arrangement, "_rings"),),
    "cull": ((arrangement, "without_occluded"),),
    "edges": (
        (arrangement, "edges_of"),
        (arrangement, "without_twins"),
        (arrangement, "refuse_many_crossings"),
    ),
    "node": ((arrangement, "_noded"),),
    "sides": ((arrangement, "_sides"),),
    "see": ((steps, "visible_layers"),),
    "join": ((steps, "dissolved"),),
    "nest": ((steps, "face_map"),),
    "areas": ((steps, "areas_of"), (steps, "assembled")),
    "sources": ((steps, "_homes"), (steps, "_sources")),
    "check": ((steps, "tiling"),),
}


def stages(shapes, outline):
    """Share of each stage in one run of the pattern step; they add up to 1 with the rest."""
    spent = dict.fromkeys(STAGES, 0.0)

    def clocked(name, function):
        def run(*arguments, **named):
            seconds, result = timed(function, *arguments, **named)
            spent[name] += seconds
            return result

        return run

    with ExitStack() as undo:
        for name, parts in STAGES.items():
            for module, function in parts:
                wrapped = clocked(name, getattr(module, function))
                undo.enter_context(patch.object(module, function, wrapped))
        whole, _ = timed(pattern_of, shapes, outline, base="#ffffff")
    shares = {name: seconds / whole for name, seconds in spent.items()}
    return {**shares, "the rest": 1 - sum(shares.values())}


def best(count, function, *arguments, **named):
    """Least seconds of a few runs, of one run where it is long; and the result."""
    runs = [timed(function, *arguments, **named) for _ in range(5 if count <= SHORT else 1)]
    return min(seconds for seconds, _ in runs), runs[0][1]


def main(counts):
    gc.disable()  # as in the commands
    outline = box(0, 0, SIDE, SIDE)
    before = None
    for count in counts:
        shapes = painted(count)
        clean, _ = timed(shapely.coverage_clean, [shape.area for shape in shapes])
        whole, pattern = best(count, pattern_of, shapes, outline, base="#ffffff")
        check, _ = best(count, tiling, pattern, outline)
        fit, found = timed(refitted, pattern)
        vertices = sum(len(border.points) for border in pattern.borders)
        shares = stages(shapes, outline)
        growth = math.log(whole / before[1]) / math.log(count / before[0]) if before else math.nan
        before = (count, whole)
        print(f"n = {count}: {len(pattern.regions)} regions, {vertices} border vertices")
        print(f"  coverage_clean {clean:.3f} s; pattern {whole:.3f} s = {whole / clean:.2f} of it")
        ours, theirs = peak("pattern", count), peak("clean", count)
        print(f"  peak memory {ours:.0f} MB, {ours / theirs:.2f} of coverage_clean's")
        print(f"  growth exponent {growth:.2f}; tiling check {check / whole:.1%} of the pattern")
        print(f"  refit {fit / vertices * 1e6:.2f} us a vertex, {found.largest_deviation:.4f} off")
        print("  " + ", ".join(f"{name} {share:.0%}" for name, share in shares.items()))


if __name__ == "__main__" and sys.argv[1:2] in (["pattern"], ["clean"]):
    measure(sys.argv[1], int(sys.argv[2]))
elif __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [1000, 10_000])
