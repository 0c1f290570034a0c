"""Cautions in the book: first of all, short, with the rest a click away.

Stands after html. The first sentence of each stands open; sources stand beside the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.jobbook.html import element, said, text
from mateline.paint.cautions import CAUTIONS, FIRST

if TYPE_CHECKING:
    from mateline.paint.cautions import Caution
    from mateline.paint.plan import Plan
    from mateline.survey import Job


def section(job: Job, plan: Plan | None) -> str:
    """The cautions; findings that stop the work and weather that forbids it are among them."""
    items = [*_of_this_job(job, plan), *map(_caution, CAUTIONS)]
    return element(
        "section",
        said("h2", "Cautions", id="cautions-title"),
        said("p", FIRST),
        element("ul", *items, class_="cautions"),
        id="cautions",
        aria_labelledby="cautions-title",
    )


def short(caution: Caution) -> str:
    """The first sentence of a caution."""
    head, stop, _ = caution.text.partition(". ")
    return head + stop.strip()


def _of_this_job(job: Job, plan: Plan | None) -> list[str]:
    items = []
    stops = sum(finding.level == "stop" for finding in job.findings)
    if stops:
        link = said("a", f"{stops} finding{'s' * (stops != 1)}", href="#findings")
        must = "says" if stops == 1 else "say"
        items.append(
            element("li", said("strong", "Before you cut: "), link, text(f" {must} stop."))
        )
    if plan is not None and plan.dew is not None and not plan.dew.paint:
        items.append(element("li", said("strong", "Weather: "), text(plan.dew.text)))
    return items


def _caution(caution: Caution) -> str:
    rest = caution.text[len(short(caution)) :].strip()
    return element(
        "li",
        element(
            "details",
            element("summary", said("strong", f"{caution.topic}: "), text(short(caution))),
            said("p", rest) if rest else "",
            said("p", f"Source: {caution.source}.", class_="hint"),
        ),
    )
