"""What is answered about an open cabinet: the workbench's state as JSON.

Stands after cabinets, before routes. All that takes time here runs in a thread of the server's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.bench.told.outlines import outlines_told
from mateline.bench.told.survey import fault_told, plan_told, survey_told
from mateline.definition.lengths import tape_of
from mateline.definition.schema import schema
from mateline.errors import InputError, InputFaultsError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.bench.serving.cabinets import Bench
    from mateline.bench.workbench import Stated
    from mateline.tape.accuracy import Tape

Json = dict[str, Any]


def definition_answer(stated: Stated) -> Json:
    """The definition: its text, its table, and what is wrong with it."""
    return {
        "version": stated.version,
        "text": stated.text,
        "table": _plain(stated.table),
        "faults": [fault_told(each) for each in stated.faults],
        "undo": {"count": stated.undo.count, "next": stated.undo.next},
        "redo": {"count": stated.redo.count, "next": stated.redo.next},
    }


def with_tape(bench: Bench, answer: Json) -> Json:
    """The answer with the tape that lengths are said in (None where the definition has none), and
    with what should be told once of the folder.
    """
    answer = {**answer, "notices": list(bench.workbench.notices)}
    try:
        tape: Tape | None = bench.workbench.outlines().tape
    except (InputError, InputFaultsError):  # of some reading: the tape is there all the same
        tape = _tape_alone(bench.workbench.stated().table)
    if tape is None:
        return {**answer, "tape": None}
    metric = tape.unit not in {"in", "ft"}
    return {
        **answer,
        "tape": {
            "unit": tape.unit,
            "graduation_mm": float(tape.graduation),
            "system": "metric" if metric else "inch",
        },
    }


def _tape_alone(table: Mapping[str, Any] | None) -> Tape | None:
    """The tape of a definition that can't be read as a whole."""
    try:
        stated = (table or {})["tape"]
        return tape_of(stated["unit"], stated["graduation"], stated["accuracy"])
    except (InputError, KeyError, TypeError, ValueError):
        return None


def outlines_answer(bench: Bench) -> Json:
    """The outlines of the present definition; none where it can't be read."""
    stated = bench.workbench.stated()
    try:
        found = bench.workbench.outlines()
    except (InputError, InputFaultsError) as fault:
        told = [fault_told(each) for each in fault.faults]
        return {"version": stated.version, "outlines": {}, "refused": {}, "faults": told}
    told_of = outlines_told(found.outlines, found.tape, found.views)
    return {"version": found.version, **told_of, "faults": []}


def survey_answer(bench: Bench) -> Json:
    """The newest survey, with what the last ready one found while another is at work."""
    survey = bench.workbench.survey()
    answer: Json = {
        "version": survey.version,
        "state": survey.state,
        "count": survey.count,
        "faults": [fault_told(each) for each in survey.faults],
        "ours": survey.ours,
        "of": survey.job_version,
        "since": None,
        "faces": [],
        "findings": [],
        "settled": [],
        "palette": [],
        "counted": "",
    }
    if survey.since is not None:
        since = survey.since
        change = len(since.appeared) - len(since.gone)
        answer["since"] = {"findings": change, "pieces": since.pieces, "said": since.said}
    if survey.job is not None:
        with bench.lock:
            keys = bench.faces.keys(survey.job)
        answer |= survey_told(survey.job, keys)
    return answer


def face_answer(bench: Bench, name: str, *, art: bool) -> Json | None:
    """One face of the last ready survey, or the art on it; None where there is no such face."""
    job = bench.workbench.survey().job
    if job is None:
        return None
    with bench.lock:
        return bench.faces.art(job, name) if art else bench.faces.told(job, name)


def space_answer(bench: Bench) -> Json | None:
    """The cabinet in space, as the book's painter takes it."""
    from mateline.exports.jobbook.view3d import scene  # noqa: PLC0415  only where it is looked at

    job = bench.workbench.survey().job
    return None if job is None else scene(job)


def plan_answer(bench: Bench) -> Json | None:
    """The passes."""
    found = bench.workbench.plan()
    return None if found is None else plan_told(*found)


def schema_answer() -> Json:
    """The definition's own JSON Schema."""
    return schema()


def refusal(fault: InputError | InputFaultsError) -> Json:
    """An input that can't be used, told as every other error."""
    first = fault.faults[0]
    place = f"{first.place}: " if first.place else ""
    return {"error": {"what": f"{place}{first.what}", "remedy": first.remedy}}


def _plain(value: Any) -> Any:
    """What TOML knows and JSON doesn't, as text: days and times (ISO 8601)."""
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value.isoformat() if hasattr(value, "isoformat") else value
