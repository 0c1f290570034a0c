"""Each face in the book: its drawing with pieces, hardware, tacks and findings, and its list.

Stands after drawing, html, laying and passes. The paths of the pieces are in the page once.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.exports.cut.layers import scores
from mateline.exports.jobbook import laying
from mateline.exports.jobbook.drawing import Around, drawing, ratio, spot
from mateline.exports.jobbook.html import anchor, element, listed, said, table, text
from mateline.exports.svg_path import number
from mateline.stencil.laying.sides import lowest, sides_of
from mateline.tape.quantities import area_said, counted
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from mateline.checks.findings import Finding
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.picture.widest import Lines
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape

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
    boards = (*job.cabinet.faces, *job.cabinet.hidden)
    names, floor = frozenset(face.name for face in boards), lowest(boards)
    around = {
        stencil.face.name: Around(job.tape, sides_of(stencil.face, names, floor))
        for stencil in job.stencils
    }
    articles = [
        _article(
            stencil,
            job,
            numbers,
            when,
            (sheets, borrowed.get(stencil.face.name), around[stencil.face.name]),
        )
        for stencil in job.stencils
    ]
    return element(
        "section",
        said("h2", "The faces", id="faces-title"),
        said(
            "p",
            "Each face seen square on from outside. Click a piece to read what it is; then the "
            "wheel, two fingers or plus and minus zoom, dragging and arrow keys move, 0 shows all.",
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
    how: tuple[Sheets, TurnedSet | None, Around],
) -> str:
    name, (sheets, borrowed, around) = stencil.face.name, how
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
        said("p", _size(stencil, job.tape, borrowed), class_="size"),
        "" if borrowed is None else said("p", _turned(borrowed), class_="turned"),
        said("p", "", class_="doing", data_doing=name),
        element(
            "figure",
            element(
                "div",
                drawing(stencil, here, places, beside, around),
                class_="sheet",
                tabindex="0",
                role="group",
                aria_label=f"Drawing of {name}",
                style=f"--ratio:{number(ratio(stencil), 4)}",
            ),
            _key(stencil),
        ),
        element("p", _marked(links.items())) if links else "",
        _laying(sheets, name, job),
        element(
            "details",
            said("summary", _list_of(stencil, borrowed)),
            # Without a script it is there; with one it is when it is unfolded. Of very many
            # pieces the lists take more of a phone's memory than all the rest of the book.
            element("noscript", _pieces(stencil, job.tape, when)),
            class_="later",
        )
        if stencil.has_board
        else "",
        id=anchor("face", name),
        class_="face" if stencil.has_board else "face bare-wood",
        aria_labelledby=anchor("title", name),
        tabindex="-1",
    )


def _list_of(stencil: Stencil, borrowed: TurnedSet | None) -> str:
    if borrowed is not None:
        return f"The list of the {counted(len(stencil.pieces))} that lie here"
    return f"The list of its {counted(len(stencil.pieces))}"


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


def _size(stencil: Stencil, tape: Tape, borrowed: TurnedSet | None) -> str:
    _, _, width, height = stencil.face.outline.bounds
    size = f"{printed(width, tape)} × {printed(height, tape)}"  # noqa: RUF001
    if not stencil.has_board:
        stays = any(hole.stays for hole in stencil.face.holes)
        first = "tape over what stays, then spray it whole" if stays else "spray it whole"
        return f"{size} · {stencil.base} only, no board: {first}"
    tacks = sum(len(piece.tacks) for piece in stencil.pieces)
    pieces = counted(len(stencil.pieces))
    if borrowed is not None:
        pieces = board_of(borrowed)
    return f"{size} · {pieces} · {tacks} tape tack{'s' * (tacks != 1)}"


def board_of(borrowed: TurnedSet) -> str:
    """How many pieces of whose set lie on a face that another one's is turned over for."""
    own = f", and {len(borrowed.own)} of its own" if borrowed.own else ""
    return f"{counted(len(borrowed.on_board))} of {borrowed.left}, turned over{own}"


def _turned(borrowed: TurnedSet) -> str:
    """What lies on a face that another one's set is turned over for."""
    own = ", ".join(f"own {piece.rsplit(' ', 1)[-1]}" for piece in borrowed.own)
    more = f" Beside it lies board that is cut for this face: {own}." if own else ""
    return (
        f"The set of {borrowed.left}, turned over, lies here: names are those on that board, as "
        f"its back reads.{more}"
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
        ("join", "join of two sheets of board", bool(stencil.grid.joins)),
    ):
        if there:
            entries.append(element("i", class_=f"sign {kind}", aria_hidden="true") + text(words))
    keys = listed(entries, class_="key") + (_key_in_pass() if stencil.has_board else "")
    return element("figcaption", keys, _tools(stencil.face.name))


def _tools(face: str) -> str:
    """Buttons that zoom the drawing, for hands without a wheel."""
    buttons = [
        said("button", sign, type="button", data_zoom=key, aria_label=f"{words} {face}")
        for sign, key, words in (
            ("+", "+", "Zoom in on"),
            ("−", "-", "Zoom out of"),  # noqa: RUF001  a minus sign is wanted
            ("All of it", "0", "All of it:"),
        )
    ]
    enlarge = said("button", "Enlarge", type="button", class_="enlarge", aria_pressed="false")
    return element("div", *buttons, enlarge, class_="tools")


def _key_in_pass() -> str:
    """What the script's fills mean while a pass is shown."""
    items = [
        element("i", class_=f"sign {kind}", aria_hidden="true") + text(words)
        for kind, words in _IN_PASS
    ]
    return element("div", listed(items, class_="key"), class_="in-pass")


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
