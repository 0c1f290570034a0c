"""The outlines of a cabinet's carcases, solved from what was measured.

Stands after specification, before cabinet. An outline's first corner is (0, 0) in its view and its
second one on +x.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.memory import AFRESH
from mateline.tape.outline import given, solved
from mateline.tape.readings import Readings

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from mateline.cabinet.specification import Carcase, View
    from mateline.errors import Faults
    from mateline.memory import Stages
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline


def outlines_of(carcases: Iterable[Carcase], tape: Tape, faults: Faults) -> dict[str, Outline]:
    """All outlines by name: "body", or "body left" and "body right" where both were measured.

    Those that can't be solved are left out, and told in `faults`.
    """
    found: dict[str, Outline] = {}
    for name, outline in solved_or_refused(carcases, tape, faults.file):
        if isinstance(outline, InputError):
            faults.kept.append(outline)
        else:
            found[name] = outline
    return found


def solved_or_refused(
    carcases: Iterable[Carcase], tape: Tape, file: str, stages: Stages = AFRESH
) -> Iterator[tuple[str, Outline | InputError]]:
    """Each outline with its name, or why there is none."""
    for carcase in carcases:
        for (side, name), measured in zip(_names(carcase), carcase.outlines, strict=True):
            where = f"{carcase.called}, {side}"
            try:
                if isinstance(measured, Readings):
                    yield name, stages.recall(solved, measured, tape, file=file, place=where)
                else:
                    yield name, given(measured, file=file, place=where)
            except InputError as fault:
                yield name, fault


def views_of(carcases: Iterable[Carcase]) -> dict[str, View]:
    """The view that each outline is drawn in, by the outline's name."""
    return {name: carcase.view for carcase in carcases for _, name in _names(carcase)}


def _names(carcase: Carcase) -> tuple[tuple[str, str], ...]:
    """Which outline of its carcase each is, and what it is called."""
    if len(carcase.outlines) == 1:
        return (("outline", carcase.name),)
    return tuple((side, f"{carcase.name} {side}") for side in ("left", "right"))


def sides_of(carcase: Carcase, outlines: Mapping[str, Outline]) -> tuple[Outline, Outline]:
    """The left and the right outline of a carcase; one and the same unless both were measured."""
    shared = outlines.get(carcase.name)
    if shared is not None:
        return shared, shared
    return outlines[f"{carcase.name} left"], outlines[f"{carcase.name} right"]
