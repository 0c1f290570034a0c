r"""Small stencils, made by hand or from a few shapes, that the tests of exports share.

300 D---------------------------C
    |  bolt o        ___        |     sky: the base coat, with the sun and a bolt in it
    |               /sun\       |
    |               \___/       |
100 F-.___.-'''-.___.-'''-.____.E     wave: two arcs, (400, 100) over (200, 100) to (0, 100)
    |            ( )button      |     sea: with an open hole under it
  0 A---------------------------B
    0                          400
"""

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole, keep_clear
from mateline.cabinet.panel import Edge, Frame, Panel
from mateline.curves import Chain, Segment, area, circle, flattened, ring
from mateline.drawing.shapes import Shape
from mateline.exports.stroke import rings
from mateline.pattern.pattern import Border, Pattern, Region, pattern_of
from mateline.stencil.board import Board, Punch, Tack
from mateline.stencil.pieces import Piece
from mateline.stencil.sheets.joins import grid_for
from mateline.stencil.stencil import Stencil

PAINTS = {"cream": "#f4ead2", "sea blue": "#1f5f8b", "sun yellow": "#f2b134"}
BOLT = Hole("bolt", "round", (80.0, 240.0), 24.0, 24.0, stays=True, margin=3.0)
BUTTON = Hole("button", "round", (200.0, 45.0), 28.0, 28.0)
FRONT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
SIZE = (400.0, 300.0)
SUN_RADIUS = 50.0
BOLT_RADIUS = 15.0  # with its margin
WAVE_RADIUS = 125.0  # chords of 200, sagitta 50: r = (100² + 50²) / (2 * 50)

SHEET = Board((762.0, 1016.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2)
SQUARE_END = Chain((0.0, 0.0), (Segment((0.0, 18.0)),))


def board(name, frame, size, *, holes=(), carcase="body", ends=(SQUARE_END,) * 4):
    """A rectangular panel, `size` wide and high."""
    x, y = size
    return Panel(
        name,
        carcase,
        18.0,
        frame,
        ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)),
        (None,) * 4,
        tuple(Edge("none", end) for end in ends),
        tuple(holes),
    )


def seaside():
    """The stencil in the figure, every chain exact."""
    face = unrolled(board("front", FRONT, SIZE, holes=(BOLT, BUTTON)))
    x, y = SIZE
    west, mid, east = (0.0, 100.0), (200.0, 100.0), (x, 100.0)
    chains = (
        Chain(west, tuple(map(Segment, ((0.0, 0.0), (x, 0.0), east)))),
        Chain(east, tuple(map(Segment, ((x, y), (0.0, y), west)))),
        Chain(
            east,
            (Segment(mid, (300.0, 175.0), False), Segment(west, (100.0, 25.0), True)),
        ),
        circle((280.0, 210.0), SUN_RADIUS),
        keep_clear(BOLT),
    )
    sides = ((0, -1), (1, -1), (0, 1), (2, 1), (-1, 1))
    loops = (((0, 2),), ((1, ~2), (~3,), (~4,)), ((3,),))
    colours = ("sea blue", "cream", "sun yellow")
    places = ((110.0, 75.0), (120.0, 180.0), (280.0, 215.0))
    return _stencil(face, _pattern(chains, sides, loops, colours), chains, "cream", places=places)


def painted_by(panel, shapes, base="cream", paints=PAINTS):
    """A stencil from coloured polygons, back to front; borders stay facets."""
    face = unrolled(panel)
    outline = face.outline
    for hole in face.holes:
        if hole.stays:
            outline = outline - Polygon(flattened(keep_clear(hole)))
    drawn = [Shape(area, colour, "test") for colour, area in shapes]
    pattern = pattern_of(drawn, outline, base=base)
    chains = tuple(_as_lines(border.points) for border in pattern.borders)
    places = [region.area.representative_point().coords[0] for region in pattern.regions]
    return _stencil(face, pattern, chains, base, paints, places)


def striped(panel, count=5):
    """A stencil of a sea with waves' crests as triangles, a sun and slanted beams."""
    _, _, width, height = unrolled(panel).outline.bounds
    sun = shapely.Point(0.7 * width, 0.72 * height).buffer(0.16 * min(width, height))
    teeth = [(0.0, 0.0)]
    for at in range(count):
        teeth += [(width * at / count, 0.22 * height), (width * (at + 0.5) / count, 0.36 * height)]
    sea = Polygon([*teeth, (width, 0.22 * height), (width, 0.0)])
    beams = [
        Polygon([(0.0, height * a), (width, height * (a + 0.3)), (width, height * (a + 0.38))])
        for a in (0.35, 0.5)
    ]
    shapes = [("sun yellow", beam) for beam in beams]
    return painted_by(panel, [*shapes, ("sea blue", sea), ("sun yellow", sun)])


def _as_lines(points):
    start, *rest = [tuple(point) for point in points.tolist()]
    return Chain(start, tuple(Segment(to) for to in rest))


def _pattern(chains, sides, loops, colours):
    ends = sorted({chain.start for chain in chains} | {chain.points[-1] for chain in chains})
    borders = tuple(
        Border(ends.index(chain.start), ends.index(chain.points[-1]), *side, flattened(chain))
        for chain, side in zip(chains, sides, strict=True)
    )
    areas = [[flattened(ring(chains, loop)) for loop in outer] for outer in loops]
    regions = tuple(
        Region(colour, Polygon(rings[0], rings[1:]), loop, frozenset())
        for colour, rings, loop in zip(colours, areas, loops, strict=True)
    )
    return Pattern(np.array(ends), borders, regions)


def _stencil(face, pattern, chains, base, paints=PAINTS, places=()):
    letters = {colour: letter for letter, colour in zip("ABCDEFG", paints, strict=False)}
    counts = dict.fromkeys(paints, 0)
    pieces = []
    for index, region in enumerate(pattern.regions):
        counts[region.colour] += 1
        letter, number = letters[region.colour], counts[region.colour]
        pieces.append(
            Piece(
                f"{face.name} {letter}{number}",
                face.name,
                region.colour,
                letter,
                number,
                index,
                region.area,
                _tacks(region.area, *places[index]),
            )
        )
    grid = grid_for(face, pattern, pieces, SHEET)
    return Stencil(
        face,
        pattern.regions,
        pattern,
        chains,
        tuple(replace(piece, exact=_exact(piece, pattern, chains)) for piece in pieces),
        dict(paints),
        base,
        grid,
    )


def _exact(piece, pattern, chains):
    """The area within lines and arcs; holes run clockwise, so theirs is negative."""
    return round(sum(area(each) for each in rings(chains, pattern.regions[piece.region])), 6)


def _tacks(area, x, y):
    """One tack, turned a little, where it fits: enough to be drawn."""
    if area.contains(Polygon.from_bounds(x - 18, y - 12, x + 18, y + 12)):
        return (Tack((x, y), Punch(25.0, 12.0), math.radians(15)),)
    return ()
