"""An address as a QR code on the terminal (ISO/IEC 18004), for a phone on the same network.

Stands beside server. Two rows of the code go into one of characters; light on dark and dark on
light are both read, since the quiet zone is drawn too.
"""

from __future__ import annotations

import segno

QUIET = 2  # modules around the code; four are the standard's, two serve on a screen
HALVES = {(0, 0): " ", (0, 1): "▄", (1, 0): "▀", (1, 1): "█"}


def qr_code(address: str) -> str:
    """The code as lines of block characters: its light modules are drawn, for a dark terminal."""
    code = segno.make(address, error="m", micro=False)
    rows = [[1 - int(module) for module in row] for row in code.matrix_iter(border=QUIET)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join(
        "".join(HALVES[both] for both in zip(upper, lower, strict=True)) for upper, lower in pairs
    )
