"""A small PDF: pages of lines and text, and layers that a viewer can switch off.

Stands after stroke. Written by hand, because layers must be, and because the same content must
give the same bytes: no clock, no file id. Lengths are taken in mm and written in points, 1/72 in.
Section numbers are those of ISO 32000-1:2008.
"""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mateline.curves import Segment, sweep
from mateline.exports.stroke import drawn

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mateline.curves import Chain, Point

POINT = 72 / 25.4  # points for one mm
BEZIER_TOL = 1e-3  # mm: how far a Bézier may leave its arc
PRODUCER = "Mateline"


@dataclass(frozen=True, slots=True)
class Form:
    """What a layer shows, drawn once and placed on any page by `placed`."""

    name: str
    box: tuple[float, float, float, float]  # mm: left, bottom, right, top
    content: str


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its label, its size in mm, and its content."""

    label: str
    size: tuple[float, float]
    content: str


@dataclass
class PdfStroke:
    """A stroke that writes path operators (8.5.2), `parts`; circles become Bézier curves."""

    parts: list[str] = field(default_factory=list)
    _at: Point = (0.0, 0.0)

    def start(self, at: Point) -> None:
        """Begin a subpath."""
        self._at = at
        self.parts.append(f"{written(at)} m")

    def line(self, to: Point) -> None:
        """Append a straight line."""
        self._at = to
        self.parts.append(f"{written(to)} l")

    def arc(self, to: Point, centre: Point, *, counterclockwise: bool) -> None:
        """Append as many Bézier curves as keep within `BEZIER_TOL` of the arc."""
        for curve in beziers(self._at, Segment(to, centre, counterclockwise)):
            self.parts.append(f"{' '.join(written(point) for point in curve)} c")
        self._at = to

    def end(self, *, closed: bool) -> None:
        """Close the subpath if it is closed, and stroke it."""
        self.parts.append("s" if closed else "S")


def beziers(start: Point, segment: Segment) -> list[tuple[Point, Point, Point]]:
    """Cubic curves along an arc: two handles and the end of each; the last end is exact.

    Handles are 4/3 tan(a/4) radii long for a curve that turns through a. It then leaves the circle
    outwards by at most r 4/27 sin^6(a/4) / cos^2(a/4) (from the cubic's own radius, elementary).
    """
    if segment.centre is None:
        raise ValueError("a line is no arc")
    cx, cy = segment.centre
    reach, turn = math.dist(segment.to, segment.centre), sweep(start, segment)
    count = math.ceil(abs(turn) / (math.pi / 2) - 1e-9)
    while _off(reach, turn / count) > BEZIER_TOL:
        count += 1
    step = turn / count
    handle = 4 / 3 * math.tan(step / 4) * reach
    first = math.atan2(start[1] - cy, start[0] - cx)
    curves, at, angle = [], start, first
    for number in range(1, count + 1):
        after = first + step * number
        end = (cx + reach * math.cos(after), cy + reach * math.sin(after))
        end = segment.to if number == count else end
        near = (at[0] - handle * math.sin(angle), at[1] + handle * math.cos(angle))
        far = (end[0] + handle * math.sin(after), end[1] - handle * math.cos(after))
        curves.append((near, far, end))
        at, angle = end, after
    return curves


def _off(reach: float, turn: float) -> float:
    return reach * 4 / 27 * math.sin(abs(turn) / 4) ** 6 / math.cos(turn / 4) ** 2


def written(point: Point) -> str:
    """A point in mm as two numbers in points."""
    return f"{number(point[0] * POINT)} {number(point[1] * POINT)}"


def number(value: float) -> str:
    """At most four decimals, a twenty-thousandth of a mm in points."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def stroked(chains: Iterable[Chain]) -> str:
    """Path operators that draw `chains` in the current ink."""
    stroke = PdfStroke()
    for chain in chains:
        drawn(chain, stroke)
    return "\n".join(stroke.parts)


def ink(colour: str, width: float, dash: Sequence[float] = ()) -> str:
    """Operators for lines of "#rrggbb", `width` mm wide, round ends; `dash` in mm (8.4.3.6)."""
    channels = " ".join(number(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    dashes = " ".join(number(length * POINT) for length in dash)
    return f"{channels} RG {number(width * POINT)} w 1 J 1 j [{dashes}] 0 d"


def text(at: Point, height: float, words: str) -> str:
    """Operators that write `words` from `at` in Helvetica `height` mm high, black.

    Signs that Windows code page 1252 lacks become question marks.
    """
    letters = "".join(
        chr(code) if 32 <= code < 127 and chr(code) not in "()\\" else f"\\{code:03o}"
        for code in words.encode("cp1252", "replace")
    )
    return f"BT 0 g /F1 {number(height * POINT)} Tf {written(at)} Td ({letters}) Tj ET"


def placed(forms: Sequence[Form], origin: Point, scale: float = 1.0) -> str:
    """Operators that draw all forms with their origin at `origin` of the page."""
    moves = f"q {number(scale)} 0 0 {number(scale)} {written(origin)} cm"
    return "\n".join([moves, *(f"/L{at} Do" for at in range(len(forms))), "Q"])


def clipped(window: tuple[float, float, float, float], content: str) -> str:
    """`content` seen through a window of the page, mm (8.5.4)."""
    left, low, right, high = window
    return f"q {written((left, low))} {written((right - left, high - low))} re W n\n{content}\nQ"


def pdf_bytes(title: str, pages: Sequence[Page], forms: Sequence[Form]) -> bytes:
    """The whole file: a layer for each form, a label for each page."""
    file = _File()
    catalog, tree, font, resources = (file.reserved() for _ in range(4))
    layers = [file.added(f"<< /Type /OCG /Name {_string(form.name)} >>") for form in forms]
    shown = [file.stream(_form_entries(form, layer), form.content) for form, layer in
             zip(forms, layers, strict=True)]  # fmt: skip
    file.put(font, "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica"
                   " /Encoding /WinAnsiEncoding >>")  # fmt: skip
    objects = " ".join(f"/L{at} {form} 0 R" for at, form in enumerate(shown))
    file.put(resources, f"<< /Font << /F1 {font} 0 R >> /XObject << {objects} >> >>")
    kids = []
    for page in pages:
        content = file.stream("", page.content)
        width, height = (number(side * POINT) for side in page.size)
        kids.append(
            file.added(
                f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 {width} {height}]"
                f" /Resources {resources} 0 R /Contents {content} 0 R >>"
            )
        )
    file.put(tree, f"<< /Type /Pages /Count {len(kids)} /Kids [{_references(kids)}] >>")
    labels = " ".join(f"{at} << /P {_string(page.label)} >>" for at, page in enumerate(pages))
    every = _references(layers)
    file.put(
        catalog,
        f"<< /Type /Catalog /Pages {tree} 0 R /PageLabels << /Nums [{labels}] >>"  # 12.4.2
        f" /OCProperties << /OCGs [{every}] /D << /Order [{every}] >> >>"  # 8.11.4
        " /ViewerPreferences << /PrintScaling /None >> >>",  # 12.2: no fitting to the page
    )
    info = file.added(f"<< /Title {_string(title)} /Producer {_string(PRODUCER)} >>")
    return file.written(catalog, info)


def _form_entries(form: Form, layer: int) -> str:
    """A form XObject (8.10) that belongs to an optional content group (8.11.3.3)."""
    box = " ".join(number(side * POINT) for side in form.box)
    return f"/Type /XObject /Subtype /Form /BBox [{box}] /OC {layer} 0 R"


def _references(numbers: Iterable[int]) -> str:
    return " ".join(f"{at} 0 R" for at in numbers)


def _string(words: str) -> str:
    """A text string (7.9.2.2) as UTF-16 in hexadecimal digits, which needs no escapes."""
    return f"<{('﻿' + words).encode('utf-16-be').hex()}>"


class _File:
    """Objects by number, and the file made of them (7.5)."""

    def __init__(self) -> None:
        self._bodies: list[bytes] = []

    def reserved(self) -> int:
        """The number of an object that is `put` later."""
        self._bodies.append(b"")
        return len(self._bodies)

    def put(self, at: int, body: str) -> None:
        self._bodies[at - 1] = body.encode("ascii")

    def added(self, body: str) -> int:
        self._bodies.append(body.encode("ascii"))
        return len(self._bodies)

    def stream(self, entries: str, content: str) -> int:
        data = zlib.compress(content.encode("ascii"), 6)
        head = f"<< {entries} /Length {len(data)} /Filter /FlateDecode >>".encode("ascii")
        self._bodies.append(head + b"\nstream\n" + data + b"\nendstream")
        return len(self._bodies)

    def written(self, catalog: int, info: int) -> bytes:
        """Header, objects, cross-reference table and trailer (7.5.2 to 7.5.5)."""
        parts = [b"%PDF-1.5\n%\xe2\xe3\xcf\xd3\n"]  # layers are new in 1.5
        offsets, at = [], len(parts[0])
        for number_, body in enumerate(self._bodies, start=1):
            offsets.append(at)
            parts.append(b"%d 0 obj\n%s\nendobj\n" % (number_, body))
            at += len(parts[-1])
        count = len(offsets) + 1
        parts.append(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        parts += [b"%010d 00000 n \n" % offset for offset in offsets]
        parts.append(
            b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R >>\n" % (count, catalog, info)
        )
        parts.append(b"startxref\n%d\n%%%%EOF\n" % at)
        return b"".join(parts)
