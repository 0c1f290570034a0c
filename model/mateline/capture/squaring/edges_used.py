"""Which edges a photo is squared by, and why the others are not.

Stands after the adjustment. An edge that the wall looks like, one that is out of the picture or
lies beside the outline as a whole is left out; one that bows is taken with its bow. Each is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.adjustment import (
    LEAST_PLACES,
    Manner,
    Observed,
    adjusted,
    bow_tests,
)
from mateline.capture.squaring.edge_places import (
    ROUGHLY,
    EdgePlaces,
    Search,
    edge_places,
    none_of,
)
from mateline.capture.squaring.outline import lengths, places_on
from mateline.capture.squaring.splines import inside
from mateline.capture.squaring.view import pixels_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.adjustment import Solved
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.sights import Sights
    from mateline.capture.squaring.splines import Splined

    Floats = NDArray[np.float64]

FEWEST = 5  # places that an edge is taken for
MOSTLY = 0.9  # share of each edge that a photo of the whole face shows
SEEN = 0.25  # share of the places looked at that an edge must show
FITTING = 0.35  # share of its places that must count
BOW_SURE, BOW_LEAST = 4.0, 0.1  # deviations and mm that a bow must be


@dataclass(frozen=True, slots=True)
class EdgeUse:
    """What became of an edge: `points` that count, `rms` mm from the model, and in `why` the
    reason if it was left out or taken as bowed.
    """

    edge: str
    points: int
    rms: float
    used: bool
    why: str = ""


def settled_edges(
    picture: Splined,
    outline: Outline,
    solved: Solved,
    places: tuple[EdgePlaces, ...],
    sights: Sights,
) -> tuple[Solved, tuple[EdgePlaces, ...], tuple[EdgeUse, ...]]:
    """The adjustment with sound edges only and with the bows that show, and what became of each."""
    shown = shares_in(picture, outline, solved)
    why = [
        _fault(each, counted, left, float(share), density)
        for each, counted, left, share, density in zip(
            places, solved.counted, solved.left, shown, _densities(outline, solved), strict=True
        )
    ]
    kept = tuple(
        each if not fault else _without(each) for each, fault in zip(places, why, strict=True)
    )
    observed = Observed(kept, sights, picture.size)
    solved = adjusted(solved, outline, observed)
    solved = _with_bows(solved, outline, observed)
    if all(share > MOSTLY for share in shown.tolist()):
        # a photo of a part hangs on few edges: there the whole of each must carry it
        bowed = tuple(edge for edge, _ in solved.bows)
        solved = adjusted(solved, outline, observed, Manner(by_look=True), bowed=bowed)
    bows = dict(solved.bows)
    uses = []
    for edge, (each, fault, density) in enumerate(
        zip(kept, why, _densities(outline, solved), strict=True)
    ):
        counted, left = solved.counted[edge], solved.left[edge]
        weight = float(counted.sum())
        rms = float(np.sqrt((counted * left * left).sum() / weight) / density) if weight else 0.0
        reason = fault
        if edge in bows:
            way = "outwards" if bows[edge] > 0 else "inwards"
            reason = f"bows {way} by {abs(bows[edge]):.1f} mm at its middle; taken so"
        name, points = outline.edge_names[edge], int((counted > 0).sum())
        uses.append(EdgeUse(name, points, round(rms, 3), len(each) > 0, reason))
    return solved, kept, tuple(uses)


def shares_in(picture: Splined, outline: Outline, solved: Solved) -> Floats:
    """Share of each edge that the picture shows."""
    share = (np.arange(40) + 0.5) / 40
    return np.array([
        inside(
            picture, pixels_of(solved.view, places_on(outline, outline.corners, edge, share)), 2.0
        ).mean()
        for edge in range(len(outline))
    ])  # fmt: skip


def fits(
    picture: Splined, outline: Outline, solved: Solved, blur: float, tolerance: float
) -> float:
    """Share of the outline that the photo has within `tolerance` mm of the model, 0 to 1.

    Of what it shows of the outline: edges beyond the picture say nothing.
    """
    density = _densities(outline, solved)
    reach = max(4.0, 2.5 * tolerance * float(np.median(density)))
    places = edge_places(
        picture, outline, solved.corners(outline), solved.view, Search(reach, blur, ROUGHLY)
    )
    long = lengths(outline) * shares_in(picture, outline, solved)
    total = 0.0
    for edge, each in enumerate(places):
        if each.looked_at:
            model = pixels_of(
                solved.view, places_on(outline, solved.corners(outline), edge, each.shares)
            )
            off = np.abs(((each.pixels - model) * each.normals).sum(axis=1))
            near = int((off < tolerance * density[edge]).sum())
            total += float(long[edge]) * near / each.looked_at
    return round(total / max(float(long.sum()), 1e-9), 4)


def _densities(outline: Outline, solved: Solved) -> Floats:
    """Pixels to a mm along each edge."""
    found = []
    for edge, long in enumerate(lengths(outline).tolist()):
        at = pixels_of(
            solved.view, places_on(outline, outline.corners, edge, np.array([0.45, 0.55]))
        )
        found.append(float(np.hypot(*(at[1] - at[0]))) / (0.1 * long))
    return np.array(found)


def _fault(places: EdgePlaces, counted: Floats, left: Floats, share: float, density: float) -> str:
    """Why an edge is left out; "" if it is not."""
    if share < 0.05 or places.looked_at < 3:
        return "outside the picture, or too short in it"
    if len(places) < max(FEWEST, SEEN * places.looked_at):
        return "does not stand out: wall and board look alike there"
    if int((counted > 0).sum()) < FITTING * len(places):
        beside = abs(float(np.median(left))) / density
        return (
            f"what shows lies {beside:.1f} mm beside the outline: a scratch, or something covers it"
        )
    return ""


def _without(places: EdgePlaces) -> EdgePlaces:
    return none_of(places.edge, places.looked_at)


def _with_bows(solved: Solved, outline: Outline, observed: Observed) -> Solved:
    """One bow after the other, the surest first, as long as one is sure."""
    for _ in range(max(1, len(outline) // 3)):
        tests = bow_tests(solved, outline, observed)
        sure = np.zeros(len(outline))
        for places, (bow, deviation) in zip(observed.edges, tests, strict=True):
            straight = outline.edges[places.edge].centre is None
            if straight and abs(bow) > BOW_LEAST and len(places) > 2 * LEAST_PLACES:
                sure[places.edge] = round(abs(bow) / deviation, 3)
        edge = int(np.argmax(sure))
        if sure[edge] < BOW_SURE:
            break
        bowed = (*(each for each, _ in solved.bows), edge)
        solved = adjusted(solved, outline, observed, bowed=bowed)
    return solved
