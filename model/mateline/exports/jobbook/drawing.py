"""The drawing of one face in the book: pieces with their ids, hardware, marks, sides, scale bar.

Stands after html. Every piece has its id on it or led aside; the script colours the pieces for each
pass, zooms into the drawing, and paints the cabinet's faces from it.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.exports.cut.layers import punches, scores
from mateline.exports.cut.sheets import join_lines
from mateline.exports.jobbook.html import anchor, element, said
from mateline.exports.laying.words import side_name
from mateline.exports.picture.face_picture import LEVEL_INK
from mateline.exports.picture.id_places import id_places, led, to_be_led
from mateline.exports.picture.legend import ink_on, scale_bar
from mateline.exports.stroke import rings
from mateline.exports.svg_path import number, path_data
from mateline.tape.quantities import unbroken

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely import Polygon

    from mateline.checks.findings import Finding
    from mateline.curves import Point
    from mateline.exports.picture.widest import Lines
    from mateline.stencil.laying.sides import Side
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

DECIMALS = 2  # mm: finer than a screen shows
MARGIN = (
    0.055  # no unit: room around the drawing for its sides' names, as a share of its longer side
)
FOOT = 0.05  # no unit: room below for the scale bar, likewise
LETTER = (
    1 / 50,
    1 / 160,
)  # no unit: largest and smallest lettering that is read unzoomed, likewise
MARK = 1 / 64  # no unit: radius of a finding's mark, as a share of the longer side
HALO = (
    2.2  # no unit: radius of the ring round a marked place that is shown, as a share of the mark's
)
SIDE = (1 / 48, 1 / 85)  # no unit: largest and smallest lettering of a side's name
WIDE = 0.62  # no unit: width of a sign, as a share of its height
SMALLER = (1.0, 0.8, 0.65)  # no unit: sizes of a side's name that are tried, largest first
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66)  # no unit: where along its side


class Around(NamedTuple):
    """What is told beside a face: the tape for its scale bar, and the names of its sides."""

    tape: Tape
    sides: Sequence[Side]


class SideName(NamedTuple):
    """The name of a side as it is drawn, and the places that marks keep clear of."""

    markup: str
    spots: tuple[Point, ...]


def drawing(
    stencil: Stencil,
    findings: Sequence[tuple[int, Finding]],
    places: Lines,
    beside: Sequence[tuple[int, Finding]],
    around: Around,
) -> str:
    """The face as SVG in mm, y down from its top. `findings` come with their numbers, and what
    stands `beside` them with those that it comes of; ids stand in the widest `places`.
    """
    _, _, width, height = stencil.face.outline.bounds
    long = max(width, height)
    edge = MARGIN * long
    box = (-edge, -edge, width + 2 * edge, height + 2 * edge + FOOT * long)
    ids, taken = _ids(stencil, long, places)
    names = list(_side_names(around.sides, stencil.face.outline))
    taken += [spot for name in names for spot in name.spots]
    return element(
        "svg",
        element("g", *_fills(stencil), class_="pieces", fill_rule="evenodd"),
        element("g", *_hardware(stencil), class_="hardware"),
        *_lines(stencil),
        element("g", *(name.markup for name in names), class_="sides"),
        _scale(width, height, around.tape),
        element("g", class_="over"),
        element("g", *ids, class_="ids"),
        element("g", *_marks(findings, beside, (height, MARK * long), taken), class_="marks"),
        viewBox=" ".join(number(value, DECIMALS) for value in box),
        role="img",
        aria_label=_alternative(stencil, findings),
        data_face=stencil.face.name,
        data_width=number(width, DECIMALS),
        data_height=number(height, DECIMALS),
    )


def ratio(stencil: Stencil) -> float:
    """Width over height of the drawing with its margin."""
    _, _, width, height = stencil.face.outline.bounds
    long = max(width, height)
    return (width + 2 * MARGIN * long) / (height + (2 * MARGIN + FOOT) * long)


def _alternative(stencil: Stencil, findings: Sequence[tuple[int, Finding]]) -> str:
    counts = Counter(piece.colour for piece in stencil.pieces)
    colours = ", ".join(f"{count} {colour}" for colour, count in counts.items())
    what = f"Pieces: {colours}." if counts else f"{stencil.base} only, no board."
    hardware = ", ".join(hole.name for hole in stencil.face.holes)
    marks = ", ".join(f"{count} ({finding.code})" for count, finding in findings)
    return (
        f"Drawing of {stencil.face.name}. {what}"
        + (f" Hardware: {hardware}." if hardware else "")
        + (f" Findings: {marks}." if marks else "")
    )


def _fills(stencil: Stencil) -> Iterator[str]:
    top = stencil.face.outline.bounds[3]
    for piece in stencil.pieces:
        chains = rings(stencil.chains, stencil.pattern.regions[piece.region])
        yield element(
            "path",
            said("title", f"{piece.id}, {piece.colour}"),
            id=spot(stencil, piece),
            class_="piece",
            data_piece=piece.id,
            data_short=piece.short if piece.own else None,
            data_colour=piece.colour,
            fill=stencil.paints[piece.colour],
            d=path_data(chains, top, DECIMALS),
        )
    if not stencil.has_board:
        paint = stencil.paints[stencil.base]
        for region in stencil.pattern.regions:
            # The script paints pieces; this stays as it is, and its skin in 3D is read from it.
            yield element(
                "path",
                said("title", f"{stencil.face.name}, {stencil.base}: no board"),
                class_="bare",
                style=f"fill:{paint}",
                d=path_data(rings(stencil.chains, region), top, DECIMALS),
            )


def _hardware(stencil: Stencil) -> Iterator[str]:
    top = stencil.face.outline.bounds[3]
    for hole in stencil.face.holes:
        kind = "stays on" if hole.stays else "off, an open hole under the board"
        if hole.stays:
            clear = on_face(keep_clear(hole), stencil.face.outline)
            yield element("path", class_="clear", d=path_data(clear, top, DECIMALS))
        yield element(
            "path",
            said("title", f"{hole.name}: {kind}"),
            class_="stays" if hole.stays else "open",
            d=path_data(on_face(opening(hole), stencil.face.outline), top, DECIMALS),
        )


def _lines(stencil: Stencil) -> Iterator[str]:
    top = stencil.face.outline.bounds[3]
    for kind, chains in (
        ("cuts", stencil.chains),
        ("scores", scores(stencil)),
        ("joins", join_lines(stencil.grid)),
        ("tacks", punches(stencil)),
    ):
        if chains:
            yield element("path", class_=kind, d=path_data(chains, top, DECIMALS))


def _ids(stencil: Stencil, long: float, places: Lines) -> tuple[list[str], list[Point]]:
    """Letter and number of each piece, and the places that marks keep clear of.

    In its widest place where it can be read there. A few that can't be are led aside; where there
    are many they are small, to be read when one zooms in.
    """
    spots = id_places(stencil, places)
    small = to_be_led(spots, LETTER[1] * long)
    aside = [each for each in spots if each.piece.id in small]
    taken = [each.at for each in spots if each.size >= LETTER[1] * long]
    found = list(led((each.at for each in aside), taken, MARK * long))
    inside = []
    for each in spots:
        if each.piece.id not in small:
            fitting = min(each.size, LETTER[0] * long)
            inside.append(
                said(
                    "text",
                    each.piece.short,
                    x=number(each.at[0], DECIMALS),
                    y=number(each.at[1] + 0.36 * fitting, DECIMALS),
                    font_size=number(fitting, DECIMALS),
                    fill=ink_on(stencil.paints[each.piece.colour]),
                    data_label=spot(stencil, each.piece),
                )
            )
    tags = [_led(e.at, at, e.piece.short, long) for e, at in zip(aside, found, strict=True)]
    return [*inside, *tags], [*taken, *found]


def _led(place: Point, at: Point, name: str, long: float) -> str:
    """A line from a piece to its id beside it, and a dot on the piece."""
    size = LETTER[1] * 1.5 * long
    wide, high = WIDE * size * (len(name) + 0.6), 1.3 * size
    (x0, y0), (x1, y1) = ((number(x, DECIMALS), number(y, DECIMALS)) for x, y in (place, at))
    return element(
        "g",
        element("line", x1=x0, y1=y0, x2=x1, y2=y1),
        element("circle", cx=x0, cy=y0, r=number(0.2 * size, DECIMALS)),
        element(
            "rect",
            x=number(at[0] - wide / 2, DECIMALS),
            y=number(at[1] - high / 2, DECIMALS),
            width=number(wide, DECIMALS),
            height=number(high, DECIMALS),
            rx=number(0.25 * size, DECIMALS),
        ),
        said("text", name, x=x1, y=number(at[1] + 0.36 * size, DECIMALS),
             font_size=number(size, DECIMALS)),
        class_="led",
    )  # fmt: skip


def _marks(
    findings: Sequence[tuple[int, Finding]],
    beside: Sequence[tuple[int, Finding]],
    box: tuple[float, float],
    ids: Sequence[Point],
) -> Iterator[str]:
    """A numbered disc beside each finding's place and led to it, so that none hides such a place.

    `box` is the top and a disc's radius. Links lead to those of `findings` themselves.
    """
    top, reach = box
    marked = [
        (order < len(findings), count, finding, (finding.at[0], top - finding.at[1]))
        for order, (count, finding) in enumerate((*findings, *beside))
        if finding.at is not None
    ]
    taken = [*ids, *(place for *_, place in marked)]
    spots = led((place for *_, place in marked), taken, reach)
    for (own, count, finding, place), at in zip(marked, spots, strict=True):
        yield _mark(count, finding, (place, at), reach, own=own)


def _mark(
    count: int, finding: Finding, spots: tuple[Point, Point], reach: float, *, own: bool
) -> str:
    ink = LEVEL_INK[finding.level]
    (x0, y0), (x, y) = ((number(x, DECIMALS), number(y, DECIMALS)) for x, y in spots)
    return element(
        "g",
        said("title", f"Finding {count}: {finding.code}"),
        element("line", x1=x, y1=y, x2=x0, y2=y0, stroke=ink),
        element("circle", class_="halo", cx=x0, cy=y0, r=number(HALO * reach, DECIMALS)),
        element("circle", cx=x, cy=y, r=number(reach, DECIMALS), fill=ink),
        said(
            "text",
            count,
            x=x,
            y=number(spots[1][1] + 0.4 * reach, DECIMALS),
            font_size=number(1.15 * reach, DECIMALS),
        ),
        id=f"mark-{count}" if own else None,
        class_="mark",
        data_finding=count,
    )


def _side_names(sides: Sequence[Side], outline: Polygon) -> Iterator[SideName]:
    """The names of the sides, along them and outside; of a short one the direction alone. None
    lies on another one, as two in a notch would: it is smaller, or off the middle of its side.
    """
    taken: list[Point] = []
    for side in sides:
        places = list(_name_places(side, outline))
        free = (place for place in places if _is_free(place, taken))
        place = next(free, places[0] if places else None)
        if place is None:
            continue
        taken += place.spots
        (x, y), turn = place.at, number(place.turn_deg, 1)
        text = said(
            "text",
            place.name,
            transform=f"translate({number(x, DECIMALS)} {number(y, DECIMALS)}) rotate({turn})",
            y=number(0.36 * place.size, DECIMALS),
            font_size=number(place.size, DECIMALS),
        )
        yield SideName(text, place.spots)


class _NamePlace(NamedTuple):
    name: str
    at: Point
    size: float
    turn_deg: float
    spots: tuple[Point, ...]


def _is_free(place: _NamePlace, taken: Sequence[Point]) -> bool:
    return all(math.dist(one, other) > place.size for one in place.spots for other in taken)


def _name_places(side: Side, outline: Polygon) -> Iterator[_NamePlace]:
    """Where a side's name may stand, the best first; y down from the outline's top."""
    _, _, width, top = outline.bounds
    long = max(width, top)
    (x0, y0), (x1, y1) = ((x, top - y) for x, y in side.ends)
    length, off = math.dist((x0, y0), (x1, y1)), 0.028 * long
    turn = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 180
    turn -= 180 if turn > 100 else 0
    far = off + (0.0 if side.straight else _bow(side, outline))
    for name, smaller, share in product((side_name(side), side.way), SMALLER, SHARES):
        size = smaller * min(SIDE[0] * long, length / (WIDE * max(len(name), 1)))
        if not name or size < SIDE[1] * long:
            continue
        # A sharp edge may lie outside of the board; its name stays within the margin.
        x = x0 + share * (x1 - x0) + far * side.out[0]
        y = y0 + share * (y1 - y0) - far * side.out[1]
        x = min(max(x, -1.3 * off), width + 1.3 * off)
        y = min(max(y, -1.3 * off), top + 1.3 * off)
        signs = [0.5 * WIDE * size * step for step in range(-len(name), len(name) + 1, 3)]
        cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        spots = tuple((x + along * cos, y + along * sin) for along in signs)
        yield _NamePlace(name, (x, y), size, turn, spots)


def _bow(side: Side, outline: Polygon) -> float:
    """How far the board reaches over the line between the ends of a bowed side, mm."""
    (x0, y0), (x1, y1) = side.ends
    length = math.dist(*side.ends)
    points = shapely.get_coordinates(outline.exterior) - (x0, y0)
    along = points @ np.array([x1 - x0, y1 - y0]) / length
    over: float = np.max(points[(along >= 0) & (along <= length)] @ np.array(side.out), initial=0.0)
    return float(over)


def _scale(width: float, height: float, tape: Tape) -> str:
    """A scale bar below the drawing."""
    long = max(width, height)
    size = long / 640  # mm: a px of the bar's lettering
    bar = scale_bar((0.0, 0.0), 1 / size, max(width / size * 0.5, 1.0), tape)
    low = number(height + (MARGIN + 0.2 * FOOT) * long, DECIMALS)
    return element(
        "g",
        *map(unbroken, bar),
        class_="bar-scale",
        transform=f"translate(0 {low}) scale({number(size, 4)})",
    )


def spot(stencil: Stencil, piece: Piece) -> str:
    """The id in the book of a piece where it lies: a set that is turned over lies on two faces."""
    return anchor("piece", f"{stencil.face.name} {piece.short}")
