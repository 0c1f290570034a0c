"""model.glb: every board as one closed mesh, coloured by its paint.

Binary glTF 2.0 (Khronos Group, 2021), written by hand: metres, Y up, the front of the cabinet
towards +Z. Colours are COLOR_0, linear RGB; there are no normals, so
that viewers shade each triangle flat.
"""

from __future__ import annotations

import json
import struct
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.hole import kept_area, open_area
from mateline.cabinet.panel import level
from mateline.cabinet.volume import clear_depths
from mateline.exports.solid.cells import net_of
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.skin import skin
from mateline.paint.lightness import linear

if TYPE_CHECKING:
    from collections.abc import Container, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.panel import Panel
    from mateline.exports.solid.indexed_mesh import Indexed

    Area = Polygon | MultiPolygon

NO_PAINT: Mapping[str, Mapping[int, Sequence[tuple[Area, str]]]] = MappingProxyType({})
# Without a material a mesh is polished metal (section 3.9.2, metallicFactor), and nearly black.
_PAINT = {"name": "paint", "pbrMetallicRoughness": {"metallicFactor": 0, "roughnessFactor": 0.8}}
FLOAT, UINT32, ARRAY, INDEX = 5126, 5125, 34962, 34963  # glTF 2.0 section 5.1.3 and 5.11.5


def write(
    panels: Sequence[Panel],
    painted: Mapping[str, Sequence[tuple[Polygon, str]]],
    path: Path,
    *,
    wood: str,
    ends: Mapping[str, Mapping[int, Sequence[tuple[Area, str]]]] = NO_PAINT,
    elsewhere: Container[str] = (),
) -> None:
    """Write `panels` to `path`. `painted` takes "carcase-panel" to regions of its net and their
    "#rrggbb"; a board that is not in it is all `wood`, as is what regions leave open. `ends` has
    the paint on the ends of its boards, by edge; paint on those named in `elsewhere` need not end
    at the rim of the net.

    A hole that reaches over an edge of its board to the next one is shown as a patch of wood.
    Raises ValueError where holes run into each other, and where regions do not tile the net.
    """
    document: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "mateline"},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(panels)))}],
        "nodes": [],
        "meshes": [],
        "materials": [_PAINT],
        "accessors": [],
        "bufferViews": [],
    }
    data = bytearray()
    for index, panel in enumerate(panels):
        name = f"{panel.carcase}-{panel.name}"
        board, paint = _patched(panel, painted.get(name, ()), wood)
        made = skin(board, paint, wood, ends.get(name, {}), elsewhere=name in elsewhere)
        part = indexed(made)
        document["nodes"].append({"name": name, "mesh": index})
        document["meshes"].append({"name": name, "primitives": [_primitive(part, document, data)]})
    document["buffers"] = [{"byteLength": len(data)}]
    path.write_bytes(_container(document, bytes(data)))


def _patched(
    panel: Panel, painted: Sequence[tuple[Polygon, str]], wood: str
) -> tuple[Panel, Sequence[tuple[Polygon, str]]]:
    """The board with patches of wood in place of what reaches over the rim of its face."""
    flat = Polygon(level(panel, 0.0))
    areas = [kept_area(hole) if hole.stays else open_area(hole) for hole in panel.holes]
    if shapely.contains_properly(flat, areas).all():
        return panel, painted
    net, _ = net_of(panel)
    over = (~shapely.contains_properly(net, areas)).tolist()
    if not any(over):
        return panel, painted
    depths = clear_depths(panel)
    kept = tuple(hole for hole, depth in zip(panel.holes, depths, strict=True) if depth > 0)
    taken = shapely.union_all([area for area, out in zip(areas, over, strict=True) if out])
    left = [(part, colour) for area, colour in painted for part in _parts(area.difference(taken))]
    patches = _parts(net.intersection(taken)) if painted else []
    return replace(panel, holes=kept), [*left, *((part, wood) for part in patches)]


def _parts(area: BaseGeometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(area).tolist() if isinstance(part, Polygon)]


def _primitive(part: Indexed, document: dict[str, Any], data: bytearray) -> dict[str, Any]:
    x, y, z = part.places.T
    upright = np.column_stack((x, z, -y)) / 1000
    position = upright.astype(np.float32)
    palette = np.array([linear(colour) for colour in part.colours], dtype=np.float32)
    bounds = {"min": position.min(axis=0).tolist(), "max": position.max(axis=0).tolist()}
    return {
        "attributes": {
            "POSITION": _accessor(document, data, position, bounds),
            "COLOR_0": _accessor(document, data, palette[part.tints], {}),
        },
        "indices": _accessor(document, data, part.triangles.ravel().astype(np.uint32), {}),
        "material": 0,
        "mode": 4,
    }


def _accessor(
    document: dict[str, Any], data: bytearray, values: NDArray[Any], bounds: dict[str, Any]
) -> int:
    flat = values.ndim == 1
    raw = np.ascontiguousarray(values).astype(values.dtype.newbyteorder("<")).tobytes()
    document["bufferViews"].append(
        {
            "buffer": 0,
            "byteOffset": len(data),
            "byteLength": len(raw),
            "target": INDEX if flat else ARRAY,
        }
    )
    data.extend(raw)  # 4-byte components only, so that every view starts aligned
    document["accessors"].append(
        {
            "bufferView": len(document["bufferViews"]) - 1,
            "componentType": UINT32 if flat else FLOAT,
            "count": len(values),
            "type": "SCALAR" if flat else "VEC3",
            **bounds,
        }
    )
    return len(document["accessors"]) - 1


def _container(document: dict[str, Any], data: bytes) -> bytes:
    """GLB container, glTF 2.0 section 4.4: header, JSON chunk, binary chunk, padded to 4 bytes."""
    text = json.dumps(document, separators=(",", ":"), sort_keys=True).encode()
    text += b" " * (-len(text) % 4)
    data += bytes(-len(data) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(data), b"BIN\0"),
            data,
        )
    )
