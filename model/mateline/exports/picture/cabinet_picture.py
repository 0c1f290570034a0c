"""The picture of the whole cabinet, painted: views side by side, and the palette.

Stands after projection, painted and legend. Each face's regions are written once and drawn in
every view through the affine map that its projection is, arcs and all; strips get theirs clipped.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.hole import keep_clear, on_face, open_area, opening
from mateline.exports.picture.legend import DARK, GREY, ROW, page, palette, swatch, words
from mateline.exports.picture.painted import fills
from mateline.exports.picture.projection import facets, ordered, raised, view_from
from mateline.exports.svg_path import number, path_data
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.exports.picture.projection import Facet, View
    from mateline.stencil.stencil import Stencil

    Array = NDArray[np.float64]

VIEWS = (
    ("from the front left", view_from(math.radians(-36), math.radians(20))),
    ("from the front right", view_from(math.radians(36), math.radians(20))),
)
BACK = ("from the back right", view_from(math.radians(144), math.radians(20)))
FRAME = (560.0, 760.0)  # px: each view's share of the picture
MARGIN = 40.0
HEADER = 88.0  # px: title
# Unit vector towards the light, on the viewer's axes: from the upper left, so that the same side
# of a box is lit in every view.
LIGHT = np.array([-0.25, 0.55, 0.797])
DARKEST = 0.34  # no unit: how much black lies over a facet turned away from the light
SHADOW = 0.2  # no unit: length of the shadow, as a share of the true one
COLUMNS = 4  # of the palette
STAYS, OPEN = "#8d949c", "#1b1d20"  # hardware, and holes
WOOD = "#d8b98a"  # bare boards
INSIDE = 0.72  # no unit: black over the inside of the boards
SEAM = 0.6  # px: facets overlap by half of this, or the background shines between them


@dataclass(frozen=True, slots=True)
class _Placed:
    """A view with its place on the page: `matrix` (2, 4) takes cabinet points to pixels."""

    view: View
    matrix: Array


def cabinet_picture(faces: Sequence[Face], stencils: Sequence[Stencil], *, title: str) -> str:
    """An SVG picture of the cabinet. `faces` are all faces, painted or not.

    The back is shown only where more than the base coat is on it.
    """
    painted = {stencil.face.name: stencil for stencil in stencils}
    boards = facets(faces)
    points = np.vstack([facet.points for facet in boards])
    views = (*VIEWS, BACK) if any(_behind(stencil) for stencil in stencils) else VIEWS
    scale = min(_fitting(points, view) for _, view in views)
    body = [
        "<defs>",
        *(_artwork(stencil) for stencil in stencils),
        "</defs>",
        words((MARGIN, MARGIN + 16), title, 26, DARK, 'font-weight="600"'),
    ]
    high = max(_size(points, view)[1] for _, view in views) * scale
    for count, (name, view) in enumerate(views):
        middle = MARGIN + FRAME[0] * (count + 0.5) + MARGIN * count
        placed = _Placed(view, _matrix(points, view, scale, (middle, HEADER + high)))
        body += ["<g>", _shadow(points, placed)]
        body += [
            part
            for index, facet in enumerate(ordered(boards, view))
            for part in _drawn(facet, painted, placed, f"v{count}f{index}")
        ]
        body += [
            "</g>",
            words((middle, HEADER + high + 44), name, 13, GREY, 'text-anchor="middle"'),
        ]
    legend = list(_palette(stencils, HEADER + high + 84))
    tall = HEADER + high + 84 + ROW * (len(legend) // COLUMNS + 1)
    return page(len(views) * (FRAME[0] + MARGIN) + MARGIN, tall, [*body, *legend])


def _behind(stencil: Stencil) -> bool:
    """Whether the face looks backwards and has more than the base coat on it."""
    away = stencil.face.panel.frame.outward[1] > math.cos(math.radians(45))
    return away and stencil.has_board


def _palette(stencils: Sequence[Stencil], top: float) -> Iterator[str]:
    used = {region.colour for stencil in stencils for region in stencil.pattern.regions}
    if not stencils:
        return
    paints = {name: paint for name, paint in stencils[0].paints.items() if name in used}
    wide = (len(VIEWS) * FRAME[0] + MARGIN) / COLUMNS
    for count, (paint, label) in enumerate(palette(paints, stencils[0].base)):
        row, column = divmod(count, COLUMNS)
        yield swatch((MARGIN + column * wide, top + row * ROW), paint, label)


def _artwork(stencil: Stencil) -> str:
    """The face's regions and hardware, mm, y = 0 at the face's lower edge and down from there."""
    top = stencil.face.outline.bounds[3]
    parts = [f'<path fill="{paint}" d="{data}"/>' for paint, data in fills(stencil)]
    outline = stencil.face.outline
    for hole in stencil.face.holes:
        if hole.stays:
            clear = path_data(on_face(keep_clear(hole), outline), top)
            parts.append(f'<path fill="#e3e6e9" d="{clear}"/>')
        fill = STAYS if hole.stays else OPEN
        shown = path_data(on_face(opening(hole), outline), top)
        parts.append(f'<path fill="{fill}" d="{shown}"/>')
    inner = "".join(parts)
    return f'<g id="art-{stencil.face.name}" fill-rule="evenodd">{inner}</g>'


def _drawn(
    facet: Facet, painted: Mapping[str, Stencil], placed: _Placed, name: str
) -> Iterator[str]:
    stencil = painted.get(facet.skin or facet.face)
    if stencil is None and facet.end == "base":  # of a board whose face nobody sees
        any_of = next(iter(painted.values()), None)
        ground = WOOD if any_of is None else any_of.paints[any_of.base]
    else:
        ground = _ground(facet, stencil)
    dark = _darkness(facet, placed.view)
    shape = _flat(facet.points, placed)
    if stencil is not None and facet.kind == "strip":
        yield from _painted_strip(facet, stencil, placed, dark)
        return
    yield _filled(shape, _shaded(ground, dark))
    if stencil is not None and (facet.kind == "flat" or facet.skin is not None):
        yield from _painted_flat(facet, stencil, placed, name, shape)
        yield f'<path fill="#000000" fill-opacity="{number(dark, 3)}" d="{shape}"/>'
    if facet.kind in {"flat", "cut", "proud"}:
        line = f'stroke="{DARK}" stroke-opacity="0.5" stroke-width="0.8"'
        yield f'<path fill="none" {line} d="{shape}"/>'


def _ground(facet: Facet, stencil: Stencil | None) -> str:
    """What a facet is painted with under its artwork."""
    covered = stencil is not None and facet.kind == "flat" and stencil.face.covered
    bare = facet.kind == "inside" or facet.end == "left" or covered
    return WOOD if stencil is None or bare else stencil.paints[stencil.base]


def _filled(shape: str, paint: str) -> str:
    edge = f'stroke="{paint}" stroke-width="{SEAM}" stroke-linejoin="round"'
    return f'<path fill="{paint}" fill-rule="evenodd" {edge} d="{shape}"/>'


def _shaded(paint: str, dark: float) -> str:
    """`paint` under a film of black, `dark` of it kept back."""
    channels = [round(int(paint[at : at + 2], 16) * (1 - dark)) for at in (1, 3, 5)]
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def _painted_flat(
    facet: Facet, stencil: Stencil, placed: _Placed, name: str, shape: str
) -> Iterator[str]:
    """The face's artwork through its affine map; clipped where it goes on beyond the flat."""
    if facet.lift is None:
        raise ValueError("a painted facet has a lift")
    affine = product(placed.matrix[:, :3], facet.lift)
    affine[:, 2] += placed.matrix[:, 3]
    # The artwork's y runs down from the top of the face: y = top - y'.
    top = stencil.face.outline.bounds[3]
    affine[:, 2] += affine[:, 1] * top
    affine[:, 1] *= -1
    values = " ".join(number(value, 6) for value in affine.T.ravel())
    use = f'<use href="#art-{stencil.face.name}" transform="matrix({values})"/>'
    if not stencil.face.strips and not stencil.face.beyond:
        yield use
        return
    yield f'<clipPath id="{name}"><path d="{shape}"/></clipPath>'
    yield f'<g clip-path="url(#{name})">{use}</g>'


def _painted_strip(facet: Facet, stencil: Stencil, placed: _Placed, dark: float) -> Iterator[str]:
    if facet.lift is None or facet.area is None:
        raise ValueError("a painted facet has an area and a lift")
    for piece in stencil.pieces:
        if not piece.area.intersects(facet.area):
            continue
        paint = _shaded(stencil.paints[piece.colour], dark)
        for part in shapely.get_parts(piece.area.intersection(facet.area)):
            if isinstance(part, Polygon):
                rings = [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(part)]
                lifted = [raised(ring, facet.lift) for ring in rings]
                yield _filled("".join(_flat(ring, placed) for ring in lifted), paint)
    for hole in stencil.face.holes:
        part = open_area(hole).intersection(facet.area)
        if isinstance(part, Polygon) and not part.is_empty:
            lifted = [raised(shapely.get_coordinates(part)[:-1], facet.lift)]
            yield f'<path fill="{STAYS if hole.stays else OPEN}" d="{_flat(lifted[0], placed)}"/>'


def _darkness(facet: Facet, view: View) -> float:
    if facet.kind == "inside":
        return INSIDE
    lit = max(0.0, float(product(product(view.axes, facet.outward), LIGHT)))
    return DARKEST * (1 - lit)


def _shadow(points: Array, placed: _Placed) -> str:
    """What the cabinet keeps from the light on the floor, faintly."""
    light = product(LIGHT, placed.view.axes)
    floor = points[:, 2].min()
    fallen = points - (points[:, 2:] - floor) * (SHADOW * light / light[2])
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(fallen[:, :2])))[:-1]
    on_floor = np.column_stack([hull, np.full(len(hull), floor)])
    return f'<path fill="#000000" fill-opacity="0.10" d="{_flat(on_floor, placed)}"/>'


def _flat(points: Array, placed: _Placed) -> str:
    pixels = product(points, placed.matrix[:, :3].T) + placed.matrix[:, 3]
    return "M" + "L".join(f"{number(x, 2)} {number(y, 2)}" for x, y in pixels.tolist()) + "Z"


def _size(points: Array, view: View) -> Array:
    flat = product(points, view.axes[:2].T)
    size: Array = flat.max(axis=0) - flat.min(axis=0)
    return size


def _fitting(points: Array, view: View) -> float:
    wide, high = _size(points, view)
    return float(min(FRAME[0] / wide, FRAME[1] / high))


def _matrix(points: Array, view: View, scale: float, foot: tuple[float, float]) -> Array:
    """Cabinet points to pixels, with the middle of the picture's lower edge at `foot`."""
    flat = product(points, view.axes[:2].T)
    low, high = flat.min(axis=0), flat.max(axis=0)
    middle = (low[0] + high[0]) / 2
    return np.array(
        [
            [*(scale * view.axes[0]), foot[0] - scale * middle],
            [*(-scale * view.axes[1]), foot[1] + scale * low[1]],
        ]
    )
