"""The passes in the book: what the slider shows, and the same in words.

Stands after html.

    step   a place of the slider: the base coat, each colour, and the finished cabinet
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.exports.jobbook.html import element, said, text

if TYPE_CHECKING:
    from mateline.paint.passes import FacePass, Pass
    from mateline.paint.plan import Plan
    from mateline.survey import Job

BOARD = "#cfbd97"  # stencil board lying on the face


def when_painted(plan: Plan | None) -> dict[str, int]:
    """The number of the pass that paints each piece, by id; base coat is not in it."""
    if plan is None:
        return {}
    return {
        piece: each.order
        for each in plan.passes
        if each.order > 0
        for there in each.faces
        for piece in there.off
    }


def steps(plan: Plan | None) -> list[dict[str, Any]]:
    """The steps as plain data for the script; none without a plan.

    `off` are the pieces that are off and wet, by face; `last` are faces whose last pass it is.
    """
    if plan is None:
        return []
    found: list[dict[str, Any]] = [_step(each) for each in plan.passes]
    return [*found, {"kind": "finished", "title": "Finished: all board off", "off": {}, "last": []}]


def _step(each: Pass) -> dict[str, Any]:
    base = each.order == 0
    return {
        "kind": "base" if base else "colour",
        "title": f"Base coat: {each.colour}" if base else f"Pass {each.order}: {each.colour}",
        "colour": each.colour,
        "why": each.why,
        "off": {there.face: list(there.off) for there in each.faces},
        "last": [there.face for there in each.faces if not there.back and not base],
    }


def section(job: Job, plan: Plan) -> str:
    """The passes in words, one after the other."""
    paints = job.colours.paints
    return element(
        "section",
        said("h2", "Pass by pass", id="passes-title"),
        said(
            "p",
            "Names are those on the board. Pieces of the base coat are never lifted.",
            class_="hint",
        ),
        element("ol", *(_pass(each, paints[each.colour]) for each in plan.passes), class_="passes"),
        id="passes",
        aria_labelledby="passes-title",
    )


def _pass(each: Pass, paint: str) -> str:
    title = f"Base coat: {each.colour}" if each.order == 0 else f"{each.order}. {each.colour}"
    swatch = element("i", class_="swatch", style=f"background:{paint}", aria_hidden="true")
    return element(
        "li",
        element("h3", swatch, text(title)),
        said("p", each.why),
        _base(each) if each.order == 0 else element("dl", *map(_face, each.faces)),
        class_="pass",
    )


def _base(each: Pass) -> str:
    names = ", ".join(there.face for there in each.faces)
    return said("p", f"Spray these faces whole, before any board is laid: {names}.")


def _face(there: FacePass) -> str:
    off = ", ".join(short(piece) for piece in there.off)
    stays = f"{len(there.stays)} stay{'s' * (len(there.stays) == 1)}"
    back = "back when dry" if there.back else "then all board comes off: this face is done"
    return said("dt", there.face) + element(
        "dd", said("strong", f"Off: {off}"), text(f" · {stays} · {back}")
    )


def short(piece: str) -> str:
    """A piece's letter and number, without its face."""
    return piece.rsplit(" ", 1)[-1]
