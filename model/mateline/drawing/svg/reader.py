"""An SVG file read as a renderer would, into flat-coloured shapes.

Last of the svg room. Opens one file inside the cabinet's folder and nothing else: no
entity, no other file, no address is ever followed. Curves become facets within a deviation.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from lxml import etree
from shapely import box

from mateline.curves import FACET
from mateline.drawing.file import content
from mateline.drawing.shapes import Drawing, Shape
from mateline.drawing.svg.cascade import ROOT
from mateline.drawing.svg.paint import tag_of
from mateline.drawing.svg.place import Place
from mateline.drawing.svg.rendering import Rendering, label
from mateline.drawing.svg.transparency import opaque
from mateline.drawing.svg.values import MM_PER_PX, Scale, length, share
from mateline.drawing.svg.viewport import fitted, size_of, view_box
from mateline.errors import InputError
from mateline.planar.affine import IDENTITY, after, stretch

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.planar.affine import Affine

    Box = tuple[float, float, float, float]

MOST_BYTES = 50_000_000  # of one file
MOST_IN_FILE = 150_000  # elements, drawn or not: reading so many takes a second
GZIP = b"\x1f\x8b"


def read_svg(path: Path, *, root: Path, deviation: float = FACET) -> Drawing:
    """The shapes of an SVG file inside the folder `root`, back to front.

    `deviation` is how far a facet may leave its curve, in mm at the drawing's own size.

    Raises InputError for a file that is missing, outside `root`, too large or malformed, and
    for one that refers to other files or repeats itself without end.
    """
    return drawing_in(path.name, parsed_svg(path, root=root), deviation)


def parsed_svg(path: Path, *, root: Path) -> Any:
    """The tree of an SVG file inside the folder `root`. Raises InputError."""
    return svg_tree(path.name, content(path, root=root, most=MOST_BYTES))


def svg_tree(name: str, data: bytes) -> Any:
    """The tree of an SVG file's bytes, which messages call `name`. Raises InputError."""
    tree = _parsed(name, data)
    if tag_of(tree) != "svg":
        raise InputError(
            name, "",
            f"The file's root is <{str(tree.tag)[:80]}>, not <svg> of the name space of SVG.",
            "Save the drawing as SVG.",
        )  # fmt: skip
    return tree


def drawing_in(name: str, tree: Any, deviation: float = FACET) -> Drawing:
    """The shapes of an SVG's tree, as `read_svg`. Raises InputError."""
    try:
        view, to_mm = _frame(tree)
    except ValueError as wrong:
        raise InputError(
            name, f"<svg>, line {tree.sourceline}", f"{wrong}.", "Mend the size of the picture."
        ) from wrong
    try:
        drawn = _walked(name, tree, view, deviation / stretch(to_mm))
        shapes, places = opaque(drawn.painted, drawn.note)
    except ValueError as wrong:
        what = str(wrong)
        raise InputError(
            name, "", f"{what[:1].upper()}{what[1:]}.", "Leave some of it out."
        ) from wrong
    return Drawing(
        name,
        view,
        to_mm,
        tuple(Shape(one.area, one.paint.colour, label(one.element)) for one in shapes),
        tuple(drawn.notes),
        {key: tuple(new for old in found for new in places[old])
         for key, found in drawn.elements.items()},
        {key: _centre(boxes) for key, boxes in drawn.boxes.items()},
    )  # fmt: skip


def _parsed(name: str, data: bytes) -> Any:
    if data.startswith(GZIP):
        raise InputError(
            name, "", "The file is compressed (svgz).", "Save it as plain SVG, not compressed."
        )
    count = data.count(b"<") - data.count(b"</")  # and comments, before time is spent on any
    if count > MOST_IN_FILE:
        raise InputError(
            name, "", f"The file has more than {MOST_IN_FILE} elements, {count} or so.",
            "Leave some out, or merge shapes of one colour.",
        )  # fmt: skip
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    try:
        tree = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as wrong:
        raise InputError(
            name, f"line {wrong.lineno or 1}", f"The file is no sound XML: {_reason(wrong)}.",
            "Open it in a drawing program and save it again.",
        ) from None  # fmt: skip
    _refuse_entities(name, tree)
    return tree


def _reason(wrong: etree.XMLSyntaxError) -> str:
    """What the parser says, on one line, without the place, and without talk of its options."""
    text = " ".join((wrong.msg or "it can't be parsed").split())
    text = re.sub(r"\W*line \d+, column \d+$", "", text)
    return re.sub(r", (?:use|try|see) \S*?(?:XML_PARSE|xmlCtxt)\S*(?: option)?", "", text)


def _refuse_entities(name: str, tree: Any) -> None:
    """Only entities that are plain text may be declared: old files shorten addresses by them.

    Asked of what was parsed, not of the bytes, since those may be in any encoding.
    """
    declared = tree.getroottree().docinfo.internalDTD
    for entity in declared.iterentities() if declared is not None else ():
        if entity.content is None or "&" in entity.content or "%" in entity.content:
            raise InputError(
                name, "",
                f"The file declares the entity {entity.name!r}, which stands for other entities "
                "or files.", "Save the drawing without a DTD.",
            )  # fmt: skip


def _frame(tree: Any) -> tuple[Box, Affine]:
    """The view in drawing units and the map from them to mm, y up."""
    view = view_box(tree)
    width, height = size_of(tree, view)
    if view is None:
        view, fit = (0.0, 0.0, width, height), IDENTITY
    else:
        fit = fitted(view, tree.get("preserveAspectRatio", ""), width, height)
    flip = (MM_PER_PX, 0.0, 0.0, -MM_PER_PX, 0.0, MM_PER_PX * height)
    return view, after(flip, fit)


def _walked(name: str, tree: Any, view: Box, deviation: float) -> Rendering:
    drawn = Rendering(name, tree, deviation)
    style = drawn.sheet.style(tree, ROOT)
    x, y, wide, high = view
    # What lies beyond the picture is not drawn (SVG 2, 3.6): the room around a viewBox counts
    # as beyond it, since a pattern ends at the viewBox.
    font = length(style["font-size"], "", Scale(wide, high, 16.0))
    place = Place(IDENTITY, style, Scale(wide, high, font, font))
    if style["display"] == "none":
        return drawn
    try:
        place = Place(
            drawn.matrix(style, place), style, place.scale, share(style["opacity"]) > 0,
            box(x, y, x + wide, y + high),
        )  # fmt: skip
        place = drawn.limited(tree, place)
    except ValueError as wrong:
        raise drawn.fault(tree, f"{wrong}.", "Mend it.") from wrong
    for child in tree:
        drawn.visit(child, place)
    if share(style["opacity"]) < 1:
        drawn.fade(0, share(style["opacity"]))
    return drawn


def _centre(boxes: list[Box]) -> tuple[float, float]:
    left, low = (min(box[side] for box in boxes) for side in (0, 1))
    right, high = (max(box[side] for box in boxes) for side in (2, 3))
    return (left + right) / 2, (low + high) / 2
