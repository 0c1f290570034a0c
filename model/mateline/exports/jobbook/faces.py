"""Each face in the book: its drawing with pieces, hardware, tacks and findings, and its list.

Stands after html, laying and passes. The paths of the pieces are in the page once; the script
colours them for each pass and paints the cabinet's faces from them.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.exports.cut.layers import punches, scores
from mateline.exports.jobbook import laying
from mateline.exports.jobbook.html import anchor, element, listed, said, table, text
from mateline.exports.picture.face_picture import LEVEL_INK, cleared, counted
from mateline.exports.picture.legend import ink_on
from mateline.exports.stroke import rings
from mateline.exports.svg_path import number, path_data
from mateline.tape.quantities import area_said
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from mateline.checks.findings import Finding
    from mateline.curves import Point
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.picture.widest import Lines
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape

DECIMALS = 2  # mm: finer than a screen shows
MARGIN = 0.045  # no unit: room around the drawing, as a share of its longer side
LETTER = (1 / 50, 1 / 160)  # no unit: largest and smallest lettering, likewise
ROOM = 0.8  # no unit: share of the widest circle that an id may fill
MARK = 1 / 64  # no unit: radius of a finding's mark, likewise
HALO = 2.2  # no unit: radius of the ring round a mark that is shown, as a share of the mark's
_IN_PASS = (
    ("wet", "off and wet"),
    ("under", "board over paint that is done"),
    ("waiting", "board, not painted yet"),
)


@dataclass(frozen=True, slots=True)
class Sheets:
    """By face: the widest places of its pieces, and the set that is laid on it, if there is one."""

    places: Mapping[str, Lines]
    laid: Mapping[str, LaidSet]


def section(
    job: Job,
    numbers: Mapping[int, int],
    when: Mapping[str, int],
    sheets: Sheets,
    sets: Sequence[TurnedSet] = (),
) -> str:
    """All faces. `numbers` takes a finding's place in `job.findings` to its number in the book,
    `when` a piece's id to the pass that paints it. `sets` are those that are turned over.
    """
    borrowed = {each.right: each for each in sets}
    articles = [
        _article(stencil, job, numbers, when, (sheets, borrowed.get(stencil.face.name)))
        for stencil in job.stencils
    ]
    return element(
        "section",
        said("h2", "The faces", id="faces-title"),
        said(
            "p",
            "Each face seen square on from outside. Click a piece to read what it is.",
            class_="hint",
        ),
        *articles,
        id="faces",
        aria_labelledby="faces-title",
    )


def _article(
    stencil: Stencil,
    job: Job,
    numbers: Mapping[int, int],
    when: Mapping[str, int],
    how: tuple[Sheets, TurnedSet | None],
) -> str:
    name, (sheets, borrowed) = stencil.face.name, how
    places = sheets.places[name]
    here = [
        (numbers[index], finding)
        for index, finding in enumerate(job.findings)
        if finding.face == name
    ]
    beside = list(_beside(job, numbers, name))
    links = {
        numbers[at]: finding
        for at, finding in enumerate(job.findings)
        if finding.face == name or numbers[at] in dict(beside)
    }
    return element(
        "article",
        said("h3", name, id=anchor("title", name)),
        said("p", _size(stencil, job.tape), class_="size"),
        "" if borrowed is None else said("p", _turned(borrowed), class_="turned"),
        said("p", "", class_="doing", data_doing=name),
        element(
            "figure",
            element(
                "div",
                drawing(stencil, here, places, beside),
                class_="sheet",
                tabindex="0",
                role="group",
                aria_label=f"Drawing of {name}",
                style=f"--ratio:{number(_ratio(stencil), 4)}",
            ),
            _key(stencil),
        ),
        element("p", _marked(links.items())) if links else "",
        _laying(sheets, name, job),
        element(
            "details",
            said("summary", f"The list of its {counted(len(stencil.pieces))}"),
            _pieces(stencil, job.tape, when),
        )
        if stencil.has_board
        else "",
        id=anchor("face", name),
        class_="face",
        aria_labelledby=anchor("title", name),
        tabindex="-1",
    )


def _laying(sheets: Sheets, face: str, job: Job) -> str:
    """How its set is laid, where there is one."""
    laid = sheets.laid.get(face)
    if laid is None:
        return ""
    places = sheets.places[laid.stencil.face.name]
    return laying.part(laid, job.tape, job.definition.paper, places)


def _beside(job: Job, numbers: Mapping[int, int], face: str) -> Iterator[tuple[int, Finding]]:
    """What comes of findings and has a place of its own on the face, with the finding's number."""
    for index, finding in enumerate(job.findings):
        for each in finding.consequences:
            same = each.piece == finding.piece is not None and each.hardware == finding.hardware
            if each.face == face and not same:
                yield numbers[index], each


def drawing(
    stencil: Stencil,
    findings: Sequence[tuple[int, Finding]],
    places: Lines,
    beside: Sequence[tuple[int, Finding]] = (),
) -> str:
    """The face as SVG in mm, y down from its top. `findings` come with their numbers, and what
    stands `beside` them with those that it comes of; ids stand in the widest `places`.
    """
    _, _, width, height = stencil.face.outline.bounds
    long = max(width, height)
    edge = MARGIN * long
    box = " ".join(
        number(value, DECIMALS) for value in (-edge, -edge, width + 2 * edge, height + 2 * edge)
    )
    return element(
        "svg",
        element("g", *_fills(stencil), class_="pieces", fill_rule="evenodd"),
        element("g", *_hardware(stencil), class_="hardware"),
        *_lines(stencil),
        element("g", class_="over"),
        element("g", *_ids(stencil, long, places), class_="ids"),
        element("g", *_marks(findings, beside, height, MARK * long), class_="marks"),
        viewBox=box,
        role="img",
        aria_label=_alternative(stencil, findings),
        data_face=stencil.face.name,
        data_width=number(width, DECIMALS),
        data_height=number(height, DECIMALS),
    )


def _ratio(stencil: Stencil) -> float:
    """Width over height of the drawing with its margin."""
    _, _, width, height = stencil.face.outline.bounds
    edge = 2 * MARGIN * max(width, height)
    return (width + edge) / (height + edge)


def _size(stencil: Stencil, tape: Tape) -> str:
    _, _, width, height = stencil.face.outline.bounds
    size = f"{printed(width, tape)} × {printed(height, tape)}"  # noqa: RUF001
    if not stencil.has_board:
        stays = any(hole.stays for hole in stencil.face.holes)
        first = "tape over what stays, then spray it whole" if stays else "spray it whole"
        return f"{size} · {stencil.base} only, no board: {first}"
    tacks = sum(len(piece.tacks) for piece in stencil.pieces)
    return f"{size} · {counted(len(stencil.pieces))} · {tacks} tape tack{'s' * (tacks != 1)}"


def _turned(borrowed: TurnedSet) -> str:
    """What lies on a face that another one's set is turned over for."""
    own = ", ".join(f"own {piece.rsplit(' ', 1)[-1]}" for piece in borrowed.own)
    more = f" Beside it lies board that is cut for this face: {own}." if own else ""
    return (
        f"The set of {borrowed.left}, turned over, lies here: names are those on that board, as "
        f"its back reads.{more}"
    )


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
        ("tacks", punches(stencil)),
    ):
        if chains:
            yield element("path", class_=kind, d=path_data(chains, top, DECIMALS))


def _ids(stencil: Stencil, long: float, places: Lines) -> Iterator[str]:
    """Letter and number of each piece in its widest place, where they can be read."""
    top = stencil.face.outline.bounds[3]
    for piece, circle in zip(stencil.pieces, places, strict=True):
        name = piece.short
        # A sign is about 0.6 of its size wide and 0.72 high.
        size = ROOM * circle.length / math.hypot(0.3 * len(name), 0.36)
        if not circle.is_empty and size >= LETTER[1] * long:
            (x, y), _ = circle.coords
            size = min(size, LETTER[0] * long)
            yield said(
                "text",
                name,
                x=number(x, DECIMALS),
                y=number(top - y + 0.36 * size, DECIMALS),
                font_size=number(size, DECIMALS),
                fill=ink_on(stencil.paints[piece.colour]),
                data_label=spot(stencil, piece),
            )


def _marks(
    findings: Sequence[tuple[int, Finding]],
    beside: Sequence[tuple[int, Finding]],
    top: float,
    reach: float,
) -> Iterator[str]:
    """A numbered disc at each finding's place; where discs would lap, one is led aside.

    Links lead to those of `findings` themselves.
    """
    taken: list[Point] = []
    for order, (count, finding) in enumerate((*findings, *beside)):
        if finding.at is None:
            continue
        place = (finding.at[0], top - finding.at[1])
        at = cleared(place, taken, reach)
        taken.append(at)
        x, y = number(at[0], DECIMALS), number(at[1], DECIMALS)
        ink = LEVEL_INK[finding.level]
        lead = ""
        if at != place:
            lead = element(
                "line",
                x1=x,
                y1=y,
                x2=number(place[0], DECIMALS),
                y2=number(place[1], DECIMALS),
                stroke=ink,
            )
        yield element(
            "g",
            said("title", f"Finding {count}: {finding.code}"),
            lead,
            element("circle", class_="halo", cx=x, cy=y, r=number(HALO * reach, DECIMALS)),
            element("circle", cx=x, cy=y, r=number(reach, DECIMALS), fill=ink),
            said(
                "text",
                count,
                x=x,
                y=number(at[1] + 0.4 * reach, DECIMALS),
                font_size=number(1.15 * reach, DECIMALS),
            ),
            id=f"mark-{count}" if order < len(findings) else None,
            class_="mark",
            data_finding=count,
        )


def _key(stencil: Stencil) -> str:
    """What the colours and marks of the drawing mean."""
    under, over = (" under the board", "") if stencil.has_board else ("", ": tape it over")
    counts = Counter(piece.colour for piece in stencil.pieces)
    letters = {piece.colour: piece.letter for piece in stencil.pieces}
    entries = [
        swatch(paint)
        + text(f"{letters[name]} {name}{' (base coat)' * (name == stencil.base)}: {counts[name]}")
        for name, paint in stencil.paints.items()
        if counts[name]
    ]
    if not stencil.has_board:
        entries.append(swatch(stencil.paints[stencil.base]) + text(f"{stencil.base} (base coat)"))
    for kind, words, there in (
        ("tack", "tape tack", any(piece.tacks for piece in stencil.pieces)),
        ("open", f"open hole{under}", any(not h.stays for h in stencil.face.holes)),
        ("stays", f"hardware that stays{over}", any(hole.stays for hole in stencil.face.holes)),
        ("score", "score (fold)", bool(scores(stencil))),
    ):
        if there:
            entries.append(element("i", class_=f"sign {kind}", aria_hidden="true") + text(words))
    keys = listed(entries, class_="key") + (_key_in_pass() if stencil.has_board else "")
    enlarge = said("button", "Enlarge", type="button", class_="enlarge", aria_pressed="false")
    return element("figcaption", keys, enlarge)


def _key_in_pass() -> str:
    """What the script's fills mean while a pass is shown."""
    items = [
        element("i", class_=f"sign {kind}", aria_hidden="true") + text(words)
        for kind, words in _IN_PASS
    ]
    return element("div", listed(items, class_="key"), class_="in-pass")


def spot(stencil: Stencil, piece: Piece) -> str:
    """The id in the book of a piece where it lies: a set that is turned over lies on two faces."""
    return anchor("piece", f"{stencil.face.name} {piece.short}")


def swatch(paint: str) -> str:
    """A square of a paint's colour, for eyes only."""
    return element("i", class_="swatch", style=f"background:{paint}", aria_hidden="true")


def _marked(here: Iterable[tuple[int, Finding]]) -> str:
    links = [
        said("a", f"{count} {finding.code}", href=f"#finding-{count}") for count, finding in here
    ]
    return text("Findings here: ") + text(", ").join(links)


def _pieces(stencil: Stencil, tape: Tape, when: Mapping[str, int]) -> str:
    order = sorted(stencil.pieces, key=lambda piece: (piece.letter, piece.number))
    rows = [
        [
            element("a", text(piece.id), href=f"#{spot(stencil, piece)}"),
            swatch(stencil.paints[piece.colour]) + text(piece.colour),
            text(area_said(piece.size, tape.unit)),
            text(len(piece.tacks)),
            *([text(when.get(piece.id, "base coat"))] if when else []),
        ]
        for piece in order
    ]
    head = ["piece", "colour", "area", "tacks", *(["pass"] if when else [])]
    return table(f"Pieces of {stencil.face.name}", head, rows, class_="numbers")
