"""A DXF file read into flat-coloured shapes: closed loops, coloured by layer or entity.

Beside svg at the start of the artwork's road. Loops of one layer and colour that lie in one
another are holes by turns; of all others the smaller one lies on top, since DXF has no paint
order. y is turned down, as in every drawing. Source of codes: DXF Reference (ENTITIES section,
$INSUNITS, colour numbers) by way of ezdxf.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.artwork.dxf_steps import Open, open_path
from mateline.artwork.fillrule import enclosed
from mateline.artwork.flat import flat
from mateline.artwork.loops import closed_loops
from mateline.artwork.shapes import Drawing, Note, Shape
from mateline.curves import FACET
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from mateline.artwork.loops import Loop

JOIN = 0.05  # mm: ends of lines and arcs this near to one another meet
MOST_BYTES = 50_000_000  # of one file
MOST_ENTITIES = 50_000  # blocks taken apart
MM_PER_UNIT = {  # $INSUNITS (DXF Reference, HEADER section)
    1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 10: 914.4,
    13: 0.001, 14: 100.0, 15: 10_000.0, 21: 1200 / 3.937,
}  # fmt: skip
DOWN = (1.0, 0.0, 0.0, -1.0, 0.0, 0.0)
BLACK = "#000000"  # colour 7: black or white, whichever the paper is not


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
    found = [
        (area, group, loop)
        for group in groups
        for area, loop in _areas(group, join / scale, deviation / scale, notes)
    ]
    if not found:
        raise InputError(
            path.name, "", "No line or arc in the drawing belongs to a closed loop.",
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
    centres = {
        key: shapely.box(*shapely.total_bounds([areas[at] for at in places])).centroid
        for key, places in elements.items()
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
    from ezdxf.filemanagement import readfile  # noqa: PLC0415
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    name = path.name
    if not path.resolve().is_relative_to(root.resolve()):
        raise InputError(
            name, "", "The drawing is outside the cabinet's folder.", "Copy it into the folder."
        )
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError(
                name, "", f"The drawing has more than {MOST_BYTES / 1e6:.0f} MB.",
                "Save it with fewer points.",
            )  # fmt: skip
        return readfile(path)
    except OSError as wrong:
        what = wrong.strerror or "it is no DXF file"
        raise InputError(
            name, "", f"The drawing can't be read: {what}.", "Check its name and place."
        ) from wrong
    except (DXFError, ValueError, TypeError, IndexError, KeyError) as wrong:
        raise InputError(
            name, "", f"The file is no sound DXF: {wrong}.", "Save it as DXF R2000 or later."
        ) from wrong


def _scale(document: Any, notes: dict[Note, None]) -> float:
    unit = int(document.header.get("$INSUNITS", 0))
    if unit in MM_PER_UNIT:
        return MM_PER_UNIT[unit]
    taken = "mm" if document.header.get("$MEASUREMENT", 1) else "inches"
    notes[Note("$INSUNITS", f"The file gives no usable unit ({unit}); {taken} were taken.")] = None
    return 1.0 if taken == "mm" else 25.4


def _groups(name: str, document: Any, notes: dict[Note, None]) -> list[_Group]:
    _refuse_circles(name, document)
    groups: dict[tuple[str, str], _Group] = {}
    left: dict[str, int] = {}
    for count, entity in enumerate(_flat_entities(document.modelspace())):
        if count > MOST_ENTITIES:
            raise InputError(
                name, "", f"The drawing has more than {MOST_ENTITIES} entities.", "Leave some out."
            )
        made = open_path(entity)
        if made is None:
            kind = entity.dxftype()
            left[kind] = left.get(kind, 0) + 1
            continue
        key = (entity.dxf.layer, _colour(document, entity))
        groups.setdefault(key, _Group(*key, [])).paths.append(made)
    for kind, count in sorted(left.items()):
        notes[Note(kind, f"{count} of this kind left out: only lines and curves bound areas.")] = (
            None
        )
    return [groups[key] for key in sorted(groups)]


def _flat_entities(entities: Iterable[Any]) -> Iterator[Any]:
    from ezdxf.disassemble import recursive_decompose  # noqa: PLC0415  # as above

    yield from recursive_decompose(entities)


def _refuse_circles(name: str, document: Any) -> None:
    """Blocks that stand in themselves can't be taken apart."""
    inserts = {
        block.name: {entity.dxf.name for entity in block.query("INSERT")}
        for block in document.blocks
    }
    done: set[str] = set()
    for block in inserts:
        stack = [(block, frozenset[str]())]
        while stack:
            here, above = stack.pop()
            if here in above:
                raise InputError(
                    name, f"block {here}", "The block is a part of itself.", "Break the circle."
                )
            if here not in done:
                stack += [(other, above | {here}) for other in inserts.get(here, ())]
        done.add(block)


def _colour(document: Any, entity: Any) -> str:
    """True colour, else colour number, of the entity or its layer."""
    from ezdxf import colors  # noqa: PLC0415  # as above

    layer = document.layers.get(entity.dxf.layer) if entity.dxf.layer in document.layers else None
    source = entity.dxf
    if source.get("true_color") is None and source.get("color", 256) in {0, 256} and layer:
        source = layer.dxf
    true = source.get("true_color")
    if true is not None:
        red, green, blue = colors.int2rgb(true)
    else:
        number = abs(source.get("color", 7))
        if number in {0, 7, 256}:
            return BLACK
        red, green, blue = colors.aci2rgb(number)
    return f"#{red:02x}{green:02x}{blue:02x}"


def _areas(
    group: _Group, join: float, deviation: float, notes: dict[Note, None]
) -> Iterator[tuple[Polygon | MultiPolygon, str]]:
    """Areas of a group's loops, those in one another taken as holes by turns."""
    loops, left = closed_loops(group.paths, join)
    for path in left:
        x, y = path.start
        notes[Note(path.element, f"It is part of no closed loop, from ({x:g}, {y:g}) on.")] = None
    for loop in loops:
        if loop.gap > 0:
            x, y = loop.gap_at
            notes[
                Note(
                    loop.element, f"Its loop was open by {loop.gap:.4g} at ({x:g}, {y:g}); closed."
                )
            ] = None
    yield from _nested([(_area(loop, deviation), loop.element) for loop in loops])


def _area(loop: Loop, deviation: float) -> Polygon | MultiPolygon:
    return enclosed([flat(loop.subpath, DOWN, deviation)], evenodd=True)


def _nested(
    areas: list[tuple[Polygon | MultiPolygon, str]],
) -> Iterator[tuple[Polygon | MultiPolygon, str]]:
    areas = sorted((one for one in areas if not one[0].is_empty), key=lambda one: -one[0].area)
    if not areas:
        return
    shapes = np.array([area for area, _ in areas], dtype=object)
    inner, outer = shapely.STRtree(shapes).query(shapes, predicate="within")
    deep = np.bincount(inner[inner != outer], minlength=len(shapes))
    for at, (area, element) in enumerate(areas):
        if deep[at] % 2:
            continue
        own = inner[(outer == at) & (deep[inner] == deep[at] + 1)]
        holes = shapely.union_all(shapes[own])
        yield _without(area, holes), element


def _without(area: Polygon | MultiPolygon, holes: Any) -> Polygon | MultiPolygon:
    left = shapely.difference(area, holes)
    return left if isinstance(left, Polygon | MultiPolygon) else Polygon()
