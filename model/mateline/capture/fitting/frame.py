"""Lines and arcs between shared vertices, and how far measured places are from them.

Stands in fitting after courses. A segment runs from vertex `tail` to vertex `head` and turns
through 2 t to the left (t = 0: a line). In the frame of its chord, from (-L, 0) to (L, 0), it is
on a (x² + y² - L²) = 2 b y with a = sin t / L and b = cos t; the power p of a place, the left
side less the right, is p / (1 + sqrt(1 + a p)) from it (elementary; as in borders). So no centre
far away is ever reckoned with, and derivatives are plain.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

SMALLEST = 1e-9  # mm: half a chord to divide by


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Vertices `at` (v, 2), mm; segments from `tail` to `head` (s,) that turn by twice `turn`,
    radians, where they are `round`.
    """

    at: Floats
    tail: Ints
    head: Ints
    turn: Floats
    round: Bools

    @property
    def unknowns(self) -> int:
        """How many numbers say where everything is: x and y of vertices, then turns of arcs."""
        return 2 * len(self.at) + int(self.round.sum())

    def columns(self) -> Ints:
        """The unknowns of each segment (s, 5): tail x and y, head x and y, turn; -1 for none."""
        arcs = np.where(self.round, 2 * len(self.at) + np.cumsum(self.round) - 1, -1)
        tail, head = 2 * self.tail, 2 * self.head
        return np.column_stack([tail, tail + 1, head, head + 1, arcs])

    def moved(self, step: Floats) -> Frame:
        """The frame with a step added to its unknowns."""
        many = 2 * len(self.at)
        turn = self.turn.copy()
        turn[self.round] += step[many:]
        return Frame(self.at + step[:many].reshape(-1, 2), self.tail, self.head, turn, self.round)


@dataclass(frozen=True, slots=True, eq=False)
class Joints:
    """Where one segment goes on in another: from the head of `one` to the tail of `other`, or
    backwards from the tail of `one` (`one_back`) and into the head of `other` (`other_back`).
    """

    one: Ints
    other: Ints
    one_back: Bools
    other_back: Bools

    def rows(self, which: Ints | Bools) -> Joints:
        """Some of the joints."""
        return Joints(
            self.one[which], self.other[which], self.one_back[which], self.other_back[which]
        )


def chords(frame: Frame) -> tuple[Floats, Floats]:
    """Half the chord of each segment (s,), and its direction (s, 2)."""
    way = frame.at[frame.head] - frame.at[frame.tail]
    full = np.maximum(np.hypot(way[:, 0], way[:, 1]), 2 * SMALLEST)
    return full / 2, way / full[:, None]


def distances(frame: Frame, places: Floats, of: Ints) -> tuple[Floats, Floats]:
    """How far each place is to the left of the whole line or circle of segment `of`, mm, and how
    that changes with the segment's five unknowns (n, 5).
    """
    half, along = chords(frame)
    middle = (frame.at[frame.tail] + frame.at[frame.head]) / 2
    # Of each segment first, then of each place, one array for each figure: numpy is quick at those.
    sin, cos = np.sin(frame.turn), np.cos(frame.turn)
    table = np.column_stack([half, along, middle, sin / half, cos, sin])
    size, ux, uy, mx, my, a, b, s = np.ascontiguousarray(table.T)[:, of]
    wx, wy = places[:, 0] - mx, places[:, 1] - my
    x, y = wx * ux + wy * uy, wy * ux - wx * uy
    level = x * x + y * y - size * size
    power = a * level - 2 * b * y
    root = np.sqrt(np.maximum(1 + a * power, 1e-6))
    # p falls to the left of the travel: the sign is turned.
    away = -power / (1 + root)
    slope = -1 / (2 * root)
    by_x, by_y = slope * 2 * a * x, slope * (2 * a * y - 2 * b)
    by_half = slope * (-(a / size) * level - 2 * a * size)
    by_turn = slope * (b / size * level + 2 * s * y)
    # Turning the chord by one radian moves the place by (y, -x) in its frame.
    spin = (by_x * y - by_y * x) / (2 * size)
    along_x, along_y = -(ux * by_x - uy * by_y) / 2, -(uy * by_x + ux * by_y) / 2
    out_x, out_y = ux * by_half / 2 - uy * spin, uy * by_half / 2 + ux * spin
    slopes = np.column_stack(
        [along_x - out_x, along_y - out_y, along_x + out_x, along_y + out_y, by_turn]
    )
    return away, slopes


def kinks(frame: Frame, joints: Joints) -> tuple[Floats, Floats]:
    """The angle turned at each joint, to the left positive, and how it changes with the unknowns
    of its two segments (n, 10).
    """
    half, along = chords(frame)
    chord = np.arctan2(along[:, 1], along[:, 0])
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / (2 * half)[:, None]
    # At the head the chord is turned on by t, at the tail back by it; backwards by half a turn.
    into = chord[joints.one] + np.where(joints.one_back, -1, 1) * frame.turn[joints.one]
    out = chord[joints.other] + np.where(joints.other_back, 1, -1) * frame.turn[joints.other]
    into = into + np.where(joints.one_back, np.pi, 0.0)
    out = out + np.where(joints.other_back, np.pi, 0.0)
    kink = (out - into + np.pi) % (2 * np.pi) - np.pi
    one = np.column_stack(
        [normal[joints.one], -normal[joints.one], np.where(joints.one_back, 1.0, -1.0)]
    )
    other = np.column_stack(
        [-normal[joints.other], normal[joints.other], np.where(joints.other_back, 1.0, -1.0)]
    )
    return kink, np.hstack([one, other])


def bend_steps(frame: Frame, joints: Joints) -> tuple[Floats, Floats]:
    """How much the curvature changes at each joint, 1/mm, to the left positive, and how that
    changes with the unknowns of its two segments (n, 10).
    """
    half, along = chords(frame)
    bend = np.sin(frame.turn) / half
    by_turn = np.cos(frame.turn) / half
    by_head = -(bend / half)[:, None] * along / 2
    own = np.column_stack([-by_head, by_head, by_turn])
    one = np.where(joints.one_back, -1.0, 1.0)
    other = np.where(joints.other_back, -1.0, 1.0)
    step = other * bend[joints.other] - one * bend[joints.one]
    return step, np.hstack([-one[:, None] * own[joints.one], other[:, None] * own[joints.other]])
