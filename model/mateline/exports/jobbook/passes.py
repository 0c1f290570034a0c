"""The passes in the book: what the slider shows, and the same in words.

Stands after html. A set that is turned over is laid twice, so its passes come twice: first on the
left faces and all others, then on the right ones. The book tells them in that order.

    step   a place of the slider: the base coat, each colour of each round, and the finished cabinet
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.exports.jobbook.html import element, said, text

if TYPE_CHECKING:
    from mateline.paint.passes import FacePass, Pass
    from mateline.paint.plan import Plan, Run
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

    `off` are the pieces that are off and wet, by face; `last` are faces whose last pass it is;
    `round` is 0 for the base coat.
    """
    if plan is None:
        return []
    found: list[dict[str, Any]] = [_step(plan.passes[0], 0, plan)]
    found += [_step(run.each, run.round, plan) for run in plan.runs]
    finished = {"kind": "finished", "title": "Finished: all board off", "off": {}, "last": []}
    return [*found, {**finished, "round": len(plan.rounds) + 1}]


def rounds(plan: Plan | None) -> dict[str, int]:
    """The round in which each face has its board; a face that takes none is not in it."""
    if plan is None:
        return {}
    return {
        face: number for number, round_ in enumerate(plan.rounds, start=1) for face in round_.faces
    }


def _step(each: Pass, number: int, plan: Plan) -> dict[str, Any]:
    base = each.order == 0
    return {
        "kind": "base" if base else "colour",
        "title": f"Base coat: {each.colour}" if base else title(each, number, plan),
        "colour": each.colour,
        "why": each.why,
        "off": {there.face: list(there.off) for there in each.faces},
        "last": [there.face for there in each.faces if not there.back and not base],
        "round": number,
    }


def title(each: Pass, number: int, plan: Plan) -> str:
    """What a pass of a round is called: "Pass 3: red", or "Turned over, pass 3: red"."""
    turned = bool(plan.rounds[number - 1].turned)
    return f"{'Turned over, pass' if turned else 'Pass'} {each.order}: {each.colour}"


def section(job: Job, plan: Plan) -> str:
    """The passes in words, one after the other."""
    paints = job.colours.paints
    base = plan.passes[0]
    return element(
        "section",
        said("h2", "Pass by pass", id="passes-title"),
        said(
            "p",
            "Names are those on the board. Pieces of the base coat are never lifted.",
            class_="hint",
        ),
        element("ol", _item(base, f"Base coat: {base.colour}", paints), class_="passes"),
        *(_round(number, plan, paints) for number in range(1, len(plan.rounds) + 1)),
        id="passes",
        aria_labelledby="passes-title",
    )


def _round(number: int, plan: Plan, paints: Any) -> str:
    """The passes of one round, under a heading of their own where there is more than one round."""
    runs = [run for run in plan.runs if run.round == number]
    items = [_item(run.each, _numbered(run, plan), paints) for run in runs]
    head = said("h3", heading(plan, number)) if len(plan.rounds) > 1 else ""
    return head + element("ol", *items, class_="passes")


def heading(plan: Plan, number: int) -> str:
    """What is laid on which faces in a round."""
    here = plan.rounds[number - 1]
    if here.turned:
        sets = "set" if len(here.turned) == 1 else "sets"
        on = " and ".join(here.faces)
        return f"Then the {sets} of {' and '.join(here.turned)}, turned over, on {on}"
    return f"First the board on {', '.join(here.faces)}"


def _numbered(run: Run, plan: Plan) -> str:
    turned = "Turned over, " if plan.rounds[run.round - 1].turned else ""
    return f"{turned}{run.each.order}. {run.each.colour}"


def _item(each: Pass, name: str, paints: Any) -> str:
    swatch = element(
        "i", class_="swatch", style=f"background:{paints[each.colour]}", aria_hidden="true"
    )
    return element(
        "li",
        element("h3", swatch, text(name)),
        said("p", each.why),
        _base(each) if each.order == 0 else element("dl", *map(_face, each.faces)),
        class_="pass",
    )


def _base(each: Pass) -> str:
    names = ", ".join(there.face for there in each.faces)
    return said("p", f"Spray these faces whole, before any board is laid: {names}.")


def _face(there: FacePass) -> str:
    off = ", ".join(map(there.short, there.off))
    stays = f"{len(there.stays)} stay{'s' * (len(there.stays) == 1)}"
    back = "back when dry" if there.back else "then all board comes off: this face is done"
    return said("dt", there.face) + element(
        "dd", said("strong", f"Off: {off}"), text(f" · {stays} · {back}")
    )
