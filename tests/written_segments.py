"""A reader of written patterns: path data to lines and circle arcs as arrays, exactly.

Knows nothing of how mateline writes. Only M, L, A and Z in absolute numbers are read, arcs by
SVG 2, appendix F.6.5 and F.6.6, in a form that does not suffer where an arc is nearly straight
or its radius is absurd. Everything is in the file's unit and frame, y down.

    turn     signed angle that an arc runs through, positive from x to y; 0 for a line, and for an
             arc of so large a radius that no number tells it from one
"""

import math
import re
from dataclasses import dataclass

import numpy as np

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_PATH = re.compile(r'<path fill="([^"]*)" d="([^"]*)"/>')
_COMMAND = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_VIEW = re.compile(r'viewBox="([^"]*)"')
_WORD = re.compile(r"[^\s,]+")
_PLAIN = re.compile(_NUMBER)
_COUNT = {"M": 2, "L": 2, "A": 7, "Z": 0}
STRAIGHT = 1e-10  # rad: an arc that turns by less is as near to its chord as rounding


class UnreadableError(Exception):
    """The text is not what an SVG reader accepts."""


@dataclass(frozen=True)
class Segments:
    """Lines and arcs. `turn` is 0 for a line, whose `centre` is not a number; `radius` is what the
    file says, 0 for a line.
    """

    start: np.ndarray
    end: np.ndarray
    radius: np.ndarray
    turn: np.ndarray
    centre: np.ndarray
    path: np.ndarray
    loop: np.ndarray

    def __len__(self):
        return len(self.start)

    def rows(self, at):
        return Segments(*(getattr(self, name)[at] for name in self.__dataclass_fields__))

    def chords(self):
        return np.hypot(*(self.end - self.start).T)

    def points(self, share):
        """A point of each at `share` (n, k) of its turn or length: (n, k, 2)."""
        share = np.broadcast_to(share, (len(self), np.shape(share)[-1]))
        chord = self.end - self.start
        straight = self.start[:, None] + share[..., None] * chord[:, None]
        angle = self.turn[:, None] * share
        # On an arc the chord from the start to there is turned by half of what is left.
        with np.errstate(invalid="ignore", divide="ignore"):
            size = np.sin(angle / 2) / np.sin(self.turn / 2)[:, None]
        lean = (angle - self.turn[:, None]) / 2
        cos, sin = np.cos(lean), np.sin(lean)
        x = cos * chord[:, None, 0] - sin * chord[:, None, 1]
        y = sin * chord[:, None, 0] + cos * chord[:, None, 1]
        bent = self.start[:, None] + size[..., None] * np.stack([x, y], axis=-1)
        return np.where(self.turn[:, None, None] == 0, straight, bent)

    def boxes(self):
        """Exact: the ends, and for arcs the outermost points that they run through."""
        low, high = np.minimum(self.start, self.end), np.maximum(self.start, self.end)
        for quarter in range(4):
            angle = quarter * math.pi / 2
            first = np.arctan2(*(self.start - self.centre).T[::-1])
            ahead = np.mod(np.where(self.turn > 0, angle - first, first - angle), math.tau)
            on = (self.turn != 0) & (ahead < np.abs(self.turn))
            way = np.array([(1, 0), (0, 1), (-1, 0), (0, -1)][quarter])
            far = self.centre + self.radius[:, None] * way
            low = np.where(on[:, None], np.minimum(low, far), low)
            high = np.where(on[:, None], np.maximum(high, far), high)
        return low, high

    def areas(self, about):
        """Each one's part of Green's integral (x dy - y dx) / 2 about a point: exact for arcs."""
        a, b = self.start - about, self.end - about
        straight = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2
        return straight + self.chords() ** 2 * _bulges(self.turn)


@dataclass(frozen=True)
class Written:
    """What a file says: its view (x, y, width, height), fills, one for each path, and segments."""

    view: tuple
    fills: tuple
    segments: Segments
    closed: bool


def read(text):
    """The file's paths. Raises UnreadableError where any SVG reader would stop or guess."""
    view = _VIEW.search(text)
    found = _PATH.findall(text)
    if view is None or len(found) != text.count("<path"):
        raise UnreadableError("no view box, or paths with more than a fill")
    box = tuple(_numbers(view[1], 4))
    return Written(box, tuple(fill for fill, _ in found), *parsed([data for _, data in found]))


def parsed(paths):
    """Segments of some path data, and whether every loop closes."""
    rows, closed = [], True
    for path, data in enumerate(paths):
        loop, first, at = -1, None, None
        if "".join(a + b for a, b in _COMMAND.findall(data)) != data.strip():
            raise UnreadableError(f"path {path} does not begin with a command")
        for command, rest in _COMMAND.findall(data):
            if command not in _COUNT:
                raise UnreadableError(f"path {path} has the command {command}")
            numbers = _numbers(rest, _COUNT[command])
            if command == "Z":
                closed &= at == first
                at = first
                continue
            to = (numbers[-2], numbers[-1])
            if command == "M":
                closed &= at == first
                first, loop = to, loop + 1
            elif at is None:
                raise UnreadableError(f"path {path} starts with {command}")
            elif to != at:  # what ends where it starts is drawn by nobody (SVG 2, 9.5.1)
                arc = numbers[:5] if command == "A" else [0.0] * 5
                rows.append((*at, *to, *arc, path, loop))
            at = to
        closed &= at == first
    table = np.array(rows, dtype=np.float64).reshape(-1, 11)
    return _segments(table), closed


def _numbers(text, count):
    words = _WORD.findall(text)
    if len(words) != count or not all(_PLAIN.fullmatch(word) for word in words):
        raise UnreadableError(f"{text[:80]!r} is not {count} numbers")
    numbers = [float(word) for word in words]
    if not all(map(math.isfinite, numbers)):
        raise UnreadableError(f"{text[:80]!r} is not finite")
    return numbers


def _segments(table):
    start, end = table[:, 0:2], table[:, 2:4]
    radius, other, _, large, sweep = table[:, 4:9].T
    if (radius != other).any():
        raise UnreadableError("an arc has two radii")
    chord = end - start
    size = np.hypot(*chord.T)
    arc = radius > 0
    radius = np.where(arc, np.maximum(radius, size / 2), 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        half = np.arcsin(np.minimum(1.0, size / (2 * radius)))
        half = np.where(large == 1, math.pi - half, half)
        turn = np.where(arc, np.where(sweep == 1, 2 * half, -2 * half), 0.0)
        turn[np.abs(turn) < STRAIGHT] = 0.0
        # From the middle of the chord, to the left of it (y down: to its right as seen).
        away = size / 2 / np.tan(turn / 2)
        left = np.column_stack([-chord[:, 1], chord[:, 0]]) / size[:, None]
        centre = (start + end) / 2 + np.where(turn != 0, away, np.nan)[:, None] * left
    owner = table[:, 9:11].astype(np.int64)
    return Segments(start, end, radius, turn, centre, owner[:, 0], owner[:, 1])


def _bulges(turn):
    """Area between an arc and its chord, as a share of the chord squared.

    r² (t - sin t) / 2 over 4 r² sin² (t / 2), which is t / 12 + t³ / 360 + ... for a small t.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        whole = (turn - np.sin(turn)) / (8 * np.sin(turn / 2) ** 2)
    return np.where(np.abs(turn) < 1e-2, turn / 12 + turn**3 / 360, whole)
