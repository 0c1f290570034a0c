"""From the readings of curves to their arcs, together with the corners that they run between.

Stands after observed, last of the room but what is said of them. The corners are solved before;
here a middle for each curve joins the network. Where a curve is said to be tangent, that moves
the corners too, as far as their own readings let it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import product
from mateline.tape.accuracy import deviation
from mateline.tape.arcs.curve import FULLEST, Arc, ArcReading, rise_of
from mateline.tape.arcs.observed import Midway, OnCurve, Radius, Tangent, offset
from mateline.tape.solving.network import Height, Held, HeldEdge, UndeterminedError, solve
from mateline.tape.solving.statistics import CHECKED, Ellipse, ellipse

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from fractions import Fraction

    from mateline.tape.accuracy import Tape
    from mateline.tape.arcs.curve import Curve
    from mateline.tape.solving.network import Observation, Solution
    from mateline.tape.solving.observations import XY, Array

# 0.5 mm in 100 mm: how far from one line may be what somebody calls tangent. Common practice, no
# source.
TANGENT_DEVIATION = 0.005  # radians
SQUARE_OVER = 1e-3  # mm: how near to square over its chord a middle is held; it is so by definition
NEARLY_HALF = 1.95  # no unit: chord over radius beyond which a radius hardly says the rise
FINE = 9  # decimals of residuals and w
DECIMALS = 6  # of mm that rises are rounded to, as the corners are
STEP = 1e-4  # mm: by which a round corner's neighbours are moved to see what it does
FEWEST = 3  # points that say a curve


class CurveError(ValueError):
    """A curve that can't be: its name, what is wrong and what would mend it.

    What is wrong has a {} for each of its `lengths`, mm.
    """

    def __init__(self, label: str, what: str, remedy: str, *lengths: float) -> None:
        super().__init__(label, what, remedy, *lengths)
        self.label, self.what, self.remedy, self.lengths = label, what, remedy, lengths

    def told(self, said: Callable[[float], str]) -> str:
        """What is wrong, lengths as they are `said`."""
        return self.what.format(*map(said, self.lengths)) if self.lengths else self.what


@dataclass(frozen=True, slots=True)
class Figure:
    """Solved corners: `points` (n, 2), mm, and `covariance` (2n, 2n), in the order of `corners`.

    `observations` are what they were solved from; none where they are stated.
    """

    corners: tuple[str, ...]
    points: Array
    covariance: Array
    observations: tuple[Observation, ...]


@dataclass(frozen=True, slots=True)
class _Fitted:
    """Corners, then middles, solved together, and the rows of the solution."""

    solution: Solution
    observations: tuple[Observation, ...]


@dataclass(frozen=True, slots=True)
class Bent:
    """The corners as the curves left them, and the arcs in their order round the outline."""

    points: Array
    covariance: Array
    arcs: tuple[Arc, ...]


def bent(figure: Figure, curves: Mapping[tuple[str, ...], Curve], tape: Tape | None) -> Bent:
    """The arcs of `curves`, by (a, b) for a side or (c,) for a round corner.

    Without a `tape` the corners are stated, and so exact. Raises CurveError.
    """
    sides = _sides(figure.corners, curves)
    fitted = _fitted(figure, sides, tape)
    moves = fitted is not None and tape is not None and any(c.tangent for c in sides.values())
    count = len(figure.corners)
    points, covariance = figure.points, figure.covariance
    if moves and fitted is not None:
        points = np.round(fitted.solution.points[:count], DECIMALS) + 0.0
        covariance = fitted.solution.covariance[: 2 * count, : 2 * count]
    arcs: dict[tuple[str, ...], Arc] = {}
    for number, ends in enumerate(sides):
        if fitted is not None:
            arcs[ends] = _arc(ends, count + number, (figure, points), fitted, known=tape is None)
    settled = Figure(figure.corners, points, covariance, ())
    ends_of_curves = frozenset(corner for ends in sides for corner in ends)
    for key, curve in curves.items():
        if len(key) == 1:
            arcs[key] = _round(key[0], curve, settled, tape, curved=ends_of_curves)
    _refuse_crowded(figure.corners, points, arcs)
    placed = [
        arcs[key]
        for at, corner in enumerate(figure.corners)
        for key in ((corner,), (corner, figure.corners[(at + 1) % count]))
        if key in arcs
    ]
    return Bent(points, covariance, tuple(placed))


def _sides(
    corners: tuple[str, ...], curves: Mapping[tuple[str, ...], Curve]
) -> dict[tuple[str, str], Curve]:
    """The curved sides in the outline's direction, and what was read of each."""
    after = dict(zip(corners, (*corners[1:], corners[0]), strict=True))
    found: dict[tuple[str, str], Curve] = {}
    for key, curve in curves.items():
        label = "-".join(key)
        for corner in key:
            if corner not in after:
                raise CurveError(
                    label, f"There is no corner {corner}.", f"There are {', '.join(corners)}."
                )
        if len(key) == 1:
            continue
        a, b = key
        forward = after[a] == b
        if not forward and after[b] != a:
            raise CurveError(
                label,
                f"{label} is no side of the outline.",
                "A curve lies between two corners that follow each other.",
            )
        ends = (a, b) if forward else (b, a)
        if ends in found:
            raise CurveError(label, "This curve is there already.", "Keep one of the two.")
        _refuse_untold(label, ends, curve)
        if not forward and curve.points:
            raise CurveError(
                label,
                "Points along a curve are read from its first corner in the outline's order.",
                f"Name it {b}-{a}, and read them from {b}.",
            )
        found[ends] = curve
    return {
        ends: found[ends] for ends in zip(corners, after.values(), strict=True) if ends in found
    }


def _refuse_untold(label: str, ends: tuple[str, str], curve: Curve) -> None:
    said = curve.rise is not None or curve.radius is not None or curve.tangent
    if not said and len(curve.points) < FEWEST:
        raise CurveError(
            label,
            "Nothing says how far it bends.",
            "Give its rise at the middle, its radius, three points along it, or a tangent end.",
        )
    for corner in curve.tangent:
        if corner not in ends:
            raise CurveError(
                label, f"{corner} is no end of it.", f"Its ends are {' and '.join(ends)}."
            )


def _middle(ends: tuple[str, ...]) -> str:
    return "~".join(ends)  # no corner is called so


def _fitted(
    figure: Figure, sides: Mapping[tuple[str, str], Curve], tape: Tape | None
) -> _Fitted | None:
    """Corners and middles solved together; the corners still where they are stated."""
    if not sides:
        return None
    at = {
        name: (float(x), float(y))
        for name, (x, y) in zip(figure.corners, figure.points, strict=True)
    }
    start = {}
    observations: list[Observation] = []
    for ends, curve in sides.items():
        a, b = np.array(at[ends[0]]), np.array(at[ends[1]])
        chord = float(np.hypot(*(b - a)))
        rise = _first_rise(figure, ends, curve, chord)
        across = np.array([b[1] - a[1], a[0] - b[0]]) / chord
        x, y = (a + b) / 2 + rise * across
        start[_middle(ends)] = (float(x), float(y))
        observations += _observed(figure.corners, ends, curve, sides, tape, (chord, rise))
    datum = Held(figure.corners) if tape is None else HeldEdge(*figure.corners[:2])
    every = (*(() if tape is None else figure.observations), *observations)
    try:
        return _Fitted(solve({**at, **start}, every, datum=datum), every)
    except UndeterminedError:
        raise CurveError(
            ", ".join("-".join(ends) for ends in sides),
            "Tangents alone do not settle these curves.",
            "Give the rise or the radius of each.",
        ) from None


def _first_rise(figure: Figure, ends: tuple[str, str], curve: Curve, chord: float) -> float:
    """Roughly the rise of a curve, signed, mm."""
    label = "-".join(ends)
    sign = -1.0 if curve.hollow else 1.0
    if curve.rise is not None:
        rise = sign * float(curve.rise)
    elif curve.radius is not None:
        radius = float(curve.radius)
        if chord > NEARLY_HALF * radius:
            raise CurveError(
                label,
                "A radius of {} is too small for ends that are {} apart.",
                "Give the rise at the middle instead; it says more where an arc is nearly half a "
                "circle.",
                radius,
                chord,
            )
        rise = sign * rise_of(chord, radius)
    elif curve.points:
        _refuse_beyond(label, curve, chord)
        shares = [float(x) / chord for x, _ in curve.points]
        rises = [
            float(off) / (4 * share * (1 - share))
            for (_, off), share in zip(curve.points, shares, strict=True)
        ]
        rise = sign * sum(rises) / len(rises)
    else:
        rise = chord / 2 * math.tan(_tangent_bend(figure, ends, curve.tangent[0]) / 2)
    if 4 * math.atan(2 * abs(rise) / chord) > FULLEST:
        raise CurveError(
            label,
            "A rise of {} over ends that are {} apart is nearly a full circle.",
            "Check it, or give the curve a corner at its middle.",
            abs(rise),
            chord,
        )
    if abs(rise) < STEP:
        raise CurveError(label, "It hardly bends.", "Leave it out of the curves.")
    return rise


def _refuse_beyond(label: str, curve: Curve, chord: float) -> None:
    for along, _ in curve.points:
        if not 0 < along < chord:
            raise CurveError(
                label,
                "A point {} along lies beyond its ends, {} apart.",
                "Read along the chord, from the first corner.",
                float(along),
                chord,
            )


def _tangent_bend(figure: Figure, ends: tuple[str, str], corner: str) -> float:
    """The angle from the chord to the straight neighbour at a tangent end, outward positive."""
    at = dict(zip(figure.corners, figure.points, strict=True))
    beyond = at[_neighbour(figure.corners, ends, corner)]
    chord, side = at[ends[1]] - at[ends[0]], beyond - at[corner]
    if corner == ends[0]:
        side = -side
    turn = math.atan2(side[1], side[0]) - math.atan2(chord[1], chord[0])
    turn = math.remainder(turn, math.tau)
    return turn if corner == ends[1] else -turn


def _neighbour(corners: tuple[str, ...], ends: tuple[str, str], corner: str) -> str:
    """The corner beyond one end of a side."""
    step = 1 if corner == ends[1] else -1
    return corners[(corners.index(corner) + step) % len(corners)]


def _observed(
    corners: tuple[str, ...],
    ends: tuple[str, str],
    curve: Curve,
    sides: Mapping[tuple[str, str], Curve],
    tape: Tape | None,
    size: tuple[float, float],
) -> Iterator[Observation]:
    """What is known of one curve, as observations; `size` is its chord and first rise."""
    (a, b), middle, label = ends, _middle(ends), "-".join(ends)
    sign = -1.0 if curve.hollow else 1.0
    yield Midway(a, b, middle, SQUARE_OVER, f"{label} middle")
    if curve.rise is not None:
        length = float(curve.rise)
        one, two = (b, a) if sign > 0 else (a, b)  # outside is right of a to b
        yield Height(middle, one, two, length, _sure(curve.rise, tape), f"{label} rise")
    if curve.radius is not None:
        radius = sign * float(curve.radius)
        yield Radius(a, b, middle, radius, _sure(curve.radius, tape), f"{label} radius")
    for number, (along, off) in enumerate(curve.points, start=1):
        slope = offset(float(along), *size)[3]
        sure = math.hypot(_sure(off, tape), slope * _sure(along, tape))
        yield OnCurve(
            a, b, middle, float(along), sign * float(off), sure, f"{label} point {number}"
        )
    for corner in curve.tangent:
        beyond = _neighbour(corners, ends, corner)
        before, after = (a, beyond) if corner == b else (beyond, b)
        bends = [_middle(side) if side in sides else None
                 for side in ((before, corner), (corner, after))]  # fmt: skip
        told = f"{label} tangent at {corner}"
        yield Tangent(before, corner, after, bends[0], bends[1], TANGENT_DEVIATION, told)


def _sure(length: Fraction, tape: Tape | None) -> float:
    return 1.0 if tape is None else deviation(length, tape)


def _arc(
    ends: tuple[str, str], row: int, settled: tuple[Figure, Array], fitted: _Fitted, *, known: bool
) -> Arc:
    """The arc whose middle is point `row` of the solution; `known` where nothing was read."""
    figure, points = settled
    one, two = (figure.corners.index(end) for end in ends)
    rows, solution = [row, two, one], fitted.solution  # outside is left of the way back
    rise, slope = Height("", "", "", 0.0, 1.0, "").value(solution.points[rows])
    rise = round(rise, DECIMALS)
    places = [2 * each + axis for each in rows for axis in (0, 1)]
    part = solution.covariance[np.ix_(places, places)]
    variance = float(product(slope.ravel(), product(part, slope.ravel())))
    start, to = points[one], points[two]
    along = (to - start) / math.hypot(*(to - start))
    middle = (start + to) / 2 + rise * np.array([along[1], -along[0]])
    return Arc(
        ends=ends,
        start=_pair(start),
        to=_pair(to),
        middle=_pair(middle),
        rise=rise,
        deviation=0.0 if known else math.sqrt(max(variance, 0.0)),
        ellipse=Ellipse(0.0, 0.0, 0.0) if known else ellipse(part[:2, :2]),
        readings=tuple(_readings(ends, fitted)),
    )


def _readings(ends: tuple[str, str], fitted: _Fitted) -> Iterator[ArcReading]:
    """The readings of one curve, which are those labelled with it."""
    label, solution = "-".join(ends), fitted.solution
    for row, each in enumerate(fitted.observations):
        own = _middle(ends) in each.names and each.label.startswith(label)
        if own and not isinstance(each, Midway):
            checked = solution.redundancy_numbers[row] > CHECKED
            yield ArcReading(
                label=each.label,
                angle=isinstance(each, Tangent),
                read=each.observed,
                residual=round(float(solution.residuals[row]), FINE) + 0.0,
                deviation=each.deviation,
                w=round(float(solution.w[row]), FINE) + 0.0 if checked else None,
            )


def _round(
    corner: str, curve: Curve, figure: Figure, tape: Tape | None, *, curved: frozenset[str]
) -> Arc:
    """The arc that rounds a corner, tangent to both its sides; `curved` are ends of curves."""
    others = (curve.rise, *curve.points, *curve.tangent, *([True] if curve.hollow else []))
    if curve.radius is None or any(each is not None for each in others):
        raise CurveError(
            corner,
            "A round corner is told by its radius alone.",
            "Give its radius; it is tangent to both its sides, and hollow at an inside corner.",
        )
    if corner in curved:
        raise CurveError(
            corner,
            "A round corner lies between two straight sides.",
            "Give the round a side of its own, between two corners where it starts and ends.",
        )
    here = figure.corners.index(corner)
    rows = [(here - 1) % len(figure.corners), here, (here + 1) % len(figure.corners)]
    points, radius = figure.points[rows], float(curve.radius)
    start, middle, to, rise = _rounded(points, radius)
    places = [2 * each + axis for each in rows for axis in (0, 1)]
    spread = np.zeros((7, 7))
    spread[:6, :6] = figure.covariance[np.ix_(places, places)]
    spread[6, 6] = 0.0 if tape is None else deviation(curve.radius, tape) ** 2
    slopes = np.array([_differences(points, radius, step) for step in range(7)])  # (7, 3)
    covariance = product(slopes.T, product(spread, slopes))
    known = tape is None
    return Arc(
        ends=(corner, corner),
        start=_pair(np.round(start, DECIMALS)),
        to=_pair(np.round(to, DECIMALS)),
        middle=_pair(np.round(middle, DECIMALS)),
        rise=round(rise, DECIMALS),
        deviation=math.sqrt(max(float(covariance[2, 2]), 0.0)),
        ellipse=Ellipse(0.0, 0.0, 0.0) if known else ellipse(covariance[:2, :2]),
        readings=(
            ArcReading(
                f"{corner} radius", False, radius, 0.0, math.sqrt(float(spread[6, 6])), None
            ),
        ),
    )


def _rounded(points: Array, radius: float) -> tuple[Array, Array, Array, float]:
    """Start, middle and end of the round at the second of `points` (3, 2), and its rise."""
    before, corner, after = points
    back, on = before - corner, after - corner
    back, on = back / math.hypot(*back), on / math.hypot(*on)
    cross = float(back[0] * on[1] - back[1] * on[0])
    half = math.atan2(abs(cross), float((back * on).sum())) / 2  # of the angle between the sides
    reach = radius / math.tan(half)
    inward = back + on
    inward = inward / math.hypot(*inward)
    middle = corner + (radius / math.sin(half) - radius) * inward
    sign = 1.0 if cross < 0 else -1.0  # counter-clockwise, an outside corner turns left
    return (
        corner + reach * back,
        middle,
        corner + reach * on,
        sign * radius * (1 - math.sin(half)),
    )


def _differences(points: Array, radius: float, number: int) -> Array:
    """How middle and rise of a round move with one of its six coordinates or its radius: (3,)."""
    found = []
    for way in (1, -1):
        moved = points.copy()
        if number < 6:
            moved[number // 2, number % 2] += way * STEP
        _, middle, _, rise = _rounded(moved, radius + (way * STEP if number == 6 else 0.0))
        found.append(np.array([*middle, rise]))
    slope: Array = (found[0] - found[1]) / (2 * STEP)
    return slope


def _refuse_crowded(
    corners: tuple[str, ...], points: Array, arcs: Mapping[tuple[str, ...], Arc]
) -> None:
    """Refuse rounds that leave nothing of a side between them."""
    for at, corner in enumerate(corners):
        after = corners[(at + 1) % len(corners)]
        side = math.dist(points[at], points[(at + 1) % len(corners)])
        ends = [arcs[key] for key in ((corner,), (after,)) if key in arcs]
        taken = sum(math.dist(arc.start, points[corners.index(arc.ends[0])]) for arc in ends)
        if ends and taken >= side:
            raise CurveError(
                " and ".join(arc.label for arc in ends),
                f"Rounded, {corner}-{after} has nothing left: {{}} of {{}}.",
                "Make the radius smaller, or check it.",
                taken,
                side,
            )


def _pair(numbers: Array) -> XY:
    x, y = numbers.tolist()
    return x, y
