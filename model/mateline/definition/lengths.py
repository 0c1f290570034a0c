"""From the texts of a definition to lengths in mm.

Stands after schema; only this room knows it. Lengths come out exact where readings feed an outline,
as floats elsewhere. A fault never stops the reading: all of them are kept in `faults`.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.cabinet.specification import Distance
from mateline.errors import Faults
from mateline.tape.accuracy import Tape, deviation
from mateline.tape.measures import MeasureError, evaluate, resolved
from mateline.tape.quantities import limit_said
from mateline.tape.reading import ReadingError, printed_exact

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.definition.schema import DefinitionTable
    from mateline.definition.tables.part import Reading

NONE: Mapping[str, Fraction] = MappingProxyType({})
METRIC = Tape("mm", Fraction(1), "II")  # where nobody says what lengths were taken with
ANGULAR = (0.5, 0.2)  # degrees: common practice, no source
LARGEST = 30_000  # mm; no cabinet is larger, so a longer length is a slip


class Ruler:
    """Reads lengths as the tape is read; `measures` are lengths with names, mm; `angular` says by
    how many degrees a bevel gauge and a level may be out.
    """

    def __init__(
        self,
        tape: Tape,
        faults: Faults,
        measures: Mapping[str, Fraction] = NONE,
        angular: tuple[float, float] = ANGULAR,
    ) -> None:
        self.tape, self.faults, self.measures = tape, faults, measures
        self.unit = tape.unit
        self.gauge_deg, self.level_deg = angular
        faults.said = lambda length: printed_exact(length, tape.unit)
        faults.limit = lambda length: limit_said(length, tape.unit)

    def exact(self, value: Reading, place: str) -> Fraction:
        """`value` in mm, exactly; 0 and a fault where it can't be read."""
        try:
            length = evaluate(_text(value), self.measures, self.unit)
        except ReadingError as error:
            self.faults.add(place, str(error), "Write a reading, or arithmetic on measures.")
            return Fraction(0)
        if abs(length) > LARGEST:
            got, most = self.faults.said(float(length)), self.faults.said(LARGEST)
            what = f"“{value}” is {got}, and nothing here is over {most}."
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
        return self._taken(self.length(value, place))

    def reach(self, value: Reading, place: str) -> Distance:
        """The same, more than 0."""
        return self._taken(self.size(value, place))

    def _taken(self, length: float) -> Distance:
        return Distance(length, deviation(abs(length), self.tape))


def ruler_for(table: DefinitionTable, faults: Faults) -> Ruler:
    """The ruler for the lengths of one definition.

    Raises InputError or InputFaultsError where its measures or its graduation can't be read.
    """
    unit = table.tape.unit
    measures: dict[str, Fraction] = {}
    try:
        measures = resolved({name: _text(value) for name, value in table.measures.items()}, unit)
    except MeasureError as error:
        faults.add(f"measures, {error.name}", error.message, "Mend the measure.")
    faults.settle()
    tape = Tape(unit, Fraction(1), table.tape.accuracy, table.tape.from_hook)
    tape = _graduated(tape, table.tape.graduation, faults, measures)
    return Ruler(tape, faults, measures, (table.tape.gauge_deg, table.tape.level_deg))


def tape_of(
    unit: str, graduation: Reading, accuracy: str = "II", *, from_hook: bool = True
) -> Tape:
    """The tape whose finest mark is `graduation`, a reading such as "1/16" or "1 mm".

    Raises InputError for what is no reading, ValueError for an unknown unit or class.
    """
    return _graduated(Tape(unit, Fraction(1), accuracy, from_hook), graduation, Faults(), NONE)


def _graduated(
    tape: Tape, graduation: Reading, faults: Faults, measures: Mapping[str, Fraction]
) -> Tape:
    found = Ruler(tape, faults, measures).positive(graduation, "tape, graduation")
    faults.settle()
    return replace(tape, graduation=found)


def _text(value: Reading) -> str:
    # A float prints as the shortest decimal that it came from, which is what the file says.
    return value if isinstance(value, str) else format(Decimal(str(value)), "f")
