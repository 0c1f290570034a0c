"""Programs for a drag knife read back: where the pivot goes, and what the tip behind it cuts."""

import math
import re

import numpy as np

from svg_reading import Arc, Line

FELT = 0.05  # mm


def moves(text):
    """Pivot moves of a program: (from, to, centre or None, turn, depth)."""
    at, depth = (0.0, 0.0), -1.0
    for line in text.splitlines():
        code = line.split("(")[0]
        words = dict(re.findall(r"([A-Z])(-?[\d.]+)", code))
        if "Z" in words:
            depth = -float(words["Z"])
        if "X" not in words:
            continue
        to = (float(words["X"]), float(words["Y"]))
        centre, turn = None, 0.0
        if "I" in words:
            centre = (at[0] + float(words["I"]), at[1] + float(words["J"]))
            turn = math.atan2(to[1] - centre[1], to[0] - centre[0])
            turn -= math.atan2(at[1] - centre[1], at[0] - centre[0])
            turn = turn % math.tau if words["G"] == "3" else -(-turn % math.tau)
        yield at, to, centre, turn, depth
        at = to


def tip_path(text, offset):
    """What the tip cuts: parts, each with the depth. It trails the pivot by `offset`."""
    heading = (1.0, 0.0)
    for start, end, centre, turn, depth in moves(text):
        if depth <= 0:
            continue
        tip = (start[0] - offset * heading[0], start[1] - offset * heading[1])
        if centre is None:
            size = math.dist(start, end)
            # A shorter line's direction is lost in 4 decimals: the knife trails from its tip.
            back, far = (start, size) if size > FELT else (tip, math.dist(tip, end))
            heading = ((end[0] - back[0]) / far, (end[1] - back[1]) / far)
            if size > 0:
                yield Line(tip, (end[0] - offset * heading[0], end[1] - offset * heading[1])), depth
            continue
        cos, sin = math.cos(turn), math.sin(turn)
        heading = (
            heading[0] * cos - heading[1] * sin,
            heading[0] * sin + heading[1] * cos,
        )
        if math.dist(centre, tip) > 0.02 * offset + 1e-3:
            after = (end[0] - offset * heading[0], end[1] - offset * heading[1])
            yield Arc(tip, after, centre, (math.dist(tip, centre),) * 2, turn), depth


def reach_of(text):
    """The box that the pivot moves in, mm: left, low, right, high."""
    spots = [(0.0, 0.0)]
    for start, end, centre, turn, _ in moves(text):
        spots.append(end)
        if centre is not None:
            first, far = (
                math.atan2(start[1] - centre[1], start[0] - centre[0]),
                math.dist(start, centre),
            )
            low, high = sorted((first, first + turn))
            for quarter in range(
                math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1
            ):
                a = quarter * math.pi / 2
                spots.append((centre[0] + far * math.cos(a), centre[1] + far * math.sin(a)))
    return (*np.min(spots, axis=0).tolist(), *np.max(spots, axis=0).tolist())
