"""Landmarks held against each other: which one the others contradict.

Stands after similarity, before landmarks. A similarity has four numbers and a landmark gives two.

    two       always fit: only the drawing's own size says anything of them
    three     contradict each other, but which one is wrong is told by the drawing's own size alone
    four on   each is predicted by the others; one that is wrong is the one without which they agree

A landmark may be off by its own deviation and by that of what predicts it. The prediction is a sum
c_j w_j over the others with c_j = 1/m + conj(z_j - mean) (z - mean) / sum |z - mean|^2 (least
squares, in complex numbers), so that its variance is the sum of |c_j|^2 v_j.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mateline.placing.similarity import Similarity, best_similarity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.curves import Point

# 99.9 % point of chi-square with 2 degrees of freedom, the level at which a reading is doubted:
# -2 ln 0.001.
SURE = 13.815510557964274
# mm: standard deviation of a place in a drawing, in x and in y. Our own measurements: photos made
# square and traced are off by 0.4 to 0.6 mm with corners that were taken with a tape.
DRAWN = 0.5
MOST = 12  # landmarks among which pairs of wrong ones are sought


@dataclass(frozen=True, slots=True)
class Landmark:
    """An element of a drawing and the point where it belongs, mm.

    `drawn` is its place at the drawing's own size, y up; `deviation` the standard deviation of the
    point in x and in y, as the tape has it. An `ignored` one does not place the drawing.
    """

    element: str
    drawn: Point
    point: Point
    deviation: float = 0.0
    ignored: bool = False


@dataclass(frozen=True, slots=True)
class Suspect:
    """Landmarks without which the others agree, and what the others say.

    `off` is how far each is from where the others put it, and `explained` how far it may be, mm.
    The others leave at most `rest` mm and give the drawing's `fit`.
    """

    landmarks: tuple[Landmark, ...]
    off: tuple[float, ...]
    explained: tuple[float, ...]
    rest: float
    fit: Similarity


@dataclass(frozen=True, slots=True)
class Agreement:
    """How landmarks agree.

    `fit` is that of all of them; it leaves `worst` mm, at the landmark `worst_at`. `explained` is
    the most that the tape and the drawing explain at any of them. Where they do not `agree`,
    each of `suspects` would do as the reason; `by_size` says that only the drawing's own size
    tells it from others. `swapped` are pairs that agree once their points are exchanged, and
    `mirrored` says that all do in a mirror.
    """

    fit: Similarity
    worst: float
    worst_at: Landmark
    explained: float
    agree: bool
    suspects: tuple[Suspect, ...] = ()
    by_size: bool = False
    swapped: tuple[tuple[Landmark, Landmark], ...] = ()
    mirrored: bool = False


def agreement_of(landmarks: Sequence[Landmark], allowed: float = 0.0) -> Agreement:
    """How two or more landmarks agree, none of which is ignored.

    They agree where each is within `allowed` mm of where the others put it, whatever explains that.

    Raises ValueError where all are drawn in one place, or they leave the drawing no size.
    """
    fit = fit_of(landmarks)
    left = [_left(each, fit) for each in landmarks]
    worst = max(range(len(left)), key=lambda at: (round(left[at], 6), -at))
    misses = [_miss(at, landmarks) for at in range(len(landmarks))]
    found = Agreement(
        fit,
        left[worst],
        landmarks[worst],
        max((explained for _, explained in filter(None, misses)), default=0.0),
        agree=_agree(landmarks, allowed),
    )
    if found.agree:
        return found
    swapped = _swapped(landmarks, allowed)
    mirrored = not swapped and _agree([_mirrored(each) for each in landmarks], allowed)
    suspects: tuple[Suspect, ...] = ()
    if not swapped and not mirrored:
        suspects = _suspects(landmarks, allowed)
    own = suspects
    if len(landmarks) == 3:
        own = tuple(s for s in suspects if is_own_size(_others(landmarks, s.landmarks)))
    by_size = len(own) == 1 < len(suspects)
    return replace(
        found,
        suspects=own if by_size else suspects,
        by_size=by_size,
        swapped=swapped,
        mirrored=mirrored,
    )


def fit_of(landmarks: Sequence[Landmark]) -> Similarity:
    """What brings the landmarks' places in the drawing nearest to their points, as drawn in mm.

    Raises ValueError where they are drawn in one place, or leave the drawing no size.
    """
    return best_similarity([each.drawn for each in landmarks], [each.point for each in landmarks])


def predicted(landmark: Landmark, others: Sequence[Landmark]) -> tuple[float, float]:
    """How far a landmark is from where others put it, and how far it may be, mm.

    Raises ValueError as `fit_of`.
    """
    fit = fit_of(others)
    middle = sum(complex(*each.drawn) for each in others) / len(others)
    arms = [complex(*each.drawn) - middle for each in others]
    spread = math.fsum(abs(arm) ** 2 for arm in arms)
    reach = complex(*landmark.drawn) - middle
    variance = _variance(landmark) + math.fsum(
        abs(1 / len(others) + arm.conjugate() * reach / spread) ** 2 * _variance(each)
        for arm, each in zip(arms, others, strict=True)
    )
    return _left(landmark, fit), math.sqrt(SURE * variance)


def is_own_size(pair: Sequence[Landmark]) -> bool:
    """Whether two landmarks leave the drawing as large as it is, and upright, as far as is sure."""
    first, second = pair
    step = complex(*second.point) - complex(*first.point)
    drawn = complex(*second.drawn) - complex(*first.drawn)
    return abs(step - drawn) <= math.sqrt(SURE * (_variance(first) + _variance(second)))


def _variance(landmark: Landmark) -> float:
    return landmark.deviation**2 + DRAWN**2


def _left(landmark: Landmark, fit: Similarity) -> float:
    """How far a fit leaves a landmark from its point, mm."""
    return math.dist(fit.carried(landmark.drawn), landmark.point)


def _others(landmarks: Sequence[Landmark], without: Sequence[Landmark]) -> list[Landmark]:
    return [each for each in landmarks if each not in without]


def _miss(at: int, landmarks: Sequence[Landmark]) -> tuple[float, float] | None:
    """As `predicted`, by all others; None where they are too few or fix no size."""
    others = [*landmarks[:at], *landmarks[at + 1 :]]
    if len(others) < 2:
        return None
    try:
        return predicted(landmarks[at], others)
    except ValueError:
        return None


def _agree(landmarks: Sequence[Landmark], allowed: float) -> bool:
    """Whether each landmark is where the others put it, as far as tape and drawing go, or by what
    is `allowed`, mm.
    """
    if len(landmarks) < 3:
        return True
    misses = (_miss(at, landmarks) for at in range(len(landmarks)))
    return all(miss is None or miss[0] <= max(miss[1], allowed) for miss in misses)


def _swapped(
    landmarks: Sequence[Landmark], allowed: float
) -> tuple[tuple[Landmark, Landmark], ...]:
    """Pairs whose points, exchanged, make all agree."""
    found = []
    for i, j in itertools.combinations(range(len(landmarks)), 2):
        tried = list(landmarks)
        tried[i] = replace(landmarks[i], point=landmarks[j].point)
        tried[j] = replace(landmarks[j], point=landmarks[i].point)
        if _agree(tried, allowed):
            found.append((landmarks[i], landmarks[j]))
    return tuple(found)


def _mirrored(landmark: Landmark) -> Landmark:
    return replace(landmark, drawn=(-landmark.drawn[0], landmark.drawn[1]))


def _suspects(landmarks: Sequence[Landmark], allowed: float) -> tuple[Suspect, ...]:
    """The fewest landmarks, one or two, without which the others agree: each way to choose them."""
    count = len(landmarks)
    for few in (1, 2):
        if count - few < (2 if few == 1 else 3) or (few == 2 and count > MOST):
            break
        found = []
        for out in itertools.combinations(landmarks, few):
            others = _others(landmarks, out)
            if _agree(others, allowed):
                suspect = _suspect(out, others, allowed)
                if suspect is not None:
                    found.append(suspect)
        if found:
            return tuple(found)
    return ()


def _suspect(out: tuple[Landmark, ...], others: list[Landmark], allowed: float) -> Suspect | None:
    try:
        fit = fit_of(others)
    except ValueError:
        return None
    misses = [predicted(each, others) for each in out]
    # Then it is not what the others contradict.
    if all(by <= max(may, allowed) for by, may in misses):
        return None
    rest = max(_left(each, fit) for each in others)
    return Suspect(out, tuple(by for by, _ in misses), tuple(may for _, may in misses), rest, fit)
