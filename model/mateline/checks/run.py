"""All checks, one after another. A new one is one line in `CHECKS`."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.checks import (
    coverage,
    hardware,
    joins,
    landmarks,
    mended,
    mirror,
    pieces,
    readings,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from mateline.checks.findings import Finding, Subject

__all__ = ["CHECKS", "LEVELS", "findings_of"]

LEVELS = MappingProxyType({"stop": 0, "warn": 1, "note": 2})

CHECKS: tuple[Callable[[Subject], tuple[Finding, ...]], ...] = (
    readings.check,
    hardware.check,
    pieces.check,
    joins.check,
    mirror.check,
    coverage.check,
    landmarks.check,
    mended.check,
)


def findings_of(subject: Subject) -> tuple[Finding, ...]:
    """What all checks find: stops first, then by face, code and place."""
    found = [finding for check in CHECKS for finding in check(subject)]
    return tuple(sorted(found, key=_order))


def _order(finding: Finding) -> tuple[int, str, str, tuple[float, ...], str]:
    return (
        LEVELS[finding.level],
        finding.face or "",
        finding.code,
        finding.at or (),
        finding.message,
    )
