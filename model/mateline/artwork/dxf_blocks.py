"""Entities of a DXF drawing with its blocks taken apart, counted before that is done.

Stands before the reader's paths. What is on a layer that is off or frozen, or is invisible
itself, is not drawn. Source: DXF Reference (INSERT: rows and columns; colour 0 is the block's,
256 the layer's; what stands on layer 0 of a block is on the layer where the block is put).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mateline.artwork.shapes import Note
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

MOST_ENTITIES = 30_000  # blocks taken apart
MOST_DEEP = 50  # blocks inside one another
BY_BLOCK, BY_LAYER = 0, 256  # colour numbers
BLACK = "#000000"  # colour 7: black or white, whichever the paper is not


@dataclass(frozen=True, slots=True)
class Placed:
    """An entity where it is drawn, and the layer and the colour that it has there."""

    entity: Any
    layer: str
    colour: str


class Blocks:
    """Takes the blocks of one document apart."""

    def __init__(self, file: str, document: Any, notes: dict[Note, None]) -> None:
        self._file, self._document, self._notes = file, document, notes
        self._size: dict[str, int] = {}  # entities in a block, those of its own blocks counted

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
                total += self._copies(entity) * (1 + self._in_block(_block_of(entity), above))
        return total

    def _copies(self, insert: Any) -> int:
        counts = (int(insert.dxf.get(name, 1)) for name in ("row_count", "column_count"))
        rows, columns = (max(1, count) for count in counts)
        return rows * columns

    def _in_block(self, name: str, above: tuple[str, ...]) -> int:
        if name in above:
            raise InputError(
                self._file, f"block {name}", "The block is a part of itself.", "Break the circle."
            )
        if len(above) > MOST_DEEP:
            raise InputError(
                self._file, f"block {name}",
                f"Blocks stand more than {MOST_DEEP} deep in one another.", "Explode some.",
            )  # fmt: skip
        if name not in self._size:
            block = self._document.blocks.get(name)
            self._size[name] = 0 if block is None else self._counted(block, (*above, name))
        return self._size[name]

    def _placed(self, entities: Iterable[Any], above: Placed | None) -> Iterator[Placed]:
        for entity in entities:
            if not entity.dxf.is_supported("layer"):  # of a kind that is not known
                yield Placed(entity, "0", BLACK)
                continue
            layer = str(entity.dxf.layer)
            if above and layer == "0":
                layer = above.layer
            here = Placed(entity, layer, self._colour(entity, layer, above))
            if self._hidden(here):
                continue
            if entity.dxftype() == "INSERT":
                yield from self._taken_apart(here)
            else:
                yield here

    def _taken_apart(self, here: Placed) -> Iterator[Placed]:
        insert = here.entity
        name = _block_of(insert)
        block = self._document.blocks.get(name)
        label = f"INSERT {name}"
        if block is None or block.block.is_xref:
            self._note(label, "Its block is not in the file; other files are never opened.")
            return
        if self._size.get(name) == 0:
            return
        scales = [float(insert.dxf.get(f"{axis}scale", 1.0)) for axis in "xyz"]
        if 0.0 in scales:
            self._note(label, "It is drawn with a scale of 0 and was left out.")
            return
        copies = insert.multi_insert() if self._copies(insert) > 1 else (insert,)
        for copy in copies:
            yield from self._placed(copy.virtual_entities(), here)

    def _hidden(self, here: Placed) -> bool:
        layer = self._document.layers.get(here.layer) if self._has(here.layer) else None
        if here.entity.dxf.get("invisible", 0):
            self._note(f"layer {here.layer}", "What is invisible on it was left out.")
            return True
        if layer is not None and (layer.is_frozen() or layer.is_off()):
            self._note(f"layer {here.layer}", "It is off or frozen; what is on it was left out.")
            # A layer that is off hides what is on it, but not what a block has on other layers.
            return bool(layer.is_frozen()) or here.entity.dxftype() != "INSERT"
        return False

    def _has(self, layer: str) -> bool:
        return layer in self._document.layers

    def _note(self, element: str, message: str) -> None:
        self._notes[Note(element, message)] = None

    def _colour(self, entity: Any, layer: str, above: Placed | None) -> str:
        """True colour, else colour number, of the entity, its block or its layer."""
        from ezdxf import colors  # noqa: PLC0415  # only for DXF drawings

        source = entity.dxf
        number = source.get("color", BY_LAYER)
        if source.get("true_color") is None and number == BY_BLOCK and above:
            return above.colour
        if source.get("true_color") is None and number in {BY_BLOCK, BY_LAYER}:
            if not self._has(layer):
                return BLACK
            source = self._document.layers.get(layer).dxf
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
