"""The commands: each parses its own words, calls one function, and answers.

Stands before the command line, which tells what went wrong. An answer is composed before anything
is written, so that a fault in it changes nothing; it is printed when all is written.
"""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mateline.commands.bench import add_bench
from mateline.commands.pictures import add_square, add_trace, trace_missing
from mateline.errors import InputError

if TYPE_CHECKING:
    from mateline.survey import Job
    from mateline.talk import Talk

DONE, STOPPED, UNUSABLE = 0, 1, 2
EXPORTS = Path("exports")
# What a process that helps imports first: for a check what cuts stencils; for a build the writers,
# the kernel and the slow libraries, while this one surveys.
CUTTERS_NEED = ("mateline.stencil.stencil",)
WRITERS_NEED = ("mateline.exports.solid.step", "mateline.exports.face_files")


def parser() -> argparse.ArgumentParser:
    """What can be typed. `run` of what it parses does the command and gives its exit code."""
    parsed = argparse.ArgumentParser(
        prog="mateline",
        description="From tape readings and flat drawings to exact, mating stencil pieces.",
    )
    commands = parsed.add_subparsers(metavar="COMMAND", required=True)

    new = commands.add_parser("new", help="start a cabinet folder that builds as it is")
    new.add_argument("folder", type=Path)
    new.set_defaults(run=_new)

    tape = commands.add_parser("tape", help="solve the outlines and say how the readings close")
    tape.add_argument("folder", type=Path)
    tape.set_defaults(run=_tape)

    pattern = commands.add_parser("pattern", help="make one drawing into regions that tile it")
    pattern.add_argument("drawing", type=Path)
    pattern.add_argument("-o", "--out", type=Path, help="write the pattern as SVG")
    pattern.add_argument(
        "--tolerance", type=float, default=0.02, help="how far a border may move, mm (0.02)"
    )
    pattern.add_argument(
        "--radii", choices=("inch", "mm"),
        help="take radii within the tolerance of a 1/16 inch or half a mm to it, at true size",
    )  # fmt: skip
    pattern.set_defaults(run=_pattern)

    check = commands.add_parser("check", help="everything but the files")
    check.add_argument("folder", type=Path)
    check.set_defaults(run=_check)

    build = commands.add_parser("build", help="check, then write all exports")
    build.add_argument("folder", type=Path)
    build.add_argument("--out", type=Path, help="where to (default: exports/<folder name>)")
    for each in (check, build):
        each.add_argument(
            "--cores", type=_count, help="how many to work on (default: all, four at most)"
        )
    build.set_defaults(run=_build)

    spare = commands.add_parser("spare", help="nest spare or remade pieces on sheets of board")
    spare.add_argument("folder", type=Path)
    spare.add_argument(
        "piece", nargs="+", help='an id, quoted ("body-left B3"), or a face for all its pieces'
    )
    spare.add_argument("--out", type=Path, help="where to (exports/<folder name>-spare)")
    spare.add_argument(
        "--turn",
        choices=("grain", "quarter", "any"),
        default="quarter",
        help="how pieces may be turned: so that the grain runs as on their face's own sheets, "
        "by quarters (the default), or any way",
    )
    spare.add_argument("--gap", default="3 mm", help="room kept about each piece (3 mm)")
    spare.add_argument("--seconds", type=int, default=5, help="the nester's time a sheet (5)")
    spare.set_defaults(run=_spare)

    square, trace = add_square(commands), add_trace(commands)
    add_bench(commands)
    for each in (tape, pattern, check, build, spare, square, trace):
        each.add_argument("--json", action="store_true", help="answer with one JSON object")
    return parsed


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"“{text}” is no number of cores; give 1 or more")
    return int(text)


def _new(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.starter import write_starter  # noqa: PLC0415

    write_starter(options.folder)
    talk.wrote(options.folder)
    talk.answer(f"Started {options.folder}. Now try: mateline build {options.folder}")
    return DONE


def _tape(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.survey import measured  # noqa: PLC0415
    from mateline.tape.report import as_json, doubts, refusal_json, table  # noqa: PLC0415

    found, tape, views = measured(options.folder)
    refused = {name: each for name, each in found.items() if isinstance(each, InputError)}
    outlines = {name: each for name, each in found.items() if not isinstance(each, InputError)}
    if options.json:
        said = {name: refusal_json(fault) for name, fault in refused.items()}
        solved = {name: as_json(outline) for name, outline in outlines.items()}
        talk.answer(_json({"outlines": solved, "refused": said}))
    else:
        width = shutil.get_terminal_size().columns
        tables = [
            f"{name}\n{'=' * len(name)}\n{table(outline, tape, width, views[name])}\n"
            for name, outline in outlines.items()
        ]
        talk.answer("\n".join(tables))
    for fault in refused.values():
        talk.tell(str(fault))
    if refused:
        return UNUSABLE
    return STOPPED if any(doubts(each) for each in outlines.values()) else DONE


def _pattern(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.exports.picture.pattern_svg import write_pattern  # noqa: PLC0415
    from mateline.one_drawing import pattern_report  # noqa: PLC0415

    report = pattern_report(options.drawing, tolerance=options.tolerance, radii=options.radii)
    answer = _json(report.as_json()) if options.json else report.table()
    if options.out is not None:
        write_pattern(report, options.out)
        talk.wrote(options.out)
    talk.answer(answer)
    return DONE


def _check(options: argparse.Namespace, talk: Talk) -> int:
    _keep_all()
    from mateline.crew import Shared, hired  # noqa: PLC0415

    with hired(options.cores, CUTTERS_NEED) as crew:
        from mateline.survey import surveyed  # noqa: PLC0415

        job = surveyed(options.folder, talk.say, Shared(crew))
    if options.json:
        from mateline.survey import with_true_borders  # noqa: PLC0415

        job = with_true_borders(job, say=talk.say)  # for the areas, which are those of the files
    talk.answer(_report(job, options))
    return _code(job)


def _build(options: argparse.Namespace, talk: Talk) -> int:
    _keep_all()
    from mateline.crew import hired  # noqa: PLC0415

    with hired(options.cores, WRITERS_NEED) as crew:
        from mateline.placed_art import UntracedError  # noqa: PLC0415
        from mateline.survey import surveyed, with_true_borders  # noqa: PLC0415

        try:
            job = surveyed(options.folder, talk.say)
        except UntracedError as missing:
            trace_missing(options.folder, missing.faces, talk)
            job = surveyed(options.folder, talk.say)
        job = with_true_borders(job, say=talk.say)
        out = options.out or EXPORTS / job.name
        report = _report(job, options)
        from mateline.exports.build import write  # noqa: PLC0415

        write(job, out, talk.say, crew)
        talk.wrote(out)
    talk.answer(report if options.json else f"{report}\nWritten to {out}")
    return _code(job)


def _keep_all() -> None:
    """Collect no garbage: a command keeps nearly all it makes, and collecting looks at it all
    again and again (a sixth of the quilt's build, for a twentieth of its memory), and once more
    when it ends. Before numpy is imported: its library would start threads that nothing here uses.
    """
    import atexit  # noqa: PLC0415
    import gc  # noqa: PLC0415
    import os  # noqa: PLC0415

    gc.disable()
    atexit.register(gc.freeze)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # nor looked for at each start


def _spare(options: argparse.Namespace, talk: Talk) -> int:
    from mateline.exports.spare import Nesting, write_spare  # noqa: PLC0415
    from mateline.survey import surveyed  # noqa: PLC0415
    from mateline.tape.reading import ReadingError, parse_length  # noqa: PLC0415

    job = surveyed(options.folder, talk.say)
    try:
        gap = float(parse_length(options.gap, job.tape.unit))
    except ReadingError as error:
        raise InputError("--gap", "", str(error), 'Write a length such as 1/8" or 3 mm.') from None
    if gap < 0:
        raise InputError("--gap", "", f"“{options.gap}” is less than 0.", "Give 0 or more.")
    if options.seconds < 1:
        what = f"{options.seconds} seconds are no time to nest in."
        raise InputError("--seconds", "", what, "Give 1 or more.")
    out = options.out or EXPORTS / f"{job.name}-spare"
    talk.say("nesting")
    how = Nesting(options.turn, gap, options.seconds)
    spare = write_spare(job, options.piece, out, how)
    talk.wrote(out)
    answer = spare.as_json()
    lines = [
        f"spare sheet {each['sheet']}  {each['id']}, turned {each['turn_deg']:g}°"
        for each in answer["pieces"]
    ]
    talk.answer(_json(answer) if options.json else "\n".join([*lines, f"Written to {out}"]))
    return DONE


def _report(job: Job, options: argparse.Namespace) -> str:
    from mateline.exports.faces_table import faces_table  # noqa: PLC0415
    from mateline.exports.findings_table import findings_table  # noqa: PLC0415
    from mateline.exports.json_report import contract  # noqa: PLC0415
    from mateline.survey import turned_sets  # noqa: PLC0415

    if options.json:
        return _json(contract(job.name, job.stencils, job.findings, job.settled))
    width = shutil.get_terminal_size().columns
    parts = (
        f"{job.definition.title}\n",
        faces_table(job.stencils, job.tape, width, turned_sets(job)),
        findings_table(job.findings, job.tape, width, job.settled),
    )
    return "\n".join(parts)


def _code(job: Job) -> int:
    return STOPPED if any(finding.level == "stop" for finding in job.findings) else DONE


def _json(answer: dict[str, Any]) -> str:
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)
