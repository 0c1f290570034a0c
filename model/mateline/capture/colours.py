"""Colours of pictures: CIE L*a*b*, how far two of them look apart, and what the paint measures.

Stands after labels. Source: CIE 15:2004 (L*a*b*); Sharma, Wu and Dalal, The CIEDE2000
color-difference formula, Color Research and Application 30 (2005), by scikit-image.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.capture.picture import decoded
from mateline.products import inverted, product

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labels import Labels
    from mateline.capture.picture import Picture
    from mateline.curves import Point

    Floats = NDArray[np.float64]

# Linear sRGB to CIE XYZ, D65. Source: IEC 61966-2-1:1999, 5.2 (Amendment 1 for the inverse).
XYZ = np.array([
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
])  # fmt: skip
SAMPLES = 20_000  # pixels of a colour that a median is taken of, spread evenly
LEAST_PIXELS = 50
SURE = 0.9
EVEN = 3  # rounds of evening the light: slope and bend over the picture
FAINT = 0.02  # linear: what is darker says little of the light
BURNT = 0.98  # linear: what is brighter is as bright as the photo can say
FEW = 0.02  # share of a card that may be burnt out
PLAIN = 0.3  # share of its light that a card may vary by: noise and a slope of the light


@dataclass(frozen=True, slots=True)
class Card:
    """A grey or white card: the light (3,) that comes from it, linear, where in the plane of the
    face it lies (mm), and which share of the light it sends back, 0 to 1.
    """

    light: tuple[float, float, float]
    at: Point
    reflectance: float = 0.18


class CardError(ValueError):
    """The card can't be used; the message says what is wrong with it."""


@dataclass(frozen=True, slots=True)
class MeasuredPaint:
    """A colour's paint as the picture has it: L*a*b* and sRGB as #rrggbb, from `pixels`; how far it
    looks from the palette's colour (CIEDE2000); None where too little of it is sound.
    """

    name: str
    lab: tuple[float, float, float] | None
    ink: str | None
    difference: float | None
    pixels: int


def lab_of(light: NDArray[Any]) -> Floats:
    """L*a*b* of linear light (..., 3), 0 to 1, under D65. Source: CIE 15:2004, 8.2.1."""
    flat = np.asarray(light, dtype=np.float64).reshape(-1, 3)
    white = XYZ.sum(axis=1)
    share = product(flat, XYZ.T) / white
    bent = np.where(
        share > (6 / 29) ** 3, np.cbrt(np.maximum(share, 0)), share * (29 / 6) ** 2 / 3 + 4 / 29
    )
    x, y, z = bent.T
    lab = np.column_stack([116 * y - 16, 500 * (x - y), 200 * (y - z)])
    return lab.reshape(np.shape(light))


def ink_light(ink: str) -> Floats:
    """Linear light (3,) of a colour written as #rrggbb."""
    values = np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float32)
    return decoded(values / np.float32(255)).astype(np.float64)


def difference(left: NDArray[Any], right: NDArray[Any]) -> Floats:
    """CIEDE2000 between colours in L*a*b*, (..., 3) each."""
    from skimage.color import deltaE_ciede2000  # noqa: PLC0415  slow to import

    found: Floats = np.asarray(
        deltaE_ciede2000(left, right),  # type: ignore[no-untyped-call]
        dtype=np.float64,
    )
    return found


def nearest(lab: NDArray[Any], palette: NDArray[Any]) -> NDArray[np.intp]:
    """Which colour of `palette` (k, 3) each `lab` (n, 3) looks nearest to, the first of equals."""
    far = np.column_stack([difference(lab, np.broadcast_to(each, lab.shape)) for each in palette])
    found: NDArray[np.intp] = np.argmin(np.round(far, 6), axis=1)
    return found


def measured_paints(
    labels: Labels, picture: FacePicture, palette: Mapping[str, str], card: Card | None = None
) -> tuple[MeasuredPaint, ...]:
    """What each colour of the labels measures, from sound pixels, the light made even.

    `palette` has the colours as #rrggbb. How bright the light was is told by the card; without one
    by the palette itself, so that only what differs between colours is then measured, not a
    fading that they share.
    """
    samples = [_sampled(labels, picture, at) for at in range(len(labels.colours))]
    inks = np.array([ink_light(palette[name]) for name in labels.colours])
    gain = _evened(samples, labels)
    level = _of_card(picture, card, gain) if card else _of_palette(samples, gain, inks)
    found = []
    for name, (places, light), ink in zip(labels.colours, samples, inks, strict=True):
        if len(light) < LEAST_PIXELS:
            found.append(MeasuredPaint(name, None, None, None, len(light)))
            continue
        even = np.median(light / (gain(places)[:, None] * level), axis=0)
        lab = np.round(lab_of(even), 3)
        apart = float(np.round(difference(lab, lab_of(ink)), 3))
        found.append(MeasuredPaint(name, _three(lab), _written(even), apart, len(light)))
    return tuple(found)


def card_light(picture: Picture, pixels: tuple[Point, Point]) -> tuple[float, float, float]:
    """Light from the card whose plain part lies between two pixels of a photo.

    Raises CardError where it is beyond the photo, too small, not plain, burnt out or too dark.
    """
    (first, last), (top, bottom) = (sorted(each) for each in zip(*pixels, strict=True))
    rows, columns = picture.light.shape[:2]
    if first < 0 or top < 0 or last > columns or bottom > rows:
        raise CardError(f"It lies beyond the photo, which has {columns} by {rows} pixels.")
    box = picture.light[math.ceil(top) : math.floor(bottom), math.ceil(first) : math.floor(last)]
    light = box.reshape(-1, 3).astype(np.float64)
    if len(light) < LEAST_PIXELS:
        raise CardError(f"It is {len(light)} pixels large, which is too small.")
    if (light.max(axis=1) > BURNT).mean() > FEW:
        raise CardError("It is burnt out: no more than white can be seen of it.")
    low, middle, high = np.percentile(light.sum(axis=1), (10, 50, 90))
    if middle < 3 * FAINT:
        raise CardError("It is too dark to say anything.")
    if high - low > PLAIN * middle:
        raise CardError("What lies there is not plain: some of it is much brighter.")
    return _three(np.round(np.median(light, axis=0), 6))


def _three(lab: Floats) -> tuple[float, float, float]:
    lightness, a, b = lab.tolist()
    return lightness, a, b


def _written(light: Floats) -> str:
    from mateline.capture.picture import encoded  # noqa: PLC0415

    values = np.round(encoded(np.clip(light, 0, 1).astype(np.float32)) * 255).astype(int)
    return "#" + "".join(f"{each:02x}" for each in values.tolist())


def _sampled(labels: Labels, picture: FacePicture, number: int) -> tuple[Floats, Floats]:
    """Places in the picture, -1 to 1, (n, 2), and light (n, 3), of sound pixels of a colour."""
    kept = (labels.numbers == number) & labels.sound & (labels.sureness >= SURE) & picture.seen
    at = np.flatnonzero(kept)
    if len(at) > SAMPLES:
        at = at[np.arange(SAMPLES) * len(at) // SAMPLES]
    rows, columns = labels.numbers.shape
    row, column = np.divmod(at, columns)
    places = np.column_stack([2 * (column + 0.5) / columns - 1, 2 * (row + 0.5) / rows - 1])
    return places, picture.light.reshape(-1, 3)[at].astype(np.float64)


def _terms(places: Floats) -> Floats:
    x, y = places.T
    return np.column_stack([x, y, x * x, x * y, y * y])


def _evened(samples: list[tuple[Floats, Floats]], labels: Labels) -> Any:
    """How much light falls where, 1 in the middle: a function of places.

    The logarithm of each colour's light, less its median, is a slope and a bend of the place.
    """
    rows, values = [], []
    for (places, light), _ in zip(samples, labels.colours, strict=True):
        bright = light.sum(axis=1)
        kept = bright > 3 * FAINT
        if kept.sum() < LEAST_PIXELS:
            continue
        terms, level = _terms(places[kept]), np.log(bright[kept])
        # each colour has a level of its own: what remains is about its mean
        rows.append(terms - terms.mean(axis=0))
        values.append(level - level.mean())
    slope: Any = np.zeros(5)
    if rows:
        terms, level = np.vstack(rows), np.concatenate(values)
        weight = np.ones(len(level))
        for _ in range(EVEN):
            wide = terms * weight[:, None]
            normal = product(wide.T, terms) + np.eye(5) * 1e-3
            slope = product(inverted(normal), product(wide.T, level))
            off = np.abs(level - product(terms, slope))
            weight = 1 / np.maximum(1, off / max(1e-6, 2 * float(np.median(off))))
    kept_slope = np.round(slope, 6)

    def gain(places: Floats) -> Floats:
        found: Floats = np.exp(product(_terms(places), kept_slope))
        return found

    return gain


def _of_card(picture: FacePicture, card: Card, gain: Any) -> Floats:
    """Light (3,) that white would send back in the middle, told by the card."""
    grid = picture.grid
    pixel = grid.pixels(np.array([card.at]))
    place = 2 * (pixel + 0.5) / [grid.columns, grid.rows] - 1
    # beside the face its light is that of the rim: a bend goes wild beyond what it was fitted to
    level = np.array(card.light) / float(gain(np.clip(place, -1.0, 1.0))[0])
    found: Floats = np.maximum(level / card.reflectance, 1e-6)
    return found


def _of_palette(samples: list[tuple[Floats, Floats]], gain: Any, inks: Floats) -> Floats:
    """The same told by the palette: the median over colours of what they send back to it."""
    levels = [
        np.median(light / gain(places)[:, None], axis=0) / np.maximum(ink, 0.01)
        for (places, light), ink in zip(samples, inks, strict=True)
        if len(light) >= LEAST_PIXELS and float(ink.max()) > FAINT
    ]
    if not levels:
        return np.ones(3)
    found: Floats = np.maximum(np.median(np.array(levels), axis=0), 1e-6)
    return found
