"""The picture of one face: painted, with its pieces, hardware and findings, to look at.

Stands after painted, layers and legend. Nothing is cut from this; stencil.svg is for that.
"""

from __future__ import annotations

import textwrap
from collections import Counter
from html import escape
from typing import TYPE_CHECKING

from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.exports.cut.layers import punches, scores
from mateline.exports.cut.sheets import join_lines
from mateline.exports.picture.id_places import id_places, led, to_be_led
from mateline.exports.picture.legend import (
    DARK,
    FAINT,
    GREY,
    ROW,
    ink_on,
    page,
    palette,
    scale_bar,
    swatch,
    words,
)
from mateline.exports.picture.painted import fills
from mateline.exports.picture.widest import widest_places
from mateline.exports.svg_path import number, path_data
from mateline.paint.turned_sets import as_laid, renamed
from mateline.tape.quantities import counted
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.checks.findings import Finding, Settled
    from mateline.curves import Point
    from mateline.exports.picture.widest import Lines
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

LARGEST = (900.0, 900.0)  # px: the face's share of the picture
MARGIN = 36.0
COLUMN = 300.0  # px: width of the legend
LINE = 44  # characters in a line of the legend
MOST_LISTED = 16  # findings; the others are in findings.json
LETTER = (14.0, 6.5)  # px: largest and smallest lettering of an id
CALLED = 8.5  # px: lettering of an id that is led aside
MARK = 9.0  # px: radius of a finding's mark
JOIN = 'stroke="#aa00aa"'
LEVEL_INK = {"stop": "#b3261e", "warn": "#b35900", "note": "#1a5fb4"}


def face_picture(
    stencil: Stencil,
    findings: Sequence[Finding],
    tape: Tape,
    settled: Sequence[Settled] = (),
    widest: Lines | None = None,
    *,
    turned: TurnedSet | None = None,
) -> str:
    """`numbered_picture` with the findings counted from 1."""
    counted_here = list(enumerate(findings, 1))
    return numbered_picture(stencil, counted_here, tape, settled, widest, turned=turned)


def numbered_picture(
    stencil: Stencil,
    findings: Sequence[tuple[int, Finding]],
    tape: Tape,
    settled: Sequence[Settled] = (),
    widest: Lines | None = None,
    *,
    turned: TurnedSet | None = None,
) -> str:
    """An SVG picture of the face with a legend in the user's unit; `findings` come with their
    numbers in the whole job, and those of other faces are left out. Those that are `settled` are
    in the legend, with their reasons, and not marked. Ids stand in the `widest` places of the
    pieces, where somebody has them already. Where another face's set lies here `turned` over,
    pieces have the names of that board.
    """
    if turned is not None:
        stencil = as_laid(stencil, turned)
        findings = [(count, renamed(each, turned.on_board)) for count, each in findings]
    _, _, width, height = stencil.face.outline.bounds
    scale = min(LARGEST[0] / width, LARGEST[1] / height)
    mine = [each for each in findings if each[1].face == stencil.face.name]
    top = MARGIN + 44
    legend = list(_legend(stencil, mine, (MARGIN + width * scale + 34, top + 4)))
    meant = [each for each in settled if each.finding.face == stencil.face.name]
    legend += _settled(meant, (MARGIN + width * scale + 34, legend[-1][0]))
    tall = max(top + height * scale + 44, legend[-1][0] + 20)
    size = f"{printed(width, tape)} × {printed(height, tape)}"  # noqa: RUF001
    seen = "seen square on from outside"
    if turned is not None:
        seen += f"; the set of {turned.left}, turned over, lies here"
    moved = f"translate({number(MARGIN, 2)} {number(top, 2)})"
    widest = widest_places(stencil) if widest is None else widest
    ids, places = _ids(stencil, scale, widest)
    body = [
        words((MARGIN, MARGIN + 10), stencil.face.name, 22, DARK, 'font-weight="600"'),
        words((MARGIN, MARGIN + 30), f"{size}, {seen}", 13, GREY),
        f'<g transform="{moved} scale({number(scale, 6)})" stroke-linejoin="round">',
        *_painting(stencil, scale),
        "</g>",
        f'<g transform="{moved}">',
        *ids,
        *_marks(mine, scale, height, places),
        "</g>",
        *scale_bar((MARGIN, top + height * scale + 16), scale, width * scale / 2, tape),
        *(text for _, text in legend),
    ]
    return page(MARGIN + width * scale + 34 + COLUMN + MARGIN, tall + MARGIN / 2, body)


def _painting(stencil: Stencil, scale: float) -> Iterator[str]:
    """In mm: fills, cut lines, hardware, scores, joins, tacks."""
    top = stencil.face.outline.bounds[3]
    pieces = {piece.region: piece for piece in stencil.pieces}
    yield '<g fill-rule="evenodd">'
    for index, (paint, data) in enumerate(fills(stencil)):
        called = pieces[index].id if stencil.has_board else stencil.face.name
        title = escape(f"{called}, {stencil.pattern.regions[index].colour}", quote=False)
        yield f'<path fill="{paint}" d="{data}"><title>{title}</title></path>'
    yield "</g>"
    outline = stencil.face.outline
    for hole in stencil.face.holes:
        title = f"<title>{escape(hole.name, quote=False)}</title>"
        if hole.stays:
            clear = path_data(on_face(keep_clear(hole), outline), top)
            yield f'<path fill="#e3e6e9" d="{clear}"/>'
        fill = "#9aa1a9" if hole.stays else "#26292d"
        shown = path_data(on_face(opening(hole), outline), top)
        # Light round the dark, so that a hole shows on a dark paint too.
        rim = f'stroke="#ffffff" stroke-width="{number(1.6 / scale)}"'
        yield f'<path fill="{fill}" {rim} d="{shown}">{title}</path>'
    thin = f'stroke="{DARK}" stroke-width="{number(0.8 / scale)}"'
    dashes = f'stroke-dasharray="{number(6 / scale)} {number(4 / scale)}"'
    for chains, style in (
        (stencil.chains, f'fill="none" {thin}'),
        (scores(stencil), f'fill="none" {thin} {dashes}'),
        (join_lines(stencil.grid), f'fill="none" {JOIN} stroke-width="{number(2.4 / scale)}"'),
        (punches(stencil), f'fill="#ffffff" fill-opacity="0.55" {thin} stroke-opacity="0.7"'),
    ):
        if chains:
            yield f'<path {style} d="{path_data(chains, top)}"/>'


def _ids(stencil: Stencil, scale: float, widest: Lines) -> tuple[list[str], list[Point]]:
    """The id of every piece, and the places that findings keep clear of, px.

    In its widest place where it can be read there. A few that can't be are called out beside
    their pieces; where there are many of them they are small, to be read when enlarged.
    """
    places = id_places(stencil, widest, scale)
    small = to_be_led(places, LETTER[1])
    aside = [each for each in places if each.piece.id in small]
    spots = list(led((each.at for each in aside), [each.at for each in places], MARK))
    body = []
    for each in places:
        if each.piece.id not in small:
            fitting = min(each.size, LETTER[0])
            at = (each.at[0], each.at[1] + 0.36 * fitting)
            ink = ink_on(stencil.paints[each.piece.colour])
            body.append(words(at, each.piece.short, fitting, ink, 'text-anchor="middle"'))
    leaders = [_leader(each.at, at) for each, at in zip(aside, spots, strict=True)]
    tags = [_tag(at, each.piece.short) for each, at in zip(aside, spots, strict=True)]
    readable = [each.at for each in places if each.size >= LETTER[1]]
    return [*body, *leaders, *tags], [*readable, *spots]


def _leader(place: Point, at: Point) -> str:
    """A line from a piece's middle to where its id stands, and a dot on the piece."""
    (x0, y0), (x1, y1) = ((number(x, 1), number(y, 1)) for x, y in (place, at))
    return (
        f'<path d="M{x0} {y0}L{x1} {y1}" stroke="{DARK}" stroke-width="0.8"/>'
        f'<circle cx="{x0}" cy="{y0}" r="1.6" fill="{DARK}" stroke="#ffffff" stroke-width="0.5"/>'
    )


def _tag(at: Point, name: str) -> str:
    wide = 5.2 * len(name) + 5
    box = (
        f'<rect x="{number(at[0] - wide / 2, 1)}" y="{number(at[1] - 5.5, 1)}" '
        f'width="{number(wide, 1)}" height="11" rx="2.5" fill="#ffffff" stroke="{DARK}" '
        f'stroke-width="0.7"/>'
    )
    return box + words((at[0], at[1] + 3), name, CALLED, DARK, 'text-anchor="middle"')


def _marks(
    findings: Sequence[tuple[int, Finding]], scale: float, top: float, ids: Sequence[Point]
) -> Iterator[str]:
    """A numbered disc beside each finding's place, led there, so that it hides no such place, no
    other disc and no id.
    """
    marked = [
        (count, finding.level, (finding.at[0] * scale, (top - finding.at[1]) * scale))
        for count, finding in findings
        if finding.at is not None
    ]
    taken = [*ids, *(place for _, _, place in marked)]
    spots = led((place for _, _, place in marked), taken, MARK)
    for (count, level, place), at in zip(marked, spots, strict=True):
        ink = LEVEL_INK[level]
        x, y = number(at[0], 1), number(at[1], 1)
        end = f'x2="{number(place[0], 1)}" y2="{number(place[1], 1)}"'
        yield f'<line x1="{x}" y1="{y}" {end} stroke="{ink}" stroke-width="1.5"/>'
        yield (
            f'<circle cx="{x}" cy="{y}" r="{number(MARK)}" fill="{ink}" stroke="#ffffff" '
            f'stroke-width="1.5"/>'
        )
        yield words((at[0], at[1] + 4), str(count), 11, "#ffffff",
                    'text-anchor="middle" font-weight="600"')  # fmt: skip


def _legend(
    stencil: Stencil, findings: Sequence[tuple[int, Finding]], at: Point
) -> Iterator[tuple[float, str]]:
    """Rows of the legend, each with the y of its baseline."""
    x, y = at
    counts = Counter(piece.colour for piece in stencil.pieces)
    letters = {piece.colour: piece.letter for piece in stencil.pieces}
    head = counted(len(stencil.pieces)) if stencil.has_board else "No board: base coat only"
    yield y, words((x, y), head, 14, DARK, 'font-weight="600"')
    used = {name: paint for name, paint in stencil.paints.items() if counts[name]}
    for name, (paint, label) in zip(used, palette(used, stencil.base), strict=True):
        y += ROW
        yield y, swatch((x, y), paint, f"{letters[name]}  {label}: {counts[name]}")
    if not stencil.has_board:
        y += ROW
        yield y, swatch((x, y), stencil.paints[stencil.base], f"{stencil.base} (base coat)")
    y += 8
    for symbol, label in _symbols(stencil):
        y += ROW
        mark = f'<g transform="translate({number(x, 1)} {number(y - 11, 1)})">{symbol}</g>'
        yield y, mark + words((x + 22, y), label, 13, GREY)
    if findings:
        y += ROW + 14
        yield y, words((x, y), "Findings", 14, DARK, 'font-weight="600"')
    for count, finding in findings[:MOST_LISTED]:
        y += ROW
        ink = LEVEL_INK[finding.level]
        disc = f'<circle cx="{number(x + 7, 1)}" cy="{number(y - 4, 1)}" r="8" fill="{ink}"/>'
        white = 'text-anchor="middle" font-weight="600"'
        yield y, disc + words((x + 7, y - 0.5), str(count), 10, "#ffffff", white)
        about = " · ".join(part for part in (finding.piece, finding.hardware) if part)
        for line in (finding.code, *textwrap.wrap(about, LINE)):
            yield y, words((x + 22, y), line, 12, DARK if line == finding.code else GREY)
            y += 15
        y -= 15
    if len(findings) > MOST_LISTED:
        y += ROW
        more = f"and {len(findings) - MOST_LISTED} more in findings.json"
        yield y, words((x + 22, y), more, 12, GREY)


def _settled(settled: Sequence[Settled], at: Point) -> Iterator[tuple[float, str]]:
    """Rows of the legend, below `at`: what is settled, and why."""
    x, y = at
    if settled:
        y += ROW + 14
        yield y, words((x, y), "Settled", 14, DARK, 'font-weight="600"')
    for each in settled[:MOST_LISTED]:
        y += ROW
        yield y, words((x + 22, y), each.finding.code, 12, DARK)
        about = " · ".join(part for part in (each.finding.piece, each.finding.hardware) if part)
        for line in (*textwrap.wrap(about, LINE), *textwrap.wrap(each.because, LINE)):
            y += 15
            yield y, words((x + 22, y), line, 12, GREY)
    if len(settled) > MOST_LISTED:
        y += ROW
        more = f"and {len(settled) - MOST_LISTED} more in findings.json"
        yield y, words((x + 22, y), more, 12, GREY)


def _symbols(stencil: Stencil) -> Iterator[tuple[str, str]]:
    """Key to the marks that are on this face."""
    under, over = (" under the board", "") if stencil.has_board else ("", ": tape it over")
    line = f'stroke="{DARK}" stroke-width="1"'
    if any(piece.tacks for piece in stencil.pieces):
        yield f'<rect y="3" width="14" height="7" fill="{FAINT}" {line}/>', "tape tack"
    if any(not hole.stays for hole in stencil.face.holes):
        yield '<circle cx="7" cy="7" r="6" fill="#26292d"/>', f"open hole{under}"
    if any(hole.stays for hole in stencil.face.holes):
        disc = '<circle cx="7" cy="7" r="6.5" fill="#e3e6e9" stroke="#1f2328" stroke-width="0.7"/>'
        yield disc + '<circle cx="7" cy="7" r="4" fill="#9aa1a9"/>', f"hardware that stays{over}"
    if scores(stencil):
        yield f'<path d="M0 7H14" stroke-dasharray="4 2" {line}/>', "score (fold)"
    if stencil.grid.joins:
        yield f'<path d="M0 7H14" {JOIN} stroke-width="2.4"/>', "join of two sheets"
