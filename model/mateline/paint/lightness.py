"""How light a colour is: CIE L* of an sRGB paint.

Stands first in paint. Source: IEC 61966-2-1 (sRGB to linear), CIE 15 (L*); the row of the
matrix for Y as fractions from W3C CSS Color 4. For a grey axis the white point is of no matter.
"""

from __future__ import annotations

_Y = (87098 / 409605, 175762 / 245763, 12673 / 175545)
_EPSILON = 216 / 24389
_KAPPA = 24389 / 27


def lightness(paint: str) -> float:
    """L*, 0 (black) to 100 (white), of "#rrggbb"."""
    y = sum(share * channel for share, channel in zip(_Y, linear(paint), strict=True))
    return float(116 * y ** (1 / 3) - 16 if y > _EPSILON else _KAPPA * y)


def linear(paint: str) -> tuple[float, ...]:
    """Linear light of "#rrggbb", 0 to 1 a channel (IEC 61966-2-1)."""
    return tuple(_linear(int(paint[at : at + 2], 16) / 255) for at in (1, 3, 5))


def _linear(channel: float) -> float:
    if channel <= 0.04045:
        return channel / 12.92
    return float(((channel + 0.055) / 1.055) ** 2.4)
