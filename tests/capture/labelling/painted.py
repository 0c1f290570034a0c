"""Pictures of tests, painted from numbers: light, haze and noise that are known to the digit."""

import numpy as np

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.picture import decoded

CREAM, NAVY, RED, MUSTARD, TEAL = "#efe3c4", "#1f2f57", "#b3271e", "#d99a1c", "#1f8a85"
WOOD, PRIMER = "#b98d5e", "#8d8a84"
PITCH = 0.4


def linear(ink):
    return decoded(np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)]) / 255)


def flat(numbers, inks):
    """Light (rows, columns, 3) of numbered colours under white light."""
    return np.array([linear(ink) for ink in inks])[numbers]


def grained(shape):
    """How bright wood is from place to place: grain as broad as a finger, along the columns."""
    row, column = np.mgrid[: shape[0], : shape[1]] * PITCH
    return 1 + 0.12 * np.sin(0.35 * column + 2 * np.sin(0.01 * row))


def lit(light, gain=0.75, haze=0.03, tint=(1.0, 0.98, 0.93), noise=0.006, seed=1):
    """A face picture of it: gain and haze are numbers or fields (rows, columns)."""
    chance = np.random.default_rng(seed)
    gain, haze = (np.asarray(each)[..., None] for each in (gain, haze))
    seen = light * gain * np.array(tint) + haze
    seen = seen + noise * chance.standard_normal(seen.shape)
    rows, columns = light.shape[:2]
    grid = Grid(rows, columns, PITCH, 0.0, 0.0)
    clipped = np.clip(seen, 0, 1).astype(np.float32)
    return FacePicture("left", grid, clipped, np.ones((rows, columns), dtype=bool))
