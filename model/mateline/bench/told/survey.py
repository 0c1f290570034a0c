"""The survey as the page tells it: faces in short, findings with their numbers, the palette.

Stands after faces.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.exports.findings_table import about, counted, numbered
from mateline.exports.json_report import contract
from mateline.tape.quantities import area_said
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.errors import InputError
    from mateline.paint.plan import Plan
    from mateline.survey import Job

Json = dict[str, Any]


def survey_told(job: Job, keys: Mapping[str, str]) -> Json:
    """`keys` has for each face what changes when its drawing does."""
    said = contract(job.name, (), job.findings, job.settled)
    numbers = numbered(job.findings)
    findings = [
        {**told, "number": numbers[at], "about": about(finding, job.tape)}
        for at, (told, finding) in enumerate(zip(said["findings"], job.findings, strict=True))
    ]
    return {
        "title": job.definition.title,
        "faces": [
            {
                "name": each.face.name,
                "key": keys[each.face.name],
                "width": each.face.outline.bounds[2],
                "height": each.face.outline.bounds[3],
                "size": f"{printed(each.face.outline.bounds[2], job.tape)} by "
                f"{printed(each.face.outline.bounds[3], job.tape)}",
                "pieces": len(each.pieces),
                "tacks": sum(len(piece.tacks) for piece in each.pieces),
                "has_board": each.has_board,
            }
            for each in job.stencils
        ],
        "findings": sorted(findings, key=lambda each: each["number"]),
        "settled": said["settled"],
        "counted": counted(job.findings, job.settled),
        "palette": [
            {
                "name": name,
                "paint": paint,
                "letter": job.colours.letters[name],
                "base": name == job.colours.base,
            }
            for name, paint in job.colours.paints.items()
        ],
    }


def plan_told(job: Job, plan: Plan) -> Json:
    """The passes in order, with what is lifted where."""
    return {
        "passes": [
            {
                "order": each.order,
                "colour": each.colour,
                "paint": job.colours.paints[each.colour],
                "why": each.why,
                "area": area_said(each.area, job.tape.unit),
                "lifted": {on.face: list(on.off) for on in each.faces if on.off},
            }
            for each in plan.passes
        ],
    }


def fault_told(fault: InputError) -> Json:
    """A fault of the input."""
    return {"file": fault.file, "place": fault.place, "what": fault.what, "remedy": fault.remedy}
