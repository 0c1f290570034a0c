"""Hardware in a row or grid that does the same to one piece at each of its holes: one finding.

Stands after findings. Equal holes have one name and their numbers: "pin 1", "pin 2".
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from mateline.checks.places import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.checks.findings import Finding

NUMBERED = re.compile(r"(.+) \d+")
NAMED = 4  # holes named in one message


def rows(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, where those of one row and one piece are in the first of them."""
    alike: dict[tuple[str, str | None, str, str], list[int]] = {}
    for at, each in enumerate(findings):
        named = NUMBERED.fullmatch(each.hardware or "")
        if named is not None and each.piece is not None:
            alike.setdefault((each.code, each.face, each.piece, named[1]), []).append(at)
    left: dict[int, Finding] = dict(enumerate(findings))
    for first, *others in alike.values():
        if others:
            left[first] = _as_one(findings[first], [left.pop(at) for at in others])
    return tuple(left.values())


def _as_one(head: Finding, others: Sequence[Finding]) -> Finding:
    names = [f"“{each.hardware}”" for each in others[:NAMED]]
    more = [f"{len(others) - NAMED} more"] if len(others) > NAMED else []
    message = f"{head.message} It is the same at {listed(names + more)} of that row."
    return replace(head, message=message, consequences=tuple(others))
