"""Readings: lengths as people write them, read exactly, and written as a tape is read.

First on the road. `51 1/2`, `51-1/2"`, `5' 3 7/16"`, `1 ft 2 in`, `1308 mm` and `130,8 cm` become
exact fractions of a millimetre; nothing is rounded until an outline is solved.

The rules, in the order in which they are met:
- A hyphen is never a minus. It joins a whole number to its fraction (`51-1/2`) or feet to inches
  (`5'-3 7/16"`). Two whole numbers joined without a space are feet and inches (`5-3 7/16`), where
  the file is in inches or feet or an inch mark follows.
- A number without a unit is in the file's unit; after feet it is inches.
- Parts go from large to small within one system, and only the last may have a fraction.
- A comma is a decimal comma, but `1,308` could be two lengths a thousandfold apart: refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING
from unicodedata import normalize

from mateline.tape.accuracy import MM

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.tape.accuracy import Tape

EXAMPLES = MappingProxyType(
    {
        "mm": "1308 or 1308 mm",
        "cm": "130.8 or 130.8 cm",
        "m": "1.308 or 1.308 m",
        "in": '51 1/2 or 51-1/2"',
        "ft": "5' 3 7/16\" or 5.25",
    }
)
UNDER = 'under 1/64"'  # a length that no fraction says
LONGEST_TEXT = 200  # characters; a reading is short, and int() refuses 4300 digits in its own words

_WORDS = MappingProxyType(
    {"'": "ft", '"': "in", "foot": "ft", "feet": "ft", "inch": "in", "inches": "in"}
    | {f"{start}met{end}": unit for start, unit in (("milli", "mm"), ("centi", "cm"), ("", "m"))
       for end in ("re", "res", "er", "ers")}
    | {unit: unit for unit in MM}
)  # fmt: skip
_FAMILY = MappingProxyType({"ft": "US", "in": "US", "m": "SI", "cm": "SI", "mm": "SI"})

# Every prime, quote, dash, slash and space that keyboards and phones put in; that they look alike
# is the point. A vulgar fraction gets a space before it: `51½` is fifty-one and a half.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("′’‘´`ʹʼ＇", "'"),  # noqa: RUF001
        **dict.fromkeys("″”“„‟˝ʺ〃＂", '"'),  # noqa: RUF001
        **dict.fromkeys("‐‑‒–—―−－﹣", "-"),  # noqa: RUF001
        **dict.fromkeys("⁄∕／", "/"),  # noqa: RUF001
        **dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f\u2002\u2003\u3000\t", " "),
        **{chr(0xFF10 + digit): str(digit) for digit in range(10)},
        **{
            vulgar: " " + normalize("NFKC", vulgar).replace("\N{FRACTION SLASH}", "/")
            for vulgar in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
        },
    }
)
_RAISED = re.compile("([⁰¹²³⁴⁵⁶⁷⁸⁹]+)[\N{FRACTION SLASH}/]([₀₁₂₃₄₅₆₇₈₉]+)")  # typeset: 7 above 16
_TOKEN = re.compile(
    r" *(?:(?P<fraction>[0-9]+/[0-9]+)|(?P<decimal>[0-9]*[.,][0-9]+)|(?P<whole>[0-9]+)"
    r"|(?P<unit>'|\"|[a-z]+\.?)|(?P<hyphen>-))"
)


class ReadingError(ValueError):
    """A text that is no length: what is wrong with it, and how to write one."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a text says: mm where it names a unit, else a number in the file's unit."""

    amount: Fraction
    named: bool


@dataclass(slots=True)
class _Part:
    """One number of a reading (`3 7/16`) and the unit that follows it."""

    amount: Fraction
    whole: bool  # no fraction and no decimals
    joined: bool  # a hyphen without spaces stands before it
    unit: str | None = None


def parse_length(text: str, unit: str) -> Fraction:
    """The length that `text` states, exactly, in mm; `unit` is used when the text names none.

    Zero is a length; less than zero is not.
    Raises ReadingError with what is wrong and an example of how to write it.
    """
    quantity = quantity_of(text, unit)
    return quantity.amount if quantity.named else quantity.amount * MM[unit]


def quantity_of(text: str, unit: str) -> Quantity:
    """As `parse_length`, but a number without a unit stays a number."""
    if unit not in MM:
        raise ValueError(f"unit is one of {', '.join(MM)}, not {unit!r}")
    try:
        parts = _parts(_tokens(plain(text)))
        return _combined(parts, unit)
    except ReadingError as error:
        shown = text if len(text) <= 40 else f"{text[:40]}…"
        raise ReadingError(f"“{shown}” is no reading: {error} Write {EXAMPLES[unit]}.") from None


def plain(text: str) -> str:
    """`text` in ASCII where a reading may use more: primes, quotes, dashes, vulgar fractions.

    One space before a vulgar fraction keeps it apart from the number before it.
    """
    level = _RAISED.sub(lambda found: " " + normalize("NFKC", found[0]), text)
    return level.translate(_PLAIN).replace("''", '"').lower().strip()


def printed(length: float | Fraction, tape: Tape) -> str:
    """`length` (mm) at the tape's nearest graduation, as the tape is read: `51 1/2"`, `1308 mm`.

    Midway goes to the even graduation. Source: NIST Handbook 44, 10.3.
    A negative difference gets a minus sign, which `parse_length` does not read back.
    """
    above, below = length.as_integer_ratio()
    share, whole = tape.graduation.as_integer_ratio()
    return _written(_rounded(above * whole, below * share), tape.graduation, tape.unit)


def _rounded(above: int, below: int) -> int:
    """The quotient's nearest integer, midway the even one, as `round` gives for a Fraction."""
    quotient, rest = divmod(above, below)
    return quotient + (2 * rest > below or (2 * rest == below and quotient % 2))


def printed_exact(length: float | Fraction, unit: str) -> str:
    """`length` (mm) finer than a tape is read: `1308.1 mm`, `51 1/2"`, `under 1/64"`.

    For differences and deviations. Rounded to 0.1 mm (0.01 mm under 0.1 mm), or to a 64th of an
    inch. Below half of one there is no fraction that a tape could show, so it says no more.
    """
    exact = Fraction(length)
    if _FAMILY[unit] == "SI":
        fine = 2 if 0 < abs(exact) < Fraction(19, 200) else 1
        places = fine + {"mm": 0, "cm": 1, "m": 3}[unit]
        return f"{_unsigned_zero(float(exact / MM[unit]), places)} {unit}"
    steps = round(exact / MM["in"] * 64)
    if steps == 0 and exact != 0:
        return UNDER
    return _written(steps, MM["in"] / 64, unit)


def _unsigned_zero(number: float, places: int) -> str:
    text = f"{number:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


@lru_cache(maxsize=4096)  # a build says the same few lengths thousands of times
def _written(steps: int, step: Fraction, unit: str) -> str:
    sign, size = ("-" if steps < 0 else ""), abs(steps) * step
    if unit == "ft":
        feet, rest = divmod(size, MM["ft"])
        inches = _mixed(rest / MM["in"])
        return f"{sign}{feet}' {inches}\"" if feet else f'{sign}{inches}"'
    if unit == "in":
        return f'{sign}{_mixed(size / MM["in"])}"'
    return f"{sign}{_decimal(size / MM[unit])} {unit}"


def _mixed(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _decimal(number: Fraction) -> str:
    """The shortest exact decimal; a mixed number where no decimal ends (thirds)."""
    for places in range(10):
        scaled = number * 10**places
        if scaled.denominator == 1:
            digits = str(scaled).zfill(places + 1)
            return f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return _mixed(number)


def _tokens(text: str) -> Iterator[tuple[str, str, bool]]:
    """Kind, text, and whether the token stands tight between its neighbours."""
    if not text:
        raise ReadingError("it is empty.")
    if len(text) > LONGEST_TEXT:
        raise ReadingError(f"it has {len(text)} characters, and a reading has a few.")
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise ReadingError(f"“{text[at:].strip()[:12]}” is not part of a length.")
        kind = str(match.lastgroup)
        after = text[match.end() : match.end() + 1]
        yield kind, match[kind], not match[0].startswith(" ") and after != " "
        at = match.end()


def _parts(tokens: Iterator[tuple[str, str, bool]]) -> list[_Part]:
    parts: list[_Part] = []
    before = ""
    joined = False
    for kind, text, tight in tokens:
        if kind == "hyphen":
            if not parts:
                raise ReadingError("a length is not negative.")
            if before == "hyphen":
                raise ReadingError("two hyphens follow each other.")
            joined = tight
        elif kind == "unit":
            _name_unit(parts, text, before)
        elif kind == "fraction" and parts and parts[-1].unit is None:
            _add_fraction(parts[-1], text)
        else:
            parts.append(_Part(_number(kind, text), kind == "whole", joined and before == "hyphen"))
        before = kind
    if before == "hyphen":
        raise ReadingError("nothing follows the hyphen.")
    return parts


def _name_unit(parts: list[_Part], word: str, before: str) -> None:
    unit = _WORDS.get(word.rstrip("."))
    if unit is None:
        raise ReadingError(f"“{word}” is no unit; units are mm, cm, m, in or \", and ft or '.")
    if not parts or before in ("unit", "hyphen"):
        raise ReadingError(f"no number stands before “{word}”.")
    parts[-1].unit = unit


def _add_fraction(part: _Part, text: str) -> None:
    fraction = _number("fraction", text)
    if not part.whole:
        raise ReadingError(f"“{text}” follows a number that has decimals or a fraction already.")
    part.amount, part.whole = part.amount + fraction, False


def _number(kind: str, text: str) -> Fraction:
    if kind == "fraction":
        above, below = (int(number) for number in text.split("/"))
        if below == 0:
            raise ReadingError(f"“{text}” divides by zero.")
        if above >= below:  # `511/2` is `51 1/2` without its space far more often than 255.5
            raise ReadingError(f"the fraction “{text}” is not less than one; is a space missing?")
        return Fraction(above, below)
    if "," in text:
        whole, decimals = text.split(",")
        if len(decimals) == 3 and whole.strip("0"):
            raise ReadingError(f"“{text}” could be {whole}{decimals} or {whole}.{decimals}.")
    return Fraction(text.replace(",", "."))


def _combined(parts: list[_Part], unit: str) -> Quantity:
    if not parts:
        raise ReadingError("it has no number.")
    _name_feet(parts, unit)
    if len(parts) == 1 and parts[0].unit is None:
        return Quantity(parts[0].amount, named=False)
    if len(parts) > 1 and parts[-1].unit is None and parts[-2].unit == "ft":
        parts[-1].unit = "in"
    for part in parts:
        if part.unit is None:
            raise ReadingError("two numbers stand beside each other without a unit between them.")
    for large, small in pairwise(parts):
        _refuse_disorder(large, small)
    return Quantity(
        sum((part.amount * MM[str(part.unit)] for part in parts), Fraction()), named=True
    )


def _name_feet(parts: list[_Part], unit: str) -> None:
    """`5-3 7/16`: two numbers joined by a tight hyphen are feet and inches."""
    if len(parts) != 2 or parts[0].unit is not None or not (parts[0].whole and parts[1].joined):
        return
    if parts[1].unit == "in" or (parts[1].unit is None and unit in ("in", "ft")):
        parts[0].unit, parts[1].unit = "ft", "in"
    elif parts[1].unit is None:
        raise ReadingError(
            "two numbers joined by a hyphen are feet and inches, and no unit says so."
        )


def _refuse_disorder(large: _Part, small: _Part) -> None:
    over, under = str(large.unit), str(small.unit)
    if _FAMILY[over] != _FAMILY[under]:
        raise ReadingError(f"it mixes {over} with {under}.")
    if MM[over] <= MM[under]:
        raise ReadingError(f"{under} cannot follow {over}.")
    if not large.whole:
        raise ReadingError(f"only the last number may have a fraction, and {over} has one.")
    room = MM[over] / MM[under]
    if small.amount >= room:
        raise ReadingError(f"{room} {under} are 1 {over} already, so this is a slip of the pen.")
