"""A DXF file read into flat-coloured shapes: closed loops, coloured by layer or entity.

Last of the dxf room, beside svg. Loops of one layer and colour that lie in one
another are holes by turns; of all others the smaller one lies on top, since DXF has no paint
order. y is turned down, as in every drawing. Source of codes: DXF Reference (ENTITIES section,
$INSUNITS, colour numbers) by way of ezdxf.
"""

from __future__ import annotations

from dataclasses import dataclass
from struct import error as StructError  # noqa: N812
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.curves import FACET
from mateline.drawing.duplicates import buried_duplicates
from mateline.drawing.dxf.blocks import Blocks
from mateline.drawing.dxf.census import refuse_too_much
from mateline.drawing.dxf.entities import (
    TEXTS,
    Open,
    is_blank,
    is_tilted,
    is_wide,
    label_of,
    legible,
    open_path,
)
from mateline.drawing.dxf.loops import joined, nearly_closed
from mateline.drawing.file import content
from mateline.drawing.fill_rule import enclosed
from mateline.drawing.flattening import flattened
from mateline.drawing.shapes import Drawing, Note, Shape
from mateline.errors import InputError
from mateline.planar.crossings import meet_more_than

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray

    from mateline.drawing.dxf.blocks import Placed
    from mateline.drawing.dxf.loops import Figure
    from mateline.drawing.shapes import NoteKind

JOIN = 0.05  # mm: ends of lines and arcs this near to one another meet
MOST_BYTES = 10_000_000  # of one file: what has more takes its library too long
MOST_INSIDE = 300_000  # pairs of loops, or of lines that part an area, whose boxes meet
PER_EDGE = 3  # the same for each of such lines: those of neighbours meet
MM_PER_UNIT = {  # $INSUNITS (DXF Reference, HEADER section)
    1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 10: 914.4,
    13: 0.001, 14: 100.0, 15: 10_000.0, 21: 1200 / 3.937,
}  # fmt: skip
MOST_REASONS = 5  # told with a refusal
DOWN = (1.0, 0.0, 0.0, -1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _Group:
    """What one layer drew in one colour."""

    layer: str
    colour: str
    paths: list[Open]


def read_dxf(path: Path, *, root: Path, deviation: float = FACET, join: float = JOIN) -> Drawing:
    """The closed loops of a DXF file inside the folder `root`.

    `deviation` is how far a facet may leave its curve, `join` how far apart ends may be that
    meet (both mm). A loop that only nearly closes, and whatever is no loop, leaves a note.

    Raises InputError for a file that is missing, outside `root`, too large or no DXF.
    """
    document = _opened(path, root)
    notes: dict[Note, None] = {}
    scale = _scale(document, notes)
    groups = _groups(path.name, document, notes)
    _on_sheets(document, notes)
    try:
        found = [
            (area, group, loop)
            for group in groups
            for area, loop in _areas(group, join / scale, deviation / scale, notes)
        ]
    except ValueError as wrong:
        raise InputError(
            path.name, "", _sentence(wrong), "Leave some of it out, or draw it again."
        ) from wrong
    if not found:
        reasons = "".join(f" {note.element}: {note.message}" for note in [*notes][:MOST_REASONS])
        raise InputError(
            path.name, "",
            f"No line or arc in the drawing's model space belongs to a closed loop.{reasons}",
            "Close its outlines in the program that drew it.",
        )  # fmt: skip
    found.sort(key=lambda one: -one[0].area)
    return _drawing(path.name, scale, found, notes)


def _drawing(
    name: str,
    scale: float,
    found: list[tuple[Polygon | MultiPolygon, _Group, str]],
    notes: dict[Note, None],
) -> Drawing:
    areas = [area for area, _, _ in found]
    x, y, right, low = (float(value) for value in shapely.total_bounds(areas))
    elements: dict[str, list[int]] = {}
    for at, (_, group, element) in enumerate(found):
        elements.setdefault(group.layer, []).append(at)
        elements.setdefault(element, []).append(at)
    for note in notes:  # what has no area can be left out by its layer as well
        for key in note.within or ():
            elements.setdefault(key, [])
    centres = {
        key: shapely.box(*shapely.total_bounds([areas[at] for at in places])).centroid
        for key, places in elements.items()
        if places
    }
    return Drawing(
        name,
        (x, y, right - x, low - y),
        (scale, 0.0, 0.0, -scale, -x * scale, low * scale),
        tuple(Shape(area, group.colour, element) for area, group, element in found),
        tuple(notes),
        {key: tuple(places) for key, places in elements.items()},
        {key: (centre.x, centre.y) for key, centre in centres.items()},
    )


def _opened(path: Path, root: Path) -> Any:
    # Slow to import, and most cabinets have no DXF.
    from mateline.drawing.dxf.library import readfile  # noqa: PLC0415, I001  # before anything of ezdxf's
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    name, data = path.name, content(path, root=root, most=MOST_BYTES)
    try:
        refuse_too_much(data)
    except ValueError as wrong:
        raise InputError(name, "", _sentence(wrong), "Leave some out.") from wrong
    try:
        try:
            return readfile(path, errors="strict")
        except UnicodeDecodeError:  # it says UTF-8 and holds an older program's bytes, or the like
            return readfile(path, encoding="latin-1")
    except OSError as wrong:
        what = wrong.strerror or "it is no DXF file"
        raise InputError(
            name, "", f"The drawing can't be read: {what}.", "Save it as DXF R2000 or later."
        ) from wrong
    except (DXFError, ValueError, ArithmeticError, LookupError, TypeError, StructError,
            AttributeError, StopIteration) as wrong:  # fmt: skip  # whatever its parser trips over
        what = legible(" ".join(str(wrong).split()))[:200] or type(wrong).__name__
        if isinstance(wrong, StopIteration):
            what = "it ends in the middle of an entity"
        raise InputError(
            name, "", f"The file is no sound DXF: {what}.", "Save it as DXF R2000 or later."
        ) from wrong


def _scale(document: Any, notes: dict[Note, None]) -> float:
    unit = int(document.header.get("$INSUNITS", 0))
    if unit in MM_PER_UNIT:
        return MM_PER_UNIT[unit]
    taken = "mm" if document.header.get("$MEASUREMENT", 1) else "inches"
    notes[Note("$INSUNITS", f"The file gives no usable unit ({unit}); {taken} were taken.")] = None
    return 1.0 if taken == "mm" else 25.4


def _groups(name: str, document: Any, notes: dict[Note, None]) -> list[_Group]:
    groups: dict[tuple[str, str], _Group] = {}
    left: dict[tuple[str, str], list[str]] = {}
    for placed in Blocks(name, document, notes).entities():
        entity, layer = placed.entity, legible(placed.layer)
        if is_tilted(entity):
            message = "It does not lie in the plane of the drawing and was left out."
            notes[Note(label_of(entity), message, within=(layer,))] = None
            continue
        made = _path(name, placed)
        if made is None:
            if not is_blank(entity):
                left.setdefault((layer, legible(entity.dxftype())), []).append(label_of(entity))
            continue
        if is_wide(entity):
            message = "Its width was left out: only the line along its middle was read."
            notes[Note(label_of(entity), message, within=(layer,))] = None
        key = (layer, placed.colour)
        groups.setdefault(key, _Group(*key, [])).paths.append(made)
    notes |= dict.fromkeys(_of_no_use(*one) for one in sorted(left.items()))
    return [groups[key] for key in sorted(groups)]


def _of_no_use(where: tuple[str, str], labels: list[str]) -> Note:
    """The note on what is of one kind on one layer and no line or curve."""
    layer, kind = where
    why = "only lines and curves bound areas"
    if kind in TEXTS:
        why = "text has to be turned into outlines in the program that drew it"
    more = f" and {len(labels) - MOST_REASONS} more" if len(labels) > MOST_REASONS else ""
    return Note(
        ", ".join(labels[:MOST_REASONS]) + more,
        f"{len(labels)} of this kind left out: {why}.",
        "lettering" if kind in TEXTS else "left-out",
        (layer,),
    )


def _on_sheets(document: Any, notes: dict[Note, None]) -> None:
    """Notes on what is drawn on sheets of paper, beside the model."""
    for sheet in document.layouts:
        count = sum(entity.dxftype() != "VIEWPORT" for entity in sheet)
        if count and not sheet.is_modelspace:
            message = f"{count} on this sheet of paper left out: only the model space is read."
            notes[Note(f"layout {legible(sheet.name)}", message)] = None


def _path(name: str, placed: Placed) -> Open | None:
    try:
        return open_path(placed.entity, placed.to_drawing)
    except ValueError as wrong:
        raise InputError(
            name, label_of(placed.entity), f"{_sentence(wrong)}", "Mend it, or draw it again."
        ) from wrong


def _sentence(wrong: ValueError) -> str:
    text = str(wrong)
    return f"{text[:1].upper()}{text[1:]}."


def _areas(
    group: _Group, join: float, deviation: float, notes: dict[Note, None]
) -> Iterator[tuple[Polygon | MultiPolygon, str]]:
    """Areas of a group's loops, those in one another taken as holes by turns."""
    found = joined(group.paths, join)

    def note(element: str, message: str, kind: NoteKind = "mended") -> None:
        notes[Note(element, message, kind, (group.layer, element))] = None

    for path in found.twice:
        note(path.element, "It was drawn twice; one of them was left out.")
    near = nearly_closed(found.left, join)
    for path in found.left:
        x, y = path.start
        message = f"It is part of no closed loop, from ({x:g}, {y:g}) on{near.get(path, '')}."
        note(path.element, message, "left-out")
    for one in found.figures:
        if one.gap > 0:
            x, y = one.gap_at
            note(one.element, f"Its loop was open by {one.gap:.4g} at ({x:g}, {y:g}); closed.")
    areas = [Shape(_area(one, deviation), group.colour, one.element) for one in found.figures]
    twice = buried_duplicates(areas, join)
    for at in sorted(twice):
        note(areas[at].element, "Its loop was drawn twice; one of them was left out.")
    yield from _nested([one for at, one in enumerate(areas) if at not in twice])


def _area(figure: Figure, deviation: float) -> Polygon | MultiPolygon:
    try:
        lines = [flattened(subpath, DOWN, deviation) for subpath in figure.subpaths]
        return _filled(lines) if figure.parted else enclosed(lines, evenodd=True)
    except ValueError as wrong:
        raise ValueError(f"{figure.element}: {wrong}") from wrong


def _filled(lines: list[NDArray[np.float64]]) -> Polygon | MultiPolygon:
    """All that lines enclose: they part areas of one colour, which are one."""
    ends = np.stack([np.vstack([line[k : len(line) - 1 + k] for line in lines]) for k in (0, 1)])
    boxes = np.hstack([ends.min(axis=0), ends.max(axis=0)])
    if meet_more_than(boxes, max(MOST_INSIDE, PER_EDGE * len(boxes))):
        raise ValueError(f"its lines cross or touch more than {MOST_INSIDE} times")
    noded = shapely.get_parts(shapely.union_all(shapely.linestrings(ends.swapaxes(0, 1))))
    area = shapely.coverage_union_all(shapely.get_parts(shapely.polygonize(noded)))
    return area if isinstance(area, Polygon | MultiPolygon) else Polygon()


def _nested(areas: list[Shape]) -> Iterator[tuple[Polygon | MultiPolygon, str]]:
    areas = sorted((one for one in areas if not one.area.is_empty), key=lambda one: -one.area.area)
    if not areas:
        return
    shapes = np.array([one.area for one in areas], dtype=object)
    if meet_more_than(np.asarray(shapely.bounds(shapes)), MOST_INSIDE):
        raise ValueError(f"too many of the {len(shapes)} loops lie in or across one another")
    inner, outer = shapely.STRtree(shapes).query(shapes, predicate="within")
    deep = np.bincount(inner[inner != outer], minlength=len(shapes))
    for at, one in enumerate(areas):
        if deep[at] % 2:
            continue
        own = inner[(outer == at) & (deep[inner] == deep[at] + 1)]
        holes = shapely.union_all(shapes[own])
        yield _without(one.area, holes), one.element


def _without(area: Polygon | MultiPolygon, holes: Any) -> Polygon | MultiPolygon:
    left = shapely.difference(area, holes)
    return left if isinstance(left, Polygon | MultiPolygon) else Polygon()
