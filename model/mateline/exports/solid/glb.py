"""model.glb: every board as one closed mesh, coloured by its paint.

Binary glTF 2.0 (Khronos Group, 2021), written by hand: metres, Y up, the front of the cabinet
towards +Z. Colours are COLOR_0, linear RGB; there are no normals, so
that viewers shade each triangle flat.
"""

from __future__ import annotations

import json
import struct
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.skin import skin
from mateline.paint.lightness import linear

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

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
) -> None:
    """Write `panels` to `path`. `painted` takes "carcase-panel" to regions of its net and their
    "#rrggbb"; a board that is not in it is all `wood`, as is what regions leave open. `ends` has
    the paint on the ends of its boards, by edge.

    Raises ValueError where a hole runs over an edge of its board, and where regions do not tile
    the net.
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
        part = indexed(skin(panel, painted.get(name, ()), wood, ends.get(name, {})))
        document["nodes"].append({"name": name, "mesh": index})
        document["meshes"].append({"name": name, "primitives": [_primitive(part, document, data)]})
    document["buffers"] = [{"byteLength": len(data)}]
    path.write_bytes(_container(document, bytes(data)))


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
