"""Random end boards with unlike rounds and bevels: the net is as large as the solid's faces are.

Where strips lie in the net is taken from the map that unrolls them; areas and lengths are integrals
of it, worked here by Gauss's rule, and held against those that the kernel measures on its solid.
"""

import itertools
import math
import random

import numpy as np
import pytest

from boxes import built
from mateline.cabinet.faces import _laid
from mateline.cabinet.volume import volume
from mateline.curves import radius
from mateline.errors import InputError, InputFaultsError

NODES, WEIGHTS = np.polynomial.legendre.leggauss(40)
NEAR = 1e-6  # mm: how far the rim of a part may be from where the solid's face has it
WORDS = """
[[carcase]]
name = "box"
view = "{view}"
corners = {corners}
width = 300
board = 18
[carcase.outline.points]
{points}
[carcase.panels]
{panels}
[carcase.edges]
{edges}
"""
ENDS = {"side": ("left", "right"), "plan": ("bottom", "top"), "front": ("front", "back")}
SEEDS = {"quick": range(8), "long": range(8, 80)}


def outline(chance):
    """A regular, a lopsided or a stepped outline."""
    kind = chance.choice(["regular", "lopsided", "stepped"])
    if kind == "stepped":
        return [(0, 0), (400, 0), (400, 600), (150 + chance.uniform(-60, 60), 600), (150, 300),
                (0, 300)]  # fmt: skip
    count = chance.randint(3, 8)
    turns = [(at + (chance.uniform(-0.3, 0.3) if kind == "lopsided" else 0)) for at in range(count)]
    reach = [chance.uniform(180, 320) if kind == "lopsided" else 250 for _ in turns]
    return [
        (long * math.cos(math.tau * turn / count), long * math.sin(math.tau * turn / count))
        for long, turn in zip(reach, turns, strict=True)
    ]


def ends(seed):
    """The faces of both ends of a random carcase, or none where it can't be made."""
    chance = random.Random(seed)  # noqa: S311  not for secrets
    points = outline(chance)
    view = chance.choice(list(ENDS))
    names = "ABCDEFGHI"[: len(points)]
    edges = [
        f'"{end} and w{at}" = {{ {"round" if chance.random() < 0.8 else "bevel"} = {size} }}'
        for end in ENDS[view]
        for at in range(len(points))
        if (size := chance.choice([0, 3, 5, 8, 12, 17]))
    ]
    text = WORDS.format(
        view=view,
        corners=list(names),
        points="\n".join(
            f"{name} = [{x:.3f}, {y:.3f}]" for name, (x, y) in zip(names, points, strict=True)
        ),
        panels="\n".join(
            f'w{at} = {{ edge = "{name}-{names[(at + 1) % len(names)]}" }}'
            for at, name in enumerate(names)
        ),
        edges="\n".join(edges),
    )
    try:
        cabinet = built(text)
    except (InputError, InputFaultsError) as error:
        assert "corner" in str(error) or "nothing left" in str(error)  # noqa: PT017
        return []
    return [face for face in cabinet.faces if face.strips]


def nodes_of(panel, index, segment):
    """Depths in a strip, and what of its width each stands for, split where neighbours change."""
    edge, count = panel.edges[index], len(panel.edges)
    (_, top), (_, low) = edge.section.points[segment : segment + 2]
    beside = (panel.edges[index - 1], panel.edges[(index + 1) % count])
    bends = {at[1] for each in beside for at in each.section.points if top < at[1] < low}
    for upper, lower in itertools.pairwise(sorted({top, low} | bends)):
        yield from _between(edge.section, segment, upper, lower)


def _between(section, segment, upper, lower):
    arc, share = section.segments[segment], (NODES + 1) / 2
    start = section.points[segment]
    if arc.centre is None:  # a round beside it runs in like the root of the depth
        downs = upper + (lower - upper) * share**2
        wide = math.dist(start, arc.to) * (lower - upper) / (arc.to[1] - start[1])
        yield from zip(downs.tolist(), (wide * 2 * share * WEIGHTS / 2).tolist(), strict=True)
        return
    reach = radius(arc)
    first, last = (
        math.acos(max(-1.0, min(1.0, (arc.centre[1] - at) / reach))) for at in (upper, lower)
    )
    angles = first + (last - first) * share
    downs = arc.centre[1] - reach * np.cos(angles)
    yield from zip(downs.tolist(), (reach * abs(last - first) * WEIGHTS / 2).tolist(), strict=True)


def area(panel, strip):
    """The strip's area: how long it is at each depth, over its width."""
    total = 0.0
    for down, wide in nodes_of(panel, strip.edge, strip.segment):
        one, other = (_laid(panel, strip.edge, end, down) for end in (0, 1))
        total += wide * math.dist(one, other)  # both lie on one line along the edge
    return total


def parts(face):
    """Areas of the flat part and the strips, and how long the rim of each is."""
    yield face.flat.area, face.flat.length
    for strip in face.strips:
        yield area(face.panel, strip), strip.area.length


@pytest.mark.parametrize("seed", SEEDS["quick"])
def test_strips_are_as_large_as_the_solids_faces(seed):
    from mateline.cabinet.cadquery_solid import solid

    for face in ends(seed):
        made = solid(face.panel)
        assert made.isValid()
        assert made.Volume() == pytest.approx(volume(face.panel), rel=1e-9)
        there = np.array([each.Area() for each in made.Faces()])
        for here, rim in parts(face):
            assert abs(there - here).min() < NEAR * rim
        rims = np.array([each.Length() for each in made.Edges()])
        for strip in face.strips:
            (ax, ay), (bx, by) = strip.score.coords
            assert abs(rims - math.hypot(bx - ax, by - ay)).min() < NEAR


@pytest.mark.judge
@pytest.mark.parametrize("seed", SEEDS["long"])
def test_strips_of_many_more_are_as_large(seed):
    test_strips_are_as_large_as_the_solids_faces(seed)
