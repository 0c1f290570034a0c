"""Labels with the faults that telling paint from damage makes, so that tracing is tried on them
alone: ragged borders behind damage, blots of other colours, borders whose mixed pixels pass for a
third colour, damage that was not noticed.
"""

from dataclasses import replace

import numpy as np
from scipy import ndimage

from mateline.capture.labels import OUTSIDE


def spoilt(labels, seed=0, ragged=1.2, blots=0.006, mixed=0.03, unnoticed=0.03):
    """`ragged`, mm: how far borders behind damage are off (rms); shares of the inside that is
    blots, of border pixels that are `mixed` up, of damage that is `unnoticed`.
    """
    chance = np.random.default_rng(seed)
    numbers, pitch = labels.numbers.copy(), labels.grid.pitch
    inside = numbers != OUTSIDE
    hurt = inside & ~labels.sound
    deep = ndimage.distance_transform_edt(hurt) * pitch
    reach = (np.clip(deep / 2, 0, 1) * ragged / pitch).astype(np.float32)
    row, column = np.indices(numbers.shape, dtype=np.float32)
    off = [_waves(numbers.shape, 3 / pitch, chance) * reach for _ in range(2)]
    at = [
        np.clip(np.round(each + shift).astype(int), 0, size - 1)
        for each, shift, size in zip((row, column), off, numbers.shape, strict=True)
    ]
    moved = numbers[at[0], at[1]]
    numbers = np.where(hurt & (moved != OUTSIDE), moved, numbers)
    count = len(labels.colours)
    rough = _waves(numbers.shape, 1.2 / pitch, chance) + 0.8 * hurt
    blot = inside & (rough > np.quantile(rough[inside], 1 - blots))
    numbers = np.where(blot, chance.integers(count), numbers)
    edge = inside & (ndimage.maximum_filter(numbers, 3) != ndimage.minimum_filter(numbers, 3))
    wrong = edge & (_waves(numbers.shape, 4 / pitch, chance) > _normal_quantile(1 - mixed, chance))
    numbers = np.where(wrong, chance.integers(count), numbers)
    missed = _waves(numbers.shape, 2 / pitch, chance) > _normal_quantile(1 - unnoticed, chance)
    sound = labels.sound | (hurt & missed)
    return replace(labels, numbers=numbers.astype(np.int16), sound=sound)


def _waves(shape, size, chance):
    """Noise of unit variance whose bumps are `size` pixels wide."""
    small = chance.standard_normal((int(shape[0] / size) + 4, int(shape[1] / size) + 4))
    wide = ndimage.zoom(small.astype(np.float32), size, order=1)[: shape[0], : shape[1]]
    return wide / wide.std()


def _normal_quantile(share, chance):
    return float(np.quantile(chance.standard_normal(100_000), share))
