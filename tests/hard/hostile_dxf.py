"""DXF files made to hang, fill or fool a reader, by name: what is in each, and what must come."""

import io
import math

import ezdxf

SECTION = "  0\nSECTION\n  2\n{}\n{}  0\nENDSEC\n"


def raw(entities, unit=4):
    header = f"  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n{unit}\n"
    text = SECTION.format("HEADER", header) + SECTION.format("ENTITIES", entities)
    return (text + "  0\nEOF\n").encode()


def drawn(draw, form="asc"):
    """What a function draws into a new document."""
    document = ezdxf.new("R2010", units=4)
    draw(document.modelspace(), document)
    stream = io.BytesIO() if form == "bin" else io.StringIO()
    document.write(stream, fmt=form)
    content = stream.getvalue()
    return content if form == "bin" else content.encode()


def entity(kind, **codes):
    pairs = "".join(f"{code[1:]:>3}\n{value}\n" for code, value in codes.items())
    return f"  0\n{kind}\n100\nAcDbEntity\n  8\n0\n{pairs}"


def polyline(vertices):
    head = entity("LWPOLYLINE", _100="AcDbPolyline", _90=len(vertices), _70=1)
    return head + "".join(
        f" 10\n{vertex[0]}\n 20\n{vertex[1]}\n" + (f" 42\n{vertex[2]}\n" if len(vertex) > 2 else "")
        for vertex in vertices
    )


SQUARE = polyline([(0, 0), (10, 0), (10, 10), (0, 10)])


def square(space, x=0, **attributes):
    corners = [(x, 0), (x + 10, 0), (x + 10, 10), (x, 10)]
    space.add_lwpolyline(corners, close=True, dxfattribs=attributes)


def circle(x=0, radius=5):
    return entity("CIRCLE", _100="AcDbCircle", _10=x, _20=0, _30=0, _40=radius)


def ellipse(ratio, axis=10, last=math.tau):
    return entity("ELLIPSE", _100="AcDbEllipse", _10=0, _20=0, _30=0, _11=axis, _21=0, _31=0,
                  _40=ratio, _41=0, _42=last)  # fmt: skip


def spline(count, weights=(), degree=3, knots=None):
    turns = [at * math.tau / count for at in range(count)] + [0.0]
    inner = range(1, count - degree + 1)
    knots = knots or [0] * (degree + 1) + [*inner] + [count - degree + 1] * (degree + 1)
    return entity(
        "SPLINE", _100="AcDbSpline", _70=8, _71=degree, _72=len(knots), _73=count + 1, _74=0
    ) + "".join(
        [*(f" 40\n{knot}\n" for knot in knots), *(f" 41\n{weight}\n" for weight in weights)]
        + [f" 10\n{math.cos(a)}\n 20\n{math.sin(a)}\n 30\n0\n" for a in turns]
    )


def block_in_block(inside):
    """Each of twelve blocks holds the next one ten times; the last holds `inside`."""

    def draw(space, document):
        for at in range(12):
            block = document.blocks.new(f"B{at}")
            for copy in range(10):
                block.add_blockref(f"B{at + 1}", (copy, at))
        inside(document.blocks.new("B12"))
        space.add_blockref("B0", (0, 0))

    return lambda: drawn(draw)


def in_rows(inside, rows, columns):
    def draw(space, document):
        inside(document.blocks.new("A"))
        square(space)
        array = {"row_count": rows, "column_count": columns, "row_spacing": 20,
                 "column_spacing": 20}  # fmt: skip
        space.add_blockref("A", (20, 0), dxfattribs=array)

    return lambda: drawn(draw)


def chain_of_blocks(count, last):
    def draw(space, document):
        for at in range(count):
            document.blocks.new(f"B{at}").add_blockref(f"B{(at + 1) if at + 1 < count else last}",
                                                       (0, 0))  # fmt: skip
        space.add_blockref("B0", (0, 0))

    return lambda: drawn(draw)


def with_square(*shapes):
    return lambda: raw("".join(shapes) + SQUARE)


def wave(count):
    return polyline([(at / count * 100, f"{50 * math.sin(at / 1e4):.4f}") for at in range(count)])


def lines(count, ends):
    return lambda: raw("".join(
        entity("LINE", _100="AcDbLine", _10=a, _20=b, _11=c, _21=d)
        for a, b, c, d in map(ends, range(count))) + SQUARE)  # fmt: skip


REFUSED = {
    "block in itself": (chain_of_blocks(1, 0), "part of itself"),
    "blocks in a circle": (chain_of_blocks(3, 0), "part of itself"),
    "2000 blocks deep": (chain_of_blocks(2000, 5000), "50 deep"),
    "blocks of blocks": (block_in_block(square), "more than 30000 entities"),
    "blocks of nothing": (block_in_block(lambda _: None), "more than 30000 entities"),
    "a thousand million copies": (in_rows(square, 32_000, 32_000), "more than 30000 entities"),
    "as many of nothing": (in_rows(lambda _: None, 32_000, 32_000), "more than 30000 entities"),
    "60 000 lines": (
        lines(60_000, lambda at: (at % 200, at // 200 * 2, at % 200 + 0.5, at // 200 * 2 + 1)),
        "more than 30000 entities",
    ),
    "20 000 ends in one point": (
        lines(20_000, lambda at: (0, 0, math.cos(at / 3183), math.sin(at / 3183))),
        "could meet",
    ),
    "2000 circles in one another": (
        lambda: raw("".join(circle(0, 1 + at / 10) for at in range(2000))),
        "lie in or across one another",
    ),
    "spline of 50 000 points": (with_square(spline(50_000)), "control points"),
    "spline through 10 000 points": (
        lambda: drawn(lambda space, _: space.add_spline([(at, at % 7) for at in range(10_000)])),
        "fit points",
    ),
    "spline of no weight": (with_square(spline(20, [0] * 21)), "weight is not above 0"),
    "spline of odd weights": (with_square(spline(20, [-1, 1] * 10 + [1])), "not above 0"),
    "spline of degree 0": (with_square(spline(20, degree=0)), "no sound spline"),
    "spline of degree 60": (with_square(spline(80, degree=60)), "no sound spline"),
    "spline of one knot": (with_square(spline(20, knots=[0] * 25)), "no sound spline"),
    "spline of three knots": (with_square(spline(20, knots=[0, 1, 2])), "no sound spline"),
    "spline of nan": (with_square(spline(20, knots=["nan"] * 25)), "a knot is no number"),
    "spline without points": (with_square(entity("SPLINE", _100="AcDbSpline", _71=3)), "sound"),
    "bulge nan": (lambda: raw(polyline([(0, 0, "nan"), (10, 0), (10, 10)])), "or is none"),
    "bulge infinity": (lambda: raw(polyline([(0, 0, "inf"), (10, 0), (10, 10)])), "or is none"),
    "20 000 bulges": (
        lambda: raw(polyline([(at * 37 % 100, at * 61 % 97, 1e3) for at in range(20_000)])),
        "facets",
    ),
    "corner nan": (lambda: raw(polyline([(0, 0), ("nan", 0), (10, 10)])), "or is none"),
    "corner 1e300": (lambda: raw(polyline([(0, 0), (1e300, 0), (10, 10)])), "too large"),
    "circle of nan": (with_square(circle(radius="nan")), "or is none"),
    "circle of infinity": (with_square(circle(radius="inf")), "or is none"),
    "circle at infinity": (with_square(circle(x="inf")), "or is none"),
    "circle of 1e300": (with_square(circle(radius=1e300)), "too large"),
    "ellipse of nan": (with_square(ellipse("nan")), "or is none"),
    "arc of nan": (
        with_square(circle().replace("CIRCLE", "ARC") + "100\nAcDbArc\n 50\nnan\n 51\n90\n"),
        "or is none",
    ),
    "corner without a place": (
        lambda: raw(
            entity("POLYLINE", _66=1, _70=1) + entity("VERTEX") * 3 + "  0\nSEQEND\n" + SQUARE
        ),
        "no place",
    ),
    "block at 1e300": (
        lambda: drawn(
            lambda space, document: (
                document.blocks.new("A").add_circle((0, 0), 5),
                space.add_blockref("A", (0, 0), dxfattribs={"xscale": 1e300}),
            )
        ),
        "too large a scale",
    ),
    "polyline of 200 MB": (lambda: raw(polyline([(1, 1)] * 14_000_000)), "more than 10 MB"),
    "polyline of 300 000 points": (lambda: raw(wave(300_000)), "250000 segments"),
    "polyline that crosses itself": (
        lambda: raw(polyline([(at * 37 % 100, at * 61 % 97) for at in range(20_000)])),
        "crosses or touches itself",
    ),
    "polyline that says 10 million": (
        lambda: raw(polyline([(1, 1)] * 9)).replace(b" 90\n9\n", b" 90\n10000000\n"),
        "closed loop",
    ),
    "cut off": (lambda: drawn(lambda space, _: square(space))[:9000], "no sound DXF"),
    "binary, cut off": (lambda: drawn(lambda space, _: square(space), "bin")[:5000], "sound DXF"),
    "binary noise": (
        lambda: b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(at * at % 251 for at in range(50_000)),
        "no sound DXF",
    ),
    "wrong group code": (lambda: raw(SQUARE).replace(b" 10\n", b" 1x\n", 1), "no sound DXF"),
    "word for a number": (lambda: raw(SQUARE).replace(b" 10\n0\n", b" 10\nzero\n"), "no sound DXF"),
    "wrong handle": (
        lambda: raw(SQUARE.replace("LINE\n", "LINE\n  5\nZZZZ\n")),
        "no sound DXF",
    ),
    "no end": (lambda: raw(SQUARE).replace(b"  0\nEOF\n", b""), "no sound DXF"),
    "nothing": (lambda: b"", "no DXF"),
    "noise": (lambda: bytes(at * at * 7919 % 251 for at in range(100_000)), "no DXF"),
    "UTF-16": (lambda: raw(SQUARE).decode().encode("utf-16"), "no DXF"),
    "not DXF but DWG": (lambda: b"AC1032\0\0\0" + bytes(1000), "no DXF"),
    "text only": (lambda: drawn(lambda space, _: space.add_text("HI")), "TEXT 2F: 1 of this kind"),
    "paper space only": (lambda: drawn(lambda _, document: square(document.paperspace())), "model"),
}  # fmt: skip

#   what is left is the square of 10 by 10, and what was left out is said
NOTED = {
    "block that is not there": (
        lambda: drawn(lambda space, _: (square(space), space.add_blockref("NO", (0, 0)))),
        "not in the file",
    ),
    "block of another file": (
        lambda: drawn(
            lambda space, document: (
                document.add_xref_def("../../secret.dxf", "X"),
                space.add_blockref("X", (0, 0)),
                square(space),
            )
        ),
        "other files are never opened",
    ),
    "picture of another file": (
        lambda: drawn(
            lambda space, document: (
                space.add_image(document.add_image_def("../../p", (9, 9)), (0, 0), (5, 5)),
                square(space),
            )
        ),
        "1 of this kind left out",
    ),
    "frozen layer": (
        lambda: drawn(
            lambda space, document: (
                document.layers.add("F").freeze(),
                square(space, 50, layer="F"),
                square(space),
            )
        ),
        "off or frozen",
    ),
    "layer that is off": (
        lambda: drawn(
            lambda space, document: (
                document.layers.add("F").off(),
                square(space, 50, layer="F"),
                square(space),
            )
        ),
        "off or frozen",
    ),
    "invisible": (
        lambda: drawn(lambda space, _: (square(space, 50, invisible=1), square(space))),
        "invisible",
    ),
    "plane that leans": (
        lambda: drawn(lambda space, _: (square(space, 50, extrusion=(1, 0, 1)), square(space))),
        "not lie in the plane",
    ),
    "circle seen on its edge": (
        lambda: drawn(
            lambda space, _: (
                space.add_circle((0, 0), 5, dxfattribs={"extrusion": (1, 0, 0)}),
                square(space),
            )
        ),
        "not lie in the plane",
    ),
    "mesh": (
        lambda: drawn(lambda space, _: (space.add_polymesh((4, 4)), square(space))),
        "1 of this kind",
    ),
    "hatch": (
        lambda: drawn(lambda space, _: (space.add_hatch(color=1), square(space))),
        "1 of this kind",
    ),
    "ellipse of ratio 0": (with_square(ellipse(0)), "1 of this kind"),
    "ellipse without an axis": (with_square(ellipse(0.5, 0)), "1 of this kind"),
    "circle of radius 0": (with_square(circle(radius=0)), "1 of this kind"),
    "polyline without a corner": (with_square(polyline([])), "1 of this kind"),
    "no unit": (lambda: raw(SQUARE, unit=0), "no usable unit"),
    "unit of 99": (lambda: raw(SQUARE, unit=99), "no usable unit"),
    "the same square twice": (with_square(SQUARE), "drawn twice"),
    "half a megabyte of comments": (lambda: raw("999\nx\n" * 100_000 + SQUARE, unit=0), "unit"),
}
