"""Tapes: how finely one is read, and how far it may be out.

Stands beside the readings. A reading's standard deviation has two parts, both taken as uniform:
the tape's own error within the limit of its accuracy class, and reading the nearest graduation.

    limit +-a  ->  a / sqrt(3)      graduation q  ->  q / sqrt(12)

Source: JCGM 100:2008 (GUM) 4.3.7 and F.2.2.1. Sag, temperature (0.23 mm in 2 m at 10 K) and a
tape that was not held straight are not in here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

# mm in one unit. NIST SP 811 Appendix B: the inch is 25.4 mm exactly. Never the survey foot.
MM = MappingProxyType(
    {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "m": Fraction(1000),
        "in": Fraction(127, 5),
        "ft": Fraction(1524, 5),
    }
)

# Directive 2014/32/EU, Annex X (MI-008), chapter I, tables 1 and 2: +-(a + b L) mm, L in m rounded
# up to the next whole metre; c more where an end of the interval is a surface (hook or butt end).
_EU = MappingProxyType({"I": (0.1, 0.1, 0.1), "II": (0.3, 0.2, 0.2), "III": (0.6, 0.4, 0.3)})

# NIST Handbook 44, 5.52, metal tapes: up to this many feet, +- this many inches. The rows are
# printed "6 or less", "7 to 30" and so on; a length between two rows takes the larger tolerance.
_HB44 = (
    (6, Fraction(1, 32)),
    (30, Fraction(1, 16)),
    (55, Fraction(1, 8)),
    (80, Fraction(3, 16)),
    (100, Fraction(1, 4)),
)
ACCURACY_CLASSES = (*_EU, "HB44")
LONGEST = 100 * MM["ft"]  # mm; no row of Handbook 44 goes further, and no cabinet does
_ROUNDING = 1e-9  # m: keeps 2 m that came out of float arithmetic from being 3


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape measure: the unit it is read in, its graduation in mm, its accuracy class.

    `from_hook` says that readings start at the hook or the butt end, as they do on a cabinet;
    the EU classes allow more there, Handbook 44 makes no difference.
    """

    unit: str
    graduation: Fraction  # mm
    accuracy: str
    from_hook: bool = True

    def __post_init__(self) -> None:
        if self.unit not in MM:
            raise ValueError(f"a tape's unit is one of {', '.join(MM)}, not {self.unit!r}")
        if self.accuracy not in ACCURACY_CLASSES:
            known = ", ".join(ACCURACY_CLASSES)
            raise ValueError(f"a tape's accuracy class is one of {known}, not {self.accuracy!r}")
        if self.graduation <= 0:
            raise ValueError(f"a tape's graduation is more than 0 mm, not {self.graduation} mm")


def limit(length: float | Fraction, tape: Tape) -> float:
    """The largest error, mm, that the tape's accuracy class allows at `length` mm.

    Raises ValueError for a length that is negative or beyond `LONGEST`.
    """
    size = float(length)
    if not 0 <= size <= float(LONGEST):
        raise ValueError(f"a tape reads 0 to {float(LONGEST):.0f} mm, not {size} mm")
    if tape.accuracy == "HB44":
        feet = size / float(MM["ft"]) - _ROUNDING
        return float(next(inches for most, inches in _HB44 if feet <= most) * MM["in"])
    fixed, per_metre, end = _EU[tape.accuracy]
    metres = max(1, math.ceil(size / 1000 - _ROUNDING))
    return fixed + per_metre * metres + (end if tape.from_hook else 0.0)


def deviation(length: float | Fraction, tape: Tape, times: int = 1) -> float:
    """One standard deviation, mm, of a reading of `length` mm. See the top of this file.

    Of each of `times` readings of one length, if their mean is to have the right one: reading the
    graduation anew is another chance, but the tape is out by the same each time.
    """
    own = limit(length, tape) * math.sqrt(times / 3)
    return math.hypot(own, float(tape.graduation) / math.sqrt(12))


def angular_deviation(most: float) -> float:
    """One standard deviation of an angle that may be out by up to `most`, in the same unit."""
    return most / math.sqrt(3)
