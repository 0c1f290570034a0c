"""Path data and basic shapes of an SVG drawing as subpaths of lines, Béziers and arcs.

Stands before flattening. Source: SVG 2, chapters 9 (paths) and 10 (basic shapes). Units are
those of the element; nothing is transformed or flattened here.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

import numpy as np

from mateline.drawing.path import MOST_CURVES, Arc, Cubic, Line, Step, Subpath, refuse_more

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

# Taken whole or not at all ("?>"): a number that could be parted anywhere takes for ever to be
# found wrong.
NUMBER = r"(?>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_PART = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
_NUMBER = re.compile(NUMBER)
_REST = re.compile(r"[\s,]*")
_NUMBERS_ONLY = re.compile(rf"(?>{NUMBER}[ \t\r\n\f,]*+)*+")
_LETTERS = "MmZzLlHhVvCcSsQqTtAa"
# Lines to one point after another, most of what long paths are made of, taken at once.
_GAP = r"[ \t\r\n\f,]*+"
_LINES = re.compile(rf"(?>L{_GAP}(?>{NUMBER}{_GAP}{NUMBER}{_GAP})++)++")
# Flags are one digit and need no space after them (SVG 2, 9.3.9).
_ARC = re.compile(rf"({NUMBER})[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*([01])[\s,]*([01])[\s,]*"
                  rf"({NUMBER})[\s,]*({NUMBER})[\s,]*")  # fmt: skip
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_DIGITS = np.isin(np.arange(256), [*b"0123456789."])
_IN_NUMBER = _DIGITS | np.isin(np.arange(256), [*b"+-eE"])
_ONE_GROUP = {
    count: re.compile(r"[ \t\r\n\f,]*+".join([f"({NUMBER})"] * count)) for count in (1, 2, 4, 6)
}
_CURVES = np.isin(np.arange(256), [*b"CSQTA"])
_TAKES = np.zeros(256, dtype=np.int32)  # numbers that a command takes, by its letter's code
for _letter, _numbers in _COUNT.items():
    _TAKES[[ord(_letter), ord(_letter.lower())]] = max(1, _numbers)


class _Pen:
    """Draws one command after another; keeps what relative and smooth commands refer to."""

    def __init__(self) -> None:
        self.done: list[Subpath] = []
        self.steps: list[Step] = []
        self.start = self.at = self.control = (0.0, 0.0)
        self.last = ""

    def move(self, x: float, y: float) -> None:
        self.finish(closed=False)
        self.start = self.at = (x, y)

    def finish(self, *, closed: bool) -> None:
        if closed and self.at != self.start:
            self.steps.append(Line(*self.start))
        if self.steps or closed:
            self.done.append(Subpath(*self.start, self.steps, closed))
        self.steps, self.at = [], self.start

    def line(self, x: float, y: float) -> None:
        self.steps.append(Line(x, y))
        self.at = (x, y)

    def cubic(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:
        self.steps.append(Cubic(x1, y1, x2, y2, x, y))
        self.at, self.control = (x, y), (x2, y2)

    def quadratic(self, x1: float, y1: float, x: float, y: float) -> None:
        ax, ay = self.at
        self.steps.append(
            Cubic(ax + (x1 - ax) * 2 / 3, ay + (y1 - ay) * 2 / 3,
                  x + (x1 - x) * 2 / 3, y + (y1 - y) * 2 / 3, x, y)
        )  # fmt: skip
        self.at, self.control = (x, y), (x1, y1)

    def mirrored_control(self, family: str) -> tuple[float, float]:
        # Without a curve of the same kind before it the control point is the current point.
        if not self.last or self.last not in family:
            return self.at
        return 2 * self.at[0] - self.control[0], 2 * self.at[1] - self.control[1]


def subpaths(data: str) -> list[Subpath]:
    """Subpaths of the text of a `d` attribute. Raises ValueError saying what is wrong and where."""
    if len(data) > MOST_CURVES:  # each takes a letter at least
        letters, segments = _least(data)
        refuse_more(int(segments.sum()), int(segments[_CURVES[letters]].sum()))
    pen = _Pen()
    end = _REST.match(data).end()  # type: ignore[union-attr]  # matches the empty string too
    if end < len(data) and data[end] not in "Mm":
        raise ValueError(f"the path starts with {data[end : end + 12]!r} and not with M")
    steps = 0
    while end < len(data):
        command, groups, end = _next(data, end)
        steps += len(groups)
        refuse_more(steps)
        _draw(pen, command, groups)
    pen.finish(closed=False)
    return pen.done


def _next(data: str, at: int) -> tuple[str, list[tuple[float, ...]], int]:
    """The command at a place of a path, the numbers after it in groups, and where they end.

    Lines on end are one command.
    """
    lines = _LINES.match(data, at)
    if lines and (lines.end() == len(data) or data[lines.end()] in _LETTERS):
        values = _values(lines[0].replace("L", " "))
        return "L", list(zip(values[::2], values[1::2], strict=True)), lines.end()
    part = _PART.match(data, at)
    if part is None:
        raise ValueError(f"{data[at : at + 12]!r} is no path command")
    return part[1], _arguments(part[1], part[2]), part.end()


def least_numbers(text: str) -> int:
    """How many numbers are in a text at least, told in a moment; those written as one count once.

    It is not looked at whether they are well-formed.
    """
    return int(_starts(_codes(text)).sum())


def least_segments(data: str) -> tuple[int, int]:
    """How many segments the text of a `d` attribute has at least, and how many of them are moves.

    It is not looked at whether they are well-formed.
    """
    letters, segments = _least(data)
    return int(segments.sum()), int((letters == ord("M")).sum())


def least_curves(data: str) -> int:
    """How many of the segments are curves, at least."""
    letters, segments = _least(data)
    return int(segments[_CURVES[letters]].sum())


def _least(data: str) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """The commands of a path, in capitals, and how many segments each draws at least."""
    codes = _codes(data)
    numbers = np.cumsum(_starts(codes), dtype=np.int32)
    at = np.flatnonzero(_TAKES[codes])
    if not len(at):
        return codes[:0], np.empty(0, dtype=np.int64)
    follow = np.diff(numbers[at], append=numbers[-1])
    letters = (codes[at] & 0xDF).astype(np.uint8)
    return letters, np.where(letters == ord("Z"), 1, follow // _TAKES[codes[at]])


def _codes(text: str) -> NDArray[np.uint8]:
    return np.frombuffer(text.encode("latin-1", "replace"), dtype=np.uint8)


def _starts(codes: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which characters a number starts with: the first of a run, and a sign that ends another."""
    inside, digits = _IN_NUMBER[codes], _DIGITS[codes]
    starts: NDArray[np.bool_] = inside.copy()
    starts[1:] &= ~inside[:-1] | (digits[:-1] & ((codes[1:] == ord("-")) | (codes[1:] == ord("+"))))
    return starts


def _arguments(command: str, text: str) -> list[tuple[float, ...]]:
    """Numbers after a command, in the groups that the command takes."""
    count = _COUNT[command.upper()]
    if count == 7:
        return _arc_arguments(text)
    text = text.strip(" \t\r\n\f,")
    one = _ONE_GROUP[count].fullmatch(text) if count else None
    if one:
        return [tuple(map(float, one.groups()))]
    if not _NUMBERS_ONLY.fullmatch(text):
        left = _NUMBER.sub("", text).strip(" \t\r\n\f,")
        raise ValueError(f"{left[:12]!r} after {command} is no number")
    values = _values(text)
    if count == 0:
        if values:
            raise ValueError(f"{command} takes no numbers, {text.strip()[:12]!r} follows it")
        return [()]
    if not values or len(values) % count:
        raise ValueError(f"{command} takes {count} numbers at a time, {len(values)} follow it")
    refuse_more(len(values) // count)
    return list(zip(*(values[at::count] for at in range(count)), strict=True))


def _values(text: str) -> list[float]:
    """The numbers of a text that holds nothing else."""
    try:
        return [*map(float, text.replace(",", " ").split())]
    except ValueError:  # written without a space between: 1-2 or 1.5.5
        return [*map(float, _NUMBER.findall(text))]


def _arc_arguments(text: str) -> list[tuple[float, ...]]:
    end = _REST.match(text).end()  # type: ignore[union-attr]  # matches the empty string too
    groups: list[tuple[float, ...]] = []
    while end < len(text):
        match = _ARC.match(text, end)
        if match is None:
            raise ValueError(
                f"{text[end : end + 24]!r} is no arc (two radii, angle, two flags, point)"
            )
        groups.append(tuple(map(float, match.groups())))
        refuse_more(len(groups))
        end = match.end()
    if not groups:
        raise ValueError("A takes 7 numbers at a time, 0 follow it")
    return groups


def _draw(pen: _Pen, command: str, groups: list[tuple[float, ...]]) -> None:
    kind = command.upper()
    if command == "L":  # most of long paths; + 0.0 as below, which makes 0.0 of -0.0
        pen.steps.extend([Line(x + 0.0, y + 0.0) for x, y in groups])
        pen.at, pen.last = (groups[-1][0] + 0.0, groups[-1][1] + 0.0), kind
        return
    for index, group in enumerate(groups):
        x, y = pen.at if command.islower() else (0.0, 0.0)
        if kind == "M" and index:
            kind = "L"  # more pairs after a move are lines (9.3.3)
        _one(pen, kind, group, (x, y))
        pen.last = kind


def _one(pen: _Pen, kind: str, group: tuple[float, ...], origin: tuple[float, float]) -> None:
    x, y = origin
    if kind == "A":
        rx, ry, turn_deg, large, sweep = group[:5]
        _arc(
            pen,
            (abs(rx), abs(ry), math.radians(turn_deg)),
            (large, sweep),
            (group[5] + x, group[6] + y),
        )
        return
    if kind in "HV":
        pen.line(*((group[0] + x, pen.at[1]) if kind == "H" else (pen.at[0], group[0] + y)))
        return
    points = [value + (y if place % 2 else x) for place, value in enumerate(group)]
    match kind:
        case "M":
            pen.move(*points)
        case "L":
            pen.line(*points)
        case "C":
            pen.cubic(*points)
        case "S":
            pen.cubic(*pen.mirrored_control("CS"), *points)
        case "Q":
            pen.quadratic(*points)
        case "T":
            pen.quadratic(*pen.mirrored_control("QT"), *points)
        case _:
            pen.finish(closed=True)


def _arc(
    pen: _Pen,
    ellipse: tuple[float, float, float],
    flags: tuple[float, float],
    to: tuple[float, float],
) -> None:
    if to == pen.at:
        return  # left out altogether (9.5.1)
    rx, ry, turn = ellipse
    if rx == 0 or ry == 0:
        pen.line(*to)
        return
    pen.steps.append(Arc(rx, ry, turn, bool(flags[0]), bool(flags[1]), *to))
    pen.at = to


def rectangle(box: tuple[float, float, float, float], rx: float, ry: float) -> list[Subpath]:
    """A rectangle (x, y, width, height), its corners rounded (SVG 2, 10.2: start at x + rx)."""
    x, y, w, h = box
    if w <= 0 or h <= 0:
        return []
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx <= 0 or ry <= 0:
        corners = [Line(x + w, y), Line(x + w, y + h), Line(x, y + h), Line(x, y)]
        return [Subpath(x, y, list(corners), closed=True)]
    steps: list[Step] = []
    sides = (
        ((x + w - rx, y), (x + w, y + ry)),
        ((x + w, y + h - ry), (x + w - rx, y + h)),
        ((x + rx, y + h), (x, y + h - ry)),
        ((x, y + ry), (x + rx, y)),
    )
    at = (x + rx, y)
    for before, past in sides:
        if before != at:
            steps.append(Line(*before))
        steps.append(Arc(rx, ry, 0.0, False, True, *past))
        at = past
    return [Subpath(x + rx, y, steps, closed=True)]


def ellipse(cx: float, cy: float, rx: float, ry: float) -> list[Subpath]:
    """A whole ellipse as four arcs, from its right end on (SVG 2, 10.3 and 10.4)."""
    if rx <= 0 or ry <= 0:
        return []
    ends = ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy))
    return [
        Subpath(cx + rx, cy, [Arc(rx, ry, 0.0, False, True, *end) for end in ends], closed=True)
    ]


def polyline(numbers: Sequence[float], *, closed: bool) -> list[Subpath]:
    """Straight segments through points given as x y x y and so on."""
    points = list(zip(numbers[0::2], numbers[1::2], strict=False))
    refuse_more(len(points))
    if len(points) < 2:
        return []
    steps: list[Step] = [Line(*point) for point in points[1:]]
    if closed and points[-1] != points[0]:
        steps.append(Line(*points[0]))
    return [Subpath(*points[0], steps, closed)]
