"""The labels of a face picture: the road through this room.

Stands last in labelling.

    picture ─▶ cells of plain colour ─▶ light and paints ─▶ what is visible ─▶ borders that are
    seen, and their bridges through damage ─▶ what was where nothing is left ─▶ how sure that is
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.bridges import bridges_of
from mateline.capture.labelling.cells import SMALL, cells_of
from mateline.capture.labelling.filled import between, filled, level_of, weights_of
from mateline.capture.labelling.found import MOST, found_paints
from mateline.capture.labelling.light import light_of
from mateline.capture.labelling.sureness import sureness_of
from mateline.capture.labelling.visible import visible
from mateline.capture.labels import OUTSIDE, Labels
from mateline.capture.picture import decoded, encoded
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labelling.cells import Cells
    from mateline.capture.labelling.visible import Visible

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

FINE, COARSE = 0.8, 1.6  # mm: cells that borders are followed in, and those that are filled
PAINTED = 0.02  # share of the face that has to be paint for its light to be known
PLAIN = 50  # cells of plain colour that tell the light at least
SPECK = 8  # pixels of damage that touch: no chip, and no scratch, is as small
NOISY = 0.08  # share of full white: cells that are as uneven as that are no plain colour


def labelled(
    picture: FacePicture,
    palette: Sequence[tuple[str, str]] | None = None,
    wood: Sequence[str] | None = None,
    *,
    file: str = "",
) -> Labels:
    """Which of the colours of `palette` (name, "#rrggbb") each pixel of a face had.

    Colours of the palette are as the paint is on a screen, about: light, tint and fading are found
    with them. Without a palette the picture's own colours are, named "colour 1" and on. `wood` has
    the colours of bare wood, primer and filler where somebody knows them. `file` is what messages
    call the picture.

    Raises InputError where there are not two paints to tell apart, or hardly any paint at all.
    """
    cells = cells_of(picture)
    if len(cells.light) < PLAIN or cells.noise > NOISY:
        raise InputError(
            file, picture.face, "There is no plain area of paint in the picture.",
            "Take a photo that is in focus and shows paint.",
        )  # fmt: skip
    names, inks = _asked(cells, palette, file, picture.face)
    others = None if wood is None else np.array([_linear(ink) for ink in wood]).reshape(-1, 3)
    light = light_of(
        cells, inks, others, small=lambda: cells_of(picture, SMALL), met=palette is None
    )
    seen = visible(picture, light, len(names), cells.noise)
    used = np.unique(seen.numbers[seen.core])
    if seen.core.sum() < PAINTED * picture.seen.sum():
        raise InputError(
            file, picture.face, "Hardly any of it is one of the colours: nearly all looks bare.",
            "Name the colours as they are on the face, or trace the other side.",
        )  # fmt: skip
    if len(used) < 2:
        raise InputError(
            file, picture.face, f"Only {names[used[0]]} can be seen, so there is no border.",
            "Name the other colours as they are on the face.",
        )  # fmt: skip
    numbers, sureness = _filled(picture, seen, used)
    return Labels(
        picture.grid, names, numbers, _clear(seen, picture.seen), sureness,
        light.paints[: len(names)].astype(np.float32),
    )  # fmt: skip


def absent(labels: Labels) -> tuple[str, ...]:
    """Colours of the palette that the picture has nowhere."""
    present = np.unique(labels.numbers)
    return tuple(name for at, name in enumerate(labels.colours) if at not in present)


def proposed(labels: Labels) -> tuple[tuple[str, str], ...]:
    """A palette, (name, "#rrggbb"), of the paints as they are in this picture."""
    eight = np.round(encoded(np.clip(labels.paints, 0, 1)) * 255).astype(int)
    return tuple(
        (name, f"#{red:02x}{green:02x}{blue:02x}")
        for name, (red, green, blue) in zip(labels.colours, eight.tolist(), strict=True)
    )


def _asked(
    cells: Cells, palette: Sequence[tuple[str, str]] | None, file: str, face: str
) -> tuple[tuple[str, ...], Floats]:
    """Names and linear colours (n, 3) of the palette that was given or found."""
    if palette is None:
        inks = found_paints(cells)
        if len(inks) < 2:
            raise InputError(
                file, face, f"Flat areas of {len(inks)} colour(s) were found, not of two or more.",
                "Name the colours in a palette.",
            )  # fmt: skip
        return tuple(f"colour {number}" for number in range(1, len(inks) + 1)), inks
    if not 2 <= len(palette) <= MOST:
        raise InputError(
            file, face, f"A palette has from 2 to {MOST} colours, not {len(palette)}.",
            "Name every colour that is on the face, wood and primer not among them.",
        )  # fmt: skip
    return tuple(name for name, _ in palette), np.array([_linear(ink) for _, ink in palette])


def _linear(ink: str) -> Floats:
    """Linear light of "#rrggbb"."""
    values = np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float32)
    return decoded(values / np.float32(255)).astype(np.float64)


def _filled(
    picture: FacePicture, seen: Visible, used: NDArray[np.int8]
) -> tuple[NDArray[np.int16], NDArray[np.float32]]:
    """Numbers of all pixels and how sure they are; `used` are the paints that were seen."""
    pitch, columns = picture.grid.pitch, picture.grid.columns
    order = np.full(int(used[-1]) + 2, -1, dtype=np.int8)
    order[used] = np.arange(len(used))
    # a mixture may be of a paint that has no core; it counts as lost
    numbers = np.where(seen.numbers <= used[-1], order[seen.numbers], np.int8(-1))
    fine, coarse = (max(1, round(size / pitch)) for size in (FINE, COARSE))
    level = level_of(numbers, seen.sound, picture.seen, fine, len(used))
    bridges = bridges_of(level.share, level.known, level.inside, pitch * fine)
    level = level_of(numbers, seen.sound, picture.seen, coarse, len(used))
    share = filled(level, weights_of(bridges, coarse / fine, level.known.shape))
    lost = np.flatnonzero((picture.seen & (numbers < 0)).ravel())
    numbers.ravel()[lost] = between(share, coarse, *np.divmod(lost, columns)).argmax(axis=1)
    sureness = sureness_of(seen, lost, level, share, pitch)
    sureness[~picture.seen] = 0
    return np.where(picture.seen, used[numbers], OUTSIDE).astype(np.int16), sureness


def _clear(seen: Visible, inside: Bools) -> Bools:
    """Sound pixels that no damage touches: at its rim a pixel is a little of both. A speck by
    itself is what noise, or a phone's sharpening beside a border, makes of paint.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import

    damage = inside & ~seen.sound
    own, _ = ndimage.label(damage, np.ones((3, 3), dtype=bool))
    speck = np.bincount(own.ravel()) <= SPECK
    speck[0] = False
    specks = speck[own]
    damage = ndimage.minimum_filter(damage & ~specks, 3, mode="constant")
    clear: Bools = (seen.sound | specks) & inside
    clear &= ~ndimage.maximum_filter(damage, 5, mode="constant")
    return clear
