"""The measurements in the book: each outline drawn, its readings, and how they closed.

Stands after html. Words and figures are those of `mateline tape`. The sketch is in both books.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.cabinet.outlines import views_of
from mateline.exports.jobbook.html import element, said, table, text
from mateline.exports.picture.outline_sketch import sketch_of
from mateline.exports.svg_path import number
from mateline.tape.arcs.told import arc_reading_rows, arc_rows
from mateline.tape.quantities import unbroken
from mateline.tape.report import KEY, corner_rows, reading_rows, sentences

if TYPE_CHECKING:
    from mateline.exports.picture.outline_sketch import Lettering
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

_VERDICTS = {
    "closes": "closes",
    "suspect": "one reading looks wrong",
    "cannot-tell": "a reading is wrong",
    "unchecked": "nothing checks it",
    "stated": "stated by its points",
}
_SEVERAL = "more than one reading is wrong"


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
    sketch = sketch_of(outline, tape, view)
    ring = " ".join(f"{number(x, 2)},{number(y, 2)}" for x, y in sketch.ring)
    return element(
        "svg",
        element("polygon", points=ring),
        *map(_lettered, sketch.letters),
        viewBox=" ".join(number(value, 2) for value in sketch.box),
        role="img",
        aria_label=f"Outline of {name} with the lengths of its sides: {sketch.told}",
        class_="sketch",
    )


def _lettered(letters: Lettering) -> str:
    (x, y), size = letters.at, letters.size
    about = f"rotate({number(letters.turn_deg, 1)} {number(x, 2)} {number(y, 2)})"
    return said(
        "text",
        unbroken(letters.words),
        x=number(x, 2),
        y=number(y + 0.36 * size, 2),
        font_size=number(size, 2),
        transform=about if letters.turn_deg or letters.kind == "length" else None,
        class_=letters.kind,
    )
