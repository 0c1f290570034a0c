"""Entities of a DXF drawing with its blocks taken apart, counted before that is done.

Stands before the reader's paths. What is on a layer that is off or frozen, or is invisible
itself, is not drawn. Entities are never copied or changed: each comes with the map from its own
block to the drawing, since an entity or a block put skew in another one often can't be written
as an entity again. Source: DXF Reference (INSERT: rows and columns; colour 0 is the block's,
256 the layer's; what stands on layer 0 of a block is on the layer where the block is put).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mateline.drawing.dxf.census import MOST_ENTITIES
from mateline.drawing.dxf.entities import is_tilted, legible
from mateline.drawing.shapes import Note
from mateline.errors import InputError
from mateline.planar.affine import IDENTITY, after

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mateline.planar.affine import Affine

MOST_DEEP = 50  # blocks inside one another
BY_BLOCK, BY_LAYER = 0, 256  # colour numbers
CONSTANT = 2  # flag of a text that all copies of a block have
BLACK = "#000000"  # colour 7: black or white, whichever the paper is not


@dataclass(frozen=True, slots=True)
class Placed:
    """An entity where it is drawn, and the layer and the colour that it has there.

    `to_drawing` carries what stands in its block, or in the model space, to the drawing.
    """

    entity: Any
    layer: str
    colour: str
    to_drawing: Affine


class Blocks:
    """Takes the blocks of one document apart."""

    def __init__(self, file: str, document: Any, notes: dict[Note, None]) -> None:
        self._file, self._document, self._notes = file, document, notes
        self._size: dict[str, int] = {}  # entities in a block, those of its own blocks counted
        self._layers: dict[str, Any] = {}  # the file's own, None for one that it lacks

    def entities(self) -> Iterator[Placed]:
        """All that is drawn in the model space.

        Raises InputError for blocks inside themselves, and for too many entities.
        """
        try:
            space = list(self._document.modelspace())
        except KeyError:
            raise InputError(
                self._file, "", "The drawing has no model space.", "Save it as DXF again."
            ) from None
        if self._counted(space, ()) > MOST_ENTITIES:
            raise InputError(
                self._file, "",
                f"The drawing has more than {MOST_ENTITIES} entities, its blocks taken apart.",
                "Leave some out.",
            )  # fmt: skip
        yield from self._placed(space, None)

    def _counted(self, entities: Iterable[Any], above: tuple[str, ...]) -> int:
        total = 0
        for entity in entities:
            total += 1
            if entity.dxftype() == "INSERT":
                copies = _copies(entity, "row") * _copies(entity, "column")
                total += copies * (1 + self._in_block(_block_of(entity), above))
        return total

    def _in_block(self, name: str, above: tuple[str, ...]) -> int:
        if name in above:
            raise InputError(
                self._file,
                f"block {legible(name)}",
                "The block is a part of itself.",
                "Break the circle.",
            )
        if len(above) > MOST_DEEP:
            raise InputError(
                self._file, f"block {legible(name)}",
                f"Blocks stand more than {MOST_DEEP} deep in one another.", "Explode some.",
            )  # fmt: skip
        if name not in self._size:
            block = self._document.blocks.get(name)
            self._size[name] = 0 if block is None else self._counted(block, (*above, name))
        return self._size[name]

    def _placed(self, entities: Iterable[Any], above: Placed | None) -> Iterator[Placed]:
        matrix = above.to_drawing if above else IDENTITY
        for entity in entities:
            if not entity.dxf.is_supported("layer"):  # of a kind that is not known
                yield Placed(entity, "0", BLACK, matrix)
                continue
            layer = self._spelt(str(entity.dxf.layer))
            if above and layer == "0":
                layer = above.layer
            here = Placed(entity, layer, self._colour(entity, layer, above), matrix)
            if self._hidden(here) or (above and _is_template(entity)):
                continue
            if entity.dxftype() == "INSERT":
                yield from self._placed(entity.attribs, here)
                yield from self._taken_apart(here)
            else:
                yield here

    def _taken_apart(self, here: Placed) -> Iterator[Placed]:
        insert = here.entity
        name = _block_of(insert)
        block = self._document.blocks.get(name)
        label = f"INSERT {legible(name)}"
        if block is None or block.block.is_xref:
            what = "Its block is not in the file; other files are never opened."
            self._note(label, what, here.layer)
            return
        if self._size.get(name) == 0:
            return
        if is_tilted(insert):
            what = "It does not lie in the plane of the drawing and was left out."
            self._note(label, what, here.layer)
            return
        if _clipped(insert):
            what = "It is clipped; the clip was left out and all of the block drawn."
            self._note(label, what, here.layer)
        try:
            maps = _maps(insert, block.block.dxf.base_point)
        except ValueError:
            raise InputError(
                self._file, label, "One of its numbers is too large, or is none.",
                "Mend it, or draw it again.",
            ) from None  # fmt: skip
        if not maps:
            self._note(label, "It is drawn with a scale of 0 and was left out.", here.layer)
        for each in maps:
            matrix = after(here.to_drawing, each)
            yield from self._placed(block, replace(here, to_drawing=matrix))

    def _hidden(self, here: Placed) -> bool:
        layer = self._layer(here.layer)
        if here.entity.dxf.get("invisible", 0):
            self._note_layer(here.layer, "What is invisible on it was left out.")
            return True
        if layer is not None and (layer.is_frozen() or layer.is_off()):
            self._note_layer(here.layer, "It is off or frozen; what is on it was left out.")
            # A layer that is off hides what is on it, but not what a block has on other layers.
            return bool(layer.is_frozen()) or here.entity.dxftype() != "INSERT"
        return False

    def _spelt(self, layer: str) -> str:
        """The name of a layer as the file's table has it: capitals don't tell layers apart."""
        found = self._layer(layer)
        return layer if found is None else str(found.dxf.name)

    def _layer(self, name: str) -> Any:
        if name not in self._layers:  # looked up once: each entity asks
            layers = self._document.layers
            self._layers[name] = layers.get(name) if name in layers else None
        return self._layers[name]

    def _note_layer(self, layer: str, message: str) -> None:
        self._note(f"layer {legible(layer)}", message, layer)

    def _note(self, element: str, message: str, layer: str) -> None:
        self._notes[Note(element, message, within=(legible(layer),))] = None

    def _colour(self, entity: Any, layer: str, above: Placed | None) -> str:
        """True colour, else colour number, of the entity, its block or its layer."""
        from ezdxf import colors  # noqa: PLC0415  # only for DXF drawings

        source = entity.dxf
        number = source.get("color", BY_LAYER)
        if source.get("true_color") is None and number == BY_BLOCK:
            return above.colour if above else BLACK
        if source.get("true_color") is None and number == BY_LAYER:
            found = self._layer(layer)
            if found is None:
                return BLACK
            source = found.dxf
        true = source.get("true_color")
        if true is not None:
            red, green, blue = colors.int2rgb(true)
        else:
            number = abs(source.get("color", 7))
            if not 0 < number < BY_LAYER or number == 7:
                return BLACK
            red, green, blue = colors.aci2rgb(number)
        return f"#{red:02x}{green:02x}{blue:02x}"


def _block_of(insert: Any) -> str:
    """The name of the block that is put there; "" when the file gives none."""
    return str(insert.dxf.get("name") or "")


def _is_template(entity: Any) -> bool:
    """Whether an entity of a block only says what text a copy of it may have (ATTDEF, code 70)."""
    return entity.dxftype() == "ATTDEF" and not entity.dxf.get("flags", 0) & CONSTANT


def _clipped(insert: Any) -> bool:
    from ezdxf.xclip import XClip  # noqa: PLC0415  # only for DXF drawings

    clip = XClip(insert)
    return bool(clip.has_clipping_path and clip.is_clipping_enabled)


def _maps(insert: Any, base: Any) -> list[Affine]:
    """From the block to where the insert is, one for each row and column; none for a scale of 0.

    The array is turned with the block, but neither its scale nor its base point count in it.
    Raises ValueError for a number that is not finite.
    """
    x, y, _ = insert.dxf.get("insert", (0.0, 0.0, 0.0))
    wide, high = (float(insert.dxf.get(f"{axis}scale", 1.0)) for axis in "xy")
    turn = math.radians(insert.dxf.get("rotation", 0.0))
    steps = [float(insert.dxf.get(f"{name}_spacing", 0.0)) for name in ("column", "row")]
    if not all(map(math.isfinite, (x, y, wide, high, turn, *steps, base[0], base[1]))):
        raise ValueError("a number is not finite")
    if wide == 0 or high == 0:
        return []
    cos, sin = math.cos(turn), math.sin(turn)
    # Seen from behind it is mirrored about the y axis.
    away = -1.0 if insert.dxf.extrusion[2] < 0 else 1.0
    outer = (away * cos, sin, -away * sin, cos, away * x, y)
    columns, rows = (_copies(insert, name) for name in ("column", "row"))
    return [
        after(outer, (wide, 0.0, 0.0, high, across - wide * base[0], up - high * base[1]))
        for up in (steps[1] * row for row in range(rows))
        for across in (steps[0] * column for column in range(columns))
    ]


def _copies(insert: Any, name: str) -> int:
    """How many rows or columns there are; those that lie on one another are one."""
    count = int(insert.dxf.get(f"{name}_count", 1))
    return max(1, count) if insert.dxf.get(f"{name}_spacing", 0.0) else 1
