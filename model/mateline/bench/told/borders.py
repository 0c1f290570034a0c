"""Borders files for the page to trace in: filled as they are drawn, begun from a face, and taken
over from any drawing.

Stands after facets. Places are mm, y down, as in a borders file.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.bench.told.facets import facets_data
from mateline.curves import sweep
from mateline.drawing.borders.borders import Border, Borders, Circle, Seed
from mateline.drawing.borders.reader import borders_in, is_borders, marks_in
from mateline.drawing.borders.regions import regions_of
from mateline.drawing.borders.writer import DECIMALS
from mateline.drawing.path import Arc, Line
from mateline.drawing.svg.reader import parsed_svg, svg_tree
from mateline.errors import InputError
from mateline.one_drawing import pattern_report

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from shapely import Polygon

    from mateline.curves import Chain
    from mateline.drawing.borders.borders import Point, Step
    from mateline.one_drawing import PatternReport

Json = dict[str, Any]
SHOWN = 0.03  # mm: how far a facet on the page may leave its arc
NAME = "what is drawn"  # how messages call it before it is a file
WIDEST = 1.0  # mm: how exactly the place of a seed in its region is found


def regions_told(content: bytes) -> Json:
    """The regions of a borders file's text, with their colours, and what is wrong with it.

    Raises InputError.
    """
    tree = svg_tree(NAME, content)
    if not is_borders(tree):
        raise InputError(NAME, "", "This is no borders file.", "Its root has no data-kind.")
    borders, notes = borders_in(NAME, tree)
    try:
        made = regions_of(borders, SHOWN)
    except ValueError as wrong:
        what = f"The outline can't be used: {wrong}."
        raise InputError(NAME, "", what, "Close it.") from wrong
    drawn = facets_data([each.area for each in made.regions], None)
    return {
        "regions": [
            {
                "d": path,
                "colour": each.colour,
                "seeds": list(each.seeds),
                "at": [round(value, 3) for value in each.at],
                "area": round(each.area.area, 1),
            }
            for each, path in zip(made.regions, drawn, strict=True)
        ],
        "flaws": [
            {
                "kind": each.kind,
                "at": [round(value, 3) for value in each.at],
                "message": each.message,
                "border": each.border,
                "seed": each.seed,
            }
            for each in made.flaws
        ],
        "notes": [f"{note.element}: {note.message}" for note in notes],
    }


def begun(outline: Polygon) -> Borders:
    """A borders file for a face of this outline (mm, face frame) with nothing in it yet."""
    wide, high = (float(each) for each in outline.bounds[2:])
    corners = [
        (round(x, DECIMALS) + 0.0, round(high - y, DECIMALS) + 0.0)
        for x, y in outline.exterior.coords[:-1]
    ]
    turned = [*corners[1:], corners[0]]
    rim = Border(corners[0], tuple(Line(*corner) for corner in turned))
    return Borders(round(wide, DECIMALS), round(high, DECIMALS), outline=rim)


def taken_over(folder: Path, name: str) -> Borders:
    """The borders and colours of a drawing in `folder`, in mm of its own size.

    A borders file is given as it is; of any other the pattern's borders are lines and arcs, with a
    seed in each of its regions. Raises InputError.
    """
    path = folder / name
    marks: tuple[Border, ...] = ()
    if path.suffix.lower() == ".svg":
        tree = parsed_svg(path, root=folder)
        if is_borders(tree):
            return borders_in(name, tree)[0]
        marks = marks_in(name, tree)
    report = pattern_report(path)
    _, _, wide, high = (each * report.scale for each in report.drawing.view)
    borders: list[Border | Circle] = []
    for border, chain in zip(report.pattern.borders, report.fit.chains, strict=True):
        if border.left >= 0 and border.right >= 0:
            borders.append(_border(chain, report))
    return Borders(
        round(wide, DECIMALS), round(high, DECIMALS), tuple(borders), tuple(_seeds(report)),
        None, marks,
    )  # fmt: skip


def on_face(drawn: Borders, face: Borders) -> Borders:
    """A drawing's borders in the frame of a face, lower left corner on lower left corner, as art
    is put on it.
    """
    up = face.height - drawn.height
    if up == 0:
        return Borders(
            face.width, face.height, drawn.borders, drawn.seeds, face.outline, drawn.marks
        )

    def at(x: float, y: float) -> Point:
        return x, round(y + up, DECIMALS) + 0.0

    def moved(each: Border | Circle) -> Border | Circle:
        if isinstance(each, Circle):
            return Circle(at(*each.centre), each.radius, each.name)
        return Border(at(*each.start), tuple(_moved(step, up) for step in each.steps), each.name)

    marks = tuple(each for each in map(moved, drawn.marks) if isinstance(each, Border))
    seeds = tuple(Seed(at(*seed.at), seed.colour, seed.name) for seed in drawn.seeds)
    return Borders(
        face.width, face.height, tuple(map(moved, drawn.borders)), seeds, face.outline, marks
    )


def seeded_again(put: Borders, drawn: Borders) -> Borders:
    """A drawing that was put on a face, `drawn` before, with a seed in each region of the face: the
    outline may have cut a region off from its seed, or in two.
    """
    whole = regions_of(drawn, SHOWN).regions
    cut = regions_of(put, SHOWN).regions
    rooms = shapely.maximum_inscribed_circle([each.area for each in cut], tolerance=WIDEST)
    middles = [
        each.area.representative_point() if room.is_empty else shapely.get_point(room, 0)
        for each, room in zip(cut, rooms, strict=True)
    ]
    up = put.height - drawn.height
    points = shapely.points([(each.x, each.y - up) for each in middles])
    held, home = shapely.STRtree([each.area for each in whole]).query(points, predicate="within")
    where = dict(zip(held.tolist(), home.tolist(), strict=True))
    seeds: list[Seed] = []
    for number, (region, middle) in enumerate(zip(cut, middles, strict=True)):
        if region.seeds:
            seeds += [put.seeds[at] for at in region.seeds]
        elif number in where and (colour := whole[where[number]].colour) is not None:
            seeds.append(Seed((round(middle.x, 3), round(middle.y, 3)), colour))
    return replace(put, seeds=tuple(seeds))


def _moved(step: Step, up: float) -> Step:
    return step._replace(y=round(step.y + up, DECIMALS) + 0.0)


def _border(chain: Chain, report: PatternReport) -> Border | Circle:
    whole = _circle(chain, report)
    if whole is not None:
        return whole
    points = [_place(at, report) for at in chain.points]
    steps: list[Step] = []
    for (start, to), segment, before in zip(
        pairwise(points), chain.segments, chain.points, strict=False
    ):
        if segment.centre is None:
            steps.append(Line(*to))
            continue
        turn = sweep(before, segment)
        radius = math.dist(segment.to, segment.centre) * report.scale
        # Half a circle, or more: its ends are at least as far apart as its chord says.
        radius = round(max(radius, math.dist(start, to) / 2), DECIMALS)
        large, sweeps = abs(turn) > math.pi, not segment.counterclockwise
        steps.append(Arc(radius, radius, 0.0, large, sweeps, *to))
    return Border(points[0], tuple(steps))


def _circle(chain: Chain, report: PatternReport) -> Circle | None:
    """The circle that a closed chain of arcs round one centre is."""
    centres = {segment.centre for segment in chain.segments}
    if not chain.closed or len(centres) != 1 or None in centres:
        return None
    (centre,) = centres
    if centre is None:
        return None
    radius = math.dist(chain.start, centre) * report.scale
    return Circle(_place(centre, report), round(radius, DECIMALS))


def _place(at: Point, report: PatternReport) -> Point:
    left, top, _, high = report.drawing.view
    x, y = (at[0] - left) * report.scale, (top + high - at[1]) * report.scale
    return round(x, DECIMALS) + 0.0, round(y, DECIMALS) + 0.0


def _seeds(report: PatternReport) -> Iterator[Seed]:
    """One seed in the widest place of each coloured region, with the name that it had if one."""
    regions = [each for each in report.pattern.regions if each.colour]
    rooms = shapely.maximum_inscribed_circle([each.area for each in regions], tolerance=WIDEST)
    names: set[str] = set()
    for region, room in zip(regions, rooms, strict=True):
        middle = region.area.representative_point() if room.is_empty else shapely.get_point(room, 0)
        x, y = np.round(_place((middle.x, middle.y), report), 3).tolist()
        elements = {report.drawing.shapes[at].element for at in region.sources}
        name = next(iter(elements)) if len(elements) == 1 else ""
        known = name.startswith("#") and name not in names
        names.add(name)
        yield Seed((x + 0.0, y + 0.0), region.colour, name[1:] if known else None)
