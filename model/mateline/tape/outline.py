"""Outlines: the polygon of a face's corners, solved from the readings between them.

Last on the tape's part of the road. An outline keeps what its readings said of each other, so that
a finding or a report needs nothing else.

    closure     one observation: what was read, what fits, and how far apart they are
    assumption  a corner that is taken as square because no reading settles it
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.curves import flattened
from mateline.products import ring_area
from mateline.tape.accuracy import Tape, deviation
from mateline.tape.arcs.fitting import CurveError, Figure, bent
from mateline.tape.arcs.path import chain_of, sides_of
from mateline.tape.blunders import Asked, Shift, Told, Verdict, told_of, told_without
from mateline.tape.reading import printed, printed_exact
from mateline.tape.readings import (
    Where,
    label_of,
    observations_of,
    refuse_names,
    rough_of,
    squares_of,
)
from mateline.tape.solving.adjustment import Fit, NoOutlineError, fitted
from mateline.tape.solving.approximate import Form
from mateline.tape.solving.observations import (
    Along,
    Angle,
    Distance,
    Height,
    Lean,
    Observation,
    Square,
)
from mateline.tape.solving.polygon import crossing_sides, framed
from mateline.tape.solving.rigidity import lacking, next_readings
from mateline.tape.solving.statistics import W_LIMIT, Ellipse, ellipse, findable_slip

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.tape.arcs.curve import Arc, Curve
    from mateline.tape.arcs.path import Side
    from mateline.tape.next_reading import NextReading
    from mateline.tape.readings import Readings
    from mateline.tape.solving.observations import XY, Array

# Decimals of mm that solved corners are rounded to. Far finer than any tape, far coarser than what
# two solvers, or one on two machines, differ by: ties later on the road are broken alike.
DECIMALS = 6
COARSE = 0.5  # mm: how far facets leave curves where only crossings are looked for
FINE = 9  # decimals of residuals, slips and w: what nothing checks has a residual of 0, not 1e-15


Kind = Literal["distance", "height", "along", "angle", "square"]


@dataclass(frozen=True, slots=True)
class Corners:
    """An outline whose corners are known: `points`, mm, run counter-clockwise as `corners` do.

    `curves` are as those of `Readings`, and as sure as the corners.
    """

    corners: tuple[str, ...]
    points: tuple[tuple[float, float], ...]
    curves: Mapping[tuple[str, ...], Curve] = field(default_factory=dict)

    @classmethod
    def named(cls, points: Mapping[str, XY]) -> Corners:
        """The corners of a mapping, in its order."""
        return cls(tuple(points), tuple((float(x), float(y)) for x, y in points.values()))


@dataclass(frozen=True, slots=True)
class Closure:
    """One observation: mm, or radians where `angular`: its `kind` is "angle" or "square".

    `residual` is adjusted minus read; `share` its redundancy number, the part of a slip that shows
    in it; `w` the residual over its own deviation; `slip` what the reading is too long by if it
    alone is wrong; `findable` the smallest slip that shows with probability 0.80, or infinite.
    """

    label: str
    kind: Kind
    read: float
    adjusted: float
    deviation: float
    residual: float
    share: float
    w: float
    slip: float
    findable: float

    @property
    def angular(self) -> bool:
        """Whether its numbers are radians."""
        return self.kind in {"angle", "square"}


@dataclass(frozen=True, slots=True)
class SquareCorner:
    """A corner that the file calls square: how far it is from square, radians, and how surely.

    `taken` says that the outline rests on it; else the readings alone settled the corner.
    """

    corner: str
    off: float
    deviation: float
    taken: bool


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A solved outline. `points` (n, 2), mm, counter-clockwise, in the order of `corners`.

    The first corner is (0, 0) and the second is on +x; `covariance` (2n, 2n), mm², x and y of each
    corner in turn, is relative to them and a priori. `deviations` (n, 2) are its roots.

    `verdict` is "closes"; "suspect": `suspect` alone explains why the readings do not close;
    "cannot-tell": one of `candidates` is wrong, or `more_than_one`; "unchecked": no reading is
    checked by another; "stated": there are no readings. `assumption` names the corners taken as
    square.

    Where a reading is wrong the corners still use it, and `shift` says how far they would move
    without it, or at least, whichever it is. No outline may have it: then it is `left_out`.
    `others_close` says that all others agree without the suspect. `advice` is what to measure
    next, where a distance that nobody has read would tell. `arcs` are the curves, in their order
    round the outline.
    """

    corners: tuple[str, ...]
    points: Array
    covariance: Array
    deviations: Array
    ellipses: tuple[Ellipse, ...]
    redundancy: int
    closures: tuple[Closure, ...]
    verdict: Verdict
    suspect: Closure | None
    candidates: tuple[Closure, ...]
    more_than_one: bool
    assumption: tuple[str, ...]
    squares: tuple[SquareCorner, ...]
    scatter: float | None  # a-posteriori deviation of unit weight; None where nothing is redundant
    advice: NextReading | None = None
    shift: Shift | None = None
    left_out: bool = False
    others_close: bool = True
    arcs: tuple[Arc, ...] = ()

    @property
    def sides(self) -> tuple[Side, ...]:
        """Its sides as they run, round corners among them."""
        return sides_of(self.corners, self.points, self.arcs)


def solved(readings: Readings, tape: Tape, *, file: str, place: str) -> Outline:
    """The outline that fits `readings` best, with how well they close.

    Raises InputError, naming the reading where one is at fault: unknown corners, impossible
    lengths, too few readings (and what to measure next), an outline that crosses itself. A reading
    that no outline can have is left out where the others tell that it alone is wrong.
    """
    where = Where(file, place)
    refuse_names(readings, where)
    read = observations_of(readings, tape, where)
    squares = squares_of(readings)
    taken = lacking(readings.corners, read) > 0
    observations = [*read, *squares] if taken else read
    _refuse_loose(readings, observations, where)
    form = Form(readings.corners, frozenset(readings.reflex))
    asked = Asked(form, tuple(observations), tuple(rough_of(readings)), tape)
    try:
        told = _told(asked, readings)
    except NoOutlineError as error:
        raise where.fault(", ".join(error.labels), error.what, error.remedy) from None
    outline = _outline(told, squares, taken=taken)
    return _curved(outline, readings.curves, told.fit.observations, tape, where)


def given(stated: Corners, *, file: str, place: str) -> Outline:
    """The outline whose corners are stated, mm, counter-clockwise; moved and turned as solved ones.

    Its verdict is "stated" and its covariance zero. Raises InputError: fewer than three corners,
    clockwise, two corners in one place, sides that cross.
    """
    where = Where(file, place)
    corners = stated.corners
    if len(corners) < 3:
        raise where.fault(
            "", f"An outline has three corners or more, not {len(corners)}.", "Add some."
        )
    at = np.array(stated.points, dtype=np.float64)
    for one, two in combinations(range(len(corners)), 2):
        if np.array_equal(at[one], at[two]):
            what = f"{corners[one]} and {corners[two]} are at the same point."
            raise where.fault("", what, "Correct one of them.")
    sides = crossing_sides(at)
    if sides is not None:
        around = (*corners, corners[0])
        one_side, other = (f"{around[side]}-{around[side + 1]}" for side in sides)
        raise where.fault(
            "",
            f"The outline crosses itself: {one_side} meets {other}.",
            "List the corners in order round it.",
        )
    if ring_area(at) < 0:
        raise where.fault("", "The corners run clockwise.", "List them counter-clockwise.")
    still = np.zeros((2 * len(corners), 2 * len(corners)))
    outline = Outline(
        corners=corners,
        points=_fixed(framed(at)),
        covariance=_fixed(still),
        deviations=_fixed(np.zeros((len(corners), 2))),
        ellipses=(Ellipse(0.0, 0.0, 0.0),) * len(corners),
        redundancy=0,
        closures=(),
        verdict="stated",
        suspect=None,
        candidates=(),
        more_than_one=False,
        assumption=(),
        squares=(),
        scatter=None,
    )
    return _curved(outline, stated.curves, (), None, where)


def _curved(
    outline: Outline,
    curves: Mapping[tuple[str, ...], Curve],
    observations: tuple[Observation, ...],
    tape: Tape | None,
    where: Where,
) -> Outline:
    """The outline with its curves; where one is said to be tangent, that moves the corners too."""
    if not curves:
        return outline
    figure = Figure(outline.corners, outline.points, outline.covariance, observations)
    try:
        found = bent(figure, curves, tape)
    except CurveError as error:
        unit = "mm" if tape is None else tape.unit
        what = error.told(lambda length: printed_exact(length, unit))
        raise where.fault(error.label, what, error.remedy) from None
    spread = np.diag(found.covariance).clip(min=0.0)
    curved = replace(
        outline,
        points=_fixed(found.points),
        covariance=_fixed(found.covariance),
        deviations=_fixed(np.sqrt(spread).reshape(-1, 2)),
        ellipses=outline.ellipses
        if tape is None
        else tuple(
            ellipse(found.covariance[row : row + 2, row : row + 2])
            for row in range(0, len(spread), 2)
        ),
        arcs=found.arcs,
    )
    ring = flattened(chain_of(curved.sides), COARSE)[:-1]
    if crossing_sides(ring) is not None:
        raise where.fault(
            "curves",
            "With its curves the outline crosses itself.",
            "Check their rises and radii, and which of them are hollow.",
        )
    return curved


def _refuse_loose(readings: Readings, observations: list[Observation], where: Where) -> None:
    wanted = lacking(readings.corners, observations)
    if wanted == 0:
        return
    more = "one more reading is" if wanted == 1 else f"{wanted} more readings are"
    raise where.fault(
        "",
        f"The readings do not hold the outline: {more} wanted.",
        next_readings(readings.corners, observations),
    )


def _refuse_triangles(readings: Readings, tape: Tape) -> None:
    """Refuse a distance that is longer than the two that meet it, beyond what the tape may do.

    Raises NoOutlineError.
    """
    read = {
        frozenset(key): (label_of(key), length)
        for key, length in readings.distances.items()
        if key not in readings.repeats  # which of them may be wrong is for solving to tell
    }
    for names in combinations(readings.corners, 3):
        pairs = [frozenset(pair) for pair in combinations(names, 2)]
        if not all(pair in read for pair in pairs):
            continue
        (label, long), *others = sorted((read[pair] for pair in pairs), key=lambda each: -each[1])
        slack = float(long - sum(length for _, length in others))
        if slack > W_LIMIT * math.hypot(*(deviation(read[pair][1], tape) for pair in pairs)):
            (one, a), (two, b) = others
            raise NoOutlineError(
                f"{printed(long, tape)} is longer than {one} and {two} together "
                f"({printed(a + b, tape)}): there is no such triangle.",
                f"Measure {label}, {one} and {two} again.",
                (label,),
                doubtful=True,
            )


def _told(asked: Asked, readings: Readings) -> Told:
    try:
        _refuse_triangles(readings, asked.tape)
        fit = fitted(asked.form, asked.observations, asked.rough, asked.tape.unit)
    except NoOutlineError as error:
        return told_without(asked, error)
    return told_of(asked, fit)


def _outline(told: Told, squares: list[Square], *, taken: bool) -> Outline:
    solution, judgement = told.fit.solution, told.judgement
    closures = _closures(told)
    doubted = tuple(closures[each.row] for each in judgement.doubted)
    spread = np.diag(solution.covariance).clip(min=0.0)
    return Outline(
        corners=solution.names,
        points=_fixed(np.round(solution.points, DECIMALS) + 0.0),
        covariance=_fixed(solution.covariance),
        deviations=_fixed(np.sqrt(spread).reshape(-1, 2)),
        ellipses=tuple(
            ellipse(solution.covariance[row : row + 2, row : row + 2])
            for row in range(0, len(spread), 2)
        ),
        redundancy=solution.redundancy,
        closures=closures,
        verdict=judgement.verdict,
        suspect=doubted[0] if judgement.verdict == "suspect" else None,
        candidates=doubted,
        more_than_one=judgement.more_than_one,
        assumption=tuple(each.corner for each in squares) if taken else (),
        squares=tuple(_square_corner(each, told.fit, taken=taken) for each in squares),
        scatter=solution.m0,
        advice=told.advice,
        shift=told.shift,
        left_out=told.left_out is not None,
        others_close=judgement.others_close,
    )


def _closures(told: Told) -> tuple[Closure, ...]:
    """How each observation closes. Where each was left out in turn, w and slip are what that says:
    the root of what its square sum falls by, which is w while slips are small.
    """
    solution = told.fit.solution
    w, slips = solution.w, solution.slips
    if told.left_out is None:
        for each in told.found:
            fallen = max(solution.square_sum - each.fit.square_sum, 0.0)
            w[each.row] = -math.copysign(math.sqrt(fallen), each.slip)
            slips[each.row] = each.slip
    rows = zip(
        told.fit.observations,
        solution.residuals.tolist(),
        solution.redundancy_numbers.tolist(),
        w.tolist(),
        slips.tolist(),
        strict=True,
    )
    closures = [_closure(*row) for row in rows]
    if told.left_out is not None:
        best = told.judgement.doubted[0]
        share = (told.left_out.deviation / best.spread) ** 2
        said = (-best.slip, share, -best.slip / best.spread, best.slip)
        closures.insert(best.row, _closure(told.left_out, *said))
    return tuple(closures)


def _closure(
    observation: Observation, residual: float, share: float, w: float, slip: float
) -> Closure:
    residual, share, w, slip = (round(each, FINE) + 0.0 for each in (residual, share, w, slip))
    return Closure(
        label=observation.label,
        kind=_kind(observation),
        read=observation.observed,
        adjusted=observation.observed + residual,
        deviation=observation.deviation,
        residual=residual,
        share=share,
        w=w,
        slip=slip,
        findable=findable_slip(observation.deviation, share),
    )


def _kind(observation: Observation) -> Kind:
    kinds: dict[type, Kind] = {
        Distance: "distance", Height: "height", Along: "along", Angle: "angle", Lean: "angle",
        Square: "square",
    }  # fmt: skip
    return kinds[type(observation)]


def _square_corner(square: Square, fit: Fit, *, taken: bool) -> SquareCorner:
    rows = [fit.solution.names.index(name) for name in square.names]
    angle, slope = square.value(fit.solution.points[rows])
    full = np.zeros((len(fit.solution.names), 2))
    full[rows] = slope
    flat = full.ravel()
    variance = float(flat @ fit.solution.covariance @ flat)
    return SquareCorner(square.corner, angle - math.pi / 2, math.sqrt(max(variance, 0.0)), taken)


def _fixed(array: Array) -> Array:
    array.setflags(write=False)
    return array
