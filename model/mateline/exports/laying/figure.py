"""The laying page, composed: the face with order and ids, the cabinet's edges round it, words.

Stands last in the room. The page is the job's paper, turned so that the face is largest; where
more pieces are to be named than it has room for, it is made larger, so that none goes without.

    FRONT (body-front)   the cabinet's edge that lies there, outside of the board
    (A)                  a corner of the tape readings
    |- 1 15/16"          a tick, and how far its twin on the cabinet is from the end of the edge
    12 R3                the twelfth piece to lay is R3
    - - -                the diagonal to measure
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.hole import on_face, opening
from mateline.curves import Chain, circle, flattened, moved
from mateline.exports.laying.surroundings import (
    BLUE,
    GREY,
    INK,
    PT,
    RED,
    at_page,
    line,
    surroundings,
)
from mateline.exports.laying.words import SPACE, name_of, steps_said
from mateline.exports.picture.widest import spots_of, widest_places
from mateline.exports.print.figure import Area, Boxes, Figure, Lines, Words, width_of
from mateline.exports.print.label_room import LabelRoom, beside
from mateline.exports.print.tiles import paper_for
from mateline.exports.stroke import rings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.print.figure import Mark
    from mateline.tape.accuracy import Tape

    Array = NDArray[np.float64]

MARGIN = 10.0  # mm of the page
HEAD = 9.0  # mm for the title
ROUND = 18.0  # mm round the face, for the names of edges, letters and ticks
TEXT = 8.5 * PT  # mm: lettering of the words
LEAD = 1.36
COLUMN = 74.0  # mm: width of a column of words
GUTTER = 6.0
FILLED = (
    0.86  # no unit: share of a line that words fill in Helvetica; a browser's font may be wider
)
ID, ORDER = 7 * PT, 7.5 * PT  # mm: lettering of ids and of the order
LABEL = 60.0  # mm²: a label with the room round it, where pieces are as small as they
TINT = 0.72  # no unit: how much white is in a piece's colour
LISTED = 23.0  # mm: width of a column of the order
LARGEST = 8  # times a page is doubled at the most, for pieces without room
LEGEND = (
    ("order", "order of laying, and the piece's id"),
    ("tick", "tick on the board, and its mark on the cabinet"),
    ("letter", "corner of the tape readings"),
    ("diagonal", "diagonal to measure"),
    ("sharp", "edge of the cabinet"),
    ("hole", "hole for hardware"),
)


SIGNS = MappingProxyType(
    {
        "order": "Red number and black letters",
        "tick": "Blue",
        "letter": "Letter in a ring",
        "diagonal": "Red dashes",
        "sharp": "Grey line",
        "hole": "Grey dots",
    }
)


@dataclass(frozen=True, slots=True)
class _Plan:
    """How the page is parted: its size, the face's scale and corner, the boxes for words."""

    size: tuple[float, float]
    scale: float
    origin: Point
    columns: tuple[tuple[float, float, float, float], ...]


def laying_figure(
    laid: LaidSet,
    tape: Tape,
    paper: str | None = None,
    *,
    spots: Mapping[str, Point] | None = None,
    worded: bool = True,
) -> Figure:
    """The page. `spots` are the widest places of the set's pieces, in its own frame, where they
    are known already. What is not `worded` is the drawing alone, on no more paper than it takes.
    """
    found = paper_for(tape.unit, paper)
    paragraphs = list(steps_said(laid, tape)) if worded else []
    where = spots_of(laid.stencil, widest_places(laid.stencil)) if spots is None else spots
    factor = math.sqrt(2) ** _crowded(laid, (found.width, found.height))
    for doubled in range(LARGEST + 1):
        size = (found.width * factor, found.height * factor)
        plan = _planned(laid, size, paragraphs)
        marks, missed = _face(laid, tape, plan, where)
        if not missed or doubled == LARGEST:
            break
        factor *= math.sqrt(2)
    title = f"Laying: {laid.laying.face}"
    if not worded:
        return Figure(title, plan.size, tuple(marks))
    return _paged(title, plan, marks, paragraphs, _keys(laid))


def laying_pages(
    laid: LaidSet, tape: Tape, paper: str | None, spots: Mapping[str, Point]
) -> list[Figure]:
    """The page as large as the paper. Where that has no room for each label, there is none on it,
    and the order is listed on pages that follow.
    """
    found = paper_for(tape.unit, paper)
    size = (found.width, found.height)
    title = f"Laying: {laid.laying.face}"
    paragraphs = list(steps_said(laid, tape))
    plan = _planned(laid, size, paragraphs)
    marks, missed = _face(laid, tape, plan, spots)
    if not missed:
        return [_paged(title, plan, marks, paragraphs, _keys(laid))]
    paragraphs = list(steps_said(laid, tape, listed=True))
    plan = _planned(laid, size, paragraphs)
    marks, _ = _face(laid, tape, plan, None)
    keys = [(kind, words) for kind, words in _keys(laid) if kind != "order"]
    return [_paged(title, plan, marks, paragraphs, keys), *_lists(laid, size)]


def _paged(
    title: str,
    plan: _Plan,
    marks: Sequence[Mark],
    paragraphs: Sequence[str],
    keys: Sequence[tuple[str, str]],
) -> Figure:
    words = _words(plan, paragraphs, keys)
    return Figure(title, plan.size, (_head(title, plan.size), *marks, *words))


def _head(title: str, size: tuple[float, float]) -> Mark:
    return Words((MARGIN, size[1] - MARGIN - 2.5), 5.0, title, colour=INK, bold=True)


def _lists(laid: LaidSet, size: tuple[float, float]) -> Iterator[Figure]:
    """The order of laying, column by column, on as many pages as it takes."""
    wide, high = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - HEAD
    columns, rows = int(wide / LISTED), int(high / (LEAD * ORDER))
    steps, most = laid.laying.steps, columns * rows
    title = f"Laying: {laid.laying.face}, order"
    for first in range(0, len(steps), most):
        here = steps[first : first + most]
        numbers: list[Mark] = []
        names: list[Mark] = []
        for at, step in enumerate(here):
            column, row = divmod(at, rows)
            x = MARGIN + column * LISTED
            y = size[1] - MARGIN - HEAD - (row + 0.5) * LEAD * ORDER
            number = str(first + at + 1)
            numbers.append(Words((x + 9.0, y), ORDER, number, "end", RED, bold=True))
            names.append(Words((x + 10.5, y), ID, name_of(laid, step.piece), colour=INK))
        yield Figure(title, size, (_head(title, size), *numbers, *names))


def _crowded(laid: LaidSet, paper: tuple[float, float]) -> int:
    """How many times a page is doubled before its labels can have room at all."""
    need = LABEL * len(laid.laying.steps) / (0.5 * paper[0] * paper[1])
    return max(0, math.ceil(math.log2(need) + 1e-9))


def legend_of(laid: LaidSet) -> list[str]:
    """The legend in words, for where the drawing stands without its page."""
    return [f"{SIGNS[kind]}: {words}" for kind, words in _keys(laid)]


def _planned(laid: LaidSet, paper: tuple[float, float], paragraphs: Sequence[str]) -> _Plan:
    """The plan that shows the face largest: upright or across, words beside or below."""
    left, low, right, high = _bounds(laid)
    if not paragraphs:
        long = max(paper) - 2 * ROUND
        scale = min(long / (right - left), long / (high - low))
        size = ((right - left) * scale + 2 * ROUND, (high - low) * scale + 2 * ROUND)
        return _Plan(size, scale, (ROUND - left * scale, ROUND - low * scale), ())
    best: _Plan | None = None
    for size in (paper, paper[::-1]):
        wide, tall = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - HEAD
        for below in (False, True):
            if below:
                count = max(1, int((wide + GUTTER) / (COLUMN + GUTTER)))
                each = (wide + GUTTER) / count - GUTTER
                high_words = _height(paragraphs, each) / count + 6 * LEAD * TEXT
                room = (wide, tall - high_words - 2)
                columns = tuple(
                    (MARGIN + at * (each + GUTTER), MARGIN, MARGIN + at * (each + GUTTER) + each,
                     MARGIN + high_words)
                    for at in range(count)
                )  # fmt: skip
            else:
                room = (wide - COLUMN - GUTTER, tall)
                columns = ((size[0] - MARGIN - COLUMN, MARGIN, size[0] - MARGIN, MARGIN + tall),)
            scale = min(
                (room[0] - 2 * ROUND) / (right - left), (room[1] - 2 * ROUND) / (high - low)
            )
            if best is None or scale > 1.02 * best.scale:
                top = size[1] - MARGIN - HEAD - ROUND
                origin = (MARGIN + ROUND - left * scale, top - high * scale)
                best = _Plan(size, scale, origin, columns)
    if best is None:
        raise ValueError("paper has two sides")
    return best


def _bounds(laid: LaidSet) -> tuple[float, float, float, float]:
    """All that is drawn of the face and the cabinet's edges, in the face's frame."""
    points = [end for side in laid.laying.sides for end in side.ends]
    outline = _carried(laid, laid.stencil.face.outline.exterior.coords)
    points += [(x, y) for x, y in outline.tolist()]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _carried(laid: LaidSet, points: object) -> Array:
    """Points of the set in the frame of the face that it is laid on."""
    found: Array = np.array(points, dtype=np.float64)
    if laid.matrix is not None:
        (a, c, e), (b, d, f) = laid.matrix.tolist()
        x, y = found[:, 0], found[:, 1]
        found = np.column_stack([a * x + c * y + e, b * x + d * y + f])
    return found


def _matrices(laid: LaidSet, plan: _Plan) -> tuple[Array, Array]:
    """What takes the face's frame to the page, and what takes the set's."""
    page = np.array([[plan.scale, 0.0, plan.origin[0]], [0.0, plan.scale, plan.origin[1]]])
    if laid.matrix is None:
        return page, page
    whole: Array = plan.scale * laid.matrix
    whole[:, 2] += plan.origin
    return page, whole


def _face(
    laid: LaidSet, tape: Tape, plan: _Plan, spots: Mapping[str, Point] | None
) -> tuple[list[Mark], int]:
    """The drawing with everything round it, and how many pieces had no room for their label; no
    labels without `spots`.
    """
    page, own = _matrices(laid, plan)
    left, low, right, high = _bounds(laid)
    corner, top = at_page((left, low), page), at_page((right, high), page)
    room = LabelRoom((corner[0] - ROUND, corner[1] - ROUND, top[0] + ROUND, top[1] + ROUND))
    chains = [moved(chain, own) for chain in laid.stencil.chains]
    room.draw(_inked(chains))
    marks: list[Mark] = list(_fills(laid, own))
    marks += _hardware(laid, own)
    marks += surroundings(laid, tape, page, room)
    if spots is None:
        return marks, 0
    labels, missed = _labels(laid, own, spots, room)
    return [*marks, *labels], missed


def _fills(laid: LaidSet, own: Array) -> Iterator[Mark]:
    stencil = laid.stencil
    for name, paint in stencil.paints.items():
        closed = [
            moved(chain, own)
            for piece in stencil.pieces
            if piece.colour == name
            for chain in rings(stencil.chains, stencil.pattern.regions[piece.region])
        ]
        if closed:
            yield Area(tuple(closed), _tinted(paint), (INK, 0.18))


def _tinted(paint: str) -> str:
    channels = (int(paint[at : at + 2], 16) for at in (1, 3, 5))
    return "#" + "".join(f"{round(each + (255 - each) * TINT):02x}" for each in channels)


def _hardware(laid: LaidSet, own: Array) -> Iterator[Mark]:
    face = laid.stencil.face
    chains = [
        moved(part, own) for hole in face.holes for part in on_face(opening(hole), face.outline)
    ]
    if chains:
        yield Lines(tuple(chains), GREY, 0.18, (0.8, 0.8))


def _labels(
    laid: LaidSet, own: Array, spots: Mapping[str, Point], room: LabelRoom
) -> tuple[list[Mark], int]:
    """Order and id in each piece, or led to it; those without room are counted."""
    grounds: list[Mark] = []
    boxes: list[tuple[float, float, float, float]] = []
    numbers: list[Mark] = []
    names: list[Mark] = []
    missed = 0
    for number, step in enumerate(laid.laying.steps, start=1):
        first, then = str(number), name_of(laid, step.piece)
        wide = (width_of(first, ORDER) + 0.9, width_of(then, ID))
        size = (sum(wide) + 0.9, ORDER)
        at = at_page(spots[laid.stencil.pieces[step.piece].id], own)
        place = room.placed(([at], *beside(at, size, 0.0, (0.0, 2.0, 4.0, 6.5, 9.0))), size)
        if place is None:
            missed += 1
            continue
        x = place[0] - sum(wide) / 2 - 0.2
        if math.dist(at, place) > max(size) / 2 + 0.5:
            grounds.append(Lines((line(at, place),), GREY, 0.12))
            grounds.append(Area((circle(at, 0.35),), GREY))
        y = place[1]
        boxes.append((x - 0.2, y - size[1] / 2, x + sum(wide) + 0.4, y + size[1] / 2))
        numbers.append(Words((x, place[1]), ORDER, first, colour=RED, bold=True))
        names.append(Words((x + wide[0] + 0.2, place[1]), ID, then, colour=INK))
    return [*grounds, Boxes(tuple(boxes), "#ffffff"), *numbers, *names], missed


def _keys(laid: LaidSet) -> list[tuple[str, str]]:
    """The rows of the legend: only what is on this page."""
    laying = laid.laying
    there = {
        "order": True,
        "tick": bool(laying.ticks),
        "letter": bool(laying.letters),
        "diagonal": laying.diagonal is not None,
        "sharp": any(side.short > 0 for side in laying.sides),
        "hole": bool(laid.stencil.face.holes),
    }
    return [(kind, words) for kind, words in LEGEND if there[kind]]


def _words(
    plan: _Plan, paragraphs: Sequence[str], keys: Sequence[tuple[str, str]]
) -> Iterator[Mark]:
    """Numbered paragraphs, then the legend, column by column."""
    columns = iter(plan.columns)
    left, low, right, high = next(columns)
    y = high
    for number, paragraph in enumerate(paragraphs, start=1):
        lines = _lines(paragraph, right - left - 4.5)
        if y - len(lines) * LEAD * TEXT < low:
            following = next(columns, None)
            if following is not None:
                left, low, right, high = following
                y = high
        for at, words in enumerate(lines):
            y -= LEAD * TEXT
            if at == 0:
                yield Words((left, y), TEXT, f"{number}.", bold=True)
            yield Words((left + 4.5, y), TEXT, words)
        y -= 0.8
    if y - (len(keys) + 1) * LEAD * TEXT < low:
        following = next(columns, None)
        if following is not None:
            left, low, right, high = following
            y = high
    y -= 1.0
    for kind, words in keys:
        y -= 1.25 * LEAD * TEXT
        yield from _sign(kind, (left, y))
        yield Words((left + 14.0, y), TEXT, words)


def _sign(kind: str, at: Point) -> Iterator[Mark]:
    x, y = at
    if kind == "order":
        yield Words((x, y), ORDER, "12", colour=RED, bold=True)
        yield Words((x + 4.2, y), ID, "R3")
    elif kind == "tick":
        yield Lines((line((x + 4, y - 1.2), (x + 4, y + 1.2)),), BLUE, 0.4)
    elif kind == "letter":
        yield Lines((circle((x + 4, y), 1.7),), INK, 0.25)
        yield Words((x + 4, y), 2.4, "A", "middle", bold=True)
    elif kind == "diagonal":
        yield Lines((line((x, y), (x + 11, y)),), RED, 0.35, (2.4, 1.6))
    elif kind == "sharp":
        yield Lines((line((x, y), (x + 11, y)),), GREY, 0.25)
    else:
        yield Lines((circle((x + 4, y), 1.4),), GREY, 0.18, (0.8, 0.8))


def _height(paragraphs: Sequence[str], wide: float) -> float:
    rows = sum(len(_lines(each, wide - 4.5)) for each in paragraphs)
    return rows * LEAD * TEXT + 0.8 * len(paragraphs)


def _lines(words: str, wide: float) -> list[str]:
    """Words in lines that are `wide`; no reading is parted."""
    lines = [""]
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_of(longer.replace(SPACE, " "), TEXT) > FILLED * wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return [line.replace(SPACE, " ") for line in lines]


def _inked(chains: Sequence[Chain]) -> Array:
    return np.concatenate([flattened(chain, 0.1) for chain in chains])
