"""From the texts of a definition to lengths, with every fault kept until all are known.

Stands after schema. Lengths come out in mm: exact where readings feed an outline, floats
elsewhere. A fault never stops the reading; `settle` raises all of them together.
"""

from __future__ import annotations

from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from typing import TYPE_CHECKING

from mateline.errors import InputError, InputFaultsError
from mateline.tape.accuracy import Tape
from mateline.tape.measures import MeasureError, evaluate, resolved
from mateline.tape.reading import ReadingError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mateline.definition.schema import Definition, Reading

LARGEST = 30_000  # mm; no cabinet is larger, so a longer length is a slip


class Ruler:
    """Reads the lengths of one definition and collects what is wrong with them."""

    def __init__(self, definition: Definition, file: str) -> None:
        self.file = file
        self.unit = definition.tape.unit
        self.faults: list[InputError] = []
        self.measures: dict[str, Fraction] = {}
        try:
            table = {name: _text(value) for name, value in definition.measures.items()}
            self.measures = resolved(table, self.unit)
        except MeasureError as error:
            self.fault(f"measures, {error.name}", error.message, "Mend the measure.")
        self.settle()
        graduation = self.positive(definition.tape.graduation, "tape, graduation")
        self.settle()
        self.tape = Tape(self.unit, graduation, definition.tape.accuracy, definition.tape.from_hook)

    def exact(self, value: Reading, place: str) -> Fraction:
        """`value` in mm, exactly; 0 and a fault where it can't be read."""
        try:
            length = evaluate(_text(value), self.measures, self.unit)
        except ReadingError as error:
            self.fault(place, str(error), "Write a reading, or arithmetic on measures.")
            return Fraction(0)
        if abs(length) > LARGEST:
            what = f"“{value}” is {float(length):.0f} mm, and nothing here is over {LARGEST} mm."
            self.fault(place, what, f"Check it; a number without a unit is in {self.unit}.")
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
            self.fault(place, f"“{value}” is not more than 0.", "Give a length above 0.")
        return Fraction(1)

    def size(self, value: Reading, place: str) -> float:
        """`value` in mm, more than 0, as a float."""
        return float(self.positive(value, place))

    def not_negative(self, value: Reading, place: str) -> float:
        """`value` in mm, 0 or more."""
        length = self.length(value, place)
        if length < 0:
            self.fault(place, f"“{value}” is less than 0.", "Give 0 or more.")
            return 0.0
        return length

    def fault(self, place: str, what: str, remedy: str) -> None:
        """Keep one fault."""
        self.faults.append(InputError(self.file, place, what, remedy))

    def unknown(self, place: str, name: str, what: str, known: Iterable[str]) -> None:
        """Keep the fault that there is no `what` called `name`."""
        names = sorted(known)
        near = get_close_matches(name, names, n=1)
        remedy = f"Did you mean “{near[0]}”?" if near else f"There are: {', '.join(names) or '-'}."
        self.fault(place, f"There is no {what} “{name}”.", remedy)

    def settle(self) -> None:
        """Raise all faults kept so far.

        Raises InputError for one, InputFaultsError for several.
        """
        faults, self.faults = tuple(self.faults), []
        if len(faults) == 1:
            raise faults[0]
        if faults:
            raise InputFaultsError(faults)


def _text(value: Reading) -> str:
    # A float prints as the shortest decimal that it came from, which is what the file says.
    return value if isinstance(value, str) else format(Decimal(str(value)), "f")
