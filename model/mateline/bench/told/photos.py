"""A photo or a scan as a browser shows it.

Stands first in the room. For a screen only: squaring and tracing read the file itself.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from mateline.capture.photo_files import shown_picture

if TYPE_CHECKING:
    from pathlib import Path

QUALITY = 88  # of a JPEG


def photo_told(root: Path, path: str, most: int) -> bytes:
    """The picture as a JPEG, upright, `most` pixels wide or high at the most. Raises InputError."""
    stream = io.BytesIO()
    shown_picture(root / path, root=root, most=most).save(stream, "JPEG", quality=QUALITY)
    return stream.getvalue()
