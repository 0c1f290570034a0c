"""Ties to figures that are known: vertices on a circle or a line, lines through a place or along a
direction, arcs of a radius.

Stands in regularity before kinds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.frame import chords, distances

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.fitting.frame import Frame
    from mateline.curves import Point

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Rows = tuple[Floats, Ints, Ints, Floats]

HELD = 1e-6  # mm: how well
TURNED = 1e-8  # rad


@dataclass(frozen=True, slots=True)
class OnCircle:
    """Arcs (by number of their segments) lie on one circle."""

    segments: tuple[int, ...]
    centre: Point
    reach: float

    def rows(self, frame: Frame) -> Rows:
        """How far both ends and the top of each arc are from the circle."""
        own = np.array(self.segments, dtype=np.int64)
        half, along = chords(frame)
        normal = np.column_stack([-along[:, 1], along[:, 0]])
        tail, head, turn = frame.at[frame.tail[own]], frame.at[frame.head[own]], frame.turn[own]
        # The top is half a chord times tan(t / 2) to the right of the chord's middle.
        rise = np.tan(turn / 2)
        top = (tail + head) / 2 - (half[own] * rise)[:, None] * normal[own]
        columns = frame.columns()[own]
        parts = []
        for spots, slopes in (
            (tail, (1.0, 0.0, None)), (head, (0.0, 1.0, None)), (top, (0.5, 0.5, rise)),
        ):  # fmt: skip
            way = spots - np.array(self.centre)
            away = np.hypot(way[:, 0], way[:, 1])
            unit = way / away[:, None]
            by_tail, by_head = slopes[0] * unit, slopes[1] * unit
            by_turn = np.zeros(len(own))
            if slopes[2] is not None:
                # A chord (x, y) has its normal times half of it at (-y, x) / 2.
                across = np.column_stack([unit[:, 1], -unit[:, 0]]) * (slopes[2] / 2)[:, None]
                by_tail, by_head = by_tail + across, by_head - across
                into = (unit * normal[own]).sum(axis=1)
                by_turn = -half[own] * into / (2 * np.cos(turn / 2) ** 2)
            parts.append((away - self.reach, np.column_stack([by_tail, by_head, by_turn])))
        residual = np.concatenate([each for each, _ in parts])
        slope = np.vstack([each for _, each in parts])
        return _written(residual, np.vstack([columns] * 3), slope, HELD)


@dataclass(frozen=True, slots=True)
class OnLine:
    """Lines lie on one line through `place` along `way` (radians)."""

    segments: tuple[int, ...]
    place: Point
    way: float

    def rows(self, frame: Frame) -> Rows:
        """How far both ends of each are from it."""
        own = np.array(self.segments, dtype=np.int64)
        normal = np.array([-np.sin(self.way), np.cos(self.way)])
        vertices = np.concatenate([frame.tail[own], frame.head[own]])
        residual = ((frame.at[vertices] - np.array(self.place)) * normal).sum(axis=1)
        columns = np.column_stack([2 * vertices, 2 * vertices + 1])
        return _written(residual, columns, np.broadcast_to(normal, (len(vertices), 2)), HELD)


@dataclass(frozen=True, slots=True)
class Through:
    """Lines go through one place."""

    segments: tuple[int, ...]
    place: Point

    def rows(self, frame: Frame) -> Rows:
        """How far the place is from each line."""
        own = np.array(self.segments, dtype=np.int64)
        spots = np.broadcast_to(np.array(self.place), (len(own), 2))
        away, slopes = distances(frame, spots, own)
        return _written(away, frame.columns()[own], slopes, HELD)


@dataclass(frozen=True, slots=True)
class Along:
    """Lines run along one direction, radians, either way."""

    segments: tuple[int, ...]
    way: float

    def rows(self, frame: Frame) -> Rows:
        """The angles between the lines and it."""
        own = np.array(self.segments, dtype=np.int64)
        half, along = chords(frame)
        way = np.arctan2(along[own, 1], along[own, 0])
        off = (way - self.way + np.pi / 2) % np.pi - np.pi / 2
        normal = np.column_stack([-along[own, 1], along[own, 0]]) / (2 * half[own])[:, None]
        return _written(off, frame.columns()[own, :4], np.hstack([-normal, normal]), TURNED)


def _written(residual: Floats, columns: Ints, slopes: Floats, error: float) -> Rows:
    there = columns >= 0
    rows = np.broadcast_to(np.arange(len(residual))[:, None], columns.shape)
    return residual / error, rows[there], columns[there], slopes[there] / error
