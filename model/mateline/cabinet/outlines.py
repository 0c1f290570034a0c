"""The outlines of a cabinet's carcases, solved from what was measured.

Stands after specification, before cabinet. An outline's first corner is (0, 0) in its view and its
second one on +x.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.tape.outline import Readings, given, solved

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from mateline.cabinet.specification import Carcase
    from mateline.errors import Faults
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline


def outlines_of(carcases: Iterable[Carcase], tape: Tape, faults: Faults) -> dict[str, Outline]:
    """All outlines by name: "body", or "body left" and "body right" where both were measured.

    Those that can't be solved are left out, and told in `faults`.
    """
    found: dict[str, Outline] = {}
    for carcase in carcases:
        place = carcase.called
        sides = ("outline",) if len(carcase.outlines) == 1 else ("left", "right")
        for side, measured in zip(sides, carcase.outlines, strict=True):
            name = carcase.name if side == "outline" else f"{carcase.name} {side}"
            where = f"{place}, {side}"
            try:
                if isinstance(measured, Readings):
                    found[name] = solved(measured, tape, file=faults.file, place=where)
                else:
                    found[name] = given(measured, file=faults.file, place=where)
            except InputError as fault:
                faults.kept.append(fault)
    return found


def sides_of(carcase: Carcase, outlines: Mapping[str, Outline]) -> tuple[Outline, Outline]:
    """The left and the right outline of a carcase; one and the same unless both were measured."""
    shared = outlines.get(carcase.name)
    if shared is not None:
        return shared, shared
    return outlines[f"{carcase.name} left"], outlines[f"{carcase.name} right"]
