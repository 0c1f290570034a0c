"""The still picture of the cabinet on paper: our own SVG, drawn on a reportlab canvas.

Stands beside sheet. Only what `cabinet_picture` writes is read: paths of lines and circular arcs,
groups with a clip, artwork used through a matrix, boxes and words.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

from mateline.curves import Segment
from mateline.exports.print.pdf_file import beziers

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from mateline.curves import Point

LEAST = 7.0  # points: words of the picture are no smaller on paper
NONE = "none"
HREF = "href"


def draw_picture(canvas: Any, svg: str, frame: tuple[float, float]) -> None:
    """Draw the picture as large as `frame` (width, height in points) lets it be, in its middle."""
    root = ET.fromstring(svg)  # noqa: S314  written by ourselves in this very build
    wide, high = float(root.attrib["width"]), float(root.attrib["height"])
    scale = min(frame[0] / wide, frame[1] / high)
    left, top = (frame[0] - scale * wide) / 2, (frame[1] + scale * high) / 2
    named = {each.attrib["id"]: each for each in root.iter() if "id" in each.attrib}
    codes: dict[int, str] = {}  # of paths: a face's artwork is drawn in several views
    canvas.saveState()
    canvas.transform(scale, 0, 0, -scale, left, top)
    for each in list(root)[1:]:  # the first is the ground
        _draw(canvas, each, named, codes)
    canvas.restoreState()
    for each in root.iter():
        if _kind(each) == "text":
            _words(canvas, each, (left, top), scale)


def _kind(each: ET.Element) -> str:
    return each.tag.rsplit("}", 1)[-1]


def _draw(
    canvas: Any,
    each: ET.Element,
    named: Mapping[str, ET.Element],
    codes: dict[int, str],
) -> None:
    kind, look = _kind(each), each.attrib
    if kind == "path":
        _painted(canvas, _code(each, codes), look)
    elif kind == "rect":
        x, y, wide, high = (float(look[name]) for name in ("x", "y", "width", "height"))
        _painted(canvas, f"n {x} {y} {wide} {high} re", look)
    elif kind in {"g", "use"}:
        canvas.saveState()
        if "clip-path" in look:
            (shape,) = named[look["clip-path"][5:-1]]  # url(#...)
            canvas._code.append(f"{_code(shape, codes)} W n")  # noqa: SLF001  as a path of its own
        inner = list(each)
        if kind == "use":
            canvas.transform(*(float(part) for part in re.findall(r"[-\d.]+", look["transform"])))
            inner = list(named[look[HREF][1:]])
        for part in inner:
            _draw(canvas, part, named, codes)
        canvas.restoreState()


def _painted(canvas: Any, code: str, look: Mapping[str, str]) -> None:
    """A path filled and stroked as it says."""
    filled, stroked = look.get("fill", NONE) != NONE, "stroke" in look
    faint = "fill-opacity" in look or "stroke-opacity" in look
    if faint:
        canvas.saveState()
    if filled:
        canvas.setFillColor(_ink(look["fill"]))
    if stroked:
        canvas.setStrokeColor(_ink(look["stroke"]))
        canvas.setLineWidth(float(look["stroke-width"]))
        canvas.setLineJoin(1)
    if faint:  # after the colours: they would make it full again
        canvas.setFillAlpha(float(look.get("fill-opacity", "1")))
        canvas.setStrokeAlpha(float(look.get("stroke-opacity", "1")))
    ending = {(True, True): "B*", (True, False): "f*", (False, True): "S"}[filled, stroked]
    canvas._code.append(f"{code} {ending}")  # noqa: SLF001  as the library's own paths are
    if faint:
        canvas.restoreState()


@lru_cache(maxsize=256)
def _ink(colour: str) -> Any:
    from reportlab.lib.colors import HexColor  # noqa: PLC0415  only files need it

    return HexColor(colour)


def _code(each: ET.Element, codes: dict[int, str]) -> str:
    key = id(each)
    if key not in codes:
        codes[key] = " ".join(["n", *_operators(each.attrib["d"])])
    return codes[key]


def _operators(data: str) -> Iterator[str]:
    at: Point = (0.0, 0.0)
    for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        values = [float(part) for part in rest.split()]
        if letter == "Z":
            yield "h"
        elif letter == "A":
            to = (values[5], values[6])
            for near, far, end in beziers(at, _arc(at, to, values[0], ccw=values[4] == 1)):
                yield " ".join(f"{x:.3f} {y:.3f}" for x, y in (near, far, end)) + " c"
            at = to
        else:
            at = (values[0], values[1])
            yield f"{at[0]:.3f} {at[1]:.3f} {'m' if letter == 'M' else 'l'}"


def _arc(start: Point, to: Point, radius: float, *, ccw: bool) -> Segment:
    """The shorter arc between two points, its centre on the side that it turns to."""
    (x, y), (u, v) = start, to
    chord = math.dist(start, to)
    off = math.sqrt(max(radius**2 - chord**2 / 4, 0.0)) * (1 if ccw else -1)
    centre = ((x + u) / 2 - off * (v - y) / chord, (y + v) / 2 + off * (u - x) / chord)
    return Segment(to, centre, ccw)


def _words(canvas: Any, each: ET.Element, corner: Point, scale: float) -> None:
    look = each.attrib
    text = (each.text or "").encode("cp1252", "replace").decode("cp1252")
    bold = "-Bold" * ("font-weight" in look)
    canvas.setFillColor(_ink(look["fill"]))
    canvas.setFont(f"Helvetica{bold}", max(LEAST, scale * float(look["font-size"])))
    middle = look.get("text-anchor") == "middle"
    shown = canvas.drawCentredString if middle else canvas.drawString
    shown(corner[0] + scale * float(look["x"]), corner[1] - scale * float(look["y"]), text)
