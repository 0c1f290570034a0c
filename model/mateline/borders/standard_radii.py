"""Radii taken to the nearest standard size, where the drawing's own is within the tolerance of it.

Stands after tangency, in refit; off unless asked for. An arc of a standard size must still follow
its vertices within the tolerance, and tangency comes first. So these are snapped:

    a free circle                       about its centre
    an arc between corners and nodes    its ends stay, its centre moves
    a round between two lines           its joints slide along the lines

An arc that is tangent to anything else keeps its radius: another one would kink the joint.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.borders.arc_fitting import deviations

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_fitting import Bows

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

RadiusSizes = Literal["inch", "mm"]
SIXTEENTH = 25.4 / 16  # mm: standard sizes in inches are sixteenths ...
HALF = 0.5  # mm: ... and in millimetres halves
STEEPEST = 1.5  # rad: half the turn of a round whose joints still slide by little
TANGENT = 1e-6  # rad: a joint that kinks by no more is tangent


def radius_step(sizes: RadiusSizes | None, scale: float = 1.0) -> float | None:
    """What standard radii are multiples of, in units of `scale` mm; None for none."""
    if sizes is None:
        return None
    return {"inch": SIXTEENTH, "mm": HALF}[sizes] / scale


def standard(reach: Floats, step: float, tolerance: float) -> Floats:
    """The standard radius within `tolerance` of each; 0 where there is none."""
    near = np.round(reach / step) * step
    found: Floats = np.where(np.abs(near - reach) <= tolerance, near, 0.0)
    return found


def snapped(
    points: Floats, bows: Bows, joints: tuple[Ints, Bools, Bools], step: float, tolerance: float
) -> Bows:
    """The segments with standard radii where they can have them.

    `joints` are, for the end of each segment: the segment that goes on there (-1 for none),
    whether it is a corner or a node, and whether it may move.
    """
    after, hard, movable = joints
    arc = bows.sin != 0
    chord = np.hypot(*(bows.end - bows.start).T)
    reach = np.divide(chord, 2 * np.abs(bows.sin), out=np.zeros_like(chord), where=arc)
    wanted = np.where(arc, standard(reach, step, tolerance), 0.0)
    before = np.full(len(after), -1)
    before[after[after >= 0]] = np.flatnonzero(after >= 0)
    hard_start = (before < 0) | hard[before]
    free = (wanted > 0) & hard_start & hard & (2 * wanted > chord)
    bows = _kept(points, bows, _about_ends(bows, free, chord, wanted), free, tolerance)
    leaving, arriving = bows.directions()
    kink = np.abs(np.angle(np.exp(1j * (leaving[after] - arriving)))) * (after >= 0)
    sliding = (after >= 0) & movable & ~hard & (kink <= TANGENT)
    lined = (before >= 0) & ~arc[before] & sliding[before] & sliding & ~arc[after]
    for row in np.flatnonzero((wanted > 0) & lined).tolist():
        bows = _slid(points, bows, (before[row], row, after[row]), wanted[row], tolerance)
    return bows


def _about_ends(bows: Bows, which: Bools, chord: Floats, wanted: Floats) -> Bows:
    """Arcs of the wanted radii between the same ends, on the same sides."""
    sin, cos = bows.sin.copy(), bows.cos.copy()
    sin[which] = np.sign(sin[which]) * chord[which] / (2 * wanted[which])
    cos[which] = np.sign(cos[which]) * np.sqrt(1 - sin[which] ** 2)
    return replace(bows, sin=sin, cos=cos)


def _kept(points: Floats, bows: Bows, other: Bows, which: Bools, tolerance: float) -> Bows:
    """The other segments where they are within the tolerance."""
    rows = np.flatnonzero(which)
    if len(rows) == 0:
        return bows
    off = deviations(points, other.rows(rows), tolerance)
    rows, off = rows[off <= tolerance], off[off <= tolerance]
    sin, cos, away = bows.sin.copy(), bows.cos.copy(), bows.off.copy()
    sin[rows], cos[rows], away[rows] = other.sin[rows], other.cos[rows], off
    return replace(bows, sin=sin, cos=cos, off=away)


def _slid(
    points: Floats, bows: Bows, rows: tuple[int, int, int], wanted: float, tolerance: float
) -> Bows:
    """A round between two lines with another radius, if lines and vertices allow it.

    Its ends are R tan(turn / 2) from the corner that it rounds (elementary).
    """
    line, row, other = rows
    half = float(np.arctan2(abs(bows.sin[row]), bows.cos[row]))
    if half > STEEPEST:
        return bows
    chord = bows.end[row] - bows.start[row]
    into, out = bows.end[line] - bows.start[line], bows.end[other] - bows.start[other]
    slide = (wanted - np.hypot(*chord) / (2 * np.sin(half))) * np.tan(half)
    if slide >= min(np.hypot(*into), np.hypot(*out)):
        return bows
    start, end = bows.start.copy(), bows.end.copy()
    start[row] = end[line] = bows.end[line] - slide * into / np.hypot(*into)
    end[row] = start[other] = bows.end[row] + slide * out / np.hypot(*out)
    moved = replace(bows, start=start, end=end)
    off = deviations(points, moved.rows(np.array([line, row, other])), tolerance)
    if off.max() > tolerance:
        return bows
    away = bows.off.copy()
    away[[line, row, other]] = off
    return replace(moved, off=away)
