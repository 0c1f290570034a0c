"""Faces with flat art, invented: what photographs and scans of the tests show.

A design is closed chains of lines and arcs painted one over the other inside an outline, all in mm
of the face frame (y up), the same for the same seed everywhere. What its borders are is worked out
by the project's own pattern from facets that leave the arcs by 0.002 mm at most.
"""

import math
import random
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import Polygon

from mateline.curves import Chain, Segment, flattened
from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import pattern_of

FACET = 0.002
# Colours of house paint, none near another, wood or grey primer.
PALETTE = {
    "cream": "#efe3c4",
    "navy": "#1f2f57",
    "red": "#b3271e",
    "teal": "#1f8a85",
    "mustard": "#d99a1c",
    "black": "#1b1b1d",
    "green": "#3f7d3a",
    "orange": "#d9622b",
}


@dataclass(frozen=True)
class Design:
    """`corners` (n, 2) run counter-clockwise; `shapes` are (chain, name of colour), back to front;
    what none covers is `base`.
    """

    corners: np.ndarray
    shapes: tuple
    base: str
    palette: dict

    @cached_property
    def outline(self):
        return Polygon(self.corners)

    @cached_property
    def areas(self):
        """Each shape as a polygon, back to front."""
        return [shapely.make_valid(Polygon(flattened(chain, FACET))) for chain, _ in self.shapes]

    @cached_property
    def pattern(self):
        """The regions that are seen and the borders between them."""
        flat = [
            Shape(area, colour, str(at))
            for at, (area, (_, colour)) in enumerate(zip(self.areas, self.shapes, strict=True))
        ]
        return pattern_of(flat, self.outline, base=self.base)

    @cached_property
    def borders(self):
        """The lines between colours, without the outline's, as a MultiLineString."""
        inner = [each for each in self.pattern.borders if -1 not in (each.left, each.right)]
        return shapely.multilinestrings([shapely.linestrings(each.points) for each in inner])

    @property
    def colours(self):
        """Names of the colours that are seen, in the palette's order."""
        seen = {region.colour for region in self.pattern.regions}
        return [name for name in self.palette if name in seen]


def polygon(*points):
    return Chain(tuple(points[-1]), tuple(Segment(tuple(at)) for at in points))


def disc(x, y, radius):
    return Chain((x + radius, y), (
        Segment((x - radius, y), (x, y)),
        Segment((x + radius, y), (x, y)),
    ))  # fmt: skip


def bowed(points, rises):
    """A closed run through `points` whose side k bulges to its right by `rises[k]` of its chord."""
    segments = []
    for at, to, rise in zip(points, (*points[1:], points[0]), rises, strict=True):
        if rise == 0:
            segments.append(Segment(tuple(to)))
            continue
        (ax, ay), (bx, by) = at, to
        chord = math.hypot(bx - ax, by - ay)
        radius = chord * (1 / (8 * abs(rise)) + abs(rise) / 2)  # R = c²/8s + s/2
        inward = radius - abs(rise) * chord
        side = 1 if rise > 0 else -1
        nx, ny = -(by - ay) / chord, (bx - ax) / chord
        centre = ((ax + bx) / 2 + side * inward * nx, (ay + by) / 2 + side * inward * ny)
        segments.append(Segment(tuple(to), centre, counterclockwise=rise > 0))
    return Chain(tuple(points[0]), tuple(segments))


def star(x, y, outer, inner, points, turn):
    spots = []
    for at in range(2 * points):
        reach = outer if at % 2 == 0 else inner
        angle = turn + math.pi * at / points
        spots.append((x + reach * math.cos(angle), y + reach * math.sin(angle)))
    return polygon(*spots)


def upright(width, height):
    """The corners of an upright's side: a deck, a leaning screen and a head that overhangs."""
    return np.array([
        (0.0, 0.0), (width, 0.0), (width, 0.62 * height), (0.86 * width, 0.68 * height),
        (0.70 * width, 0.86 * height), (0.82 * width, 0.88 * height), (0.76 * width, height),
        (0.0, height),
    ])  # fmt: skip


def design(seed, width=600.0, height=1300.0, outline=upright):
    """A side of bands, a bow, a sun with rays, discs, a star and stripes, in six to eight inks."""
    chance = random.Random(seed)  # noqa: S311  no secret
    names = list(PALETTE)
    base = names[0]
    inks = chance.sample(names[1:], chance.choice((5, 6, 7)))
    shapes = []

    def add(chain):
        last = shapes[-1][1] if shapes else base
        shapes.append((chain, chance.choice([ink for ink in inks if ink != last])))

    def low(share):
        return height * share + chance.uniform(-0.01, 0.01) * height

    # a field below a bowed border, and a band that leans above it
    rise = chance.choice((-1, 1)) * chance.uniform(0.04, 0.12)
    left, right = low(0.34), low(0.42)
    far = 0.1 * width
    add(bowed([(-far, -far), (width + far, -far), (width + far, right), (-far, left)],
              [0, 0, rise, 0]))  # fmt: skip
    wide = chance.uniform(0.03, 0.05) * height
    lift = chance.uniform(0.05, 0.16) * height
    for step in range(chance.choice((1, 2, 3))):
        up = right + lift + step * wide
        add(
            polygon(
                (-far, up),
                (width + far, up - 0.12 * height),
                (width + far, up - 0.12 * height + wide),
                (-far, up + wide),
            )
        )
    # a sun with rays
    x, y = width * chance.uniform(0.3, 0.6), low(0.22)
    reach = min(width, height) * chance.uniform(0.28, 0.36)
    rays, turn = chance.choice((8, 10, 12)), chance.uniform(0, 1)
    ink = chance.choice([each for each in inks if each != shapes[0][1]])
    for at in range(rays):
        a, b = turn + math.tau * at / rays, turn + math.tau * (at + 0.5) / rays
        shapes.append((polygon(
            (x, y),
            (x + reach * math.cos(a), y + reach * math.sin(a)),
            (x + reach * math.cos(b), y + reach * math.sin(b)),
        ), ink))  # fmt: skip
    add(disc(x, y, reach * 0.45))
    add(disc(x, y, reach * 0.32))
    # discs of one size in a row, a star, a shield with round sides
    size = width * chance.uniform(0.045, 0.06)
    row = low(0.93)
    ink = chance.choice(inks)
    shapes.extend((disc(width * (0.14 + 0.16 * at), row, size), ink) for at in range(3))
    add(star(width * 0.3, low(0.76), width * 0.16, width * 0.07, 5, chance.uniform(0, 1)))
    cx, cy, half = width * 0.62, low(0.55), width * 0.11
    box = [(cx + half * u, cy + half * v) for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    add(bowed(box, [chance.uniform(0.05, 0.2), 0, chance.uniform(-0.2, -0.05), 0.12]))
    for step in range(chance.choice((2, 3))):
        up = low(0.60) + step * 0.022 * height
        shapes.append(
            (
                polygon(
                    (0.08 * width, up),
                    (0.42 * width, up),
                    (0.42 * width, up + 0.011 * height),
                    (0.08 * width, up + 0.011 * height),
                ),
                inks[0],
            )
        )
    return Design(outline(width, height), tuple(shapes), base, PALETTE)
