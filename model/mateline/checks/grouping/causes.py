"""One cause, one finding: what comes of another finding is told with it.

Last of the room. A cause holds all that comes of it as its consequences, so that nothing is
silent, is as grave as the gravest of them, and names one remedy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.checks.grouping.rows import rows
from mateline.checks.grouping.short_art import short_art
from mateline.checks.grouping.small_pieces import small_pieces

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.checks.findings import Finding, Subject


def by_cause(findings: Sequence[Finding], subject: Subject) -> tuple[Finding, ...]:
    """The findings of the whole `subject`, each with what comes of it."""
    return small_pieces(rows(short_art(findings, subject)))
