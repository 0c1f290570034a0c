"""The cabinet in space for the book's own painter, and the still picture where it can't draw.

Stands after html. The painter gets every board as flat facets, triangulated here, and paints
the faces' drawings onto them as textures: so it shows the passes too, and the file holds every
border once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import numpy as np
import shapely
from shapely import Polygon

from mateline.exports.jobbook.html import anchor, element, listed, said, text
from mateline.exports.picture.cabinet_picture import WOOD
from mateline.exports.picture.projection import facets
from mateline.products import norm, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.exports.picture.projection import Facet
    from mateline.survey import Job

    Array = NDArray[np.float64]

DECIMALS = 2  # mm
KEYS = (
    "Drag it or use the arrow keys to turn it, plus and minus to zoom, 0 to start again. "
    "Click a face to go to its drawing."
)
_VIEWS = (("front", 0, 8), ("left", -90, 8), ("right", 90, 8), ("back", 180, 8), ("top", 0, 88))
_UNSAFE = "#%<>\"'&?"  # what a data URI in an attribute needs escaped


def scene(job: Job) -> dict[str, Any]:
    """Facets as triangles: `at` xyz in the cabinet frame, mm, `on` xy in the face frame, mm, where
    the facet is painted, or else its `paint`; `rim` is the facet's outline as a closed ring of xyz.
    """
    painted = {stencil.face.name for stencil in job.stencils}
    base = job.colours.paints[job.colours.base]
    found = []
    for facet in facets((*job.cabinet.faces, *job.cabinet.hidden)):
        entry = _facet(facet, painted=(facet.skin or facet.face) in painted)
        if facet.end == "base":
            entry["paint"] = base
        if entry["at"]:
            found.append(entry)
    return {"wood": WOOD, "facets": found}


def section(job: Job, picture: str) -> str:
    """The part of the page with the painter's canvas, its buttons and the still `picture` (SVG)."""
    canvas = element(
        "canvas",
        id="cabinet-3d",
        tabindex="0",
        role="application",
        aria_label=f"The painted cabinet in 3D. {KEYS}",
        hidden=True,
    )
    still = element(
        "img",
        id="cabinet-still",
        src="data:image/svg+xml," + quote(picture, safe=_safe()),
        alt=f"{job.definition.title}, painted, seen from the front left and the front right",
    )
    views = [
        said("button", name.capitalize(), type="button", data_azimuth=turn, data_elevation=up)
        for name, turn, up in _VIEWS
    ]
    steps = [
        said("button", sign, type="button", data_key=key, aria_label=label)
        for sign, key, label in (
            ("◀", "ArrowLeft", "Turn left"),
            ("▶", "ArrowRight", "Turn right"),
            ("▲", "ArrowUp", "Tilt up"),
            ("▼", "ArrowDown", "Tilt down"),
            ("+", "+", "Zoom in"),
            ("−", "-", "Zoom out"),  # noqa: RUF001  a minus sign is wanted
        )
    ]
    buttons = element(
        "div",
        element("div", *views, role="group", aria_label="Look from"),
        element("div", *steps, role="group", aria_label="Turn and zoom"),
        id="cabinet-buttons",
        class_="buttons",
        hidden=True,
    )
    faces = [
        element("a", text(stencil.face.name), href=f"#{anchor('face', stencil.face.name)}")
        for stencil in job.stencils
    ]
    return element(
        "section",
        said("h2", "The cabinet", id="cabinet-title"),
        said("p", KEYS, id="cabinet-keys", class_="hint", hidden=True),
        element("div", canvas, still, class_="stage"),
        said("p", "", id="cabinet-hint", class_="hint", aria_hidden="true"),
        buttons,
        element(
            "nav",
            said("p", "Go to a face", class_="label"),
            listed(faces, class_="chips"),
            aria_label="Faces",
        ),
        id="cabinet",
        aria_labelledby="cabinet-title",
    )


def _safe() -> str:
    return "".join(chr(code) for code in range(0x20, 0x7F) if chr(code) not in _UNSAFE)


def _facet(facet: Facet, *, painted: bool) -> dict[str, Any]:
    flat = _on_plane(facet)
    corners = _triangles(flat)
    index = [_nearest(flat, spot) for spot in corners]
    entry: dict[str, Any] = {
        "face": facet.skin or facet.face,
        "kind": facet.kind,
        "normal": _rounded(facet.outward, 4),
        "at": _rounded(facet.points[index].ravel() if index else np.empty(0)),
        "rim": _rounded(facet.points.ravel()),
    }
    if painted and facet.area is not None:
        net = shapely.get_coordinates(shapely.orient_polygons(facet.area))[:-1]
        entry["on"] = _rounded(net[index].ravel())
    return entry


def _on_plane(facet: Facet) -> Array:
    """The facet's corners (n, 2) in a right-handed frame of its own plane."""
    outward = facet.outward
    along = np.cross(outward, np.eye(3)[int(np.argmin(np.abs(outward)))])
    along /= norm(along)
    flat: Array = product(facet.points, np.column_stack([along, np.cross(outward, along)]))
    return flat


def _triangles(flat: Array) -> Array:
    """Corners (3 n, 2) of triangles that fill the ring `flat`, counter-clockwise."""
    ring = Polygon(flat)
    if not ring.is_valid or ring.area <= 0:
        return np.empty((0, 2))
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(ring))
    turned = shapely.orient_polygons(parts)
    corners: Array = shapely.get_coordinates(turned).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    return corners


def _nearest(flat: Array, spot: Array) -> int:
    return int(np.argmin(((flat - spot) ** 2).sum(axis=1)))


def _rounded(values: Array, decimals: int = DECIMALS) -> list[float]:
    return [round(float(value), decimals) + 0.0 for value in values]
