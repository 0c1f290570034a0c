"""What `square` and `trace` write into the cabinet's folder, each file whole or as it was.

Stands after picture. Beside a drawing `traced/left.svg` lies its picture, `left-borders.png`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.exports.hidden_folder import write_whole
from mateline.exports.picture.squared_png import squared_png, traced_png
from mateline.exports.picture.traced_svg import traced_svg

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labels import Labels
    from mateline.capture.traced import Traced

SQUARED = "squared"


def write_squared(face: str, picture: FacePicture, folder: Path) -> Path:
    """Write `squared/<face>.png` at true scale. Raises InputError where it can't be written."""
    out = folder / SQUARED / f"{face}.png"
    _written({out: squared_png(picture)})
    return out


def write_traced(
    traced: Traced,
    size: tuple[float, float],
    paints: Mapping[str, str],
    out: Path,
    picture: FacePicture | None = None,
    labels: Labels | None = None,
) -> Path | None:
    """Write the drawing of a face `size` mm wide and high to `out`, and its picture beside it.

    Raises InputError where they can't be written.
    """
    texts: dict[Path, str | bytes] = {out: traced_svg(traced, *size, paints)}
    shown = None
    if picture is not None and labels is not None:
        shown = out.with_name(f"{out.stem}-borders.png")
        texts[shown] = traced_png(picture, labels, traced)
    _written(texts)
    return shown


def _written(texts: Mapping[Path, str | bytes]) -> None:
    first = next(iter(texts))
    try:
        first.parent.mkdir(parents=True, exist_ok=True)
        write_whole(texts)
    except OSError as wrong:
        raise InputError(
            str(first), "", f"The file can't be written: {wrong.strerror}.", "Choose another place."
        ) from wrong
