"""Areas in words, in the unit of the tape's family.

Stands first in jobbook.
"""

from __future__ import annotations

from mateline.tape.accuracy import MM


def area_said(area: float, unit: str) -> str:
    """mm² in square inches or square centimetres: for pieces."""
    if unit in {"in", "ft"}:
        return f"{area / float(MM['in']) ** 2:.1f} in²"
    return f"{area / 100:.1f} cm²"


def large_area_said(area: float, unit: str) -> str:
    """mm² in square feet or square metres: for boards and paint."""
    if unit in {"in", "ft"}:
        return f"{area / float(MM['ft']) ** 2:.1f} ft²"
    return f"{area / 1e6:.2f} m²"
