"""Painting day: what the plan costs, and what witness lines cost exactly on the plane.

    python benchmarks/bench_witness.py

Floors, measured in the same run on the same pieces: for the plan, pairing the edges of every
face's pieces (which proves that each place is painted once); for the exact lines, cutting and
growing each board once and uniting each face's boards once. Medians of processor time, as other
work on the machine makes a wall clock useless. Aims: the plan of 15 faces and 300 pieces under
100 ms, the exact lines of harbour-lights under 1 s. Also how far the closed forms are from the
exact bare area, which is what corners and thin pieces make of it.
"""

import math
import time
from pathlib import Path
from statistics import median

import numpy as np
import shapely
from shapely import Point, Polygon, box

from mateline.cabinet.faces import unrolled
from mateline.cabinet.panel import Edge, Frame, Panel
from mateline.curves import Chain, Segment
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.drawing.shapes import Shape
from mateline.errors import Faults
from mateline.paint.plan import Painting, plan_of
from mateline.paint.witness.lines import rank_of
from mateline.paint.witness.shading import QUARTER, painted
from mateline.pattern.tiling import tiling_of
from mateline.stencil.board import Board, Punch
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import stencil_of
from mateline.survey import surveyed

RUNS = 5
LIGHTS = Path(__file__).parents[1] / "cabinets" / "harbour-lights"
PAINTS = {"cream": "#f4ead2", "red": "#b03a2e", "blue": "#1f5f8b", "green": "#2e7d4f"}
SIZE = (600.0, 900.0)
BOARD = Board((762.0, 1016.0), 1.5, 6.0, 150.0, math.radians(12), (Punch(30.0, 12.0),), 150.0, 2.0,
              0.2)  # fmt: skip


def timed(work):
    took = []
    for _ in range(RUNS):
        start = time.process_time()
        result = work()
        took.append(time.process_time() - start)
    return median(took), result


def face(name):
    ends = Chain((0.0, 0.0), (Segment((0.0, 18.0)),))
    x, y = SIZE
    outline = ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))
    frame = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    edges = tuple(Edge("none", ends) for _ in range(4))
    return unrolled(Panel(name, "bench", 18.0, frame, outline, (None,) * 4, edges, ()))


def stencil(seed):
    """A face with twenty-odd pieces: discs, waves and beams over a base coat."""
    rng = np.random.default_rng(seed)
    x, y = SIZE
    wave = [(at, 200 + 60 * math.sin(at / 60)) for at in np.arange(0, x + 1, 4)]
    shapes = [Shape(Polygon([*wave, (x, 0), (0, 0)]), "blue", "sea")]
    beams = [box(120 * at, 250 + 30 * at, 120 * at + 90, 700) for at in range(5)]
    shapes += [Shape(beam, "red", "beam") for beam in beams]
    for at in range(12):
        centre = Point(rng.uniform(0, x), rng.uniform(0, y))
        colour = ("green", "red", "blue", "cream")[at % 4]
        shapes.append(Shape(centre.buffer(rng.uniform(20, 60), quad_segs=40), colour, "disc"))
    letters = {name: name[0].upper() for name in PAINTS}
    return stencil_of(face(f"face-{seed}"), shapes, Colours(PAINTS, letters, "cream"), BOARD)


def definition():
    colours = {name: {"paint": paint, "letter": name[0].upper()} for name, paint in PAINTS.items()}
    corners = {"A": [0, 0], "B": [400, 0], "C": [400, 500], "D": [0, 500]}
    carcase = {"name": "bench", "view": "side", "corners": list(corners), "width": 300,
               "board": 18, "outline": {"points": corners},
               "panels": {"front": {"edge": "D-A"}}}  # fmt: skip
    table = parsed(
        {
            "title": "bench",
            "tape": {"unit": "mm", "graduation": 1, "accuracy": "II"},
            "palette": {"base": "cream", "colours": colours},
            "carcase": [carcase],
        },
        "bench",
    )
    return settled(table, Faults("bench"))


def proof_floor(stencils, rooms):
    for each, room in zip(stencils, rooms, strict=True):
        tiling_of([piece.area for piece in each.pieces], room)


def exact_floor(stencils, spread):
    for each in stencils:
        areas = np.array([piece.area for piece in each.pieces], dtype=object)
        boards = shapely.buffer(areas, -spread.kerf / 2, quad_segs=QUARTER)
        shapely.union_all(shapely.buffer(boards, spread.play, quad_segs=QUARTER))


def row(name, seconds, floor):
    print(f"{name:44} {1e3 * seconds:8.1f} ms  {seconds / floor:5.2f} x its floor")


def measure(name, stencils, painting, findings):
    pieces = sum(len(each.pieces) for each in stencils)
    print(f"{name}: {len(stencils)} faces, {pieces} pieces")
    rooms = [shapely.coverage_union_all([piece.area for piece in each.pieces]) for each in stencils]
    floor, _ = timed(lambda: proof_floor(stencils, rooms))
    took, plan = timed(lambda: plan_of(stencils, painting, findings, ()))
    row("  plan", took, floor)
    rank = rank_of(plan.passes)
    floor, _ = timed(lambda: exact_floor(stencils, plan.spread))
    took, exact = timed(lambda: [painted(each, rank, plan.spread) for each in stencils])
    row("  exact witness lines", took, floor)
    bare, told = sum(each.bare.area for each in exact), sum(each.bare for each in plan.faces)
    print(f"  bare at worst: {bare:.0f} mm², closed forms {told:.0f} mm² ({told / bare - 1:+.2%})")


def main():
    stated = definition()
    made_up = Painting(stated.shop, BOARD, stated.colours)
    measure("made up", [stencil(seed) for seed in range(15)], made_up, ())
    job = surveyed(LIGHTS)
    painting = Painting(job.definition.shop, job.board, job.colours)
    measure("harbour-lights", job.stencils, painting, job.findings)


if __name__ == "__main__":
    main()
