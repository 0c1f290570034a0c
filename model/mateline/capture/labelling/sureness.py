"""How sure a label is, told from how far it is from what is seen and from a border.

Stands after filled.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.filled import between

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]


def sureness_of(seen, numbers, inside, level, share, weight, pitch):
    """For each pixel, 0 to 1: of the pixels that have s, a share of s is right."""
    f = features(seen, numbers, inside, level, share, weight, pitch)
    sureness = np.where(seen.core, 1.0, 0.0).astype(np.float32)
    sureness[~inside] = 0
    return sureness


def features(seen, numbers, inside, level, share, weight, pitch):
    from scipy import ndimage

    side = level.side
    major = share.argmax(axis=2)
    deep = ndimage.distance_transform_edt(~level.known) * side * pitch
    edge = np.zeros(major.shape, dtype=bool)
    edge[:, 1:] |= major[:, 1:] != major[:, :-1]
    edge[1:] |= major[1:] != major[:-1]
    edge[:, :-1] |= major[:, 1:] != major[:, :-1]
    edge[:-1] |= major[1:] != major[:-1]
    border = ndimage.distance_transform_edt(~edge) * side * pitch
    ordered = np.sort(share, axis=2)
    margin = ordered[..., -1] - ordered[..., -2]
    table = np.stack([deep, border, margin], axis=2).astype(np.float32)
    at = np.flatnonzero((inside & ~seen.core).ravel())
    rows, columns = np.divmod(at, inside.shape[1])
    return at, between(table, side, rows, columns)
