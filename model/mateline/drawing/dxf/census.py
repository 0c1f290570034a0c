"""What a text DXF file holds, counted before its library reads any of it.

Stands first in the dxf room. The library takes longer for an entity than it takes to count a
thousand. A file is lines by twos, a group code and its value; code 0 starts an entity, or a
section, whose name follows it (DXF Reference, "General DXF file structure"). What is binary, or
no DXF at all, is left to the library.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from mateline.drawing.path import MOST_CONTROL, MOST_STEPS, refuse_more

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MOST_ENTITIES = 30_000  # of the drawing, blocks taken apart
BINARY = b"AutoCAD Binary DXF"
PARTS = frozenset([b"VERTEX", b"ATTRIB", b"SEQEND"])  # of the entity before them
CORNER, PAPER = b"10", b"67"  # group codes: a corner's x; 1 for what is in paper space


def refuse_too_much(data: bytes) -> None:
    """Raise ValueError for more entities, or corners of one, than a drawing may have."""
    if data.startswith(BINARY):
        return
    lines = data.split(b"\n")
    codes, values = lines[0::2], lines[1::2]
    starts = [at for at, code in enumerate(codes) if code.strip() == b"0"]
    own = corners = first = 0
    for at, end, kind in _entities(starts, values):
        if kind in PARTS:  # of the polyline before them
            corners += kind == b"VERTEX"
        else:
            own, corners, first = own + 1, 0, at
            if end - at > MOST_CONTROL:  # few have so many lines, and are looked at
                corners = sum(code.strip() == CORNER for code in codes[at:end])
        if corners > MOST_CONTROL and values[first].strip() == b"SPLINE":
            _refuse_control(first, corners)
        if corners > MOST_STEPS:
            _refuse_corners(values[first], first, corners)
    if own > MOST_ENTITIES:
        own -= sum(
            code.strip() == PAPER and value.strip() == b"1"
            for code, value in zip(codes, values, strict=False)
        )
    if own > MOST_ENTITIES:
        raise ValueError(f"the drawing has more than {MOST_ENTITIES} entities, {own} at least")


def _refuse_control(at: int, control: int) -> None:
    what = f"it has {control} control points, more than {MOST_CONTROL}"
    raise ValueError(f"SPLINE in line {2 * at + 1}: {what}")


def _refuse_corners(kind: bytes, at: int, corners: int) -> None:
    try:
        refuse_more(corners)
    except ValueError as wrong:
        name = kind.strip().decode("ascii", "replace")
        raise ValueError(f"{name} in line {2 * at + 1}: {wrong}") from wrong


def _entities(starts: Sequence[int], values: Sequence[bytes]) -> Iterator[tuple[int, int, bytes]]:
    """Where each entity of the drawing itself starts and ends in `values`, and its kind."""
    section = b""
    for at, end in pairwise([*starts, len(values)]):
        kind = values[at].strip() if at < len(values) else b""
        if kind == b"SECTION":
            section = values[at + 1].strip() if at + 1 < len(values) else b""
        elif kind == b"ENDSEC":
            section = b""
        elif section == b"ENTITIES":
            yield at, end, kind
