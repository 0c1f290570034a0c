"""What looks meant: circles, equal circles, rays, lines that go on, parallel lines, standard radii,
and what is mirrored about one line.

Stands in regularity after mirrored. Something is found where what would move is no more
than its expected errors explain (`LIKELY` sigma), and no more than the tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.standard_radii import radius_step, standard
from mateline.capture.regularity.figures import (
    LIKELY,
    Circle,
    Line,
    circle_through,
    line_through,
)
from mateline.capture.regularity.mirrored import figures_of, mirrors, ties
from mateline.capture.regularity.targets import Along, OnCircle, OnLine, Through

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.borders.standard_radii import RadiusSizes
    from mateline.capture.asked import Kind
    from mateline.capture.regularity.outlines import Drawn

    Floats = NDArray[np.float64]

FEWEST_RAYS = 3
LONGEST_GAP = 2.0  # lengths of the longer line: farther apart, two lines are two
TELLING = 4  # a radius that may be so wide a part of a step away says nothing of sizes
SHORTEST = 4.0  # mm: a line to tell a direction by
Target = OnCircle | OnLine | Through | Along


@dataclass(frozen=True, slots=True)
class Found:
    """One regularity: its `segments`, what it is in words, and the ties that make it so."""

    kind: Kind
    segments: tuple[int, ...]
    words: str
    ties: tuple[Target, ...]


def found(
    own: Drawn, which: Sequence[Kind], tolerance: float, sizes: RadiusSizes = "mm"
) -> tuple[Found, ...]:
    """All regularities of the kinds asked for, in the order of KINDS. A later kind leaves lines
    alone that an earlier one has tied.
    """
    circles = _circles(own, tolerance)
    made: list[Found] = []
    if "circles" in which:
        made += [_round(each) for each in circles if _is_news(own, each)]
    if "equal" in which:
        made += _equal(circles, tolerance)
    lines = [
        line_through(*_places(own, (segment,)), (segment,))
        for segment in np.flatnonzero(~own.frame.round).tolist()
        if _size(own, segment) >= SHORTEST
    ]
    if "rays" in which:
        made += _rays(own, lines, circles, tolerance)
    lines = _free(lines, made)
    if "through" in which:
        made += _through(own, lines, tolerance)
    lines = _free(lines, made)
    if "parallel" in which:
        made += _parallel(own, lines, tolerance)
    if "radii" in which:
        taken = {segment for each in made if each.kind == "equal" for segment in each.segments}
        rest = [each for each in circles if not taken & set(each.segments)]
        made += _standard(rest, radius_step(sizes), tolerance)
    if "mirrored" in which:
        made += _mirrored(own, circles, _free(lines, made), made, tolerance)
    return tuple(made)


def _mirrored(
    own: Drawn, circles: list[Circle], lines: list[Line], made: list[Found], tolerance: float
) -> list[Found]:
    """What is mirrored, with the radii that earlier kinds gave; centres of rays stay."""
    centres = {segment for each in made if each.kind == "rays" for segment in each.segments}
    sized = {tie.segments: tie.reach for each in made for tie in each.ties
             if isinstance(tie, OnCircle)}  # fmt: skip
    free = [
        replace(each, reach=sized.get(each.segments, each.reach))
        for each in circles
        if not centres & set(each.segments)
    ]
    rows = np.array([line.segments[0] for line in lines], dtype=np.int64)
    both = np.column_stack([own.frame.tail[rows], own.frame.head[rows]])
    ends = own.frame.at[both]
    figures = figures_of(free, lines, ends)
    return [
        Found("mirrored", each.segments(figures), each.words(), ties(figures, each))
        for each in mirrors(figures, tolerance)
    ]


def _places(own: Drawn, segments: tuple[int, ...]) -> tuple[Floats, Floats]:
    there = np.isin(own.measured.of, segments)
    return own.measured.places[there], own.measured.errors[there]


def _size(own: Drawn, segment: int) -> float:
    a, b = own.frame.at[[own.frame.tail[segment], own.frame.head[segment]]]
    return float(np.hypot(*(b - a)))


def _limits(own: Drawn, segments: tuple[int, ...], tolerance: float) -> Floats:
    """How far each place of some segments may be from where it is."""
    of = own.measured.of[np.isin(own.measured.of, segments)]
    found: Floats = np.minimum(LIKELY * own.errors[of], tolerance)
    return found


def _circles(own: Drawn, tolerance: float) -> list[Circle]:
    """Arcs that are on one circle, the longest ones first."""
    arcs = np.flatnonzero(own.frame.round)
    half = np.array([_size(own, each) for each in arcs.tolist()]) / 2
    turn = own.frame.turn[arcs]
    long = np.round(half / np.maximum(np.abs(np.sin(turn)), 1e-9) * np.abs(turn), 6)
    made: list[Circle] = []
    for arc in arcs[np.argsort(-long, kind="stable")].tolist():
        for at, circle in enumerate(made):
            together = tuple(sorted((*circle.segments, arc)))
            other = circle_through(*_places(own, together), together)
            places, _ = _places(own, together)
            off = np.abs(np.hypot(*(places - np.array(other.centre)).T) - other.reach)
            if (np.round(off - _limits(own, together, tolerance), 9) <= 0).all():
                made[at] = other
                break
        else:
            made.append(circle_through(*_places(own, (arc,)), (arc,)))
    return made


def _is_news(own: Drawn, circle: Circle) -> bool:
    """Whether the arcs are not on one circle to the bit anyhow: more than one."""
    return len(circle.segments) > 1 and len(own.frame.tail) > 0


def _round(circle: Circle) -> Found:
    words = f"{len(circle.segments)} arcs on one circle of radius {circle.reach:.2f} mm"
    return Found("circles", circle.segments, words, (_tie(circle),))


def _tie(circle: Circle) -> OnCircle:
    return OnCircle(circle.segments, circle.centre, circle.reach)


def _equal(circles: list[Circle], tolerance: float) -> list[Found]:
    """Circles of one radius, as far as their errors tell."""
    made: list[Found] = []
    group: list[Circle] = []
    for circle in sorted(circles, key=lambda each: (round(each.reach, 6), each.segments)):
        if group and not _one_radius([*group, circle], tolerance):
            made += _of_one_radius(group)
            group = []
        group.append(circle)
    return made + _of_one_radius(group)


def _one_radius(group: list[Circle], tolerance: float) -> bool:
    mean = _mean([each.reach for each in group], [each.error for each in group])
    return all(
        round(abs(each.reach - mean), 9) <= min(LIKELY * each.error, tolerance) for each in group
    )


def _of_one_radius(group: list[Circle]) -> list[Found]:
    if len(group) < 2:
        return []
    mean = _mean([each.reach for each in group], [each.error for each in group])
    ties = tuple(_tie(replace(each, reach=mean)) for each in group)
    segments = tuple(sorted(segment for each in group for segment in each.segments))
    return [Found("equal", segments, f"{len(group)} circles of radius {mean:.2f} mm", ties)]


def _standard(circles: list[Circle], step: float | None, tolerance: float) -> list[Found]:
    made = []
    for circle in circles:
        near = min(LIKELY * circle.error, tolerance)
        if step is None or near > step / TELLING:
            continue
        size = float(standard(np.array([circle.reach]), step, near)[0])
        if size:
            ties = (_tie(replace(circle, reach=size)),)
            made.append(Found("radii", circle.segments, f"radius {size:.2f} mm", ties))
    return made


def _rays(own: Drawn, lines: list[Line], circles: list[Circle], tolerance: float) -> list[Found]:
    """Lines that meet in the centre of a circle, three at least; one circle for each centre."""
    made: list[Found] = []
    taken: set[int] = set()
    for circle in sorted(circles, key=lambda each: (round(each.error, 9), each.segments)):
        spot = np.array([circle.centre])
        rays = []
        for line in lines:
            near = float(np.hypot(*(spot[0] - np.array(line.place))))
            limit = min(LIKELY * float(np.hypot(line.error_at(spot)[0], circle.error)), tolerance)
            aside = near > _size(own, line.segments[0]) / 2
            if aside and near < 6 * circle.reach and abs(line.beside(spot)[0]) <= limit:
                rays.append(line.segments[0])
        if len(rays) >= FEWEST_RAYS and not taken & set(rays):
            taken |= set(rays)
            x, y = circle.centre
            words = f"{len(rays)} lines that meet in ({x:.2f}, {y:.2f})"
            segments = tuple(sorted((*rays, *circle.segments)))
            ties = (_tie(circle), Through(tuple(rays), circle.centre))
            made.append(Found("rays", segments, words, ties))
    return made


def _free(lines: list[Line], made: list[Found]) -> list[Line]:
    tied = {
        segment for each in made for tie in each.ties if not isinstance(tie, OnCircle)
        for segment in tie.segments
    }  # fmt: skip
    return [line for line in lines if not tied & set(line.segments)]


def _through(own: Drawn, lines: list[Line], tolerance: float) -> list[Found]:
    """Lines that are one behind what crosses them, the longest first."""
    groups: list[Line] = []
    order = sorted(lines, key=lambda each: (-round(each.spread, 6), each.segments))
    for line in order:
        for at, group in enumerate(groups):
            together = tuple(sorted((*group.segments, *line.segments)))
            other = line_through(*_places(own, together), together)
            places, _ = _places(own, together)
            off = np.abs(other.beside(places)) - _limits(own, together, tolerance)
            if (np.round(off, 9) <= 0).all() and _near(own, group, line):
                groups[at] = other
                break
        else:
            groups.append(line)
    return [
        Found("through", each.segments, f"{len(each.segments)} pieces of one line",
              (OnLine(each.segments, each.place, each.way),))
        for each in groups if len(each.segments) > 1
    ]  # fmt: skip


def _near(own: Drawn, one: Line, other: Line) -> bool:
    """Whether the gap between two lines is short beside them."""
    ends = [
        own.frame.at[np.concatenate([own.frame.tail[list(each.segments)],
                                     own.frame.head[list(each.segments)]])]
        for each in (one, other)
    ]  # fmt: skip
    gap = np.hypot(*(ends[0][:, None] - ends[1][None]).transpose(2, 0, 1)).min()
    return bool(gap <= LONGEST_GAP * max(one.spread, other.spread) * np.sqrt(12))


def _parallel(own: Drawn, lines: list[Line], tolerance: float) -> list[Found]:
    """Lines of one direction, as far as their errors tell."""
    made: list[Found] = []
    left = sorted(lines, key=lambda each: (round(each.turned, 12), each.segments))
    while left:
        first, *rest = left
        group = [first]
        for line in rest:
            if _one_way(own, [*group, line], tolerance):
                group.append(line)
        left = [line for line in rest if line not in group]
        if len(group) > 1:
            way = _way(group)
            segments = tuple(sorted(line.segments[0] for line in group))
            made.append(Found("parallel", segments, f"{len(group)} parallel lines",
                              (Along(segments, way),)))  # fmt: skip
    return made


def _way(group: list[Line]) -> float:
    """The mean direction, near the first one's."""
    base = group[0].way
    off = [(each.way - base + np.pi / 2) % np.pi - np.pi / 2 for each in group]
    return base + _mean(off, [each.turned for each in group])


def _one_way(own: Drawn, group: list[Line], tolerance: float) -> bool:
    way = _way(group)
    for line in group:
        off = abs((line.way - way + np.pi / 2) % np.pi - np.pi / 2)
        reach = tolerance / max(_size(own, line.segments[0]) / 2, 1e-9)
        if round(float(off), 12) > min(LIKELY * line.turned, reach):
            return False
    return True


def _mean(values: Sequence[float], errors: Sequence[float]) -> float:
    weights = [1 / max(each, 1e-6) ** 2 for each in errors]
    total = sum(value * weight for value, weight in zip(values, weights, strict=True))
    return total / sum(weights)
