"""Pieces named in few words: body-left G1-G12, G15.

Stands first in paint. Names are those printed on the board, a letter and a number.

    run   names of one letter whose numbers follow one another
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_NAME = re.compile(r"(.*?)(\d+)")


def runs_said(pieces: Iterable[tuple[str, Iterable[str]]]) -> str:
    """The pieces of each face: `body-left G1\u2013G12, G15; body-top G1`."""
    return "; ".join(f"{face} {', '.join(_runs(names))}" for face, names in pieces)


def _runs(named: Iterable[str]) -> list[str]:
    runs: list[list[tuple[str, int]]] = []
    for letter, number in sorted(_parted(each) for each in named):
        if runs and runs[-1][-1] == (letter, number - 1):
            runs[-1].append((letter, number))
        else:
            runs.append([(letter, number)])
    return [_said(run) for run in runs]


def _said(run: list[tuple[str, int]]) -> str:
    """Three or more as from and to; two are both named."""
    names = [f"{letter}{number}" for letter, number in run]
    return ", ".join(names) if len(names) < 3 else f"{names[0]}\u2013{names[-1]}"


def _parted(piece: str) -> tuple[str, int]:
    found = _NAME.fullmatch(piece)
    if found is None:
        raise ValueError(f"{piece!r} is no name of a piece")
    return found[1], int(found[2])
