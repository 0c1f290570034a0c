"""Laying in the book: each face's drawing with its order of laying, and what to do in words.

Stands after html. The drawing is that of laying.svg, as a picture: what nobody unfolds costs a
browser nothing.
"""

from __future__ import annotations

import base64
from typing import TYPE_CHECKING

from mateline.exports.jobbook.html import element, said, table, text
from mateline.exports.laying.figure import laying_figure, legend_of
from mateline.exports.laying.words import SPACE, against_said, name_of, order_said, steps_said
from mateline.exports.picture.widest import spots_of
from mateline.exports.print.figure import figure_svg

if TYPE_CHECKING:
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.picture.widest import Lines
    from mateline.tape.accuracy import Tape

MOST_ROWS = 150  # pieces: more are told in one paragraph, not in a table


def part(laid: LaidSet, tape: Tape, paper: str | None, places: Lines) -> str:
    """The part of a face's article that tells how its set is laid; `places` are the widest ones of
    the set's pieces.
    """
    name = laid.laying.face
    figure = laying_figure(laid, tape, paper, spots=spots_of(laid.stencil, places), worded=False)
    picture = base64.b64encode(figure_svg(figure).encode()).decode("ascii")
    wide, high = figure.size
    return element(
        "details",
        said("summary", "Laying"),
        element(
            "img",
            src=f"data:image/svg+xml;base64,{picture}",
            alt=f"{name} with the order of laying, the cabinet's edges, ticks and the diagonal",
            loading="lazy",
            width=round(4 * wide),
            height=round(4 * high),
        ),
        said("p", ". ".join(legend_of(laid)) + ".", class_="hint"),
        element("ol", *(said("li", words) for words in steps_said(laid, tape))),
        _order(laid),
        class_="laying",
    )


def _order(laid: LaidSet) -> str:
    """What each piece is laid against, or, of very many, their order alone."""
    steps = laid.laying.steps
    if len(steps) > MOST_ROWS:
        return element("p", text(f"In order: {order_said(laid)}.".replace(SPACE, " ")))
    rows = [
        [text(number), text(name_of(laid, step.piece)), text(against_said(laid, step))]
        for number, step in enumerate(steps, start=1)
    ]
    caption = f"Order of laying on {laid.laying.face}"
    return table(caption, ["order", "piece", "against"], rows)
