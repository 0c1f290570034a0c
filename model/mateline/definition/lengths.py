"""From the texts of a definition to lengths in mm.

Stands after schema; only this room knows it. Lengths come out exact where readings feed an outline,
as floats elsewhere. A fault never stops the reading: all of them are kept in `faults`.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from mateline.cabinet.specification import Distance
from mateline.tape.accuracy import Tape, deviation
from mateline.tape.measures import MeasureError, evaluate, resolved
from mateline.tape.reading import ReadingError, printed_exact

if TYPE_CHECKING:
    from mateline.definition.schema import DefinitionTable, Reading
    from mateline.errors import Faults

LARGEST = 30_000  # mm; no cabinet is larger, so a longer length is a slip


class Ruler:
    """Reads the lengths of one definition.

    Raises InputError or InputFaultsError where its tape or its measures can't be read.
    """

    def __init__(self, table: DefinitionTable, faults: Faults) -> None:
        self.faults = faults
        self.unit = table.tape.unit
        faults.said = lambda length: printed_exact(length, self.unit)
        self.measures: dict[str, Fraction] = {}
        try:
            texts = {name: _text(value) for name, value in table.measures.items()}
            self.measures = resolved(texts, self.unit)
        except MeasureError as error:
            faults.add(f"measures, {error.name}", error.message, "Mend the measure.")
        faults.settle()
        graduation = self.positive(table.tape.graduation, "tape, graduation")
        faults.settle()
        self.tape = Tape(self.unit, graduation, table.tape.accuracy, table.tape.from_hook)

    def exact(self, value: Reading, place: str) -> Fraction:
        """`value` in mm, exactly; 0 and a fault where it can't be read."""
        try:
            length = evaluate(_text(value), self.measures, self.unit)
        except ReadingError as error:
            self.faults.add(place, str(error), "Write a reading, or arithmetic on measures.")
            return Fraction(0)
        if abs(length) > LARGEST:
            what = f"“{value}” is {float(length):.0f} mm, and nothing here is over {LARGEST} mm."
            self.faults.add(place, what, f"Check it; a number without a unit is in {self.unit}.")
            return Fraction(0)
        return length

    def length(self, value: Reading, place: str) -> float:
        """`value` in mm; it may be negative."""
        return float(self.exact(value, place))

    def positive(self, value: Reading, place: str) -> Fraction:
        """`value` in mm, more than 0; 1 and a fault where it is not."""
        before = len(self.faults)
        length = self.exact(value, place)
        if length > 0:
            return length
        if len(self.faults) == before:
            self.faults.add(place, f"“{value}” is not more than 0.", "Give a length above 0.")
        return Fraction(1)

    def size(self, value: Reading, place: str) -> float:
        """`value` in mm, more than 0, as a float."""
        return float(self.positive(value, place))

    def not_negative(self, value: Reading, place: str) -> float:
        """`value` in mm, 0 or more."""
        length = self.length(value, place)
        if length < 0:
            self.faults.add(place, f"“{value}” is less than 0.", "Give 0 or more.")
            return 0.0
        return length

    def distance(self, value: Reading, place: str) -> Distance:
        """`value` in mm as it was taken with the tape; it may be negative."""
        length = self.length(value, place)
        return Distance(length, deviation(abs(length), self.tape))


def _text(value: Reading) -> str:
    # A float prints as the shortest decimal that it came from, which is what the file says.
    return value if isinstance(value, str) else format(Decimal(str(value)), "f")
