"""One drawing made into a pattern and compared, pixel by pixel, with a renderer.

As a command it prints the table of all drawings in folders:
    cd tests/corpus/node_modules
    python ../drawing_compare.py flag-icons/flags/4x3 flag-icons/flags/1x1 circle-flags/flags \\
        openmoji/color/svg
"""

import io
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import resvg_py
import shapely
from PIL import Image

from mateline.drawing.svg.reader import read_svg
from mateline.errors import InputError
from mateline.pattern.pattern import Tiling, pattern_of, tiling

WIDE = 200  # px
PAGE = 255  # white
MOST = 400  # drawings in the table: of more only the worst
NEAR = 2  # of 255: colours no farther apart than this agree


@dataclass(frozen=True, slots=True)
class Compared:
    """How one drawing came out; `refused` says why it has no pattern."""

    name: str
    regions: int = 0
    seconds: float = 0.0
    tiles: bool = False
    closing: float = 0.0  # share of the view that areas miss it by
    agreeing: float = 0.0  # share of the flat pixels that either of the two has painted
    gradients: int = 0
    refused: str = ""


def compared(path):
    start = time.process_time()
    try:
        drawing = read_svg(path, root=path.parent)
    except InputError as wrong:
        return Compared(path.name, refused=str(wrong))
    x, y, width, height = drawing.view
    outline = shapely.box(x, y, x + width, y + height)
    pattern = pattern_of(drawing.shapes, outline, base="#ffffff")
    seconds = time.process_time() - start
    total = sum(region.area.area for region in pattern.regions)
    seen, painted = rendered(svg_path=str(path))
    made = pixels(pattern.regions, drawing.view, seen.shape)
    agreeing = agreement(seen, made, painted | (made != PAGE).any(axis=2))
    return Compared(
        path.name,
        len(pattern.regions),
        seconds,
        tiling(pattern, outline) == Tiling(0.0, 0.0, 0),
        abs(total / outline.area - 1),
        agreeing,
        sum("gradient" in note.message for note in drawing.notes),
    )


def agreement(seen, made, painted):
    """The share of the flat pixels that either of the two has painted which have one colour."""
    # The bare page agrees by itself: where it is most of the picture it would hide all faults.
    flat = flat_pixels(seen) & painted
    wrong = (np.abs(seen - made).max(axis=2) > NEAR) & flat
    return 1 - wrong.sum() / max(1, flat.sum())


def shown_alike(path, text):
    """The same for a drawing and the text of the pattern that was written of it."""
    seen, painted = rendered(svg_path=str(path))
    made, inked = rendered(svg_string=text)
    high = min(len(seen), len(made))  # a size in mm may round to another row
    seen, painted, made, inked = (each[:high] for each in (seen, painted, made, inked))
    return agreement(seen, made, painted | inked)


def rendered(**source):
    """What the renderer shows, on white, and where it painted anything."""
    picture = bytes(resvg_py.svg_to_bytes(width=WIDE, dpi=96, **source))
    image = Image.open(io.BytesIO(picture)).convert("RGBA")
    paper = Image.new("RGBA", image.size, (PAGE, PAGE, PAGE, 255))
    paper.alpha_composite(image)
    return np.asarray(paper.convert("RGB")).astype(int), np.asarray(image)[:, :, 3] > 0


def pixels(regions, view, shape):
    """The colour of the region that holds each pixel's centre."""
    high, wide, _ = shape
    x, y, width, height = view
    rows, columns = np.mgrid[0:high, 0:wide]
    places = shapely.points(
        x + (columns.ravel() + 0.5) * width / wide, y + (rows.ravel() + 0.5) * height / high
    )
    tree = shapely.STRtree(places)
    made = np.full((high * wide, 3), PAGE)
    for region in regions:
        found = tree.query(region.area, predicate="intersects")
        made[found] = [int(region.colour[at : at + 2], 16) for at in (1, 3, 5)]
    return made.reshape(shape)


def flat_pixels(picture):
    """Pixels whose eight neighbours have their colour, so that no edge is near."""
    flat = np.ones(picture.shape[:2], dtype=bool)
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            moved = np.roll(picture, (down, right), axis=(0, 1))
            flat &= (moved == picture).all(axis=2)
    flat[[0, -1], :] = flat[:, [0, -1]] = False
    return flat


def table(results):
    lines = [f"{'drawing':<30}{'regions':>8}{'s':>8}{'flat pixels':>13}  gaps"]
    for one in sorted(results, key=lambda one: (one.agreeing, one.name))[:MOST]:
        share = f"{one.agreeing:13.4%}"
        end = one.refused or ("none" if one.tiles else "SOME")
        lines.append(f"{one.name[:29]:<30}{one.regions:>8}{one.seconds:>8.3f}{share}  {end}")
    made = [one for one in results if not one.refused]
    shares = [one.agreeing for one in made]
    without = [one.agreeing for one in made if not one.gradients]
    lines.append(
        f"{len(made)} of {len(results)} made; median {np.median(shares):.4%}, worst "
        f"{min(shares):.4%}, without gradients {min(without, default=1.0):.4%}; areas close to "
        f"{max(one.closing for one in made):.1e}; longest {max(one.seconds for one in made):.2f} s"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    for folder in sys.argv[1:]:
        print(folder)  # noqa: T201
        print(table([compared(path) for path in sorted(Path(folder).glob("*.svg"))]))  # noqa: T201
