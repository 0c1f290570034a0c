"""The start figure: roughly where the corners are, so that least squares has a place to start.

Stands after loci and shape, before the outline. Corners are placed one after another, each where
two loci cross; where they cross twice, both figures live on, and the least promising are dropped.
A set of readings that determines an outline without ever determining the next corner (it is rare)
is solved from scattered starts instead.

    figure     a place for every corner
    misfit     how badly a figure contradicts the observations; one wild reading counts little
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import ring_area
from mateline.tape.solving.loci import NEAR, Crossing, crossings, loci
from mateline.tape.solving.network import HeldEdge, Network, adjusted, motions_under
from mateline.tape.solving.observations import XY, Array, Distance, Height, Lean, Observation
from mateline.tape.solving.polygon import left, meet, turns

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDEST = 64  # figures kept from one corner to the next
SLACK = 0.12  # no unit: a start figure may turn the wrong way by this sine before it is dropped
SCATTERED = 200  # starts that are tried where no corner follows from others
FEW = 40  # starts that are tried where corners follow, but only into folded figures
NEARLY = 1e-7  # no unit: where a scattered start stops; it is adjusted again later
TRIES = 40  # evaluations a scattered start gets; a good one needs about ten
SEED = 20210  # any number; fixed, so that the same readings give the same outline
SAME = 1e-3  # no unit: figures that differ by less than this share of their size are one


@dataclass(frozen=True, slots=True)
class Form:
    """Which way the outline turns: `reflex` corners to the right; None where any form will do.

    `simple` says that no two sides may cross.
    """

    corners: tuple[str, ...]
    reflex: frozenset[str] | None
    simple: bool = True

    def matches(self, points: Array, slack: float) -> bool:
        """Whether `points` (n, 2) turn as they should, give or take `slack` radians."""
        return self.reflex is None or bool((turns(points) * self.signs > -slack).all())

    @property
    def signs(self) -> Array:
        """The sign of the turn (n,) that each corner should have, where it is known."""
        right = self.reflex or ()
        return np.array([-1.0 if corner in right else 1.0 for corner in self.corners])


@dataclass(frozen=True, slots=True)
class _Figure:
    placed: dict[str, XY]
    misfit: float


def figures(
    form: Form, observations: Sequence[Observation], rough: Sequence[Observation] = ()
) -> list[Array]:
    """Start figures (n, 2) in the order of the corners, counter-clockwise, best first.

    `rough` helps to choose, and to place corners that `observations` leave open. Empty when no
    corner follows from others, or only into folded figures.
    """
    plan = _plan(form.corners, observations)
    if plan is None:
        plan = _plan(form.corners, [*observations, *rough])
    if plan is None:
        return []
    first, second, *rest = plan
    length = _base_length(first, second, [*observations, *rough])
    alive = [_Figure({first: (0.0, 0.0), second: (length, 0.0)}, 0.0)]
    for corner in rest:
        grown = [
            new for figure in alive for new in _grown(figure, corner, form, observations, rough)
        ]
        alive = sorted(grown, key=lambda figure: figure.misfit)[:WIDEST]
    return _distinct([_counterclockwise(form.corners, figure) for figure in alive])


def scattered(
    form: Form,
    observations: Sequence[Observation],
    rough: Sequence[Observation] = (),
    *,
    starts: int = FEW,
) -> list[Array]:
    """As `figures`, but by least squares from many starts with a fixed seed."""
    random = np.random.default_rng(SEED)
    lengths = [each.observed for each in observations if isinstance(each, Distance)]
    size = float(np.mean(lengths))
    found: list[tuple[float, Array]] = []
    for _ in range(starts):
        start = _random_start(form, size, random)
        network = Network(form.corners, signed([*observations, *rough], form.corners, start))
        held = motions_under(HeldEdge(form.corners[0], form.corners[1]), form.corners, start)
        points = adjusted(network, start, held, precision=NEARLY, tries=TRIES, far=True)
        if ring_area(points) < 0:
            points = points * [1.0, -1.0]
        if form.matches(points, SLACK):
            found.append((float(np.sum(network.whitened(points)[0] ** 2)), points))
    found.sort(key=lambda pair: pair[0])
    return _distinct([points for _, points in found])


def follows(form: Form, observations: Sequence[Observation]) -> bool:
    """Whether `observations` hold the corners one after another."""
    return _plan(form.corners, observations) is not None


def signed(
    observations: Sequence[Observation], corners: tuple[str, ...], points: Array
) -> list[Observation]:
    """`observations` with each height taken to the side of its edge on which `points` have it,
    and each angle between two lines to the side to which it opens.

    A tape and a level show no sign; a corner may well be on the outer side of an edge.
    """
    place = {corner: points[index] for index, corner in enumerate(corners)}
    return [_sided(each, place) for each in observations]


def _sided(observation: Observation, place: dict[str, Array]) -> Observation:
    if not isinstance(observation, Height | Lean):
        return observation
    value, _ = observation.value(np.array([place[name] for name in observation.names]))
    if value >= 0:
        return observation
    if isinstance(observation, Lean):
        return replace(observation, lines=(*observation.lines[2:], *observation.lines[:2]))
    one, two = observation.b, observation.a
    return Height(
        observation.corner, one, two, observation.length, observation.deviation, observation.label
    )


def _plan(corners: tuple[str, ...], observations: Sequence[Observation]) -> list[str] | None:
    """An order in which each corner after the first two is held by two observations or more."""
    sides = {frozenset(pair) for pair in zip(corners, (*corners[1:], corners[0]), strict=True)}
    bases = [each for each in observations if isinstance(each, Distance)]
    bases.sort(key=lambda base: frozenset(base.names) not in sides)
    for base in bases:
        order = list(base.names)
        while len(order) < len(corners):
            held = {
                corner: sum(set(each.names) - set(order) == {corner} for each in observations)
                for corner in corners
                if corner not in order
            }
            corner = max(held, key=lambda name: held[name])
            if held[corner] < 2:
                break
            order.append(corner)
        else:
            return order
    return None


def _base_length(first: str, second: str, observations: Sequence[Observation]) -> float:
    return next(
        each.length
        for each in observations
        if isinstance(each, Distance) and set(each.names) == {first, second}
    )


def _grown(
    figure: _Figure,
    corner: str,
    form: Form,
    observations: Sequence[Observation],
    rough: Sequence[Observation],
) -> Iterator[_Figure]:
    found = _best_crossings(figure, corner, observations)
    for crossing in found or _best_crossings(figure, corner, [*observations, *rough]):
        placed = {**figure.placed, corner: crossing.at}
        if not _is_folded(placed, corner, form):
            added = sum(
                _misfit(each, placed)
                for each in (*observations, *rough)
                if corner in each.names and all(name in placed for name in each.names)
            )
            yield _Figure(placed, figure.misfit + added)


def _best_crossings(
    figure: _Figure, corner: str, observations: Sequence[Observation]
) -> list[Crossing]:
    """Crossings of the two observations that cross most squarely, none on another corner."""
    ways = [way for each in observations if (way := loci(each, corner, figure.placed))]
    best: list[Crossing] = []
    for ones, twos in combinations(ways, 2):
        found = [
            crossing
            for one in ones
            for two in twos
            for crossing in crossings(one, two)
            if all(math.dist(crossing.at, other) > NEAR for other in figure.placed.values())
        ]
        if found and (not best or _squareness(found) > _squareness(best)):
            best = found
    return best


def _squareness(found: list[Crossing]) -> float:
    return max(crossing.sine for crossing in found)


def _misfit(observation: Observation, placed: dict[str, XY]) -> float:
    value, _ = observation.value(np.array([placed[name] for name in observation.names]))
    value = abs(value) if isinstance(observation, Height | Lean) else value
    return math.log1p(((value - observation.observed) / observation.deviation) ** 2)


def _is_folded(placed: dict[str, XY], corner: str, form: Form) -> bool:
    """Whether placing `corner` already contradicts the form, or makes two sides cross."""
    crosses = form.simple and _crosses(placed, corner, form.corners)
    return crosses or _turns_wrong(placed, corner, form)


def _turns_wrong(placed: dict[str, XY], corner: str, form: Form) -> bool:
    if form.reflex is None:
        return False
    if not form.reflex:  # convex: any three corners in order turn left
        order = [name for name in form.corners if name in placed]
        triples = [names for names in combinations(order, 3) if corner in names]
        signs = [1] * len(triples)
    else:
        around = (*form.corners[-2:], *form.corners, *form.corners[:2])
        triples = [
            (one, two, three)
            for one, two, three in zip(around, around[1:], around[2:], strict=False)
            if corner in {one, two, three} and {one, two, three} <= placed.keys()
        ]
        signs = [-1 if two in form.reflex else 1 for _, two, _ in triples]
    return any(
        sign * _sine(*(placed[name] for name in names)) < -SLACK
        for sign, names in zip(signs, triples, strict=True)
    )


def _sine(a: XY, b: XY, c: XY) -> float:
    size = math.dist(a, b) * math.dist(b, c)
    return left(a, b, c) / size if size else 0.0


def _crosses(placed: dict[str, XY], corner: str, corners: tuple[str, ...]) -> bool:
    sides = [
        pair
        for pair in zip(corners, (*corners[1:], corners[0]), strict=True)
        if pair[0] in placed and pair[1] in placed
    ]
    return any(
        meet(placed[a], placed[b], placed[c], placed[d])
        for a, b in sides
        if corner in {a, b}
        for c, d in sides
        if not {a, b} & {c, d}
    )


def _counterclockwise(corners: tuple[str, ...], figure: _Figure) -> Array:
    points = np.array([figure.placed[corner] for corner in corners])
    return points if ring_area(points) > 0 else points * [1.0, -1.0]


def _distinct(found: list[Array]) -> list[Array]:
    """One of each figure, and none whose corners lie on each other.

    Distances between all corners tell figures apart wherever they lie.
    """
    kept: list[tuple[Array, Array]] = []
    for points in found:
        spans = np.linalg.norm(points[:, None] - points[None, :], axis=2)
        near = SAME * spans.max()
        apart = spans[~np.eye(len(points), dtype=bool)].min() > near
        if apart and all(np.abs(spans - other).max() > near for _, other in kept):
            kept.append((points, spans))
    return [points for points, _ in kept]


def _random_start(form: Form, size: float, random: np.random.Generator) -> Array:
    """A polygon round the origin: reflex corners lie nearer to it than others."""
    number = len(form.corners)
    angles = 2 * np.pi * (np.arange(number) + random.uniform(-0.3, 0.3, number)) / number
    reach = size * random.uniform(0.5, 1.2, number)
    if form.reflex:
        reach[[corner in form.reflex for corner in form.corners]] *= 0.4
    return np.stack([reach * np.cos(angles), reach * np.sin(angles)], axis=1)
