"""stencil.dxf: the layers of the stencil for drawing programs and cutters, 1:1 in mm.

Stands after layers. Each chain becomes one entity: LINE, ARC, CIRCLE, or LWPOLYLINE whose arcs
are bulges, tan(turn / 4), counter-clockwise positive (DXF Reference, LWPOLYLINE, group 42).
Lettering is thousands of short strokes, which ezdxf would take a second for: it reserves their
handles, and their text is put in before the end of its ENTITIES section.
"""

from __future__ import annotations

import io
import math
from contextlib import contextmanager
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from mateline.curves import radius, sweep
from mateline.drawing.dxf.library import new, options
from mateline.exports.cut.layers import BACK, layers_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mateline.curves import Chain, Point
    from mateline.exports.cut.layers import Layers
    from mateline.stencil.stencil import Stencil

VERSION = "R2010"
MILLIMETRES = 4  # $INSUNITS
METRIC = 1  # $MEASUREMENT
DECIMALS = 6  # mm; bulges keep 12, they are multiplied by the chord
FULLEST = 5.5  # radians: the chord of such an arc is three quarters of its radius
LETTERED = frozenset({"label", BACK, "register"})
COLOURS = MappingProxyType(
    {
        "CUT": 7,
        "TACK": 5,
        "SCORE": 3,
        "LABEL": 8,
        "LABEL-BACK": 9,
        "REGISTER": 6,
        "HOLE": 1,
        "JOIN": 2,
        "MARK": 4,
        "ALIGN": 30,
        "SHEET": 252,
    }
)  # AutoCAD index


def stencil_dxf(stencil: Stencil, layers: Layers | None = None) -> str:
    """The text of the file, UTF-8 when written; the same stencil gives the same text.

    `layers` are the stencil's own, where they are known already.
    """
    _, _, width, height = stencil.face.outline.bounds
    return layers_dxf(layers or layers_of(stencil), width, height)


def layers_dxf(layers: Layers, width: float, height: float) -> str:
    """`layers` as a drawing `width` by `height` mm, in their order."""
    with _fixed_metadata():
        document = new(VERSION)
        document.header["$INSUNITS"] = MILLIMETRES
        document.header["$MEASUREMENT"] = METRIC
        for name in sorted(layers):
            document.layers.add(name.upper(), color=COLOURS[name.upper()])
        space = document.modelspace()
        lettering: list[str] = []
        for layer, chains in layers.items():
            if layer in LETTERED:
                record = _record(document, layer.upper())
                lettering += [_stroke(chain, record) for chain in chains]
                continue
            for chain in chains:
                _add(space, chain, layer.upper())
        space.reset_extents((0, 0, 0), (_rounded(width), _rounded(height), 0))
        document.set_modelspace_vport(
            _rounded(height * 1.1), center=(_rounded(width / 2), _rounded(height / 2))
        )
        # ezdxf adds these itself, but in the order of a set, which changes with the hash seed.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        text = io.StringIO()
        document.write(text)
    return _with_entities(text.getvalue(), "".join(lettering))


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """No clock and no random ids in the file; ezdxf only knows this as a global option."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _record(document: Any, layer: str) -> Callable[[], str]:
    """Start of the text of an LWPOLYLINE on `layer`, with a new handle each time."""
    owner = f"330\n{document.modelspace().layout_key}\n100\nAcDbEntity\n  8\n{layer}\n"
    handle = document.entitydb.next_handle
    return lambda: f"  0\nLWPOLYLINE\n  5\n{handle()}\n{owner}100\nAcDbPolyline\n"


def _stroke(chain: Chain, record: Callable[[], str]) -> str:
    vertices = list(_vertices(chain))
    head = f"{record()} 90\n{len(vertices)}\n 70\n{int(chain.closed)}\n"
    return head + "".join(f" 10\n{x!r}\n 20\n{y!r}\n 42\n{bulge!r}\n" for x, y, bulge in vertices)


def _with_entities(text: str, more: str) -> str:
    """`text` of a DXF file with the entities `more` at the end of its ENTITIES section."""
    end = text.index("  0\nENDSEC\n", text.index("  2\nENTITIES\n"))
    return text[:end] + more + text[end:]


def _add(space: Any, chain: Chain, layer: str) -> None:
    attributes = {"layer": layer}
    round_one = _circle(chain)
    if round_one is not None:
        centre, reach = round_one
        space.add_circle(_point(centre), _rounded(reach), dxfattribs=attributes)
    elif len(chain.segments) > 1:
        vertices = list(_vertices(chain))
        space.add_lwpolyline(vertices, format="xyb", close=chain.closed, dxfattribs=attributes)
    elif chain.segments[0].centre is None:
        end = _point(chain.segments[0].to)
        space.add_line(_point(chain.start), end, dxfattribs=attributes)
    else:
        _add_arc(space, chain, attributes)


def _add_arc(space: Any, chain: Chain, attributes: dict[str, str]) -> None:
    (arc,) = chain.segments
    if arc.centre is None:
        raise ValueError("a line is no arc")
    first, last = _angle_deg(arc.centre, chain.start), _angle_deg(arc.centre, arc.to)
    space.add_arc(
        _point(arc.centre),
        _rounded(radius(arc)),
        first,
        last,
        is_counter_clockwise=arc.counterclockwise,
        dxfattribs=attributes,
    )


def _circle(chain: Chain) -> tuple[Point, float] | None:
    """Centre and radius where all of a closed chain runs once round one centre."""
    centre, reach = chain.segments[0].centre, math.dist(chain.start, chain.segments[0].to)
    if centre is None or not chain.closed:
        return None
    reach = radius(chain.segments[0])
    same = all(segment.centre == centre for segment in chain.segments)
    if not same or any(abs(math.dist(at, centre) - reach) > 1e-9 * reach for at in chain.points):
        return None
    turns = [sweep(at, segment) for at, segment in zip(chain.points, chain.segments, strict=False)]
    return (centre, reach) if math.isclose(abs(sum(turns)), math.tau) else None


def _vertices(chain: Chain) -> Iterator[tuple[float, float, float]]:
    """x, y and the bulge of the segment that follows; a closed chain's end is its start.

    Nearly full turns are parted: a reader finds them from a chord that may be short, whose rounding
    their radius would multiply.
    """
    for at, segment in zip(chain.points, chain.segments, strict=False):
        turn = sweep(at, segment)
        if segment.centre is not None and abs(turn) > FULLEST:
            (x, y), (cx, cy), half = at, segment.centre, turn / 2
            cos, sin = math.cos(half), math.sin(half)
            middle = (cx + (x - cx) * cos - (y - cy) * sin, cy + (x - cx) * sin + (y - cy) * cos)
            bulge = round(math.tan(half / 4), 12)
            yield (*_point(at), bulge)
            yield (*_point(middle), bulge)
        else:
            yield (*_point(at), round(math.tan(turn / 4), 12))
    if not chain.closed:
        yield (*_point(chain.points[-1]), 0.0)


def _point(point: Point) -> Point:
    return _rounded(point[0]), _rounded(point[1])


def _rounded(value: float) -> float:
    return round(float(value), DECIMALS) + 0.0  # no signed zero


def _angle_deg(centre: Point, point: Point) -> float:
    return round(math.degrees(math.atan2(point[1] - centre[1], point[0] - centre[0])), 9) + 0.0
