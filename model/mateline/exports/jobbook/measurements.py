"""The measurements in the book: each outline drawn, its readings, and how they closed.

Stands after html. Words and figures are those of `mateline tape`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import flattened
from mateline.exports.jobbook.html import element, said, table, text
from mateline.exports.svg_path import number
from mateline.products import norm
from mateline.tape.arcs.path import chain_of
from mateline.tape.arcs.told import arc_reading_rows, arc_rows
from mateline.tape.report import corner_rows, reading_rows, sentences
from mateline.tape.solving.statistics import W_LIMIT

if TYPE_CHECKING:
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

_VERDICTS = {
    "closes": "closes",
    "suspect": "one reading looks wrong",
    "cannot-tell": "a reading is wrong",
    "unchecked": "nothing checks it",
    "stated": "stated by its points",
}
FINE = 0.2  # mm: how far the sketch may leave a curve
_SEVERAL = "more than one reading is wrong"


def section(job: Job) -> str:
    """All outlines."""
    outlines = job.cabinet.outlines.items()
    return element(
        "section",
        said("h2", "Measurements", id="measurements-title"),
        said(
            "p",
            "What was read from the tape, the outline that fits it best, and how well it closes. "
            f"w is how far out a reading is against what is usual for it: over {W_LIMIT:.1f}, "
            "either way, one reading is doubted.",
            class_="hint",
        ),
        *(_article(name, outline, job.tape) for name, outline in outlines),
        id="measurements",
        aria_labelledby="measurements-title",
    )


def _article(name: str, outline: Outline, tape: Tape) -> str:
    parts = [element("p", text(" ".join(sentences(outline, tape))))]
    tables = [_table(f"Corners of {name}", corner_rows(outline, tape))]
    if outline.closures:
        tables.insert(0, _table(f"Readings of {name}", reading_rows(outline, tape)))
    if outline.arcs:
        tables.append(_table(f"Curves of {name}", arc_rows(outline.arcs, tape)))
        tables.append(
            _table(f"Readings of the curves of {name}", arc_reading_rows(outline.arcs, tape))
        )
    return element(
        "article",
        said("h3", f"{name}: {_verdict(outline)}"),
        element("div", _sketch(name, outline), element("div", *parts), class_="beside"),
        *tables,
    )


def _verdict(outline: Outline) -> str:
    return _SEVERAL if outline.more_than_one else _VERDICTS[outline.verdict]


def _table(caption: str, rows: list[list[str]]) -> str:
    head, *lines = rows
    return table(caption, head, [[text(cell) for cell in row] for row in lines], class_="numbers")


def _sketch(name: str, outline: Outline) -> str:
    """The outline as solved, with its corners' names beside them."""
    walk = outline.points
    if outline.arcs:
        walk = flattened(chain_of(outline.sides), FINE)[:-1]
    low, high = walk.min(axis=0), walk.max(axis=0)
    width, height = (high - low).tolist()
    long = max(width, height)
    spots, drawn = (
        np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]])
        for points in (outline.points, walk)
    )
    middle = spots.mean(axis=0)
    edge = 0.14 * long
    ring = " ".join(f"{number(x, 2)},{number(y, 2)}" for x, y in drawn.tolist())
    letters = []
    for corner, spot in zip(outline.corners, spots, strict=True):
        away = spot - middle
        x, y = spot + away / max(norm(away), 1e-9) * 0.07 * long
        letters.append(
            said(
                "text",
                corner,
                x=number(x, 2),
                y=number(y + 0.025 * long, 2),
                font_size=number(0.075 * long, 2),
            )
        )
    box = (-edge, -edge, width + 2 * edge, height + 2 * edge)
    return element(
        "svg",
        element("polygon", points=ring),
        *letters,
        viewBox=" ".join(number(value, 2) for value in box),
        role="img",
        aria_label=f"Outline of {name} with corners {', '.join(outline.corners)}",
        class_="sketch",
    )
