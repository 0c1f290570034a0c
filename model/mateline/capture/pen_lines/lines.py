"""A scanned tracing into regions: lines and arcs at true size.

Stands last in pen lines.

    picture -> ink -> marks, areas of paper -> middles of strokes -> true size -> lines and arcs

Where the size comes from the face's outline, that outline bounds the result. Else the outermost
line drawn does, and it is fitted with all others: the paper around is one more area, given up
afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import OUTSIDE, RING, Network
from mateline.capture.fitting.network import fitted
from mateline.capture.pen_lines.basins import basins_of, lines_of
from mateline.capture.pen_lines.colour_marks import marks_of, nearest_colour, pen_width
from mateline.capture.pen_lines.junctions import joined
from mateline.capture.pen_lines.paper import paper_of, squares
from mateline.capture.pen_lines.region_names import Wanted, named
from mateline.capture.pen_lines.stroke_centres import pen_courses
from mateline.capture.pen_lines.true_size import (
    OnFace,
    Places,
    Spans,
    density_of,
    on_face,
    placed_by_marks,
    placed_by_spans,
    upright,
)
from mateline.capture.traced import Traced, TracedRegion
from mateline.capture.tracing.cracks import crack_map
from mateline.curves import Chain, Segment, flattened, moved
from mateline.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.fitting.courses import Course
    from mateline.capture.pen_lines.basins import Basins
    from mateline.capture.pen_lines.colour_marks import Marks
    from mateline.capture.pen_lines.paper import Paper
    from mateline.capture.pen_lines.placed import Kind, Placed, Residual
    from mateline.capture.pen_lines.true_size import Size
    from mateline.capture.picture import Picture
    from mateline.capture.tracing.cracks import CrackMap
    from mateline.curves import Point

    Floats = NDArray[np.float64]

ROUGH = 0.1  # how much a first density may be wrong
DECIMALS = 6  # of a mm
AROUND = 0  # the number of the paper around the tracing
OTHER = 4.0  # mm, rms: an outline that is farther off than any hand is another one
SLACK = 1.5  # mm: how far from its junction of areas the junction of lines may be
NOTHING = Wanted()


@dataclass(frozen=True, slots=True)
class PenLines:
    """`traced`, mm, y up; the lower-left corner of its bounding box is (0, 0), or it lies on the
    face. `outline`: the face's; None where the outermost line is it. `residual` is what is left
    between measures given. `loose`: places of lines that part nothing. `unnamed` regions, in
    reading order; `clashes`: regions with marks of two colours. `pen`: its width, mm. `kind`: how
    the paper lay before the camera or on the scanner.
    """

    traced: Traced
    outline: Chain | None
    residual: Residual | None
    loose: tuple[Point, ...]
    unnamed: tuple[int, ...]
    clashes: tuple[tuple[int, str, str], ...]
    pen: float
    kind: Kind


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """What the scan shows, in pixels and squares."""

    paper: Paper
    marks: Marks
    basins: Basins
    pen: float

    @property
    def pitch(self) -> float:
        return self.paper.step / self.paper.density

    def pixels(self, of: Floats) -> Floats:
        """Pixels of places in squares, the first one's middle (0, 0)."""
        return (of + 0.5) * self.paper.step - 0.5


def lines_traced(picture: Picture, size: Size, wanted: Wanted = NOTHING) -> PenLines:
    """The regions between the pen's lines.

    Raises InputError where no line is closed, and for measures and names that can't be.
    """
    found = _found(picture, density_of(size, picture.file, picture.light.shape))
    if not isinstance(size, OnFace):
        placed = _placed(picture, size, found.paper.density)
        cracks = crack_map(found.basins.numbers)
        traced = _fitted(found, cracks, _courses(found, cracks), placed, None)
        traced, placed = _at_origin(traced, placed)
        return _told(picture.file, found, (traced, placed), None, wanted)
    shape = picture.light.shape
    cracks, courses, placed = _on_outline(found, size, picture)
    density = round(placed.density_at(((shape[1] - 1) / 2, (shape[0] - 1) / 2)), 3)
    if abs(density / found.paper.density - 1) > ROUGH:
        found = _found(picture, density)
        cracks, courses, placed = _on_outline(found, size, picture)
    traced = _fitted(found, cracks, courses, placed, size.outline)
    return _told(picture.file, found, (traced, placed), size.outline, wanted)


def _placed(picture: Picture, size: Size, density: float) -> Placed:
    """Where pixels lie if the outline is not what tells it."""
    shape = picture.light.shape
    if isinstance(size, Spans):
        return placed_by_spans(size, density, shape)
    if isinstance(size, Places):
        return placed_by_marks(size, picture.file, shape)
    return upright(density, shape[0])


def _on_outline(
    found: _Found, size: OnFace, picture: Picture
) -> tuple[CrackMap, tuple[Course, ...], Placed]:
    """Areas inside the outline as it was drawn, their borders, and where that is on the face.

    Raises InputError where it is another outline.
    """
    numbers = found.basins.numbers
    cracks = crack_map(np.where(numbers == AROUND, OUTSIDE, numbers))
    courses = _courses(found, cracks)
    drawn = np.vstack([each.places[each.sound] for each in courses if each.rim])
    placed = on_face(drawn, size, picture.light.shape)
    if placed is None or placed.residual is None or placed.residual.rms > OTHER:
        raise InputError(
            picture.file, "outline",
            f"The outermost line drawn is not the face's outline{_off(placed)}.",
            "Check that this is the face, that its whole outline is drawn and in the picture, and"
            " that no line is drawn around it; or say the size another way, by --place.",
        )  # fmt: skip
    return cracks, courses, placed


def _off(placed: Placed | None) -> str:
    if placed is None or placed.residual is None:
        return ""
    x, y = placed.residual.at
    return f": it is off by {placed.residual.rms:.0f} mm (rms), most near ({x:.0f}, {y:.0f}) mm"


def _found(picture: Picture, density: float) -> _Found:
    paper = paper_of(picture, density)
    pitch = paper.step / density
    ink = squares(paper.ink, paper.step)
    lines = lines_of(ink, pitch)
    pen = pen_width(lines, ink, pitch)
    marks = marks_of(paper.coarse, paper.way, pitch, pen)
    ink[marks.where] = 0
    basins = basins_of(lines & ~marks.where, ink, pitch, pen)
    if not (basins.numbers != AROUND).any():
        raise InputError(
            picture.file, "lines", "No line of the scan is closed.",
            "Close gaps of more than 3 mm with the pen, and leave paper around the outline.",
        )  # fmt: skip
    return _Found(paper, marks, basins, pen)


def _courses(found: _Found, cracks: CrackMap) -> tuple[Course, ...]:
    """Courses with places in pixels, errors in mm."""
    return pen_courses(cracks, found.paper.ink, found.paper.step, found.paper.density, found.pen)


def _fitted(
    found: _Found,
    cracks: CrackMap,
    courses: tuple[Course, ...],
    placed: Placed,
    outline: Chain | None,
) -> Traced:
    """Lines and arcs, each area's number as its colour; without an outline that of the whole scan
    bounds them, and the paper around is given up.
    """
    true = [
        replace(
            each, places=placed(each.places), path=None if each.path is None else placed(each.path)
        )
        for each in courses
    ]
    own = joined(placed(found.pixels(cracks.nodes)), true, cracks.loops, found.pen)
    regions = tuple(
        TracedRegion(str(number), loops)
        for number, loops in zip(cracks.colours, own.loops, strict=True)
    )
    network = Network(own.nodes, own.courses, regions, SLACK)
    if outline is not None:
        return fitted(network, outline).traced
    rows, columns = found.basins.numbers.shape
    corners = np.array([(0, 0), (0, rows), (columns, rows), (columns, 0)]) - 0.5
    ring = [(x, y) for x, y in placed(found.pixels(corners)).tolist()]
    sheet = Chain(ring[-1], tuple(Segment(to) for to in ring))
    return _without_paper(fitted(network, sheet).traced)


def _without_paper(whole: Traced) -> Traced:
    """What was traced, without the regions of paper around it."""
    kept = [at for at, each in enumerate(whole.regions) if each.colour != str(AROUND)]
    region_of = {at: number for number, at in enumerate(kept)}
    sides = [
        (region_of.get(each.left, OUTSIDE), region_of.get(each.right, OUTSIDE))
        for each in whole.borders
    ]
    own = [at for at, pair in enumerate(sides) if pair != (OUTSIDE, OUTSIDE)]
    border_of = {at: number for number, at in enumerate(own)}
    used = sorted({
        node for at in own for node in (whole.borders[at].start, whole.borders[at].end) if node >= 0
    })  # fmt: skip
    node_of = {at: number for number, at in enumerate(used)} | {RING: RING}
    borders = tuple(
        replace(
            whole.borders[at], left=sides[at][0], right=sides[at][1],
            start=node_of[whole.borders[at].start], end=node_of[whole.borders[at].end],
        )
        for at in own
    )  # fmt: skip
    regions = tuple(
        TracedRegion(whole.regions[at].colour, tuple(
            tuple(border_of[half] if half >= 0 else ~border_of[~half] for half in loop)
            for loop in whole.regions[at].loops
        ))
        for at in kept
    )  # fmt: skip
    return Traced(tuple(whole.nodes[at] for at in used), borders, regions)


def _at_origin(traced: Traced, placed: Placed) -> tuple[Traced, Placed]:
    """The same with the lower-left corner of its bounding box at (0, 0)."""
    low = np.min([flattened(each.chain).min(axis=0) for each in traced.borders], axis=0)
    x, y = (round(float(each), DECIMALS) for each in low)
    shift = np.array([[1.0, 0.0, -x], [0.0, 1.0, -y]])
    borders = tuple(replace(each, chain=moved(each.chain, shift)) for each in traced.borders)
    nodes = tuple((at - x, up - y) for at, up in traced.nodes)
    return Traced(nodes, borders, traced.regions), placed.shifted(-x, -y)


def _told(
    file: str,
    found: _Found,
    result: tuple[Traced, Placed],
    outline: Chain | None,
    wanted: Wanted,
) -> PenLines:
    """The result with its regions named, and what is to be said of it."""
    traced, placed = result
    numbers = found.basins.numbers
    region_of = {int(each.colour): at for at, each in enumerate(traced.regions)}

    def region_at(square: tuple[float, float]) -> int | None:
        column, row = (int(np.floor(each + 0.5)) for each in square)
        if not (0 <= row < numbers.shape[0] and 0 <= column < numbers.shape[1]):
            return None
        return region_of.get(int(numbers[row, column]))

    def area_at(place: Point) -> int | None:
        x, y = placed.pixel(place)
        return region_at(((x + 0.5) / found.paper.step - 0.5, (y + 0.5) / found.paper.step - 0.5))

    marked = []
    for (column, row), light in zip(found.marks.at.tolist(), found.marks.light, strict=True):
        area = region_at((column, row))
        colour = nearest_colour(light, wanted.palette or {})
        if area is not None and colour is not None:
            marked.append((area, colour))
    names = named(_corners(traced), wanted, marked, area_at, file)
    regions = tuple(
        replace(each, colour=name) for each, name in zip(traced.regions, names.names, strict=True)
    )
    loose = placed(found.pixels(found.basins.loose)).tolist()
    return PenLines(
        replace(traced, regions=regions), outline, placed.residual,
        tuple((round(x, 1), round(y, 1)) for x, y in loose),
        names.unnamed, names.clashes, round(found.pen, 2), placed.kind,
    )  # fmt: skip


def _corners(traced: Traced) -> list[Point]:
    """The left end and the top of each region's bounding box."""
    corners = []
    for region in traced.regions:
        points = np.vstack([
            flattened(traced.borders[max(half, ~half)].chain) for half in region.loops[0]
        ])  # fmt: skip
        corners.append((float(points[:, 0].min()), float(points[:, 1].max())))
    return corners
