"""The measurements in the book: each outline drawn, its readings, and how they closed.

Stands after html. Words and figures are those of `mateline tape`. The sketch is what the carpenter
has drawn on paper: corner letters, how long each side is, and where the front is.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.outlines import views_of
from mateline.curves import flattened
from mateline.exports.jobbook.html import element, said, table, text
from mateline.exports.svg_path import number
from mateline.products import norm
from mateline.tape.arcs.path import chain_of
from mateline.tape.arcs.told import arc_reading_rows, arc_rows
from mateline.tape.quantities import unbroken
from mateline.tape.reading import printed
from mateline.tape.report import KEY, corner_rows, reading_rows, sentences, side_name

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.survey import Job
    from mateline.tape.accuracy import Tape
    from mateline.tape.arcs.path import Side
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

_VERDICTS = {
    "closes": "closes",
    "suspect": "one reading looks wrong",
    "cannot-tell": "a reading is wrong",
    "unchecked": "nothing checks it",
    "stated": "stated by its points",
}
FINE = 0.2  # mm: how far the sketch may leave a curve
_SEVERAL = "more than one reading is wrong"
# Sizes in the sketch, as shares of its longer side.
_LETTER, _LENGTH, _LEAST = 0.06, 0.042, 0.026  # height of a corner's letter, of a length
_AWAY, _BESIDE = 0.055, 0.034  # from a corner to its letter, from a side to its length
_EDGE = 0.12  # room about the outline
# What is written along the four sides of the sketch: left, right, below, above.
_AROUND: dict[View | None, tuple[str, str, str, str]] = {
    "side": ("front", "back", "bottom", ""),
    "plan": ("left", "right", "front", "back"),
    "front": ("left", "right", "bottom", ""),
    None: ("", "", "", ""),
}


def section(job: Job) -> str:
    """All outlines."""
    outlines = job.cabinet.outlines.items()
    views = views_of(job.definition.carcases)
    return element(
        "section",
        said("h2", "Measurements", id="measurements-title"),
        said(
            "p",
            "What was read from the tape, the outline that fits it best, and how well it closes. "
            + KEY,
            class_="hint",
        ),
        *(_article(name, outline, job.tape, views.get(name)) for name, outline in outlines),
        id="measurements",
        aria_labelledby="measurements-title",
    )


def _article(name: str, outline: Outline, tape: Tape, view: View | None) -> str:
    parts = [element("p", text(" ".join(sentences(outline, tape))))]
    tables = [_table(f"Corners of {name}", corner_rows(outline, tape, view))]
    if outline.closures:
        tables.insert(0, _table(f"Readings of {name}", reading_rows(outline, tape)))
    if outline.arcs:
        tables.append(_table(f"Curves of {name}", arc_rows(outline.arcs, tape, view)))
        tables.append(
            _table(f"Readings of the curves of {name}", arc_reading_rows(outline.arcs, tape))
        )
    return element(
        "article",
        said("h3", f"{name}: {_verdict(outline)}"),
        element("div", _sketch(name, outline, tape, view), element("div", *parts), class_="beside"),
        *tables,
    )


def _verdict(outline: Outline) -> str:
    return _SEVERAL if outline.more_than_one else _VERDICTS[outline.verdict]


def _table(caption: str, rows: list[list[str]]) -> str:
    head, *lines = rows
    return table(caption, head, [[text(cell) for cell in row] for row in lines], class_="numbers")


def _sketch(name: str, outline: Outline, tape: Tape, view: View | None) -> str:
    """The outline as solved: corner letters, the length of each side, and what is where."""
    walk = outline.points
    if outline.arcs:
        walk = flattened(chain_of(outline.sides), FINE)[:-1]
    low, high = walk.min(axis=0), walk.max(axis=0)
    width, height = (high - low).tolist()
    long = max(width, height)

    def seen(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]])

    ring = " ".join(f"{number(x, 2)},{number(y, 2)}" for x, y in seen(walk).tolist())
    lengths = [_length(side, seen, long, printed(_along(side), tape)) for side in outline.sides]
    edge = _EDGE * long
    sides = _around(view, (width, height), long)
    box = (-2 * edge, -edge, width + 4 * edge, height + 2.6 * edge)
    told = "; ".join(
        f"{side_name(side.ends)} {printed(_along(side), tape)}" for side in outline.sides
    )
    return element(
        "svg",
        element("polygon", points=ring),
        *_letters(outline, seen(outline.points), long),
        *lengths,
        *sides,
        viewBox=" ".join(number(value, 2) for value in box),
        role="img",
        aria_label=f"Outline of {name} with the lengths of its sides: {told}",
        class_="sketch",
    )


def _letters(outline: Outline, spots: NDArray[np.float64], long: float) -> list[str]:
    """Each corner's letter, outside it where its two sides point away from."""
    found = []
    before, after = np.roll(spots, 1, axis=0), np.roll(spots, -1, axis=0)
    turns = np.sign(np.cross(spots - before, after - spots))
    for corner, spot, one, two, turn in zip(
        outline.corners, spots, before, after, turns, strict=True
    ):
        away = _unit(spot - one) + _unit(spot - two)
        away = away * (1.0 if turn <= 0 else -1.0)  # y is down here: a usual corner turns so
        x, y = spot + _unit(away) * _AWAY * long
        found.append(_text(corner, (x, y), _LETTER * long, class_="corner"))
    return found


def _text(words: str, at: tuple[float, float], size: float, **attributes: object) -> str:
    """Lettering centred at a place of the sketch."""
    x, y = at
    return said(
        "text",
        words,
        x=number(x, 2),
        y=number(y + 0.36 * size, 2),
        font_size=number(size, 2),
        **attributes,
    )


def _along(side: Side) -> float:
    """How long a side is, mm; a curved one as a tape lies on it."""
    chord = math.dist(side.start, side.to)
    bend = abs(side.bend)
    return chord * bend / 2 / math.sin(bend / 2) if bend else chord


def _length(
    side: Side, seen: Callable[[NDArray[np.float64]], NDArray[np.float64]], long: float, words: str
) -> str:
    """A side's length, written along it on the inside."""
    (start, to) = seen(np.array([side.start, side.to]))
    run = to - start
    size = min(_LENGTH, max(_LEAST, 1.15 * norm(run) / long / len(words))) * long
    inward = _unit(np.array([run[1], -run[0]]))  # counter-clockwise, with y down
    bulge = side.bulge * norm(run) / 2  # how far the middle of a curve lies outside its chord
    x, y = (start + to) / 2 + inward * (_BESIDE * long - bulge)
    turn = math.degrees(math.atan2(run[1], run[0]))
    turn = (turn + 90.5) % 180 - 90.5  # never upside down; upright lines are read from the right
    baseline = 0.36 * size
    return said(
        "text",
        unbroken(words),
        x=number(x, 2),
        y=number(y + baseline, 2),
        font_size=number(size, 2),
        transform=f"rotate({number(turn, 1)} {number(x, 2)} {number(y, 2)})",
        class_="length",
    )


def _around(view: View | None, size: tuple[float, float], long: float) -> list[str]:
    """What lies on each side of the outline."""
    width, height = size
    off, letters = 1.35 * _EDGE * long, _LENGTH * long
    left, right, below, above = _AROUND[view]
    places = (
        (left, (-off, height / 2), -90),
        (right, (width + off, height / 2), 90),
        (below, (width / 2, height + off), 0),
        (above, (width / 2, -off / 2), 0),
    )
    found = []
    for words, (x, y), turn in places:
        if words:
            about = f"rotate({turn} {number(x, 2)} {number(y, 2)})" if turn else None
            found.append(_text(words, (x, y), letters, transform=about, class_="way"))
    return found


def _unit(vector: NDArray[np.float64]) -> NDArray[np.float64]:
    long: NDArray[np.float64] = vector / max(norm(vector), 1e-9)
    return long
