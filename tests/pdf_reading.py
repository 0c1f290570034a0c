"""What a PDF of ours draws, read by pypdf: paths in mm of the page or of a form."""

import io
import math
from itertools import pairwise

import pypdf
from pypdf.generic import ContentStream

POINT = 72 / 25.4


def read(data):
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


def forms(reader, page=0):
    """Contents of the forms of a page by the name of their layer."""
    found = {}
    for reference in reader.pages[page]["/Resources"]["/XObject"].values():
        form = reference.get_object()
        found[form["/OC"]["/Name"]] = ContentStream(form, reader)
    return found


def subpaths(content):
    """Lists of points, mm; a Bézier curve as 33 points of it."""
    paths = []
    for operands, operator in content.operations:
        at = [float(x) / POINT for x in operands] if operator in {b"m", b"l", b"c"} else []
        if operator == b"m":
            paths.append([tuple(at)])
        elif operator == b"l":
            paths[-1].append(tuple(at))
        elif operator == b"c":
            paths[-1] += _curve(paths[-1][-1], *zip(at[0::2], at[1::2], strict=True))
        elif operator == b"s":
            paths[-1].append(paths[-1][0])
    return paths


def _curve(p, q, r, s):
    return [
        tuple(
            u**3 * a + 3 * t * u**2 * b + 3 * t**2 * u * c + t**3 * d
            for a, b, c, d in zip(p, q, r, s, strict=True)
        )
        for t, u in ((at / 32, 1 - at / 32) for at in range(1, 33))
    ]


def length(path):
    return sum(math.dist(a, b) for a, b in pairwise(path))


def origins(reader, page):
    """Scale, x and y, mm, of every placement on a page."""
    content = reader.pages[page].get_contents()
    return [
        (float(operands[0]), float(operands[4]) / POINT, float(operands[5]) / POINT)
        for operands, operator in content.operations
        if operator == b"cm"
    ]


def clip(reader, page):
    """The rectangle that a page is clipped to, mm: left, bottom, width, height."""
    content = reader.pages[page].get_contents()
    (found,) = [operands for operands, operator in content.operations if operator == b"re"]
    return tuple(float(x) / POINT for x in found)
