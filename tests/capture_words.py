"""Words of the definition on photos and how art is traced: their cases, as in tests/words.py."""

from words import REFUSED, swap

PHOTO = """[[photo]]
file = "left.jpg"
on = "box-left"
corners = [[10, 90], [80, 90], [80, 10], [10, 10]]
landmarks = { coin = { pixel = [40, 50], at = [200, 300] } }
distances = [{ between = [[20, 30], [40, 30]], is = 100 }]
card = { between = [[50, 20], [60, 30]], reflects = 0.2 }
"""
TRACE = f"""{PHOTO}[[photo]]
file = "right.jpg"
on = "box-right"
[[trace]]
on = "box-left"
beside = "box-right"
drawing = "sign.svg"
true = ["circles"]
bare = ["#aa8855"]
colours = ["red", "cream"]
"""


def changed(before, after, *, text=PHOTO, **expected):
    return swap(text, text.replace(before, after, 1), *expected.values())


CAPTURE_CASES = {
    "PhotoTable.file": [changed("left.jpg", "sanded.jpg")],
    "PhotoTable.on": [changed("box-left", "box-front")],
    "PhotoTable.corners": [
        changed("[10, 90]", "[11, 90]"),
        changed("[10, 90], [80, 90], ", "", expected=REFUSED),
    ],
    "SightTable.pixel": [changed("[40, 50]", "[41, 50]")],
    "SightTable.at": [changed(", at = [200, 300]", "")],
    "SpanTable.between": [changed("[20, 30]", "[21, 30]")],
    "SpanTable.reading": [
        changed("is = 100", "is = 101"),
        changed("is = 100", "is = 0", expected=REFUSED),
    ],
    "CardTable.between": [changed("[60, 30]", "[61, 30]")],
    "CardTable.reflects": [
        changed("reflects = 0.2", "reflects = 0.3"),
        changed("reflects = 0.2", "reflects = 20", expected=REFUSED),
    ],
    "TraceTable.on": [
        changed('[[trace]]\non = "box-left"', '[[trace]]\non = "box-right"', text=TRACE),
        changed('[[trace]]\non = "box-left"', '[[trace]]\non = "box-front"', text=TRACE,
                expected=REFUSED),
    ],
    "TraceTable.drawing": [changed('drawing = "sign.svg"', 'drawing = "other.svg"', text=TRACE)],
    "TraceTable.beside": [
        changed('beside = "box-right"\n', "", text=TRACE),
        changed('beside = "box-right"', 'beside = "box-back"', text=TRACE, expected=REFUSED),
    ],
    "TraceTable.true": [changed('"circles"', '"circles", "rays"', text=TRACE)],
    "TraceTable.bare": [changed("#aa8855", "#aa8856", text=TRACE)],
    "TraceTable.colours": [
        changed('"red", ', "", text=TRACE),
        changed('"red"', '"mauve"', text=TRACE, expected=REFUSED),
    ],
}  # fmt: skip
