"""The labels of a face picture: the road through this room.

Stands last in labelling.

    picture ─▶ cells of plain colour ─▶ light and paints ─▶ what is visible ─▶ borders that are
    seen, and their bridges through damage ─▶ what was where nothing is left ─▶ how sure that is
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.bridges import bridges_of
from mateline.capture.labelling.cells import cells_of
from mateline.capture.labelling.filled import between, filled, level_of, weights_of
from mateline.capture.labelling.light import light_of
from mateline.capture.labelling.sureness import sureness_of
from mateline.capture.labelling.visible import visible
from mateline.capture.labels import OUTSIDE, Labels

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labelling.visible import Visible

FINE, COARSE = 0.8, 1.6  # mm: cells that borders are followed in, and those that are filled


def labelled(picture, palette):
    paints = np.array([_linear(ink) for _, ink in palette])
    cells = cells_of(picture)
    light = light_of(cells, paints)
    seen = visible(picture, light, len(paints), cells.noise)
    return _whole(picture, palette, light, seen)


def _whole(picture, palette, light, seen):
    pitch = picture.grid.pitch
    used = np.unique(seen.numbers[seen.core])
    order = np.full(len(palette) + 1, -1, dtype=np.int8)
    order[used] = np.arange(len(used))
    numbers = order[seen.numbers]
    fine, coarse = (max(1, round(size / pitch)) for size in (FINE, COARSE))
    level = level_of(numbers, seen.sound, picture.seen, fine, len(used))
    bridges = bridges_of(level.share, level.known, level.inside, pitch * fine)
    level = level_of(numbers, seen.sound, picture.seen, coarse, len(used))
    weight = weights_of(bridges, coarse / fine, level.known.shape)
    share = filled(level, weight)
    lost = np.flatnonzero((picture.seen & (numbers < 0)).ravel())
    rows, columns = np.divmod(lost, picture.grid.columns)
    guess = between(share, coarse, rows, columns)
    numbers.ravel()[lost] = guess.argmax(axis=1)
    sureness = sureness_of(seen, numbers, picture.seen, level, share, weight, pitch)
    out = np.where(picture.seen, used[numbers], OUTSIDE).astype(np.int16)
    names = tuple(name for name, _ in palette)
    return Labels(picture.grid, names, out, seen.sound & picture.seen, sureness,
                  light.paints[: len(palette)].astype(np.float32))


def _linear(ink):
    from mateline.capture.picture import decoded
    return decoded(np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float32) / 255)
