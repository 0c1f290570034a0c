"""A projector of the tests' own: where a point of a face is, and which colour is cast on it.

It knows a panel's frame and sections, and nothing of cells, lifts or casts. The drawing is a
formula: two families of bands across each other, and a disc on top.
"""

import math

import numpy as np
import shapely
from shapely import Point, Polygon

from mateline.drawing.shapes import drawing_of
from mateline.errors import Faults
from mateline.pattern.repair import MENDED, repaired
from mateline.placing.art import Art, Cast, Landmarks
from mateline.placing.place import placed

# What the README says that left, right and top are, as the viewer there has right and up.
SIDES = {
    "front": ((1, 0, 0), (0, 0, 1)),
    "back": ((-1, 0, 0), (0, 0, 1)),
    "left": ((0, -1, 0), (0, 0, 1)),
    "right": ((0, 1, 0), (0, 0, 1)),
    "top": ((1, 0, 0), (0, 1, 0)),
}
COLOURS = ("cream", "red", "blue")
FLAT_LIMIT = 0.1  # cosine: flat parts nearer to edge-on are not painted
NEAR = 0.03  # mm: colours are not compared nearer to a border than this, in the view or the net


class Bands:
    """Colours of the whole plane by arithmetic: (n, 2) points in, numbers into COLOURS out."""

    def __init__(self, random, reach=1000.0):
        self.turn, self.pitch = random.uniform(0, math.pi), random.uniform(40, 90)
        self.centre, self.radius = random.uniform((-100, 0), (300, 400)), random.uniform(60, 150)
        self.reach = reach
        along = np.array([math.cos(self.turn), math.sin(self.turn)])
        self.axes = np.array([along, (-along[1], along[0])])

    def colour(self, points):
        u, v = self.axes @ points.T / self.pitch
        found = (np.floor(u).astype(int) + 2 * np.floor(v / 1.7).astype(int)) % 3
        inside = np.hypot(*(points - self.centre).T) < self.radius
        return np.where(inside, (found + 1) % 3, found)

    def border(self, points):
        """Distance from the nearest border, mm."""
        u, v = self.axes @ points.T
        near = [np.abs(u - np.round(u / self.pitch) * self.pitch)]
        wide = 1.7 * self.pitch
        near.append(np.abs(v - np.round(v / wide) * wide))
        near.append(np.abs(np.hypot(*(points - self.centre).T) - self.radius))
        return np.min(near, axis=0)

    def drawing(self):
        """The same as shapes, parallelograms and the disc's parts of them on top, and landmarks
        that bring it to the plane as it is.
        """
        wide, shapes, tops = 1.7 * self.pitch, [], []
        disc = Point(self.centre).buffer(self.radius, quad_segs=1000)
        count = math.ceil(self.reach / self.pitch)
        for i in range(-count, count):
            for j in range(-count, count):
                spans = ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
                corners = np.array([(a * self.pitch, b * wide) for a, b in spans]) @ self.axes
                area = Polygon(corners)
                number = (i + 2 * j) % 3
                shapes.append((area, COLOURS[number]))
                if area.intersects(disc):
                    tops.append((area.intersection(disc), COLOURS[(number + 1) % 3]))
        matched = []
        for at in (0, len(shapes) - 1):
            x, y, u, v = shapes[at][0].bounds
            matched.append((str(at + 1), ((x + u) / 2, (y + v) / 2)))
        return drawing_of(shapes + tops, "bands"), Landmarks(tuple(matched))


class Surface:
    """A face's flat part or one of its strips: its places in space and its normals there."""

    def __init__(self, face, strip=None):
        frame = face.panel.frame
        self.corner = np.array(frame.corner)
        self.x, self.y = np.array(frame.along_x), np.array(frame.along_y)
        self.out = np.cross(self.x, self.y)
        self.area = face.flat if strip is None else strip.area
        self.radius = self.dip = self.fold = None
        self.way = 1.0
        if strip is None:
            return
        (sx, sy), (ex, ey) = strip.score.coords
        self.fold, size = (sx, sy), math.hypot(ex - sx, ey - sy)
        self.along = ((ex - sx) / size, (ey - sy) / size)
        section = face.panel.edges[strip.edge].section
        segment, (a, b) = section.segments[strip.segment], section.points[strip.segment]
        if segment.centre is None:
            self.dip = math.atan2(segment.to[1] - b, a - segment.to[0])
        else:
            self.radius = math.dist(segment.centre, (a, b))
            self.way = 1.0 if segment.to[1] > b else -1.0  # a cove turns up, not down

    def places(self, points):
        """Places in space (n, 3) of points (n, 2) of the net, and the normals there."""
        x, y = points.T
        if self.fold is None:
            where = self.corner + np.outer(x, self.x) + np.outer(y, self.y)
            return where, np.tile(self.out, (len(points), 1))
        ax, ay = self.along
        q = (x - self.fold[0]) * ax + (y - self.fold[1]) * ay
        s = (x - self.fold[0]) * ay - (y - self.fold[1]) * ax  # to the right: out of the face
        start = self.corner + self.fold[0] * self.x + self.fold[1] * self.y
        along = ax * self.x + ay * self.y
        beyond = ay * self.x - ax * self.y
        start = start + np.outer(q, along)
        if self.dip is not None:
            cos, sin = math.cos(self.dip), math.sin(self.dip)
            normal = cos * self.out + sin * beyond
            return start + np.outer(s, cos * beyond - sin * self.out), np.tile(normal, (len(q), 1))
        turn = s / self.radius
        normal = np.outer(np.cos(turn), self.out) + self.way * np.outer(np.sin(turn), beyond)
        return start + self.way * self.radius * (normal - self.out), normal

    def lit(self, normals, side):
        """Where the part is painted from a side, and how far that is from being in doubt."""
        towards = np.cross(*np.array(SIDES[side], dtype=float))
        facing = normals @ towards
        if self.radius is None:
            return facing > FLAT_LIMIT, np.full(len(facing), abs(facing[0] - FLAT_LIMIT) * 1e6)
        along = self.along[0] * self.x + self.along[1] * self.y
        share = math.sqrt(max(0.0, 1 - float(along @ towards) ** 2))
        if share <= FLAT_LIMIT:
            return np.zeros(len(facing), dtype=bool), np.full(len(facing), np.inf)
        return facing > 0, np.abs(np.arcsin(facing / share)) * self.radius


def surfaces(face):
    """All parts of a face."""
    return [Surface(face), *(Surface(face, strip) for strip in face.strips)]


def seen(places, side):
    """Places in space as the viewer on a side sees them."""
    return places @ np.array(SIDES[side], dtype=float).T


def cast(cabinet, drawing, put, side, onto=()):
    """What is cast on the cabinet."""
    faults = Faults("cabinet.toml")
    art = Art(drawing.file, Cast(side, tuple(onto)), put)
    found = placed((art,), cabinet, {drawing.file: drawing}, faults)
    faults.settle()
    return found


def compared(cabinet, bands, side, random, count):
    """How many random places of each face were compared, and which are another colour."""
    drawing, put = bands.drawing()
    shapes = {each.face: each.shapes for each in cast(cabinet, drawing, put, side)}
    right, wrong = 0, []
    for face in cabinet.faces:
        pattern, _ = repaired(shapes.get(face.name, ()), face.outline, MENDED, base="base")
        for part in surfaces(face):
            left, low, far, high = part.area.bounds
            points = random.uniform((left, low), (far, high), (count, 2))
            inside = shapely.contains_xy(part.area.buffer(-2 * NEAR), *points.T)
            points = points[inside]
            if not len(points):
                continue
            places, normals = part.places(points)
            lit, doubt = part.lit(normals, side)
            view = seen(places, side)
            sure = (bands.border(view) > NEAR) & (doubt > 2 * NEAR)
            expected = np.where(lit, np.array(COLOURS)[bands.colour(view)], "base")[sure]
            got = np.full(len(points), "none", dtype=object)
            for region in pattern.regions:
                got[shapely.contains_xy(region.area, *points.T)] = region.colour
            off = np.flatnonzero(got[sure] != expected)
            wrong += [(face.name, part.radius, part.dip, tuple(points[sure][at])) for at in off]
            right += int(sure.sum()) - len(off)
    return right, wrong
