"""Quantities in words: the one place that says a length, an area, a temperature, a volume.

Stands after the readings. A job is in inches or metric, as its tape is, and everything that a
person reads of it says so: fractions of the tape, square inches and feet, °F beside °C and fluid
ounces before litres, or millimetres, °C and millilitres. Lengths as the tape is read, and finer,
are written in reading.py (`printed`, `printed_exact`); what belongs to sheets of board and to
cuts is thinner than any tape's mark and is said in thousandths of an inch here.

    unbroken   with no-break spaces inside each quantity, so that no line ends within one
"""

from __future__ import annotations

import math
import re
import textwrap
from fractions import Fraction
from typing import TYPE_CHECKING

from mateline.tape.accuracy import MM
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Sequence

US_FLUID_OUNCE = 0.0295735295625  # litres: 231 in³ / 128, exactly
INCH = float(MM["in"])
FINEST = INCH / 64  # mm: the finest fraction that is said
STEPS = (INCH / 32, 0.5)  # mm: what bounds are rounded up to, in inches and metric
NO_BREAK = "\u00a0"
TERMINAL = 80  # characters a line, where no terminal says another number

# A fraction after its inches, inches after feet, a unit or the thing that a number counts.
_UNITS = "mm²|cm²|m²|in²|ft²|mm|cm|m|°C|°F|°|%|ml|litres?|fl|h|min|\u00b5m|mil|feet|pieces?|days?"
_JOINTS = re.compile(
    rf"(?<=\d) (?=\d+/\d)|(?<=\d') (?=\d)|(?<=\d) (?=(?:{_UNITS})(?![\w²]))|(?<=fl) (?=oz\b)"
)


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_LENGTHS = re.compile(r"(\((?:\d[\d.]*), (?:\d[\d.]*)\)|\d[\d.]*) mm\b(?!\u00b2)")
_AREAS = re.compile(r"(\d+(?:\.\d+)?) mm\u00b2")


def is_inches(unit: str) -> bool:
    """Whether a job whose tape has this unit is one in inches."""
    return unit in {"in", "ft"}


def counted(count: int, word: str = "piece") -> str:
    """`1 piece`, `2 pieces`."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def unbroken(words: str) -> str:
    """`words` with no-break spaces in its quantities: `11 1/2"` and `300 mm` stay on a line."""
    return _JOINTS.sub(NO_BREAK, words)


def wrapped(words: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """`words` in lines of at most `width` characters that end within no quantity.

    `first` begins the first line, `rest` the others. Spaces are plain again.
    """
    lines = textwrap.wrap(
        unbroken(words),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return [line.replace(NO_BREAK, " ") for line in lines]


def columns(rows: Sequence[Sequence[str]], left: Sequence[int], width: int) -> list[str]:
    """A table for a terminal: the columns `left` are set left, the others right.

    The last one is set left too, and wraps into what the others leave of `width`.
    """
    *sizes, _ = (max(map(len, column)) for column in zip(*rows, strict=True))
    room = max(width - sum(sizes) - 2 * len(sizes), 12)
    lines: list[str] = []
    for *cells, last in rows:
        set_ = [
            cell.ljust(size) if at in left else cell.rjust(size)
            for at, (cell, size) in enumerate(zip(cells, sizes, strict=True))
        ]
        start = "".join(f"{cell}  " for cell in set_)
        told = wrapped(last, room) or [""]
        lines += [
            f"{before}{each}".rstrip()
            for before, each in zip([start, *[" " * len(start)] * len(told)], told, strict=False)
        ]
    return lines


def in_units(words: str, unit: str) -> str:
    """`words` from a room that knows no tape, lengths and areas in mm, in the units of the job."""
    if not is_inches(unit):
        return words

    def lengths(found: re.Match[str]) -> str:
        return _NUMBER.sub(lambda each: printed_exact(float(each[0]), unit), found[1])

    words = _AREAS.sub(lambda found: area_said(float(found[1]), unit), words)
    return _LENGTHS.sub(lengths, words)


def thickness_said(length: float, unit: str) -> str:
    """`length` (mm) of board, kerf or a line as thin: `0.016"`, `0.4 mm`."""
    if is_inches(unit):
        return f'{length / INCH:.3f}"'
    return printed_exact(length, "mm")


def bound_said(length: float, unit: str) -> str:
    """The least step of a tape that is `length` (mm) or more: to say `within 1/16"`, `1.5 mm`."""
    step = STEPS[0] if is_inches(unit) else STEPS[1]
    steps = max(math.ceil(length / step - 1e-6), 1)
    if is_inches(unit):
        return printed_exact(Fraction(steps) * MM["in"] / 32, unit)
    return f"{steps * step:g} mm"


def within_said(length: float, unit: str) -> str:
    """`length` (mm) after `within`, or another word that bounds it: 1/64" at the least."""
    return printed_exact(max(length, FINEST) if is_inches(unit) else length, unit)


def limit_said(length: float, unit: str) -> str:
    """The largest 1/64" that is no more than `length` (mm), to say what must not be passed.

    Thousandths where that is none; metric to 0.1 mm, or 0.01.
    """
    if not is_inches(unit):
        return printed_exact(length, "mm")
    if length < FINEST:
        return thickness_said(length, unit)
    return printed_exact(math.floor(length / FINEST + 1e-6) * MM["in"] / 64, unit)


def area_said(area: float, unit: str) -> str:
    """mm² in square inches or square centimetres: for pieces."""
    value, word = (area / INCH**2, "in²") if is_inches(unit) else (area / 100, "cm²")
    return f"{value:.{2 if value < 10 else 1}f} {word}"


def large_area_said(area: float, unit: str) -> str:
    """mm² in square feet or square metres: for boards and paint."""
    if is_inches(unit):
        return f"{area / float(MM['ft']) ** 2:.1f} ft²"
    return f"{area / 1e6:.2f} m²"


def whole_area_said(area: float, unit: str) -> str:
    """mm² in whole square feet, or square metres to a tenth: what is bought to cut from."""
    return f"{area / float(MM['ft']) ** 2:.0f} ft²" if is_inches(unit) else f"{area / 1e6:.1f} m²"


def run_said(length: float, unit: str) -> str:
    """A length of tape or cut (mm), rounded up: whole feet, or metres."""
    size, word = (float(MM["ft"]), "ft") if is_inches(unit) else (1000.0, "m")
    return f"{math.ceil(length / size - 1e-6)} {word}"


def large_range_said(low: float, high: float, unit: str) -> str:
    """A range of mm² in square feet or square metres, to two figures: `10 to 25 ft²`."""
    size, word = (float(MM["ft"]) ** 2, "ft²") if is_inches(unit) else (1e6, "m²")
    return f"{_range(low / size, high / size)} {word}"


def degrees_said(celsius: float, *, fahrenheit: bool, both: bool, apart: bool = False) -> str:
    """A temperature in the degrees of the job, with the other beside it where `both` are used.

    `apart` says that it is how far two temperatures are apart.
    """
    other = celsius * 1.8 + (0.0 if apart else 32.0)
    ours, theirs = (
        (f"{other:.0f} °F", f"{celsius:.0f} °C")
        if fahrenheit
        else (f"{celsius:.1f} °C", f"{other:.0f} °F")
    )
    return f"{ours} ({theirs})" if both else ours


def ounces_said(low: float, high: float) -> str:
    """Litres as US fluid ounces: `15 to 31 fl oz`."""
    return f"{_range(low / US_FLUID_OUNCE, high / US_FLUID_OUNCE)} fl oz"


def litres_said(low: float, high: float) -> str:
    """Litres: `430 to 910 ml`, or `0.6 to 1.2 litres` from one litre on."""
    if high < 1:
        return f"{_range(1000 * low, 1000 * high)} ml"
    return f"{_range(low, high)} litres"


def volume_said(low: float, high: float, unit: str) -> str:
    """Litres in the job's unit: `15 to 31 fl oz (430 to 910 ml)`; metric without the ounces."""
    metric = litres_said(low, high)
    return f"{ounces_said(low, high)} ({metric})" if is_inches(unit) else metric


def _range(low: float, high: float) -> str:
    one, two = two_figures(low), two_figures(high)
    return one if one == two else f"{one} to {two}"


def two_figures(value: float) -> str:
    """`value` to two figures, without a power of ten: a range, not false precision."""
    if value <= 0:
        return "0"
    places = 1 - math.floor(math.log10(value))
    return f"{round(value, places):.{max(places, 0)}f}"
