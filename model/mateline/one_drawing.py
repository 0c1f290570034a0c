"""What `mateline pattern` says of one drawing.

Stands after refit. The drawing is read, made into a pattern that tiles its view, and its
borders are refitted; nothing is written here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shapely import box

from mateline.borders.refit import TOLERANCE, refitted
from mateline.borders.standard_radii import radius_step
from mateline.curves import FACET
from mateline.drawing.reader import read_drawing
from mateline.drawing.shapes import Note, Shape
from mateline.errors import InputError
from mateline.pattern.pattern import tiling
from mateline.pattern.repair import repaired
from mateline.planar.affine import stretch
from mateline.planar.moved import moved

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.borders.refit import Refit
    from mateline.borders.standard_radii import RadiusSizes
    from mateline.curves import Point
    from mateline.drawing.shapes import Drawing
    from mateline.pattern.pattern import Pattern, Tiling
    from mateline.pattern.repair import Repair

NO_COLOUR = "none"  # what nothing in the drawing covers
MOST_TOLD = 40  # notes in the table
LEAST, MOST = 0.001, 5.0  # mm: tolerances that make sense


@dataclass(frozen=True, slots=True)
class PatternReport:
    """A drawing's pattern in drawing units, y up: y of the file is `top` - y.

    `fit.chains[i]` is border i of the pattern as lines and arcs. `scale` is mm for one drawing
    unit.
    """

    drawing: Drawing
    pattern: Pattern
    fit: Refit
    tiling: Tiling
    repairs: tuple[Repair, ...]
    top: float
    scale: float

    def colours(self) -> dict[str, float]:
        """Area of each colour, the largest first; "none" for what nothing covers."""
        areas: dict[str, float] = {}
        for region in self.pattern.regions:
            name = region.colour or NO_COLOUR
            areas[name] = areas.get(name, 0.0) + region.area.area
        return dict(sorted(areas.items(), key=lambda item: (-item[1], item[0])))

    def segments(self) -> dict[str, int]:
        """How many lines and arcs all borders have, each border counted once."""
        arcs = sum(s.centre is not None for chain in self.fit.chains for s in chain.segments)
        whole = sum(len(chain.segments) for chain in self.fit.chains)
        return {"line": whole - arcs, "arc": arcs}

    def notes(self) -> tuple[Note, ...]:
        """What is not flat geometry in the drawing, what was mended in the pattern, and which
        borders are cut along their facets.
        """
        mended = (_told(repair, self.top) for repair in self.repairs)
        starts = (self.fit.chains[at].start for at in self.fit.faceted)
        return (*self.drawing.notes, *mended, *(_faceted(at, self.top) for at in starts))

    def as_json(self) -> dict[str, Any]:
        """The answer of `--json`, in drawing units."""
        return {
            "width": self.drawing.view[2],
            "height": self.drawing.view[3],
            "regions": len(self.pattern.regions),
            "borders": len(self.pattern.borders),
            "colours": [
                {"colour": colour, "area": area} for colour, area in self.colours().items()
            ],
            "gap_area": self.tiling.gap_area,
            "overlap_area": self.tiling.overlap_area,
            "largest_deviation": self.fit.largest_deviation,
            "segments": self.segments(),
            "notes": [{"element": note.element, "message": note.message} for note in self.notes()],
            "repairs": [
                {
                    "kind": repair.kind,
                    "at": [repair.at[0], self.top - repair.at[1]],
                    "size": list(repair.size),
                    "places": repair.places,
                }
                for repair in self.repairs
            ],
            "unit_mm": self.scale,
        }

    def table(self) -> str:
        """The same for a person."""
        _, _, width, height = self.drawing.view
        segments = self.segments()
        lines = [
            f"{self.drawing.file}: {width:g} x {height:g} units of {self.scale:.4g} mm",
            (
                f"{len(self.pattern.regions)} regions, {len(self.pattern.borders)} borders, "
                f"{segments['line']} lines, {segments['arc']} arcs"
            ),
            (
                f"gaps {self.tiling.gap_area:g}, overlaps {self.tiling.overlap_area:g}; "
                f"borders moved by {self.fit.largest_deviation * self.scale:.4f} mm at most"
            ),
            "",
            *(
                f"  {colour:<9} {area / width / height:7.2%}"
                for colour, area in self.colours().items()
            ),
        ]
        notes = self.notes()
        if notes:
            lines += ["", *(f"{note.element}: {note.message}" for note in notes[:MOST_TOLD])]
        if len(notes) > MOST_TOLD:
            lines.append(f"and {len(notes) - MOST_TOLD} more; --json lists them all")
        return "\n".join(lines)


def pattern_report(
    path: Path, *, tolerance: float = TOLERANCE, radii: RadiusSizes | None = None
) -> PatternReport:
    """Read a drawing, tile its view, close gaps and slivers no wider than `tolerance` (mm at the
    drawing's own size), and refit every border within it. `radii` near a standard size in mm or
    inches are taken to it, again at the drawing's own size: in drawing units that is no round
    number unless a unit is 1 mm or 1 inch.

    Raises InputError for a drawing that can't be used, or has nothing flat in it.
    """
    if not LEAST <= tolerance <= MOST:
        raise InputError(
            "", "--tolerance", f"{tolerance:g} mm is not between {LEAST:g} and {MOST:g} mm.",
            "Give a tolerance between them; 0.02 is usual.",
        )  # fmt: skip
    drawing = read_drawing(path, root=path.parent, deviation=min(FACET, tolerance / 4))
    if not drawing.shapes:
        reasons = "; ".join(sorted({note.message for note in drawing.notes})) or "it is empty."
        raise InputError(
            drawing.file, "", f"Nothing in the drawing is flat geometry: {reasons}",
            "Draw its shapes as paths with flat fills.",
        )  # fmt: skip
    x, y, width, height = drawing.view
    outline = box(x, y, x + width, y + height)
    top = 2 * y + height
    scale = stretch(drawing.to_mm)
    shapes = _upright(drawing.shapes, top)
    try:
        pattern, repairs = repaired(shapes, outline, tolerance / scale, base=None)
    except InputError as fault:  # the pattern doesn't know what file its shapes are from
        raise InputError(
            fault.file or drawing.file, fault.place, fault.what, fault.remedy
        ) from fault
    fit = refitted(pattern, tolerance / scale, radius_step(radii, scale))
    return PatternReport(drawing, pattern, fit, tiling(pattern, outline), repairs, top, scale)


def _told(repair: Repair, top: float) -> Note:
    x, y = repair.at
    place = f"at {x:.6g}, {top - y:.6g}"
    long, wide = (f"{size:.3g}" for size in repair.size)
    if repair.kind == "doubled":
        message = f"A shape of {long} by {wide} under another one of its form was dropped."
    else:
        where = f" in {repair.places} places" if repair.places > 1 else ""
        message = f"A {repair.kind} {long} long and {wide} wide{where} was closed."
    return Note(place, message)


def _faceted(start: Point, top: float) -> Note:
    x, y = start
    message = "The border that starts here is short straight lines: no arcs came near enough."
    return Note(f"at {x:.6g}, {top - y:.6g}", message, "mended")


def _upright(shapes: tuple[Shape, ...], top: float) -> list[Shape]:
    """The shapes y up, mirrored within their view."""
    areas = moved([shape.area for shape in shapes], lambda points: points * (1, -1) + (0, top))
    return [
        Shape(area, shape.colour, shape.element) for area, shape in zip(areas, shapes, strict=True)
    ]
