"""Borders in photos: the whole road beside two tracing libraries, on the same pictures.

    pip install vtracer potracer
    python benchmarks/bench_tracers.py [RIDE ...]

Without a name, all twenty rides of tests/scenes/road.py, easy and hard, three of twelve megapixels.
Each scene is photographed, squared and labelled by us. Ours traces picture and labels; the
libraries get the labels as a picture in flat colours, which is the best that they could be given.
Judged alike, away from the outline and from damage: distance of borders from the true ones (rms,
mm), the share of true borders that is missed, what lies between or over each other (mm²), segments
as a multiple of the drawing's own.
"""

import argparse
import io
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from mateline.curves import flattened
from mateline.drawing.reader import read_drawing
from scenes.judging import REACH, _samples, _sound, labels_right, true_segments
from scenes.road import RIDES, ridden, traced

MARGIN = 3.0  # mm from the outline


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("rides", nargs="*", metavar="RIDE", help=f"of {', '.join(RIDES)}")
    rides = parser.parse_args().rides or RIDES
    strange = set(rides) - set(RIDES)
    if strange:
        parser.error(f"no rides: {', '.join(sorted(strange))}")
    for name in rides:
        one(name)


def one(name):
    ride = ridden(name)
    made, wear, labels = ride.scene.design, ride.scene.wear, ride.labels
    own = traced(ride).traced
    ours = [flattened(b.chain, 0.002) for b in own.borders if -1 not in (b.left, b.right)]
    count = sum(len(b.chain.segments) for b in own.borders if -1 not in (b.left, b.right))
    right = labels_right(labels, made, wear)
    shares = " ".join(f"{right[each]:.4f}" for each in ("all", "sound", "damaged"))
    print(f"{name}: photo right to {ride.expected:.3f} mm; pixels right {shares}", flush=True)
    line("ours", ours, count, 0.0, made, wear)
    for library, trace in (("vtracer", by_vtracer), ("potracer", by_potracer)):
        svg, count = trace(labels)
        areas = areas_of(svg, ride.picture.grid)
        rims = [ring for area in areas for ring in rings(area)]
        line(library, rims, count, apart(areas, made.outline), made, wear)


def line(name, lines, count, between, made, wear):
    within = made.outline.buffer(-MARGIN)
    whole = shapely.multilinestrings([shapely.linestrings(each) for each in lines])
    found, true = _samples(whole), _samples(made.borders)
    found, true = (at[shapely.contains_xy(within, at[:, 0], at[:, 1])] for at in (found, true))
    found, true = (at[_sound(at, wear)] for at in (found, true))
    away = shapely.distance(shapely.points(found), made.borders)
    back = shapely.distance(shapely.points(true), whole)
    near = away < REACH
    rms, missed = np.sqrt((away[near] ** 2).mean()), (back >= REACH).mean()
    print(
        f"  {name:9} rms {rms:.3f}  missed {missed:.4f}  gap and overlap {between:.1f} mm²"
        f"  segments {count / true_segments(made):.2f}",
        flush=True,
    )


def picture_of(labels):
    inks = np.array(
        [
            (41 * (at + 1) % 256, 97 * (at + 1) % 256, 157 * (at + 1) % 256)
            for at in range(len(labels.colours))
        ]
    )
    flat = np.full((*labels.numbers.shape, 3), 255, dtype=np.uint8)
    inside = labels.numbers >= 0
    flat[inside] = inks[labels.numbers[inside]]
    return flat


def by_vtracer(labels):
    import vtracer  # noqa: PLC0415  on request

    stream = io.BytesIO()
    Image.fromarray(picture_of(labels)).save(stream, "PNG")
    svg = vtracer.convert_raw_image_to_svg(
        stream.getvalue(), img_format="png", hierarchical="cutout", mode="spline"
    )
    return svg, svg.count("C") + svg.count("L")


def by_potracer(labels):
    import potrace  # noqa: PLC0415  on request

    paths, count = [], 0
    high, wide = labels.numbers.shape
    for number in range(len(labels.colours)):
        mask = labels.numbers == number
        if not mask.any():
            continue
        parts = []
        for curve in potrace.Bitmap(~mask).trace(turdsize=8):
            start = curve.start_point
            parts.append(f"M{start.x},{start.y}")
            for segment in curve.segments:
                count += 1
                end = segment.end_point
                if segment.is_corner:
                    parts.append(f"L{segment.c.x},{segment.c.y}L{end.x},{end.y}")
                else:
                    a, b = segment.c1, segment.c2
                    parts.append(f"C{a.x},{a.y} {b.x},{b.y} {end.x},{end.y}")
            parts.append("Z")
        paths.append(
            f'<path fill="#{40 + number:02x}3010" fill-rule="evenodd" d="{"".join(parts)}"/>'
        )
    size = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{"".join(paths)}</svg>', count


def areas_of(svg, grid):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "traced.svg"
        path.write_text(svg, encoding="utf-8")
        shapes = read_drawing(path, root=path.parent, deviation=0.005).shapes
    return [
        shapely.make_valid(shapely.transform(s.area, lambda at: grid.places(at - 0.5)))
        for s in shapes if s.colour != "#ffffff"
    ]  # fmt: skip


def rings(area):
    return [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(area))]


def apart(areas, outline):
    """What no area has of the inside, and what two have, mm²."""
    inner = outline.buffer(-MARGIN)
    areas = [area.intersection(inner) for area in areas]
    whole = shapely.union_all(areas)
    return inner.difference(whole).area + sum(area.area for area in areas) - whole.area


if __name__ == "__main__":
    main()
