"""Drawings for the cases of words of art: by name, as the definition calls them."""

from shapely import Point, Polygon, box

from mateline.drawing.shapes import drawing_of

SIGN = drawing_of([
    (box(0, 0, 200, 90), "#ff0000"),
    (Point(60, 45).buffer(30, 2), "#0000ff"),
    (box(120, 20, 190, 60).union(box(120, 20, 140, 80)), "#0000ff"),
], "sign")  # fmt: skip
# Drawn for a face of 404 by 492 with a corner 8 mm out of square, and a disc near each corner.
SHEET = drawing_of([
    (Polygon([(0, 0), (404, 0), (398, 487), (0, 492)]), "#ff0000"),
    *((Point(x, y).buffer(20), "#0000ff") for x, y in [(60, 60), (340, 60), (340, 430), (60, 430)]),
], "sheet")  # fmt: skip
DRAWINGS = {"sign": SIGN, "sheet": SHEET}
