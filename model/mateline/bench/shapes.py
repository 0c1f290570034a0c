"""Starting shapes: a cabinet of a usual form, drawn roughly, to be measured on the page.

Stands before the serving of the page. Corners are stated where a sketch has them (`points`), so
that the cabinet shows at once; a definition says that nothing was measured until readings take
their place. Proportions are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Shape = Literal["empty", "box", "sloped-top", "wedge", "upright", "table"]
SHAPES: tuple[str, ...] = get_args(Shape)
Unit = Literal["in", "mm", "cm"]
UNITS: tuple[str, ...] = get_args(Unit)
GRADUATIONS: Mapping[str, str] = {"in": '"1/16"', "mm": "1", "cm": "0.1"}
_BOARDS: Mapping[str, str] = {"in": '"3/4"', "mm": "18", "cm": "1.8"}  # as it is sold
_ONE_INCH: Mapping[str, float] = {"in": 1.0, "mm": 25.0, "cm": 2.5}  # round lengths in every unit


@dataclass(frozen=True, slots=True)
class Sketch:
    """A carcase roughly, in inches: corners in its view, what stands on which edge, its depth."""

    name: str
    corners: Mapping[str, tuple[float, float]]
    panels: Mapping[str, str]
    width: float
    view: str = "side"
    joints: tuple[str, ...] = field(default=())


_SKETCHES: Mapping[str, Sketch] = {
    "box": Sketch(
        "box",
        {"A": (0, 0), "B": (20, 0), "C": (20, 30), "D": (0, 30)},
        {"front": "D-A", "back": "B-C", "top": "C-D", "bottom": "A-B"},
        16,
    ),
    "sloped-top": Sketch(
        "body",
        {"A": (0, 0), "B": (48, 0), "C": (48, 24), "D": (0, 16)},
        {"front": "D-A", "back": "B-C", "top": "C-D", "bottom": "A-B"},
        24,
    ),
    "wedge": Sketch(
        "head",
        {"A": (0, 0), "B": (14, 0), "C": (14, 24), "D": (8, 24)},
        {"front": "D-A", "back": "B-C", "top": "C-D", "bottom": "A-B"},
        24,
    ),
    "upright": Sketch(
        "body",
        {"A": (2, 0), "B": (26, 0), "C": (26, 66), "D": (10, 66), "E": (14, 44), "F": (0, 38)},
        {
            "front": "F-A",
            "deck": "E-F",
            "screen": "D-E",
            "top": "C-D",
            "back": "B-C",
            "bottom": "A-B",
        },
        24,
    ),
    "table": Sketch(
        "table",
        {"A": (0, 0), "B": (30, 0), "C": (30, 22), "D": (0, 22)},
        {"front": "A-B", "right": "B-C", "back": "C-D", "left": "D-A"},
        24,
        view="plan",
    ),
}


def definition(title: str, shape: str, unit: str) -> str:
    """The text of a cabinet.toml for a cabinet called `title`.

    "empty" has one carcase of three corners, which a person moves and adds to: a definition can't
    have none. Raises KeyError for a shape or a unit that is not there.
    """
    sketch = _SKETCHES["box" if shape == "empty" else shape]
    if shape == "empty":
        corners = {name: sketch.corners[name] for name in ("A", "B", "C")}
        panels = {"bottom": "A-B", "back": "B-C", "front": "C-A"}
        sketch = Sketch("box", corners, panels, sketch.width)
    return "\n".join([*_head(title, unit), "", *_carcase(sketch, unit), ""])


def _head(title: str, unit: str) -> Iterator[str]:
    yield f"title = {_text(title)}"
    yield ""
    yield "[tape]"
    yield f'unit = "{unit}"'
    yield f"graduation = {GRADUATIONS[unit]}"
    yield 'accuracy = "II"'
    yield ""
    yield "[palette]"
    yield 'base = "cream"'
    yield "[palette.colours]"
    yield 'cream = { paint = "#f2e6c9", letter = "C" }'
    yield 'blue = { paint = "#1f4e79", letter = "B" }'


def _carcase(sketch: Sketch, unit: str) -> Iterator[str]:
    names = ", ".join(f'"{name}"' for name in sketch.corners)
    yield "[[carcase]]"
    yield f'name = "{sketch.name}"'
    yield f'view = "{sketch.view}"'
    yield f"corners = [{names}]"
    yield f"width = {_length(sketch.width, unit)}"
    yield f"board = {_BOARDS[unit]}"
    if sketch.joints:
        yield f"joints = [{', '.join(_text(each) for each in sketch.joints)}]"
    yield ""
    yield "[carcase.outline.points]"
    for name, (x, y) in sketch.corners.items():
        yield f"{name} = [{_length(x, unit)}, {_length(y, unit)}]"
    yield ""
    yield "[carcase.panels]"
    for name, edge in sketch.panels.items():
        yield f'{name} = {{ edge = "{edge}" }}'


def _length(inches: float, unit: str) -> str:
    value = inches * _ONE_INCH[unit]
    if unit == "in":
        whole, rest = divmod(round(value * 4), 4)
        parts = [str(whole)] if whole or not rest else []
        parts += [("1/4", "1/2", "3/4")[rest - 1]] if rest else []
        return f'"{" ".join(parts)}"'
    return f"{value:g}"


def _text(text: str) -> str:
    """A TOML string (TOML 1.0, "String": backslash and quote are escaped)."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
