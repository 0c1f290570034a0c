"""A photo squared: from the picture and the face's outline to the face seen square on.

    corners given, or found -> edges at parts of a pixel -> projection, lens and corners -> flat

The last module of squaring for one photo. It refuses in words what cannot be squared: a photo of
something else, one that is blurred, in grey, or shows too little of the outline.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.adjustment import (
    FEW,
    Manner,
    Observed,
    Solved,
    adjusted,
    started,
)
from mateline.capture.squaring.edge_places import (
    BLURS,
    ROUGHLY,
    EdgePlaces,
    Search,
    blur_of,
    edge_places,
)
from mateline.capture.squaring.edges_used import EdgeUse, fits, settled_edges, shares_in
from mateline.capture.squaring.error_map import Expected, expected, next_reading
from mateline.capture.squaring.finding import FOUND, found, found_partly
from mateline.capture.squaring.first_view import view_of_corners
from mateline.capture.squaring.flat import density_of, grid_of, laid_flat, pitch_of
from mateline.capture.squaring.sights import Sights
from mateline.capture.squaring.splines import Splined, splined
from mateline.capture.squaring.view import pixels_of
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.capture.face_picture import FacePicture, Grid
    from mateline.capture.picture import Picture
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.view import View

    Rounds = Sequence[tuple[float, float, float]]

# px within which edges are looked for, and how soft and stiff the adjustment is, round by round
CLOSE = ((6.0, 1.0, 3.0), (4.0, 0.4, 1.0), (3.0, 0.1, 1.0))  # from where the face was found
STIFF = ((24.0, 4.0, 6.0), (12.0, 1.5, 3.0), (6.0, 0.5, 1.0), (4.0, 0.2, 1.0), (3.0, 0.1, 1.0))
FREE = ((24.0, 4.0, 1.0), (10.0, 1.0, 1.0), (5.0, 0.3, 1.0), (3.0, 0.1, 1.0))
FAR_OFF = (STIFF, FREE)  # ways from further off
WELL = (
    0.9  # share of the outline that fits where a solution is right; below, the other way is tried
)
LAST = 3.0
FIRST_BLUR = 1.0
MOST_BLUR = 3.0  # px, sigma: a step is then eight pixels wide
GREY = 0.004  # linear: bands of a photo in grey differ by no more
MUCH = 5.0  # mm: a face whose worst error is more than that is not squared
SHOWN = 0.5  # share of an edge that the photo must show, or it is said
NEAR = 0.8  # mm within which a place is on the outline
FITTING = 0.75  # share of the outline that must be
BETTER = 0.15  # by which another face's outline must fit better to be named
CLEARLY = 0.1  # of a score, 0 to 1: by which a part must be found better than the whole
ADVISED = 0.3  # mm: worst errors beyond which it is said what to measure next


@dataclass(frozen=True, slots=True, eq=False)
class Sighted:
    """A photo whose view is solved: what laying it flat needs, and what is told of it. `fit` is the
    share of the outline that the photo has an edge at.
    """

    picture: Splined
    outline: Outline
    solved: Solved
    places: tuple[EdgePlaces, ...]
    edges: tuple[EdgeUse, ...]
    blur: float
    sights: Sights
    fit: float


@dataclass(frozen=True, slots=True)
class Squared:
    """What `square` tells of a photo. mm; `photo_mm` is a pixel of the photo at the face's middle,
    `mm_per_pixel` one of the squared picture; `blur` px (sigma); `corners` the pixels where the
    outline's corners are seen.
    """

    file: str
    face: str
    mm_per_pixel: float
    photo_mm: float
    expected: Expected
    k1: float
    k2: float
    blur: float
    edges: tuple[EdgeUse, ...]
    corners: tuple[tuple[float, float], ...]
    next_reading: str | None = None
    notes: tuple[str, ...] = ()


def squared(
    picture: Picture,
    outline: Outline,
    *,
    corners: Sequence[tuple[float, float] | None] | None = None,
    sights: Sights = Sights(),  # noqa: B008  frozen
    pitch: float | None = None,
    others: Sequence[Outline] = (),
) -> tuple[FacePicture, Squared]:
    """The face of a photo at true scale, and what is told of it.

    `corners` are the pixels of the outline's corners, in its order, column and row from the outer
    corner of the first pixel, None for one beyond the picture; without them the face is looked
    for. `others` are outlines of other faces, which the photo may show by mistake. `pitch` mm of
    the squared picture; without it what keeps the photo's detail.

    Raises InputError.
    """
    sighted = sight(picture, outline, corners=corners, sights=sights, others=others)
    grid = grid_for(sighted, pitch)
    return laid_flat(sighted.picture, sighted.solved, outline, grid), told(sighted, grid)


def sight(
    picture: Picture,
    outline: Outline,
    *,
    corners: Sequence[tuple[float, float] | None] | None = None,
    sights: Sights = Sights(),  # noqa: B008  frozen
    others: Sequence[Outline] = (),
) -> Sighted:
    """The view of a photo, solved. Raises InputError for what can't be squared."""
    _refuse_grey(picture)
    known = sights.from_middles()
    ways: tuple[Rounds, ...] = FAR_OFF
    rows, columns = picture.light.shape[:2]
    if corners is not None:
        middles = [None if each is None else (each[0] - 0.5, each[1] - 0.5) for each in corners]
        size = (columns, rows)
        first = view_of_corners(picture.file, middles, outline, size, known.points)
    else:
        first, ways = _found(picture, outline, others), (CLOSE, *FAR_OFF)
    splines = splined(picture.file, picture.light)
    sighted = _solved(splines, outline, first, known, ways)
    _refuse_blurred(sighted)
    _refuse_misfit(sighted, picture, others)
    _refuse_little(sighted)
    return sighted


def grid_for(sighted: Sighted, pitch: float | None) -> Grid:
    """The grid that a photo is laid flat on. Raises InputError for a pitch that is no use."""
    density = density_of(sighted.solved.view, sighted.outline)
    step = pitch_of(density) if pitch is None else pitch
    if not math.isfinite(step) or step <= 0:
        raise InputError(
            sighted.picture.file, "pitch", f"A pixel can't be {step} mm.", "Give 0.2 to 1 mm."
        )
    try:
        return grid_of(sighted.outline, step)
    except ValueError as many:
        raise InputError(
            sighted.picture.file, "pitch", f"At {step} mm to a pixel, {many}.",
            "Give a coarser pitch: 0.4 mm shows what a phone's photo shows.",
        ) from many  # fmt: skip


def told(sighted: Sighted, grid: Grid) -> Squared:
    """What is told of a photo laid flat on a grid."""
    view, outline = sighted.solved.view, sighted.outline
    errors = expected(view, sighted.solved.covariance, outline, sighted.picture.size)
    corners = tuple(
        (round(x, 2), round(y, 2)) for x, y in (pixels_of(view, outline.corners) + 0.5).tolist()
    )
    advice = None
    if errors.worst > ADVISED:
        advice = next_reading(sighted.solved, outline, sighted.picture.size)
    return Squared(
        sighted.picture.file, outline.face, grid.pitch,
        round(1 / density_of(view, outline), 4), errors,
        round(view.k1, 5), round(view.k2, 5), round(sighted.blur, 2), sighted.edges, corners,
        advice, _notes(sighted),
    )  # fmt: skip


def _found(picture: Picture, outline: Outline, others: Sequence[Outline]) -> View:
    first = found(picture.light, outline)
    if first is not None:
        return first.view
    rival = _rival(picture, outline, others)
    _refuse_cut(picture, outline, FOUND if rival is None else rival[0])
    if rival is not None:
        other = rival[1]
        raise InputError(
            picture.file, outline.face,
            f"The photo does not show the outline of {outline.face}, but that of {other.face}.",
            f"Name it as a photo of {other.face}, or take one of {outline.face}.",
        )  # fmt: skip
    raise InputError(
        picture.file, outline.face,
        f"The outline of {outline.face} is not found in the photo.",
        "If the photo shows it, upright, give `corners`: the pixels of"
        f" {', '.join(outline.names)} in this order. If not, take one that shows the whole side"
        " before a wall of another colour.",
    )  # fmt: skip


def _rival(
    picture: Picture, outline: Outline, others: Sequence[Outline]
) -> tuple[float, Outline] | None:
    """Another face that is found in the photo, and how well."""
    for other in others:
        first = None if other.face == outline.face else found(picture.light, other)
        if first is not None:
            return first.score, other
    return None


def _refuse_cut(picture: Picture, outline: Outline, least: float) -> None:
    """Raise InputError for a photo that shows the outline but for one end, better than `least`."""
    partly = found_partly(picture.light, outline)
    if partly is not None and partly[0] > least:
        names = ", ".join(outline.edge_names[edge] for edge in partly[1])
        raise InputError(
            picture.file, outline.face,
            f"The outline of {outline.face} is not whole in the photo: outside it lies {names}.",
            "Step back until the whole side is in the picture, with wall around it, and take it"
            " again; or give `corners`, those outside the picture where they would be.",
        )  # fmt: skip


def _solved(
    picture: Splined, outline: Outline, first: View, sights: Sights, ways: Sequence[Rounds]
) -> Sighted:
    """The best of some ways: edges looked for close to where the face was found, or from further
    off with the lens held until edges are near, or free from the start.

    From further off, the rim of what is bare is taken for the board's edge where it is longer; but
    a photo of a part of the face needs the lens held, and one that bends much the lens free.
    """
    solved: list[Sighted] = []
    faults: list[InputError] = []
    for rounds in ways:
        try:
            solved.append(_adjusted(picture, outline, first, sights, rounds))
        except InputError as loose:
            faults.append(loose)
            continue
        if solved[-1].fit >= WELL:
            break
    if not solved:
        raise faults[0]
    return max(solved, key=lambda each: each.fit)


def _adjusted(
    picture: Splined, outline: Outline, first: View, sights: Sights, rounds: Rounds
) -> Sighted:
    """One way through the rounds. Raises InputError where nothing holds the view."""
    now = started(first, outline)
    blur = FIRST_BLUR
    try:
        for reach, softness, stiffness in rounds:
            places = edge_places(
                picture,
                outline,
                now.corners(outline),
                now.view,
                Search(reach, blur, ROUGHLY),
            )
            seen = Observed(places, sights, picture.size)
            now = adjusted(now, outline, seen, Manner(softness, stiffness, rounds=FEW))
            if softness <= 0.5:
                blur = blur_of(picture, outline, now.corners(outline), now.view, 2.0)
        places = edge_places(picture, outline, now.corners(outline), now.view, Search(LAST, blur))
        now = adjusted(now, outline, Observed(places, sights, picture.size))
        now, places, edges = settled_edges(picture, outline, now, places, sights)
    except (np.linalg.LinAlgError, FloatingPointError) as loose:
        raise InputError(
            picture.file, outline.face, "The photo's edges do not hold the view of the face.",
            "Give `corners` that are right to a few pixels, or take another photo.",
        ) from loose  # fmt: skip
    fit = fits(picture, outline, now, min(blur, BLURS[-1]), NEAR)
    return Sighted(picture, outline, now, places, edges, blur, sights, fit)


def _notes(sighted: Sighted) -> tuple[str, ...]:
    notes = [f"Edge {each.edge}: {each.why}." for each in sighted.edges if each.why]
    shown = shares_in(sighted.picture, sighted.outline, sighted.solved)
    names = _outside(sighted.outline, shown)
    if sighted.fit < WELL:
        notes.append(
            f"Only {sighted.fit:.0%} of the outline has an edge within {NEAR} mm: look at the"
            " squared picture."
        )
    if names:
        notes.append(f"The photo shows only a part of the face; outside it: {names}.")
    return tuple(notes)


def _outside(outline: Outline, shown: np.ndarray) -> str:
    return ", ".join(
        name for name, share in zip(outline.edge_names, shown.tolist(), strict=True)
        if share < SHOWN
    )  # fmt: skip


def _refuse_grey(picture: Picture) -> None:
    some = picture.light[::7, ::7].reshape(-1, 3)
    spread = some.max(axis=1) - some.min(axis=1)
    if float(np.quantile(spread, 0.999)) < GREY:
        raise InputError(
            picture.file, "", "The photo is in black and white, so no colour can be told from it.",
            "Take it in colour.",
        )  # fmt: skip


def _refuse_blurred(sighted: Sighted) -> None:
    if sighted.blur > MOST_BLUR:
        wide = 2.56 * sighted.blur  # from 10 to 90 per cent of a step
        raise InputError(
            sighted.picture.file, sighted.outline.face,
            f"The photo is blurred: its edges are {wide:.0f} pixels wide or more"
            f" ({2.56 * MOST_BLUR:.0f} are the limit).",
            "Hold the phone still or rest it on something, focus on the side, and take it again.",
        )  # fmt: skip


def _refuse_misfit(sighted: Sighted, picture: Picture, others: Sequence[Outline]) -> None:
    outline = sighted.outline
    fit = sighted.fit
    if fit >= FITTING:
        return
    whole = found(picture.light, outline)
    another = _rival(picture, outline, others)
    scores = [FOUND]
    scores += [whole.score + CLEARLY] if whole else []
    scores += [another[0]] if another else []
    _refuse_cut(picture, outline, max(scores))
    for other in others:
        if other.face == outline.face:
            continue
        first = found(picture.light, other)
        if first is None:
            continue
        try:
            rival = _solved(sighted.picture, other, first.view, Sights(), FAR_OFF)
        except InputError:
            continue
        if rival.fit > fit + BETTER:
            raise InputError(
                sighted.picture.file, outline.face,
                f"The photo fits the outline of {other.face} better than that of {outline.face}.",
                f"Name it as a photo of {other.face}, or take one of {outline.face}; if it does"
                f" show that, give `corners`: the pixels of {', '.join(outline.names)}.",
            )  # fmt: skip
    raise InputError(
        sighted.picture.file, outline.face,
        f"The edges in the photo do not fit the outline of {outline.face}: only {fit:.0%} of it"
        f" has an edge within {NEAR} mm.",
        "Check that the photo shows this face, and the tape readings of its outline; give"
        f" `corners`, the pixels of {', '.join(outline.names)}, right to a few pixels.",
    )  # fmt: skip


def _refuse_little(sighted: Sighted) -> None:
    outline = sighted.outline
    errors = expected(sighted.solved.view, sighted.solved.covariance, outline, sighted.picture.size)
    if errors.worst <= MUCH:
        return
    names = _outside(outline, shares_in(sighted.picture, outline, sighted.solved))
    why = f" Outside the picture: {names}." if names else ""
    unused = ", ".join(each.edge for each in sighted.edges if not each.used)
    why += f" Not to be used: {unused}." if unused else ""
    advice = next_reading(sighted.solved, outline, sighted.picture.size)
    raise InputError(
        sighted.picture.file, outline.face,
        f"The photo shows too little of the outline: places would be wrong by {errors.worst:.0f} mm"
        f" near ({errors.worst_at[0]:.0f}, {errors.worst_at[1]:.0f}).{why}",
        f"{advice} Or take a photo that shows the whole outline." if advice
        else "Take a photo that shows the whole outline.",
    )  # fmt: skip
