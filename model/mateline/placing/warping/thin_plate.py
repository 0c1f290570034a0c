"""The thin-plate spline: the smoothest map of the plane that takes given points to given points.

Stands after similarity, before warp. Of all maps that meet the points it bends least: it has the
least integral of its second derivatives squared. Far from the points it is nearly affine, and where
the points ask for an affine map it is that map. Source: J. Duchon, "Splines minimizing
rotation-invariant semi-norms in Sobolev spaces" (1977); F. L. Bookstein, "Principal warps:
thin-plate splines and the decomposition of deformations", IEEE PAMI 11 (1989).

    f(p) = a + b x + c y + sum w_i U(|p - p_i|)     U(r) = r² ln r²
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import LENGTH_DECIMALS, inverted, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FLAT = 1e-6  # no unit: how thin a cloud of points may be and still span a plane
ROWS = 4096  # points that are carried at once: their distances to all centres are kept


@dataclass(frozen=True, slots=True)
class ThinPlate:
    """A shift of every point, (n, 2) to (n, 2), mm: what is added to a place.

    `centres` (k, 2) are in units of `unit` mm about `middle`; `weights` (k, 2) are of U, and
    `plane` (3, 2) of 1, x and y.
    """

    centres: Array
    weights: Array
    plane: Array
    middle: Array
    unit: float

    def shifts(self, points: Array) -> Array:
        """By how much points (n, 2) are moved, mm."""
        found = [self._shifts(points[at : at + ROWS]) for at in range(0, len(points), ROWS)]
        total: Array = np.concatenate(found) if found else np.empty((0, 2))
        # Logarithms differ in the last bit from processor to processor.
        return np.round(total, LENGTH_DECIMALS)

    def _shifts(self, points: Array) -> Array:
        own = (points - self.middle) / self.unit
        total: Array = self.plane[0] + product(own, self.plane[1:])
        for centre, weight in zip(self.centres, self.weights, strict=True):
            x, y = (own - centre).T
            total = total + _bending(x * x + y * y)[:, None] * weight
        return total

    def slopes(self, points: Array) -> Array:
        """How the shift changes about points (n, 2): (n, 2, 2), the change of x' and of y' along x
        in the first row.
        """
        own = (points - self.middle) / self.unit
        total: Array = np.repeat(self.plane[None, 1:] / self.unit, len(points), axis=0)
        for centre, weight in zip(self.centres, self.weights, strict=True):
            away = own - centre
            square = away[:, 0] * away[:, 0] + away[:, 1] * away[:, 1]
            steep = np.where(square > 0, 2 * (np.log(np.where(square > 0, square, 1.0)) + 1), 0.0)
            total = total + (steep[:, None] * away)[:, :, None] * (weight / self.unit)
        return total


def thin_plate(places: Array, shifts: Array) -> ThinPlate:
    """The spline that moves `places` (k, 2) by `shifts` (k, 2), mm.

    Raises ValueError where fewer than three places are given, or they lie in a line, or two are in
    one place.
    """
    count = len(places)
    middle = places.sum(axis=0) / count
    away = places - middle
    unit = float(np.sqrt((away * away).sum() / count))
    if count < 3 or not unit > 0:
        raise ValueError("three places at least span a plane")
    own = away / unit
    x, y = own.T
    spread = (x * x).sum() * (y * y).sum() - (x * y).sum() ** 2
    apart = own[:, None] - own[None]
    square = apart[..., 0] * apart[..., 0] + apart[..., 1] * apart[..., 1]
    if spread < FLAT * count * count or (square + np.eye(count)).min() < FLAT * FLAT:
        raise ValueError("the places lie in a line, or two of them in one place")
    plane = np.column_stack([np.ones(count), own])
    system = np.zeros((count + 3, count + 3))
    system[:count, :count] = _bending(square)
    system[:count, count:] = plane
    system[count:, :count] = plane.T
    wanted = np.zeros((count + 3, 2))
    wanted[:count] = shifts
    undone = inverted(system)
    found = product(undone, wanted)
    # What rounding left in the first go, once more: corners have to be met to the last digits.
    found = found + product(undone, wanted - product(system, found))
    return ThinPlate(own, found[:count], found[count:], middle, unit)


def _bending(square: Array) -> Array:
    """U of the square of a distance, which is 0 at 0."""
    found: Array = square * np.log(np.where(square > 0, square, 1.0))
    return found
