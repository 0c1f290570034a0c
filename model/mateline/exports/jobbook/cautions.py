"""Cautions in the book: one line, with the rest a click away and on a page of its own in print.

Stands after html. Unfolded, the first sentence of each stands open; sources stand beside the rest.
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
    return element(
        "section",
        said("h2", "Cautions", id="cautions-title", class_="unseen"),
        *_of_this_job(job, plan),
        element(
            "details",
            element(
                "summary",
                said("strong", "Cautions: "),
                text(f"{short(CAUTIONS[0])} And {len(CAUTIONS) - 1} more."),
            ),
            said("p", FIRST),
            element("ul", *map(_caution, CAUTIONS), class_="cautions"),
        ),
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
            element(
                "p",
                said("strong", "Before you cut: "),
                link,
                text(f" {must} stop."),
                class_="of-this-job",
            )
        )
    if plan is not None and plan.dew is not None and not plan.dew.paint:
        weather = said("strong", "Weather: ") + text(plan.dew.text)
        items.append(element("p", weather, class_="of-this-job"))
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
