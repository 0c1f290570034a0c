import io
import re

import numpy as np
import resvg_py
from PIL import Image

from boards import carcase
from mateline.cabinet.faces import unrolled
from mateline.exports.picture.cabinet_picture import cabinet_picture
from stencils import striped
from svg_reading import SVG, parsed

BOX = {"a": (0, 0), "b": (500, 0), "c": (500, 700), "d": (0, 700)}


def box(**more):
    return carcase("body", BOX, ["bottom", "back", "top", "front"], 0, 400, **more)


def drawn(panels, painted=("left", "right", "front", "top")):
    faces = [unrolled(panel) for panel in panels]
    stencils = [striped(face.panel) for face in faces if face.panel.name in painted]
    return cabinet_picture(faces, stencils, title="Pier & sea")


def test_it_is_a_picture_with_title_views_and_palette():
    words = [element.text for element in parsed(drawn(box())).iter(f"{SVG}text")]
    assert words == [
        "Pier & sea",
        "from the front left",
        "from the front right",
        "cream (base coat)",
        "sea blue",
        "sun yellow",
    ]


def test_a_painted_back_gets_a_view_of_its_own():
    text = drawn(box(), painted=("left", "back"))
    assert "from the back right" in [e.text for e in parsed(text).iter(f"{SVG}text")]
    assert text.count('href="#art-body-back"') == 1


def test_everything_that_is_referred_to_is_there_once():
    edges = {"left and front": {"round": "12 mm"}, "right and front": {"bevel": "12 mm"}}
    text = drawn(box(edges=edges))
    names = re.findall(r'id="([^"]+)"', text)
    assert len(names) == len(set(names))
    assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', text)) <= set(names)


def test_a_cabinet_without_art_is_bare_wood():
    text = drawn(box(), painted=())
    assert "<use" not in text
    assert "#1f5f8b" not in text


def test_each_view_shows_the_art_of_its_own_side():
    """Sea blue is painted on the sides only here: left of the left view, right of the right."""
    png = resvg_py.svg_to_bytes(svg_string=drawn(box(), ("left", "right")), dpi=96)
    pixels = np.array(Image.open(io.BytesIO(bytes(png))).convert("RGB")).astype(int)
    pixels = pixels[:-60]  # without the palette
    blue = (pixels[:, :, 2] - pixels[:, :, 0]) > 40
    columns = np.nonzero(blue.any(axis=0))[0]
    middle = pixels.shape[1] / 2
    left, right = columns[columns < middle], columns[columns > middle]
    assert len(left) > 50
    assert len(right) > 50
    assert abs(left.max() - middle) > abs(middle - left.max()) - 1
    ink = np.nonzero((pixels.sum(axis=2) < 700).any(axis=0))[0]
    assert left.min() - ink.min() < 60  # the sea reaches the outer end of the left view
    assert ink.max() - right.max() < 60


def test_the_same_cabinet_gives_the_same_bytes():
    assert drawn(box()) == drawn(box())
