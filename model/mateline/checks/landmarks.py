"""Art that was placed by landmarks: whether they agree, and which one does not; and art that was
bent to them, or to the corners of its face: by how much.

Stands beside the other checks. What contradicts the others by more than the tape and the drawing
explain is a `stop`, since the drawing then lies where none of the landmarks wants it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import listed, size
from mateline.placing.agreement import agreement_of, is_own_size, predicted
from mateline.placing.warping.outline_corners import DIFFER as BENT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.checks.findings import Level, PlacedArt, Subject
    from mateline.placing.agreement import Agreement, Landmark, Suspect
    from mateline.placing.similarity import Similarity
    from mateline.placing.warping.warp import Warped
    from mateline.tape.accuracy import Tape

CLOSE = 0.05  # mm: below this nothing on a stencil moves
EVEN = 1e-4  # share: by which width and height may grow apart, which is as much on half a metre
UPSIDE_DOWN = math.cos(
    math.radians(135)
)  # no unit: cosine of a turn nearer to half a one than none
TOLD = 4  # suspects named in one message


def check(subject: Subject) -> tuple[Finding, ...]:
    """What the landmarks of each entry of art say of each other."""
    return tuple(
        finding
        for each in subject.art
        if each.landmarks and not each.mirrored
        for finding in _findings(each, subject.tape)
    )


def warped(subject: Subject) -> tuple[Finding, ...]:
    """By how much each drawing was bent to another face than it was drawn for."""
    return tuple(
        finding
        for each in subject.art
        if each.warped is not None and not each.mirrored
        for finding in _bent(each, each.warped, subject.tape)
    )


def _bent(art: PlacedArt, warped: Warped, tape: Tape) -> Iterator[Finding]:
    wide, high = warped.scales
    even = abs(wide - high) <= EVEN * wide
    if warped.moved <= CLOSE and even:
        return
    if warped.to == "landmarks":
        used = [each for each in art.landmarks if not each.ignored]
        if not used or not agreement_of(used, BENT).agree:
            return  # told once an entry, on its first face; and not bent if they contradict
    to = f"the corners of {art.face}" if warped.to == "corners" else f"its landmarks on {art.face}"
    large = f"{wide:.3f} times as large"
    if not even:
        large = f"{wide:.3f} times as wide and {high:.3f} times as high, its circles still round"
    what = f"{art.drawing} was made {large}, and meets {to}"
    what += "." if warped.moved <= CLOSE else f" bent by {size(warped.moved, tape)} at most."
    if warped.moved > BENT:
        what += f" That is more than {size(BENT, tape)}, and may be seen."
        remedy = "Look at the painted face before you cut, or draw it anew for this cabinet."
        yield Finding("art-warped", "warn", what, remedy, face=art.face, at=warped.at)
        return
    remedy = "Leave it; or look at the painted face before you cut."
    yield Finding("art-warped", "note", what, remedy, face=art.face, at=warped.at)


def _findings(art: PlacedArt, tape: Tape) -> Iterator[Finding]:
    used = [each for each in art.landmarks if not each.ignored]
    # What a drawing is bent by need not be explained by the tape.
    found = agreement_of(used, 0.0 if art.warped is None else BENT)
    if len(used) == 2:
        yield from _two(art, used, found, tape)
    elif not found.agree:
        yield _contradiction(art, found, tape)
    elif found.worst > CLOSE and art.warped is None:
        what = (
            f"The landmarks of {art.drawing} do not all fit on {art.face}: the worst, "
            f"{found.worst_at.element}, is {size(found.worst, tape)} from its point. The tape and "
            "the drawing explain that."
        )
        remedy = "Leave it, or measure the points again."
        yield _finding("landmark-off", "note", art, found.worst_at, (what, remedy))
    for each in art.landmarks:
        if each.ignored:
            by, may = predicted(each, used)
            says = "which is within what the tape explains" if by <= may else "so it stays out"
            what = (
                f"The landmark {each.element} of {art.drawing} is ignored, as the definition "
                f"says; the others put it {size(by, tape)} from its point, {says}."
            )
            remedy = "Measure it again and take it out of ignored_landmarks, or leave it."
            yield _finding("landmark-ignored", "note", art, each, (what, remedy))


def _two(art: PlacedArt, used: list[Landmark], found: Agreement, tape: Tape) -> Iterator[Finding]:
    """Two always fit, so only the drawing's own size says whether they are right."""
    if is_own_size(used):
        return
    first, second = used
    apart = math.dist(first.point, second.point), math.dist(first.drawn, second.drawn)
    what = (
        f"Two landmarks always fit, so nothing checks those of {art.drawing} on {art.face}: "
        f"{first.element} and {second.element} are {size(apart[0], tape)} apart there and "
        f"{size(apart[1], tape)} in the drawing, which comes out {_as(found.fit)}."
    )
    if math.cos(found.fit.turn) < UPSIDE_DOWN:
        what += f" {first.element} and {second.element} look swapped: it stands on its head."
        remedy = "Look at both points; exchange them if they are swapped."
        yield _finding("landmarks-swapped", "warn", art, first, (what, remedy))
        return
    remedy = "Measure a third point, or look at the painted face before you cut."
    yield _finding("landmarks-unchecked", "note", art, None, (what, remedy))


def _contradiction(art: PlacedArt, found: Agreement, tape: Tape) -> Finding:
    """What seems wrong with landmarks that leave more than tape and drawing explain."""
    head = (
        f"The landmarks of {art.drawing} contradict each other on {art.face}: they leave "
        f"{size(found.worst, tape)} at {found.worst_at.element}, and the drawing comes out "
        f"{_as(found.fit)}."
    )
    if found.swapped:
        pairs = " or ".join(f"{a.element} and {b.element}" for a, b in found.swapped[:TOLD])
        what = f"{head} {pairs} look swapped: with their points exchanged all landmarks agree."
        remedy = "Exchange the two points if they are swapped; otherwise measure them again."
        return _finding("landmarks-swapped", "stop", art, found.swapped[0][0], (what, remedy))
    if found.mirrored:
        what = f"{head} They would agree on a drawing that is mirrored."
        remedy = (
            "Measure x from the left edge of the face as you see it from outside; or mirror the "
            "drawing."
        )
        return _finding("landmarks-contradict", "stop", art, found.worst_at, (what, remedy))
    if len(found.suspects) == 1:
        return _named(art, found, found.suspects[0], tape)
    if found.suspects:
        each = [f"{_words(s)} by {_off(s, tape)}" for s in found.suspects[:TOLD]]
        more = len(found.suspects) - TOLD
        what = (
            f"{head} One of them is wrong, but which one they can't tell: it may be "
            f"{', or '.join(each)}{f', or {more} more' if more > 0 else ''}."
        )
    else:
        what = f"{head} No one or two of them are the reason: more are wrong."
    remedy = "Measure the points again, and one more: each landmark beyond three tells more."
    return _finding("landmarks-contradict", "stop", art, found.worst_at, (what, remedy))


def _named(art: PlacedArt, found: Agreement, suspect: Suspect, tape: Tape) -> Finding:
    """The landmark, or the two, without which all others agree."""
    names = [each.element for each in suspect.landmarks]
    many = len(names) > 1
    explained = max(suspect.explained)
    rest = f"The others agree to {size(suspect.rest, tape)} and make the drawing {_as(suspect.fit)}"
    if found.by_size:
        rest = (
            "Of three, only the drawing's own size tells which one is wrong: the other two leave "
            "it as large as it was drawn"
        )
    what = (
        f"The landmark{'s' * many} {listed(names)} of {art.drawing} on {art.face} "
        f"{'are' if many else 'is'} {_off(suspect, tape)} from where the others put "
        f"{'them' if many else 'it'}, and the tape and the drawing explain "
        f"{size(explained, tape)}. "
        f"{rest}; with {'these' if many else 'this one'} it comes out {_as(found.fit)}."
    )
    listed_names = ", ".join(f'"{name}"' for name in names)
    remedy = (
        "Measure the point again; or add "
        f"ignored_landmarks = [{listed_names}] to the entry, so that the others place it alone."
    )
    return _finding("landmark-off", "stop", art, suspect.landmarks[0], (what, remedy))


def _words(suspect: Suspect) -> str:
    return listed([each.element for each in suspect.landmarks])


def _off(suspect: Suspect, tape: Tape) -> str:
    return listed([size(off, tape) for off in suspect.off])


def _as(fit: Similarity) -> str:
    """`0.800 times its size`, `... and turned by 12.0°`."""
    turn = math.degrees(fit.turn)
    turned = f" and turned by {turn:.1f}°" if abs(turn) >= 0.05 else ""
    return f"{fit.scale:.3f} times its size{turned}"


def _finding(
    code: str, level: Level, art: PlacedArt, at: Landmark | None, words: tuple[str, str]
) -> Finding:
    place = None if at is None or art.cast else at.point  # a cast's points are those of its view
    return Finding(code, level, *words, face=art.face, at=place)
