"""What a board costs: written as a shell, cut by one boolean with all tools, and as a mesh.

The board is 1300 x 600 x 18 mm with a bevel all round and 14 holes. Medians of processor time
over runs that take turns, so that a busy machine slows all alike. And what model.step costs a
fresh process, kernel and all, against the import of cadquery alone, which it did before.
Run: python benchmarks/bench_panel.py
"""

import math
import pickle
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import cadquery
import shapely
from shapely import Point

from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole
from mateline.cabinet.joints import Bevel, section
from mateline.cabinet.panel import Edge, Frame, Panel
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import volume
from mateline.drawing.shapes import Shape
from mateline.exports.solid import glb as mesh
from mateline.exports.solid import step
from mateline.pattern.pattern import pattern_of

RUNS = 9
FRESH_RUNS = 5
AIM = 1 / 4  # of the boolean's time
AIM_FRESH = 1.0  # of the import of cadquery
LENGTH, HEIGHT, THICK, BEVEL = 1300.0, 600.0, 18.0, 8.0
FRONT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
COLOURS = ("#d03020", "#20a040", "#2040c0", "#f0c020")


def board():
    """The board, its 14 holes in two rows."""
    edge = Edge("none", section("over", THICK, THICK, math.pi / 2, Bevel(BEVEL)))
    holes = []
    for at in range(14):
        x, y = 150.0 + 165.0 * (at % 7), 200.0 + 200.0 * (at // 7)
        sink = {"head": 13.44, "head_angle": math.pi / 2}
        holes.append(
            (
                Hole(f"{at}", "round", (x, y), 30.0, 30.0),
                Hole(f"{at}", "slot", (x, y), 60.0, 12.0),
                Hole(f"{at}", "rectangle", (x, y), 80.0, 50.0, corner=6.0),
                Hole(f"{at}", "countersunk", (x, y), 6.6, 6.6, **sink),
            )[at % 4]
        )
    outline = ((0.0, 0.0), (LENGTH, 0.0), (LENGTH, HEIGHT), (0.0, HEIGHT))
    return Panel("board", "bench", THICK, FRONT, outline, (None,) * 4, (edge,) * 4, tuple(holes))


def by_boolean(panel):
    """The same board by cadquery: box and bevel, then one cut with all tools."""
    side = BEVEL * math.sin(math.pi / 4)
    box = cadquery.Workplane("XZ", (LENGTH / 2, 0, HEIGHT / 2)).box(LENGTH, HEIGHT, THICK)
    body = box.translate((0, THICK / 2, 0)).faces("<Y").chamfer(side).val()
    tools = []
    for hole in panel.holes:
        x, y = hole.centre
        face = cadquery.Workplane("XZ", (x, -1, y))
        if hole.kind == "slot":
            drawn = face.slot2D(hole.length, hole.width)
        elif hole.kind == "rectangle":
            corner = cadquery.Sketch().rect(hole.length, hole.width).vertices().fillet(hole.corner)
            drawn = face.placeSketch(corner)
        else:
            drawn = face.circle(hole.width / 2)
        tools.append(drawn.extrude(-THICK - 2).val())
        if hole.kind == "countersunk":
            sink = (hole.head - hole.width) / 2
            place = cadquery.Vector(x, 0, y), cadquery.Vector(0, 1, 0)
            cone = cadquery.Solid.makeCone(hole.head / 2, hole.width / 2, sink, *place)
            tools.append(cone)
    return body.cut(*tools)


def regions(panel):
    """150 pieces of four colours on the board's net."""
    face = unrolled(panel)
    discs = [
        Shape(Point(50 + 90 * (at % 15), 40 + 58 * (at // 15)).buffer(35), COLOURS[at % 4], f"{at}")
        for at in range(150)
    ]
    pattern = pattern_of(discs, face.outline, base="#f4ead2")
    return face.panel, [(region.area, region.colour) for region in pattern.regions]


FRESH = {
    "import cadquery": "import cadquery",
    "import OCP": "import OCP.gp",
    "import OCP, 14 to STEP": (
        "import pickle, sys; from pathlib import Path; from mateline.exports.solid import step; "
        "boards = pickle.loads(Path(sys.argv[1]).read_bytes()); "
        "step.write(boards, Path(sys.argv[2]), colours={})"
    ),
}


def fresh(boards):
    """Median processor seconds of fresh processes, by name."""
    times = {name: [] for name in FRESH}
    with tempfile.TemporaryDirectory() as folder:
        given = Path(folder) / "boards"
        given.write_bytes(pickle.dumps(boards))
        for _ in range(FRESH_RUNS):
            for name, code in FRESH.items():
                before = resource.getrusage(resource.RUSAGE_CHILDREN)
                there = str(Path(folder) / "model.step")
                subprocess.run([sys.executable, "-c", code, str(given), there], check=True)
                after = resource.getrusage(resource.RUSAGE_CHILDREN)
                spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
                times[name].append(spent)
    return {name: statistics.median(found) for name, found in times.items()}


def main():
    """Print the table."""
    panel = board()
    painted, areas = regions(panel)
    boards, paint = [painted] * 14, {"bench-board": areas}
    with tempfile.TemporaryDirectory() as folder:
        work = {
            "one boolean": lambda: by_boolean(panel),
            "shell": lambda: shape(panel),
            "14 boards to STEP": lambda: step.write(boards, Path(folder) / "m.step", colours={}),
            "14 boards to GLB": lambda: mesh.write(
                boards, paint, Path(folder) / "m.glb", wood="#c8a06a"
            ),
        }
        times = {name: [] for name in work}
        for _ in range(RUNS):
            for name, run in work.items():
                start = time.process_time()
                run()
                times[name].append(time.process_time() - start)
        size = (Path(folder) / "m.glb").stat().st_size
    off = max(abs(make(panel).Volume() / volume(panel) - 1) for make in (by_boolean, solid))
    middle = {name: statistics.median(found) for name, found in times.items()}
    ratio = middle["shell"] / middle["one boolean"]
    print(f"{'':20} {'median ms':>10}  {'of the boolean':>14}")
    for name, found in middle.items():
        print(f"{name:20} {1e3 * found:10.1f}  {found / middle['one boolean']:14.2f}")
    vertices = int(shapely.get_num_coordinates([area for area, _ in areas]).sum())
    print(f"shell / boolean {ratio:.2f}, aim {AIM:.2f}: {'met' if ratio <= AIM else 'MISSED'}")
    print(
        f"volumes within {off:.0e} of the closed form; {len(areas)} regions, "
        f"{vertices} vertices a board; {size / 1e6:.1f} MB of GLB"
    )
    processes = fresh(boards)
    floor = processes["import cadquery"]
    for name, found in processes.items():
        print(f"{name:24} {found:6.2f} s  {found / floor:5.2f} of the import of cadquery")
    ratio = processes["import OCP, 14 to STEP"] / floor
    print(f"{ratio:.2f}, aim below {AIM_FRESH}: {'met' if ratio < AIM_FRESH else 'MISSED'}")


if __name__ == "__main__":
    main()
