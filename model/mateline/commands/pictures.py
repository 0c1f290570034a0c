"""The commands that start from pictures: `square` and `trace`.

Stands before commands. Each parses its own words, calls the road, writes, and answers.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mateline.errors import InputError
from mateline.tape.quantities import in_units, is_inches, thickness_said, within_said, wrapped
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

    from mateline.capture.pen_lines.lines import PenLines
    from mateline.capture.pen_lines.region_names import Wanted
    from mateline.capture.pen_lines.true_size import Size
    from mateline.photos.captured import SquaredFace, TracedFace
    from mateline.talk import Talk

DONE = 0
LAY = {  # how a tracing lay before the camera or on the scanner
    "flat": "It was taken as lying flat, all of one scale: true of a scan, or a photo square on.",
    "stretched": "It was taken as lying flat, perhaps stretched: true of a scan. Four places, or "
    "the outline, would straighten a photo.",
    "slanted": "It was straightened as a photo taken at a slant.",
    "slanted, with its lens": "It was straightened as a photo taken at a slant, and its lens too.",
}
INCHES = 25.4


def add_square(commands: Any) -> argparse.ArgumentParser:
    """`mateline square`."""
    square: argparse.ArgumentParser = commands.add_parser(
        "square", help="make photos square: faces at true scale, and how far off they may be"
    )
    square.add_argument("folder", type=Path)
    square.add_argument("photo", nargs="*", help="only these files of the definition")
    square.set_defaults(run=_square)
    return square


def add_trace(commands: Any) -> argparse.ArgumentParser:
    """`mateline trace`."""
    trace: argparse.ArgumentParser = commands.add_parser(
        "trace", help="trace a face's photos, or a scan of pen lines, into a drawing"
    )
    trace.add_argument("source", type=Path, metavar="FOLDER|SCAN")
    trace.add_argument("face", nargs="?", help="the face whose photos are traced")
    trace.add_argument("--lines", action="store_true", help="SCAN shows pen lines on tracing paper")
    trace.add_argument("--dpi", type=float, help="dots to the inch of the scan (the file's own)")
    trace.add_argument(
        "--distance", nargs=5, type=float, action="append", default=[],
        metavar=("X", "Y", "X2", "Y2", "MM"),
        help="two places of the scan, in pixels, and how far apart they are on the paper; five or "
        "more among four places straighten a photo of the paper",
    )  # fmt: skip
    trace.add_argument(
        "--place", nargs=4, type=float, action="append", default=[],
        metavar=("X", "Y", "MM", "MM"),
        help="a place of the scan, in pixels, and where it is on the paper, mm from the left and "
        "up; four or more straighten a photo of the paper",
    )  # fmt: skip
    trace.add_argument(
        "--on", nargs=2, metavar=("FOLDER", "FACE"), help="the face whose outline is on the paper"
    )
    trace.add_argument(
        "--colours", help="#rrggbb of the areas, by commas, from the top down and from the left"
    )
    trace.add_argument("--marks", help="#rrggbb by commas that coloured dots on the paper may have")
    trace.add_argument("-o", "--out", type=Path, help="where to (beside the scan)")
    trace.set_defaults(run=_trace)
    return trace


def _square(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.exports.picture.captured_files import write_squared  # noqa: PLC0415
    from mateline.photos.captured import photographs, squared_faces  # noqa: PLC0415

    there = photographs(options.folder)
    faces = squared_faces(there, options.photo, talk.say)
    told, lines = [], []
    for each in faces:
        out = write_squared(each.face.name, each.picture, options.folder)
        talk.wrote(out)
        told.extend(_squared_json(each, out))
        lines.extend(_squared_lines(each, out, there.definition.tape.unit))
    talk.answer(_json({"photos": told}) if options.json else "\n".join(lines))
    return DONE


def _squared_json(squared: SquaredFace, out: Path) -> list[dict[str, Any]]:
    return [
        {
            "file": photo.file,
            "face": photo.face,
            "squared": str(out),
            "mm_per_pixel": photo.mm_per_pixel,
            "photo_mm_per_pixel": photo.photo_mm,
            "expected_rms": photo.expected.rms,
            "expected_worst": photo.expected.worst,
            "worst_at": list(photo.expected.worst_at),
            "lens": {"k1": photo.k1, "k2": photo.k2},
            "blur": photo.blur,
            "edges": [
                {
                    "edge": edge.edge,
                    "points": edge.points,
                    "rms": edge.rms,
                    "used": edge.used,
                    "why": edge.why,
                }
                for edge in photo.edges
            ],
            "corners": [list(at) for at in photo.corners],
            "next_reading": photo.next_reading,
            "notes": list(photo.notes),
        }
        for photo in squared.photos
    ]


def _squared_lines(squared: SquaredFace, out: Path, unit: str) -> list[str]:
    lines = []
    for photo in squared.photos:
        used = [each for each in photo.edges if each.used]
        points = sum(each.points for each in used)
        x, y = (printed_exact(at, unit) for at in photo.expected.worst_at)
        usual, worst = photo.expected.rms, photo.expected.worst
        told = [
            f"by {points} places on {len(used)} of {len(photo.edges)} edges",
            (
                f"places are usually within {within_said(usual, unit)} of where they really are, "
                f"at worst {within_said(worst, unit)}, at {x} from the left and {y} up"
            ),
            *photo.notes,
            *([photo.next_reading] if photo.next_reading else []),
        ]
        lines.append(f"{photo.file}: {photo.face}, {_pixel(photo.photo_mm, unit)} to a pixel")
        lines += [line for each in told for line in _filled(each, unit, "  ")]
    return [*lines, f"Written to {out}", ""]


def _pixel(size: float, unit: str) -> str:
    """The size of a pixel: far smaller than a tape's marks."""
    return thickness_said(size, unit) if is_inches(unit) else f"{size:.2f} mm"


def _filled(words: str, unit: str, indent: str = "") -> list[str]:
    """Words in the units of the job, in lines that a terminal has room for."""
    width = shutil.get_terminal_size().columns
    return wrapped(in_units(words, unit), max(width, 40), indent, f"{indent}  ")


def _trace(options: argparse.Namespace, talk: Talk) -> int:
    if options.lines:
        return _trace_lines(options, talk)
    for word, given in (
        ("--dpi", options.dpi), ("--distance", options.distance), ("--place", options.place),
        ("--on", options.on),
        ("--colours", options.colours), ("--marks", options.marks), ("--out", options.out),
    ):  # fmt: skip
        if given:
            raise InputError(word, "", "It is for scans of pen lines.", "Add --lines, or leave it.")
    if options.face is None:
        raise InputError(
            str(options.source), "", "It is not said which face to trace.",
            "Name a face that a [[photo]] shows; or add --lines for a scan of pen lines.",
        )  # fmt: skip
    from mateline.photos.captured import photographs, traced_face  # noqa: PLC0415

    there = photographs(options.source)
    traced = traced_face(there, options.face, talk.say)
    out = write_face(traced, options.source, talk)
    unit = there.definition.tape.unit
    text = traced.as_json(str(out)) if options.json else _traced_text(traced, out, unit)
    talk.answer(text if isinstance(text, str) else _json(text))
    return DONE


def trace_missing(folder: Path, faces: Sequence[str], talk: Talk) -> None:
    """Trace the drawings of these faces, which are still to come from photos.

    Raises InputError or InputFaultsError.
    """
    from mateline.photos.captured import photographs, traced_face  # noqa: PLC0415

    there = photographs(folder)
    for face in faces:
        write_face(traced_face(there, face, talk.say), folder, talk)


def write_face(traced: TracedFace, folder: Path, talk: Talk) -> Path:
    """Write what was traced where the definition takes it, with the photo it came from.

    Raises InputError for a place that can't be written to.
    """
    from mateline.exports.picture.captured_files import write_squared, write_traced  # noqa: PLC0415

    out = folder / traced.drawing
    size = traced.face.outline.bounds[2:]
    paints = traced.palette
    write_squared(traced.face.name, traced.squared.picture, folder)
    write_traced(traced.traced, (size[0], size[1]), paints, out,
                 traced.squared.picture, traced.labels)  # fmt: skip
    talk.wrote(out)
    return out


def _traced_text(traced: TracedFace, out: Path, unit: str) -> str:
    answer = traced.as_json(str(out))
    whole = sum(each["area"] for each in answer["colours"])
    segments = answer["segments"]
    lines = [
        (
            f"{traced.face.name}: {answer['regions']} regions, {answer['borders']} borders, "
            f"{segments['line']} lines, {segments['arc']} arcs"
        ),
        *_filled(
            "borders that paint shows are usually within "
            f"{within_said(answer['expected_of_tracing'], unit)} of where the squared photo has "
            f"them, and that is right to {within_said(answer['expected_of_squaring'], unit)}; "
            f"{answer['guessed']:.1%} of their length was guessed",
            unit,
        ),
        "",
    ]
    differences = {each["colour"]: each for each in answer["paints"]}
    for each in answer["colours"]:
        paint = differences.get(each["colour"], {})
        seen = paint.get("seen")
        looks = f"  looks like {seen}, {paint['ciede2000']:.1f} from the palette's" if seen else ""
        lines.append(f"  {each['colour']:<12} {each['area'] / whole:7.2%}{looks}")
    lit = (
        "the card says how bright the light was"
        if answer["light"] == "card"
        else "a fading that all colours share needs a card in the photo to show"
    )
    lines.append(f"  (CIEDE2000; {lit};")
    lines.append("  a screen is no paint chip: match paint by a chip of it)")
    notes = [line for note in answer["notes"] for line in _filled(note, unit)]
    return "\n".join([*lines, *notes, f"Written to {out}"])


def _trace_lines(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.capture.pen_lines.lines import lines_traced  # noqa: PLC0415
    from mateline.capture.photo_files import read_picture  # noqa: PLC0415
    from mateline.exports.picture.captured_files import write_traced  # noqa: PLC0415

    if options.face is not None:
        raise InputError(
            options.face, "", "A scan of pen lines has no face.",
            "Say --on FOLDER FACE if the face's outline is on the paper.",
        )  # fmt: skip
    scan = options.source
    picture = read_picture(scan, root=scan.parent)
    size, wanted = _size_of(options, picture.dpi), _wanted_of(options)
    talk.say(f"tracing {scan.name}")
    found = lines_traced(picture, size, wanted)
    out = options.out or scan.with_name(f"{scan.stem}-traced.svg")
    box = _box_of(found, options)
    paints = _paints_of(found)
    write_traced(found.traced, box, paints, out)
    talk.wrote(out)
    answer = _lines_json(found, out)
    talk.answer(_json(answer) if options.json else _lines_text(answer))
    return DONE


def _size_of(options: argparse.Namespace, own: float | None) -> Size:
    """How large the tracing is: by one of four ways. Raises InputError."""
    from mateline.capture.pen_lines.true_size import (  # noqa: PLC0415
        OnFace,
        Places,
        Resolution,
        Spans,
    )

    ways = [
        bool(options.distance), bool(options.place), options.on is not None,
        options.dpi is not None,
    ]  # fmt: skip
    if sum(ways) > 1:
        raise InputError(
            str(options.source), "", "Its size is said in more ways than one.",
            "Give one of --dpi, --distance, --place and --on.",
        )  # fmt: skip
    if options.on is not None:
        from mateline.photos.captured import face_of  # noqa: PLC0415
        from mateline.photos.photographed import rim_of  # noqa: PLC0415

        return OnFace(rim_of(face_of(Path(options.on[0]), options.on[1]).flat))
    if options.distance:
        return Spans(tuple(((x, y), (u, v), mm) for x, y, u, v, mm in options.distance))
    if options.place:
        return Places(tuple(((x, y), (u, v)) for x, y, u, v in options.place))
    dpi = options.dpi if options.dpi is not None else own
    if dpi is None:
        raise InputError(
            str(options.source), "", "The scan does not say how large it is.",
            "Give --dpi, --distance between two places, --place of some, or --on FOLDER FACE.",
        )  # fmt: skip
    return Resolution(dpi)


def _wanted_of(options: argparse.Namespace) -> Wanted:
    from mateline.capture.colours import ink_light  # noqa: PLC0415
    from mateline.capture.pen_lines.region_names import Wanted  # noqa: PLC0415

    marks = _inks("--marks", options.marks)
    palette = {ink: tuple(ink_light(ink).tolist()) for ink in marks} or None
    return Wanted(listed=_inks("--colours", options.colours), palette=palette)


def _inks(word: str, text: str | None) -> list[str]:
    import re  # noqa: PLC0415

    inks = [each.strip().lower() for each in text.split(",")] if text else []
    for ink in inks:
        if not re.fullmatch(r"#[0-9a-f]{6}", ink):
            raise InputError(word, "", f"“{ink}” is no colour.", "Write colours as #rrggbb.")
    return inks


def _paints_of(found: PenLines) -> dict[str, str]:
    """Each region's own colour; greys for those that nobody named."""
    from mateline.capture.pen_lines.region_names import grey  # noqa: PLC0415

    names = list(dict.fromkeys(region.colour for region in found.traced.regions))
    unnamed = [name for name in names if not name.startswith("#")]
    greys = {name: grey(at, len(unnamed)) for at, name in enumerate(unnamed)}
    return {name: greys.get(name, name) for name in names}


def _box_of(found: PenLines, options: argparse.Namespace) -> tuple[float, float]:
    if options.on is not None:
        from mateline.photos.captured import face_of  # noqa: PLC0415

        _, _, right, high = face_of(Path(options.on[0]), options.on[1]).outline.bounds
        return right, high
    import numpy as np  # noqa: PLC0415

    from mateline.curves import flattened  # noqa: PLC0415

    points = np.vstack([flattened(each.chain) for each in found.traced.borders])
    wide, high = points.max(axis=0).tolist()
    return wide, high


def _lines_json(found: PenLines, out: Path) -> dict[str, Any]:
    from mateline.capture.traced import segment_counts  # noqa: PLC0415

    traced = found.traced
    errors = [each.error for each in traced.borders if each.error] or [0.0]
    return {
        "out": str(out),
        "regions": len(traced.regions),
        "borders": len(traced.borders),
        "segments": segment_counts(traced.borders),
        "expected_rms": round((sum(e * e for e in errors) / len(errors)) ** 0.5, 4)
        if errors
        else 0,
        "guessed": 0.0,
        "colours": [
            {"colour": name, "area": round(size, 2)} for name, size in traced.areas().items()
        ],
        "pen": found.pen,
        "lay": found.kind,
        "notes": _lines_notes(found),
    }


def _lines_notes(found: PenLines) -> list[str]:
    notes = [
        f"A line near ({x:.0f}, {y:.0f}) mm ends in an area and parts nothing: it was left out."
        for x, y in found.loose
    ]
    if found.unnamed:
        many = len(found.unnamed)
        bare = f"{many} regions have" if many > 1 else "1 region has"
        notes.append(
            f"{bare} no colour yet: list --colours, or put a coloured dot in. Grey stands for it."
        )
    notes += [
        f"Region {at + 1} has dots of {one} and {other}: is a line missing there?"
        for at, one, other in found.clashes
    ]
    if found.residual is not None:
        x, y = found.residual.at
        notes.append(
            f"What was measured fits within {found.residual.rms:.2f} mm (rms), "
            f"{found.residual.worst:.2f} mm at worst, near ({x:.0f}, {y:.0f}) mm."
        )
        notes.append(LAY[found.kind])
    return notes


def _lines_text(answer: dict[str, Any]) -> str:
    segments = answer["segments"]
    lines = [
        (
            f"{answer['regions']} regions, {answer['borders']} borders, {segments['line']} lines, "
            f"{segments['arc']} arcs; the pen is {answer['pen']:g} mm wide"
        ),
        f"borders are within {answer['expected_rms']:.2f} mm (rms) of the middle of the lines",
    ]
    return "\n".join([*lines, *answer["notes"], f"Written to {answer['out']}"])


def _json(answer: dict[str, Any]) -> str:
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)
