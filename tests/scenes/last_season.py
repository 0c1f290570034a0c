"""The photos of cabinets/last-season, and the truth that they were taken of.

A counter-top cabinet that was never as square as it was meant: `TRUTH` is how it is, the readings
of the definition are what a tape read of it, to the millimetre. Its right side is chipped, its
left side was sanded, its front has lost a corner.

    python tests/scenes/last_season.py photos    writes the photos again
    python tests/scenes/last_season.py story     after a build: the picture of the README
"""

import io
import math
import sys
import tomllib
from pathlib import Path

import numpy as np
from PIL import Image
from shapely import Polygon

from mateline.cabinet.cabinet import cabinet_of
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.errors import Faults
from scenes.camera import standing
from scenes.design import Design, bowed, disc, polygon, star
from scenes.photograph import Light, photographed
from scenes.wear import worn

# How the outline really is, mm; A is low in front.
TRUTH = {
    "A": (0.0, 0.0), "B": (521.3, 0.0), "C": (519.7, 898.6), "D": (249.4, 901.2),
    "E": (150.9, 601.1), "F": (1.2, 519.8),
}  # fmt: skip
PALETTE = {
    "cream": "#efe3c4",
    "navy": "#1f2f57",
    "mustard": "#d99a1c",
    "red": "#b3271e",
    "teal": "#1f8a85",
    "black": "#1b1b1d",
}
FOLDER = Path(__file__).parents[2] / "cabinets" / "last-season"


def true_cabinet(folder=FOLDER):
    """The cabinet as it really is: the definition with TRUTH in place of the readings."""
    table = tomllib.loads((folder / "cabinet.toml").read_text(encoding="utf-8"))
    carcase = table["carcase"][0]
    carcase["outline"] = {"points": {name: list(at) for name, at in TRUTH.items()}}
    faults = Faults("cabinet.toml")
    stated = settled(parsed(table, "cabinet.toml"), faults)
    return cabinet_of(stated.carcases, stated.hardware, stated.tape, faults)


def side(outline):
    """The right side's art: a sea, a sun with rays, a kite and a row of lamps."""
    corners = np.array(outline.exterior.coords)[:-1]
    shapes = [(bowed([(-60, -60), (600, -60), (600, 250), (-60, 214)], [0, 0, 0.07, 0]), "navy")]
    shapes += [(polygon((-60, up), (600, up - 62), (600, up - 26), (-60, up + 36)), ink)
               for up, ink in ((300, "teal"), (336, "red"))]  # fmt: skip
    x, y, reach = 330.0, 560.0, 150.0
    for at in range(12):
        a, b = math.tau * at / 12 + 0.1, math.tau * (at + 0.5) / 12 + 0.1
        shapes.append((polygon(
            (x, y), (x + reach * math.cos(a), y + reach * math.sin(a)),
            (x + reach * math.cos(b), y + reach * math.sin(b)),
        ), "mustard"))  # fmt: skip
    shapes += [(disc(x, y, 74), "red"), (disc(x, y, 58), "mustard")]
    shapes += [(disc(300 + 56 * at, 800, 17), "teal") for at in range(4)]
    shapes += [(polygon((70, 110), (150, 60), (230, 110), (150, 190)), "red"),
               (polygon((150, 60), (230, 110), (150, 190)), "cream")]  # fmt: skip
    shield = bowed([(330, 80), (450, 80), (450, 150), (330, 150)], [0.16, 0, 0.16, 0])
    shapes.append((shield, "teal"))
    return Design(_upright(corners), tuple(shapes), "cream", PALETTE)


def front(outline):
    """The front's art: a star over two stripes."""
    corners = np.array(outline.exterior.coords)[:-1]
    left, _, right, up = outline.bounds
    middle = (left + right) / 2
    shapes = [
        (polygon((-9, 90), (right + 9, 90), (right + 9, 130), (-9, 130)), "teal"),
        (polygon((-9, 130), (right + 9, 130), (right + 9, 160), (-9, 160)), "navy"),
        (star(middle, up * 0.62, 120, 50, 5, math.pi / 2), "red"),
        (disc(middle, up * 0.62, 30), "mustard"),
    ]
    return Design(_upright(corners), tuple(shapes), "cream", PALETTE)


def _upright(corners):
    """The corners counter-clockwise, from the lower left one on."""
    corners = corners if Polygon(corners).exterior.is_ccw else corners[::-1]
    first = int(np.argmin(corners.sum(axis=1)))
    return np.roll(corners, -first, axis=0)


def scenes(folder=FOLDER):
    """The scenes of the photos by the files' names."""
    cabinet = true_cabinet(folder)
    right = side(cabinet.face("body-right").outline)
    ahead = front(cabinet.face("body-front").outline)
    light = Light(slope=(0.22, -0.18), veil=0.015, quality=90)
    seen = standing(right.outline, (1500, 2000), 1.9, yaw_deg=9, pitch_deg=-3, k1=-0.06)
    before = standing(ahead.outline, (1500, 1700), 2.6, yaw_deg=-6, pitch_deg=-5, k1=-0.06)
    return {
        "right.jpg": photographed(right, seen, worn(right.outline, 0.12, 40, 5), light, 5),
        "front.jpg": photographed(ahead, before, worn(ahead.outline, 0.10, 20, 8), light, 8),
        "left.jpg": photographed(
            _turned(right), standing(right.outline, (900, 1200), 1.1, yaw_deg=-11),
            worn(right.outline, 0.86, 90, 11), light, 11,
        ),
    }  # fmt: skip


def _turned(design):
    """The other side: the mirror image in its own frame, which was sanded."""
    from mateline.curves import Chain, Segment

    wide = design.corners[:, 0].max()

    def over(point):
        return (wide - point[0], point[1])

    shapes = tuple(
        (Chain(over(chain.start), tuple(
            Segment(over(s.to), s.centre and over(s.centre), not s.counterclockwise)
            for s in chain.segments
        )), ink)
        for chain, ink in design.shapes
    )  # fmt: skip
    corners = np.array([over(at) for at in design.corners])[::-1]
    return Design(_upright(corners), shapes, design.base, design.palette)


def story(exports, folder=FOLDER, high=900):
    """The right side as it is, as it was traced, and as the stencil paints it, side by side."""
    import resvg_py

    svg = (exports / "faces" / "body-right" / "painted.svg").read_text(encoding="utf-8")
    painted = resvg_py.svg_to_bytes(svg_string=svg, width=900, dpi=96)
    shown = [
        Image.open(folder / "right.jpg"),
        Image.open(folder / "traced" / "right-borders.png"),
        Image.open(io.BytesIO(bytes(painted))),
    ]
    sized = [
        each.convert("RGBA").resize((round(each.width * high / each.height), high))
        for each in shown
    ]
    sheet = Image.new("RGB", (sum(each.width for each in sized) + 80, high + 40), "white")
    left = 20
    for each in sized:
        sheet.paste(each, (left, 20), each)
        left += each.width + 20
    sheet.save(folder / "story.jpg", quality=85)


if __name__ == "__main__":
    if sys.argv[1:] == ["story"]:
        story(FOLDER.parents[1] / "exports" / "last-season")
    elif sys.argv[1:] == ["photos"]:
        for name, scene in scenes().items():
            (FOLDER / name).write_bytes(scene.jpeg)
    else:
        sys.exit(__doc__)
