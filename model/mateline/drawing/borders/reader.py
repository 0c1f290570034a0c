"""A borders file read, and made into the flat shapes that any drawing has.

Last of the borders room. It takes an SVG's tree that is parsed already: files are opened by the
svg room. Sizes are brought to mm, so a drawing program may save the file in its own units.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

from mateline.drawing.borders.borders import Border, Borders, Circle, Seed
from mateline.drawing.borders.regions import regions_of
from mateline.drawing.borders.writer import KIND, rounded
from mateline.drawing.path import Arc, Line
from mateline.drawing.shapes import Drawing, Note, Shape
from mateline.drawing.svg.paint import tag_of
from mateline.drawing.svg.path_data import polyline, rectangle, subpaths
from mateline.drawing.svg.values import MM_PER_PX, Scale, number, numbers, paint, transform
from mateline.drawing.svg.viewport import fitted, size_of, view_box
from mateline.errors import InputError
from mateline.planar.affine import IDENTITY, after, carried, determinant, is_similarity, stretch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.drawing.borders.borders import Point, Step
    from mateline.drawing.borders.regions import Flaw
    from mateline.drawing.path import Subpath
    from mateline.planar.affine import Affine

ATTRIBUTE = "data-kind"
SILENT = frozenset({"defs", "desc", "metadata", "namedview", "style", "title", ""})
LINES = frozenset({"path", "line", "polyline", "polygon", "rect"})
MOST = 20_000  # border lines, seeds and marks of one file
_FILL = re.compile(r"(?:^|;)\s*fill\s*:\s*([^;]+)")
GUESSED = re.compile(r"guessed-[\d.]+mm-\d+")
_ROUND = 1e-9  # share: radii of an arc that differ by less are one


def is_borders(tree: Any) -> bool:
    """Whether an SVG's root says that it holds borders."""
    return bool(tree.get(ATTRIBUTE) == KIND)


def borders_in(name: str, tree: Any) -> tuple[Borders, tuple[Note, ...]]:
    """What a borders file holds, and a note for each element that is neither border nor seed.

    Raises InputError for one that can't be used.
    """
    try:
        width, height, matrix = _frame(tree)
    except ValueError as wrong:
        raise _fault(name, tree, wrong) from wrong
    kept = _Kept()
    for element, to_file in _elements(name, tree, matrix):
        try:
            _keep(element, to_file, kept)
        except ValueError as wrong:
            raise _fault(name, element, wrong) from wrong
    if len(kept.borders) + len(kept.seeds) + len(kept.marks) > MOST:
        raise InputError(
            name, "", f"The file has more than {MOST} borders and seeds.", "Leave some of them out."
        )
    return (
        Borders(
            width, height, tuple(kept.borders), tuple(kept.seeds), kept.outline, tuple(kept.marks)
        ),
        tuple(kept.notes),
    )


def borders_drawing(name: str, tree: Any, deviation: float) -> Drawing:
    """The regions of a borders file as a drawing's shapes, in mm.

    Facets leave their arcs by `deviation`, mm, at the most. Raises InputError.
    """
    borders, notes = borders_in(name, tree)
    try:
        made = regions_of(borders, deviation)
    except ValueError as wrong:
        raise _fault(name, tree, wrong) from wrong
    shapes: list[Shape] = []
    elements: dict[str, tuple[int, ...]] = {}
    for region in made.regions:
        if region.colour is None:
            continue
        named = [seed.name for at in region.seeds if (seed := borders.seeds[at]).name is not None]
        for each in named:
            elements[each] = (len(shapes),)
        shapes.append(
            Shape(region.area, region.colour, f"#{named[0]}" if named else _at(region.at))
        )
    w, h = borders.width, borders.height
    return Drawing(
        name,
        (0.0, 0.0, w, h),
        (1.0, 0.0, 0.0, -1.0, 0.0, h),
        tuple(shapes),
        (*notes, *map(_note, made.flaws)),
        elements,
        {each.name: _middle(each)
         for each in (*borders.borders, *borders.seeds, *borders.marks) if each.name is not None},
    )  # fmt: skip


def marks_in(name: str, tree: Any) -> tuple[Border, ...]:
    """The lines of an SVG, whatever it holds, that tracing left where it guessed. Raises
    InputError.
    """
    try:
        _, _, matrix = _frame(tree)
        return tuple(
            _border(path, to_file, own)
            for element, to_file in _elements(name, tree, matrix)
            if tag_of(element) == "path" and GUESSED.fullmatch(own := element.get("id", ""))
            for path in subpaths(element.get("d", ""))
        )
    except ValueError as wrong:
        raise _fault(name, tree, wrong) from wrong


def _note(flaw: Flaw) -> Note:
    return Note(_at(flaw.at), flaw.message, "mended" if flaw.kind == "no-seed" else "left-out")


def _at(point: Point) -> str:
    return f"at {point[0]:.6g}, {point[1]:.6g}"


def _fault(name: str, element: Any, wrong: ValueError) -> InputError:
    what = str(wrong)
    own = element.get("id")
    place = f"#{own}" if own else f"<{tag_of(element)}>, line {element.sourceline}"
    return InputError(
        name, place, f"{what[:1].upper()}{what[1:]}.",
        "A border is made of lines and circular arcs (M, L and A), or is a circle.",
    )  # fmt: skip


class _Kept:
    """What was read so far."""

    def __init__(self) -> None:
        self.borders: list[Border | Circle] = []
        self.seeds: list[Seed] = []
        self.marks: list[Border] = []
        self.notes: list[Note] = []
        self.outline: Border | Circle | None = None


def _frame(tree: Any) -> tuple[float, float, Affine]:
    """Width and height in mm, and the map from the file's units to mm."""
    view = view_box(tree)
    if view is not None and view[:2] == (0.0, 0.0):
        sizes = [re.fullmatch(r"\s*([0-9.]+)\s*mm\s*", tree.get(key, "")) for key in _SIZE]
        if all(sizes) and [float(size[1]) for size in sizes if size] == [*view[2:]]:
            return view[2], view[3], IDENTITY  # as written, to the bit
    width, height = size_of(tree, view)
    if view is None:
        fit = IDENTITY
    else:
        fit = fitted(view, tree.get("preserveAspectRatio", ""), width, height)
    mm = (MM_PER_PX, 0.0, 0.0, MM_PER_PX, 0.0, 0.0)
    return width * MM_PER_PX, height * MM_PER_PX, after(mm, fit)


_SIZE = ("width", "height")


def _elements(name: str, parent: Any, matrix: Affine) -> Iterator[tuple[Any, Affine]]:
    """All elements in groups, in the file's order, with the map to mm."""
    stack = [(child, matrix) for child in reversed(parent)]
    while stack:
        element, outer = stack.pop()
        try:
            own = transform(element.get("transform", ""), Scale(0.0, 0.0, 16.0))
        except ValueError as wrong:
            raise _fault(name, element, wrong) from wrong
        inner = after(outer, own)
        if tag_of(element) == "g":
            stack += [(child, inner) for child in reversed(element)]
        else:
            yield element, inner


def _keep(element: Any, matrix: Affine, kept: _Kept) -> None:
    tag, kind, own = tag_of(element), element.get("class", ""), element.get("id")
    if tag in SILENT:
        return
    if kind == "seed":
        kept.seeds.append(_seed(element, tag, matrix))
        return
    if tag != "circle" and tag not in LINES:
        where = f"#{own}" if own else f"<{tag}> in line {element.sourceline}"
        kept.notes.append(Note(where, "It is no border and no colour, so it is left out."))
        return
    found: list[Border | Circle]
    if tag == "circle":
        found = [_circle(element, matrix)]
    else:
        found = [_border(path, matrix, own) for path in _paths(element, tag)]
    if kind == "outline":
        if kept.outline is not None or len(found) != 1:
            raise ValueError("there is more than one outline")
        kept.outline = found[0]
    elif kind == "guessed":
        kept.marks += [each for each in found if isinstance(each, Border)]
    else:
        kept.borders += found


def _paths(element: Any, tag: str) -> list[Subpath]:
    if tag == "path":
        return subpaths(element.get("d", ""))
    if tag == "line":
        return polyline([number(element.get(key, "0")) for key in ("x1", "y1", "x2", "y2")],
                        closed=False)  # fmt: skip
    if tag == "rect":
        x, y, w, h = (number(element.get(key, "0")) for key in ("x", "y", *_SIZE))
        return rectangle((x, y, w, h), 0.0, 0.0)
    return polyline(numbers(element.get("points", "")), closed=tag == "polygon")


def _border(path: Subpath, matrix: Affine, name: str | None) -> Border:
    start = _carried(matrix, path.x, path.y)
    return Border(start, tuple(_step(step, matrix) for step in path.steps), name)


def _step(step: Any, matrix: Affine) -> Step:
    if isinstance(step, Line):
        return Line(*_carried(matrix, step.x, step.y))
    if not isinstance(step, Arc):
        raise ValueError("the border has a curve that is no circular arc")  # noqa: TRY004  of the file
    if abs(step.rx - step.ry) > _ROUND * step.rx or not is_similarity(matrix):
        raise ValueError("the border has an arc of an ellipse")
    (radius,) = _rounded(step.rx * _size(matrix))
    sweep = step.sweep != (determinant(matrix) < 0)
    return Arc(radius, radius, 0.0, step.large, sweep, *_carried(matrix, step.x, step.y))


def _circle(element: Any, matrix: Affine) -> Circle:
    x, y, reach = (number(element.get(key, "0")) for key in ("cx", "cy", "r"))
    if not is_similarity(matrix):
        raise ValueError("the circle is turned into an ellipse")
    (radius,) = _rounded(reach * _size(matrix))
    if radius <= 0:
        raise ValueError("the circle has no radius")
    return Circle(_carried(matrix, x, y), radius, element.get("id"))


def _seed(element: Any, tag: str, matrix: Affine) -> Seed:
    if tag != "circle":
        raise ValueError("a colour's seed is a circle")
    x, y = (number(element.get(key, "0")) for key in ("cx", "cy"))
    fill = _FILL.search(element.get("style", ""))
    colour = paint(fill[1].strip() if fill else element.get("fill", ""))
    if colour is None:
        raise ValueError("the seed has no colour")
    return Seed(_carried(matrix, x, y), colour.colour, element.get("id"))


def _size(matrix: Affine) -> float:
    return 1.0 if matrix == IDENTITY else stretch(matrix)


def _carried(matrix: Affine, x: float, y: float) -> Point:
    if matrix != IDENTITY:
        x, y = carried(matrix, x, y)
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("a coordinate is too large")
    one, other = _rounded(x, y)
    return one, other


def _rounded(*values: float) -> list[float]:
    return rounded(iter(values))


def _middle(each: Border | Circle | Seed) -> Point:
    if isinstance(each, Seed):
        return each.at
    if isinstance(each, Circle):
        return each.centre
    xs, ys = zip(each.start, *((step.x, step.y) for step in each.steps), strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
