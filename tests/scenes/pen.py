"""Tracings of designs: what a flatbed scanner makes of borders drawn with a pen on paper.

    borders, moved a little as a hand moves -> strokes with breaks -> ink, paper, creases, stains
    -> linear light -> noise -> sRGB, 8 bits -> JPEG

The truth is the strokes' own centre lines, in mm of the face frame; `places` of a Scan takes its
pixels there. Everything hangs on the seed.
"""

import io
import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from PIL import Image
from scipy import ndimage, spatial
from shapely import affinity, ops

from scenes.design import Design
from scenes.photograph import decoded, encoded, linear_of

MARGIN = 14.0  # mm of paper round the outline
PAPER = "#efe9d6"
EDGE = 0.12  # mm over which ink fades into paper
RAGGED = 0.06  # mm: rms of how far ink runs into the paper's fibres, each side on its own
APART = 2.5  # mm of stroke that is left between two breaks at least


@dataclass(frozen=True)
class Mark:
    """A coloured dot or cross at (x, y), mm, face frame, and the colour's name."""

    x: float
    y: float
    colour: str


@dataclass(frozen=True)
class Scan:
    """A picture (rows, columns, 3), 8 bits, and the truth of it: `strokes` are the pen's centre
    lines without breaks, one a border of the design's pattern; `matrix` (2, 3) takes face places
    to pixels, column then row, from the outer corner of the first.
    """

    picture: np.ndarray
    jpeg: bytes
    design: Design
    dpi: float
    strokes: tuple = field(repr=False)
    breaks: tuple = field(repr=False)
    marks: tuple = field(repr=False)
    matrix: np.ndarray = field(repr=False)

    @property
    def inner(self):
        """Strokes that are no part of the outline."""
        borders = self.design.pattern.borders
        return shapely.multilinestrings([
            stroke for stroke, each in zip(self.strokes, borders, strict=True)
            if -1 not in (each.left, each.right)
        ])  # fmt: skip

    @property
    def rim(self):
        """The outline as it was drawn."""
        borders = self.design.pattern.borders
        return shapely.multilinestrings([
            stroke for stroke, each in zip(self.strokes, borders, strict=True)
            if -1 in (each.left, each.right)
        ])  # fmt: skip

    def pixels(self, places):
        """Face places (n, 2), mm, to pixels, where the first pixel's middle is (0, 0)."""
        return places @ self.matrix[:, :2].T + self.matrix[:, 2] - 0.5

    def places(self, pixels):
        """Pixels (n, 2), first middle (0, 0), to face places: `pixels` backwards."""
        return (pixels + 0.5 - self.matrix[:, 2]) @ np.linalg.inv(self.matrix[:, :2]).T


def scanned(design, dpi=200, pen_mm=0.8, breaks=40, seed=0, *, pen="#23262e", wave=0.03,
            marked=0.0, turn_deg=None, noise=0.012, quality=92):  # fmt: skip
    """A scan of a tracing. `wave` is the rms, mm, by which the hand leaves the border; `marked` the
    share of regions with a coloured dot or cross.
    """
    rng = np.random.default_rng(seed)
    strokes = _by_hand(design, wave, rng)
    drawn, gaps = _broken(strokes, breaks, pen_mm, rng)
    marks = _marks(design, marked, rng)
    turn = math.radians(rng.uniform(-1.2, 1.2) if turn_deg is None else turn_deg)
    matrix, size = _laid(design, dpi / 25.4, turn)
    linear = _paper(size, dpi / 25.4, rng)
    cover, places = _inked(size, matrix, drawn, pen_mm, rng, dpi / 25.4)
    ink = linear_of(pen)
    linear[places] *= 1 - cover[:, None] * (1 - ink)
    for mark in marks:
        _marked(linear, mark, matrix, linear_of(design.palette[mark.colour]), rng)
    for band in range(3):
        linear[..., band] = ndimage.gaussian_filter(linear[..., band], 0.45)
    linear += rng.standard_normal(linear.shape, dtype=np.float32) * np.float32(noise)
    eight = np.round(encoded(np.clip(linear, 0, 1)) * 255).astype(np.uint8)
    stream = io.BytesIO()
    Image.fromarray(eight).save(stream, "JPEG", quality=quality, dpi=(dpi, dpi))
    stream.seek(0)
    return Scan(
        np.asarray(Image.open(stream)), stream.getvalue(), design, dpi, tuple(strokes), tuple(gaps),
        tuple(marks), matrix,
    )  # fmt: skip


def photographed(scan, camera):
    """The picture (rows, columns, 3), 8 bits, that a camera takes of a scan's paper, which lies in
    the face's plane; beyond the paper its rim goes on.
    """
    wide, high = camera.size
    light = linear(scan)
    taken = np.empty((high, wide, 3), dtype=np.float32)
    for top in range(0, high, 200):
        rows = np.arange(top, min(high, top + 200))
        column, row = np.meshgrid(np.arange(wide), rows)
        seen = np.column_stack([column.ravel(), row.ravel()]) + 0.5
        at = scan.pixels(camera.face(seen)).T[::-1]
        for band in range(3):
            values = ndimage.map_coordinates(light[..., band], at, order=1, mode="nearest")
            taken[rows, :, band] = values.reshape(len(rows), wide)
    return np.round(encoded(np.clip(taken, 0, 1)) * 255).astype(np.uint8)


def linear(scan):
    """The scan in linear light, float32."""
    return decoded(scan.picture / 255.0).astype(np.float32)


def _by_hand(design, wave, rng):
    """Each border of the pattern as a line that leaves it by a smooth field of rms `wave`."""
    left, low, right, up = design.outline.bounds
    pitch, reach = 1.0, 6.0  # mm: of the field's grid, and over which it changes
    shape = (int((up - low) / pitch) + 20, int((right - left) / pitch) + 20)
    fields = []
    for _ in range(2):
        values = ndimage.gaussian_filter(rng.standard_normal(shape), reach / pitch / 2)
        fields.append(values * wave / values.std())
    lines = []
    for border in design.pattern.borders:
        points = shapely.get_coordinates(
            shapely.segmentize(shapely.linestrings(border.points), 0.5)
        )
        at = [(points[:, 1] - low) / pitch + 8, (points[:, 0] - left) / pitch + 8]
        shift = [ndimage.map_coordinates(each, at, order=3) for each in fields]
        lines.append(shapely.linestrings(points + np.column_stack(shift)))
    return lines


def _broken(strokes, breaks, pen, rng):
    """Strokes with `breaks` gaps of 0.8 to 3.2 mm of bare paper, and the gaps' middles."""
    lengths = np.array([line.length for line in strokes])
    cuts, gaps = [[] for _ in strokes], []
    for _ in range(50 * breaks):
        if len(gaps) == breaks:
            break
        chosen = int(rng.choice(len(strokes), p=lengths / lengths.sum()))
        half = (rng.uniform(0.8, 3.2) + pen) / 2  # a stroke's round ends take a pen's width of it
        if lengths[chosen] < 4 * half + 2:
            continue
        at = rng.uniform(half + 1, lengths[chosen] - half - 1)
        if all(abs(at - other) > half + far + APART for other, far in cuts[chosen]):
            cuts[chosen].append((at, half))
            gaps.append(shapely.line_interpolate_point(strokes[chosen], at))
    parts = []
    for line, own in zip(strokes, cuts, strict=True):
        start = 0.0
        for at, half in sorted(own):
            parts.append(ops.substring(line, start, at - half))
            start = at + half
        parts.append(ops.substring(line, start, line.length))
    return parts, gaps


def _laid(design, density, turn):
    """The matrix from face places to pixels, and how large the picture is (rows, columns)."""
    cos, sin = math.cos(turn) * density, math.sin(turn) * density
    matrix = np.array([[cos, sin, 0.0], [sin, -cos, 0.0]])
    corners = np.array(affinity.scale(design.outline.envelope).exterior.coords) @ matrix[:, :2].T
    matrix[:, 2] = MARGIN * density - corners.min(axis=0)
    wide, high = np.ceil(corners.max(axis=0) - corners.min(axis=0) + 2 * MARGIN * density)
    return matrix, (int(high), int(wide))


def _paper(size, density, rng):
    """Paper (rows, columns, 3), linear light: uneven, stained, creased, with specks."""
    high, wide = size
    v, u = np.mgrid[0:high, 0:wide].astype(np.float32)
    v, u = v / density, u / density  # mm
    grey = 1 + 0.05 * np.sin(u / 130 + rng.uniform(0, 6)) * np.cos(v / 170 + rng.uniform(0, 6))
    span = np.array([wide, high]) / density
    sheet = grey.astype(np.float32)[..., None] * linear_of(PAPER).astype(np.float32)
    for _ in range(5):  # stains, brown, with an edge 3 mm soft
        x, y = rng.uniform((0, 0), span)
        reach, depth = rng.uniform(8, 30), rng.uniform(0.04, 0.14)
        rows, columns = np.nonzero(np.hypot(u - np.float32(x), v - np.float32(y)) < reach + 6)
        from_edge = np.hypot(u[rows, columns] - x, v[rows, columns] - y) - reach
        inside = 1 / (1 + np.exp(np.clip(from_edge / 0.8, -40, 40)))
        sheet[rows, columns] *= 1 - inside[:, None] * depth * np.array([0.6, 0.9, 1.3])
    for _ in range(6):  # creases: a line darker on one side, lighter on the other
        angle, (x, y) = rng.uniform(0, np.pi), rng.uniform((0, 0), span)
        away = (u - np.float32(x)) * np.float32(np.sin(angle))
        away -= (v - np.float32(y)) * np.float32(np.cos(angle))
        depth, half = rng.uniform(0.05, 0.16), rng.uniform(0.12, 0.3)
        rows, columns = np.nonzero(np.abs(away) < 6 * half)
        away = away[rows, columns]
        light = 1 - depth * np.exp(-((away / half) ** 2))
        light *= 1 + 0.4 * depth * np.exp(-(((away - 2 * half) / half) ** 2))
        sheet[rows, columns] *= light[:, None]
    for _ in range(80):
        x, y = rng.uniform((0, 0), span) * density
        reach = rng.uniform(0.1, 0.35) * density
        rows = slice(max(0, int(y - 6)), int(y + 7))
        columns = slice(max(0, int(x - 6)), int(x + 7))
        r, c = np.mgrid[rows.start : min(rows.stop, high), columns.start : min(columns.stop, wide)]
        dark = np.clip(reach - np.hypot(r - y, c - x) + 0.5, 0, 1) * rng.uniform(0.4, 0.9)
        sheet[rows, columns] *= (1 - dark)[..., None]
    return sheet


def _inked(size, matrix, drawn, pen, rng, density):
    """How much ink lies on each pixel near a stroke, and which pixels (a pair of index arrays)."""
    lines = [shapely.linestrings(shapely.get_coordinates(each) @ matrix[:, :2].T + matrix[:, 2])
             for each in drawn]  # fmt: skip
    near = np.ones(size, dtype=bool)
    for line in lines:
        at = shapely.get_coordinates(shapely.segmentize(line, 0.7)).astype(int)
        near[at[:, 1], at[:, 0]] = False
    rows, columns = np.nonzero(ndimage.distance_transform_edt(near) < 1.1 * pen * density + 2)
    dense = np.vstack(
        [shapely.get_coordinates(shapely.segmentize(line, 0.1)) for line in lines]
    )  # px: so near that the nearest point is as far as the line to 0.003 px where ink ends
    away = spatial.cKDTree(dense).query(np.column_stack([columns + 0.5, rows + 0.5]))[0]
    reach = away / density
    coarse = rng.standard_normal((size[0] // 20 + 8, size[1] // 20 + 8))
    slow = ndimage.gaussian_filter(coarse, 1.2)  # the pen's pressure
    fine = ndimage.gaussian_filter(rng.standard_normal(size, dtype=np.float32), 1.5)
    fine = fine[rows, columns] / fine.std()
    slow = ndimage.map_coordinates(slow / slow.std(), [rows / 20 + 3, columns / 20 + 3], order=1)
    edges = ndimage.gaussian_filter(rng.standard_normal(size, dtype=np.float32), 0.25 * density)
    reach = reach + RAGGED * edges[rows, columns] / edges.std()
    half = pen / 2 * (1 + 0.12 * slow)
    density_of_ink = np.clip(0.82 + 0.08 * slow + 0.07 * fine, 0.3, 1)
    return np.clip((half - reach) / EDGE + 0.5, 0, 1) * density_of_ink, (rows, columns)


def _marks(design, share, rng):
    """Marks in `share` of the regions that have room and a colour that shows on paper."""
    marks = []
    for region in design.pattern.regions:
        spot = shapely.maximum_inscribed_circle(region.area, 0.2)
        x, y = spot.coords[0]
        if region.colour in ("cream", "black") or spot.length < 4.5 or rng.uniform() > share:
            continue
        marks.append(Mark(x + rng.uniform(-0.5, 0.5), y + rng.uniform(-0.5, 0.5), region.colour))
    return marks


def _marked(linear, mark, matrix, ink, rng):
    """Draw a dot of 4 mm or a cross of 5 mm, felt pen."""
    density = math.hypot(*matrix[0, :2])
    x, y = matrix[:, :2] @ (mark.x, mark.y) + matrix[:, 2]
    span = int(4 * density)
    rows = slice(max(0, int(y) - span), int(y) + span)
    columns = slice(max(0, int(x) - span), int(x) + span)
    r, c = np.mgrid[rows, columns]
    u, v = (c + 0.5 - x) / density, (r + 0.5 - y) / density
    if rng.uniform() < 0.5:
        away = np.hypot(u, v) - 2.0
    else:
        turn = rng.uniform(0, 1.5)
        u, v = u * math.cos(turn) + v * math.sin(turn), v * math.cos(turn) - u * math.sin(turn)
        arms = [np.hypot(np.maximum(np.abs(p) - 2.2, 0), q) for p, q in ((u, v), (v, u))]
        away = np.minimum(*arms) - 0.6
    cover = np.clip(0.5 - away / EDGE, 0, 1) * rng.uniform(0.8, 1)
    linear[rows, columns] *= 1 - cover[..., None] * (1 - ink)
