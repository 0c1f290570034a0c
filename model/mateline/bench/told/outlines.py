"""The outlines of a cabinet as the page draws and tells them.

Stands beside faces. Numbers are those of `mateline tape --json`, sentences those of its table.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.curves import flattened
from mateline.errors import InputError
from mateline.tape.arcs.path import chain_of
from mateline.tape.report import as_json, reading_rows, refusal_json, sentences

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

FINE = 0.2  # mm: how far the drawing on the page may leave a curve
Json = dict[str, Any]


def outlines_told(
    found: Mapping[str, Outline | InputError], tape: Tape, views: Mapping[str, View]
) -> Json:
    """{"outlines": {name: ...}, "refused": {name: ...}}: each outline that can be solved, with how
    it closes, and why the others can't be.
    """
    return {
        "outlines": {
            name: _told(each, tape, views[name])
            for name, each in found.items()
            if not isinstance(each, InputError)
        },
        "refused": {
            name: refusal_json(each) for name, each in found.items() if isinstance(each, InputError)
        },
    }


def _told(outline: Outline, tape: Tape, view: View) -> Json:
    """`tape --json`'s words, and what the page shows beside them: `path` is the outline's ring,
    mm, curves as facets; `said` are its sentences, `reading_rows` the rows of its table.
    """
    ring = flattened(chain_of(outline.sides), FINE)
    return {
        **as_json(outline),
        "view": view,
        "path": np.round(np.array(ring), 3).tolist(),
        "said": list(sentences(outline, tape)),
        "reading_rows": [list(row) for row in reading_rows(outline, tape)],
    }
