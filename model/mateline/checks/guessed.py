"""What a traced drawing only guesses: borders that no sound paint shows.

Stands beside the other checks. Tracing leaves an unpainted element called "guessed-14mm-3" in the
drawing for each, so whoever draws a guess right, or deletes it, has settled it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.checks.findings import Finding
from mateline.checks.places import face_of, size, spot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.checks.findings import PlacedArt, Subject
    from mateline.placing.placed import Guess

TOGETHER = 25.0  # mm: guesses nearer to each other than this are one place to look at


def check(subject: Subject) -> tuple[Finding, ...]:
    """`art-guessed` for each place of a face where borders were guessed."""
    return tuple(
        _finding(place, art, subject)
        for art in subject.art
        if art.guesses
        for place in _places(art.guesses)
    )


def _places(guesses: Sequence[Guess]) -> list[list[Guess]]:
    """Guesses that lie near one another, together, the longest first."""
    points = shapely.points([each.at for each in guesses])
    areas = shapely.get_parts(shapely.union_all(shapely.buffer(points, TOGETHER / 2)))
    home = np.argmax(shapely.intersects(areas[:, None], points[None]), axis=0)
    together = [[g for g, h in zip(guesses, home, strict=True) if h == k] for k in set(home)]
    for each in together:
        each.sort(key=lambda guess: (-guess.length, guess.at))
    return sorted(together, key=lambda place: place[0].at)


def _finding(place: Sequence[Guess], art: PlacedArt, subject: Subject) -> Finding:
    longest = place[0]
    length = sum(guess.length for guess in place)
    names = ", ".join(guess.element for guess in place[:3])
    more = f" and {len(place) - 3} more" if len(place) > 3 else ""
    where = spot(longest.at, subject.tape, face_of(art.face, subject.stencils))
    borders = "A border" if len(place) == 1 else f"{len(place)} stretches of borders"
    return Finding(
        "art-guessed",
        "warn",
        f"{borders} of {art.drawing}, {size(length, subject.tape)} in all, {where}: no sound paint "
        "shows where it ran, so it was guessed.",
        "Look at it on the cabinet. If it is right, settle it with [[settled]]; else draw it right "
        f"and delete {names}{more} from the drawing.",
        face=art.face,
        at=longest.at,
    )
