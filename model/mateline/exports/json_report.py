"""The answers as JSON: the same words on the screen, in findings.json and in job.json.

Stands beside the writers of drawings. Keys are sorted and decimals fixed, so that the same input
gives the same bytes. Areas lie within true lines and arcs where the borders were refitted, and
keep their digits: pieces and holes add up to the face.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon

from mateline.cabinet.hole import keep_clear
from mateline.curves import FACET, area, flattened, length
from mateline.exports.folder import MAKER
from mateline.exports.hardware_json import hardware_json

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shapely import Geometry

    from mateline.checks.findings import Finding, Settled
    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

DECIMALS = 4  # mm and radians in job.json
OF_AREAS = 6  # decimals of exact areas, mm²: less hangs on the last bits of a sine
FINE = 1e-6  # mm: facets of holes that run into one another, where no chain has their area

Json = dict[str, Any]


def canonical(answer: Mapping[str, Any]) -> str:
    """JSON text with sorted keys, two spaces, UTF-8 as it is, and a newline at its end."""
    return json.dumps(answer, sort_keys=True, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def contract(
    cabinet: str,
    stencils: Sequence[Stencil],
    findings: Sequence[Finding],
    settled: Sequence[Settled] = (),
) -> Json:
    """What `check --json` prints. mm and mm² of the face frame.

    `settled` are findings with what they are settled `because` of; they are not among `findings`.
    `holes` are the cut-outs for hardware that stays: a face's `area` is the sum of its pieces'
    and its holes' areas. A face of base coat only takes no board: it has no pieces, and its area
    is what is painted and its holes'.
    """
    return {
        "cabinet": cabinet,
        "faces": [_face(stencil) for stencil in stencils],
        **_findings(findings, settled),
    }


def findings_json(
    cabinet: str, findings: Sequence[Finding], settled: Sequence[Settled] = ()
) -> str:
    """findings.json: every finding in the order of the checks, then those that are settled."""
    return canonical({"cabinet": cabinet, **_findings(findings, settled)})


def job_json(
    cabinet: str,
    stencils: Sequence[Stencil],
    files: Sequence[str],
    more: Mapping[str, Any],
) -> str:
    """job.json: what was made of what. `files` are listed so that a later build may replace them.

    Its `holes` are all holes, also those for hardware that is removed: they take no area.
    `more` adds keys of its own (readings, board, palette); none may be one of those here.
    """
    job: Json = {
        "made_by": MAKER,
        "cabinet": cabinet,
        "files": sorted(files),
        "unit": "mm",
        "faces": [_face_in_full(stencil) for stencil in stencils],
    }
    taken = sorted(job.keys() & more.keys())
    if taken:
        raise ValueError(f"job.json already has {', '.join(taken)}")
    return canonical({**job, **more})


def _face(stencil: Stencil) -> Json:
    exact = bool(stencil.exact) or (
        stencil.has_board and all(piece.exact is not None for piece in stencil.pieces)
    )
    pieces = [_piece(piece) for piece in stencil.pieces]
    holes = _holes(stencil, exact=exact)
    whole = sum((*stencil.sizes, *(hole["area"] for hole in holes)))
    return {
        "name": stencil.face.name,
        "area": round(whole, OF_AREAS) if exact else stencil.face.outline.area,
        "pieces": pieces,
        "holes": holes,
    }


def _piece(piece: Piece) -> Json:
    return {
        "id": piece.id,
        "colour": piece.colour,
        "area": piece.size,
        "tacks": len(piece.tacks),
    }


def _holes(stencil: Stencil, *, exact: bool) -> list[Json]:
    """What each piece of hardware that stays takes from the face; shared area goes to the first.

    `exact`: within arcs, as the pieces are; else within the facets of both.
    """
    left: Geometry = stencil.face.outline
    kept = [(hole.name, keep_clear(hole)) for hole in stencil.face.holes if hole.stays]
    shapes = [Polygon(flattened(chain, FINE if exact else FACET)) for _, chain in kept]
    tree = shapely.STRtree(shapes)
    holes: list[Json] = []
    for (name, chain), shape in zip(kept, shapes, strict=True):
        alone = len(tree.query(shape, predicate="intersects")) == 1
        if exact and alone and shapely.contains_properly(stencil.face.outline, shape):
            holes.append({"name": name, "area": round(area(chain), OF_AREAS)})
            continue
        taken = shapely.intersection(left, shape).area
        holes.append({"name": name, "area": round(taken, OF_AREAS) if exact else taken})
        left = shapely.difference(left, shape)
    return holes


def _findings(findings: Sequence[Finding], settled: Sequence[Settled]) -> Json:
    return {
        "findings": [_finding(finding) for finding in findings],
        "settled": [{**_finding(each.finding), "because": each.because} for each in settled],
    }


def _finding(finding: Finding) -> Json:
    return {
        "code": finding.code,
        "level": finding.level,
        "face": finding.face,
        "piece": finding.piece,
        "hardware": finding.hardware,
        "at": None if finding.at is None else [_fixed(value) for value in finding.at],
        "message": finding.message,
        "remedy": finding.remedy,
        "consequences": [_finding(each) for each in finding.consequences],
    }


def _face_in_full(stencil: Stencil) -> Json:
    frame = stencil.face.panel.frame
    borders = stencil.pattern.borders
    told = _face(stencil)
    taken = [hole["area"] for hole in told["holes"]]
    return {
        **told,
        "holes": hardware_json(stencil.face, taken),
        "carcase": stencil.face.panel.carcase,
        "frame": {
            "corner": _fixed_all(frame.corner),
            "along_x": [round(value, 12) + 0.0 for value in frame.along_x],
            "along_y": [round(value, 12) + 0.0 for value in frame.along_y],
        },
        "size": _fixed_all(stencil.face.outline.bounds[2:]),
        "base": stencil.base,
        "paints": stencil.paints,
        "borders": len(borders),
        "cut_length": _fixed(sum(map(length, stencil.chains)) if stencil.has_board else 0.0),
        "pieces": [_piece_in_full(piece) for piece in stencil.pieces],
    }


def _piece_in_full(piece: Piece) -> Json:
    return {
        **_piece(piece),
        "box": _fixed_all(piece.area.bounds),
        "tack_places": [_tack(tack) for tack in piece.tacks],
    }


def _tack(tack: Tack) -> Json:
    return {
        "at": _fixed_all(tack.centre),
        "length": _fixed(tack.punch.length),
        "width": _fixed(tack.punch.width),
        "round": tack.punch.round,
        "turn": _fixed(tack.turn),
    }


def _fixed(value: float) -> float:
    return round(float(value), DECIMALS) + 0.0


def _fixed_all(values: Sequence[float]) -> list[float]:
    return [_fixed(value) for value in values]
