"""Cutting by hand in the book for the wall: which faces' pages are in it, and where others are.

Stands beside sheet. They come last: whoever cuts by a machine or from paper leaves them out. A
face whose drawing takes very many pages has them in its own file alone: nobody carries a book of a
hundred sheets to the bench for them, and all other pages would be hard to find.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.exports.by_hand.face_cutting import FaceCutting
    from mateline.exports.print.pdf_file import Page

MOST = 16  # pages of a face in the book
NEAR = 0.1  # mm: paper of the same size


def pages_in(
    cuttings: Mapping[str, FaceCutting], sizes: tuple[tuple[float, float], ...]
) -> dict[str, tuple[Page, ...]]:
    """By face, the pages that are in a book with pages of `sizes`, mm: none on other paper."""
    return {
        face: each.pages
        for face, each in cuttings.items()
        if 0 < len(each.pages) <= MOST and all(_fits(page, sizes) for page in each.pages)
    }


def where_said(face: str, cuttings: Mapping[str, FaceCutting], here: Mapping[str, object]) -> str:
    """Where the pages of a face are."""
    file = f"faces/{face}/hand-cutting.pdf"
    if face in here:
        return f"last pages of this book, or {file}"
    count = len(cuttings[face].pages)
    return f"{file}, {count} page{'s' * (count != 1)}"


def _fits(page: Page, sizes: tuple[tuple[float, float], ...]) -> bool:
    wide, high = page.size
    return any(abs(wide - u) < NEAR and abs(high - v) < NEAR for u, v in sizes)
