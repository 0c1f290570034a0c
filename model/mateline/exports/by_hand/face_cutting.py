"""How a face is cut, and where its ids stand: found once, for its own files and for the books.

Stands last in the room. What it gives can be pickled, so that faces are looked at
side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.exports.by_hand.pages import hand_pages
from mateline.exports.by_hand.strokes import hand_sheets, piece_sheets
from mateline.exports.by_hand.table import hand_cutting
from mateline.exports.picture.widest import spots_of, widest_places
from mateline.stencil.cutting.cut_path import CutPath, cut_path

if TYPE_CHECKING:
    from collections.abc import Collection

    from mateline.exports.picture.widest import Lines
    from mateline.exports.print.pdf_file import Page
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape


@dataclass(frozen=True, slots=True)
class FaceCutting:
    """The widest places of a face's pieces, the path that cuts it, and cutting by hand: its pages
    and its table. A face that takes no board has an empty path and no pages.
    """

    places: Lines
    path: CutPath
    pages: tuple[Page, ...] = ()
    table: str = ""


def face_cutting(
    stencil: Stencil, tape: Tape, paper: str | None, own: Collection[str] | None
) -> FaceCutting:
    """All of it for one face. `own` are the pieces that are cut for it where the set of another
    face, turned over, does the rest; None where all of its own are cut.
    """
    places = widest_places(stencil)
    if not stencil.has_board:
        return FaceCutting(places, CutPath(()))
    path = cut_path(stencil.pattern)
    if own is None:
        sheets = hand_sheets(stencil, tape, path)
    else:
        sheets = piece_sheets(stencil, tape, path, own)
    pages = hand_pages(sheets, stencil, spots_of(stencil, places), tape, paper)
    return FaceCutting(places, path, pages, hand_cutting(sheets, tape) if sheets else "")
