"""Words of the definition on how boards end: their cases, as in tests/words.py."""

import re

from words import BOARD, EDGE, REFUSED, STANDING, swap

GROOVE = "groove = { width = 1, depth = 7, offset = 6 }"
RABBET = "rabbet = { width = 19, depth = 6 }"
HOLE = 'holes = [{ name = "pin", diameter = 6, depth = 20, offset = 8, from = { top = 90 } }]'

EDGE_CASES = {
    "BoardTable.edge": [swap(BOARD, BOARD.replace("A-B", "A-C"), REFUSED, slot="panels")],
    "BoardTable.board": [swap(BOARD, BOARD.replace('B"', 'B", board = 30'), slot="panels")],
    "BoardTable.missing": [swap(BOARD, BOARD.replace('B"', 'B", missing = true'), slot="panels")],
    "EdgeTable.bevel": [
        swap("", EDGE.format("bevel = 8")),
        swap(EDGE.format("round = 8"), EDGE.format("round = 8, bevel = 8"), REFUSED),
    ],
    "EdgeTable.angle": [
        swap(EDGE.format("bevel = 8"), EDGE.format("bevel = 8, angle = 30")),
        swap(EDGE.format("round = 8"), EDGE.format("round = 8, angle = 30"), REFUSED),
    ],
    "EdgeTable.round": [swap("", EDGE.format("round = 8"))],
    "EdgeHoleTable.name": [swap(EDGE.format(HOLE), EDGE.format(HOLE.replace("pin", "peg")))],
    **{
        f"EdgeHoleTable.{word}": [
            swap(EDGE.format(HOLE), EDGE.format(re.sub(rf"{word} = \d+", f"{word} = 9", HOLE))),
            swap("", EDGE.format(re.sub(rf"{word} = \d+", f"{word} = 900", HOLE)), REFUSED),
        ]
        for word in ("diameter", "depth", "offset")
    },
    "EdgeHoleTable.start": [
        swap(EDGE.format(HOLE), EDGE.format(HOLE.replace("90 }", "80 }"))),
        swap("", EDGE.format(HOLE.replace("top =", "left =")), REFUSED),
        swap("", EDGE.format(HOLE.replace("90 }", "90, bottom = 9 }")), REFUSED),
    ],
    "BoardTable.set_back": [
        swap(BOARD, BOARD.replace('B"', 'B", set_back = 40'), slot="panels"),
        swap(
            BOARD, BOARD.replace('B"', 'B", missing = true, set_back = 40'), REFUSED, slot="panels"
        ),
    ],
    "BoardTable.short": [
        swap(BOARD, BOARD.replace('B"', 'B", short = { front = 60 }'), slot="panels"),
        swap(BOARD, BOARD.replace('B"', 'B", short = { top = 60 }'), REFUSED, slot="panels"),
        swap(BOARD, BOARD.replace('B"', 'B", short = { front = 6 }'), REFUSED, slot="panels"),
    ],
    "BoardTable.shared": [
        swap(
            STANDING,
            STANDING.replace('A-B", missing = true', 'A-B", shared = "box-bottom"'),
            REFUSED,
        ),
    ],
    "EdgeTable.end": [
        swap("", EDGE.format('end = "art"')),
        swap("", EDGE.format('end = "left"')),
        swap(EDGE.format("round = 8"), EDGE.format('round = 8, end = "art"')),
        swap("", EDGE.format('end = "art"').replace("front", "back"), REFUSED),
        (
            {"carcase": 'joints = ["left mitre front"]'},
            {"carcase": 'joints = ["left mitre front"]', "more": EDGE.format('end = "left"')},
            REFUSED,
        ),
        swap("", EDGE.format('end = "left", angle = 30'), REFUSED),
    ],
    **{
        f"GrooveTable.{word}": [
            swap(EDGE.format(GROOVE), EDGE.format(GROOVE.replace(f"{word} = ", f"{word} = 1"))),
            swap("", EDGE.format(GROOVE)),
            swap("", EDGE.format(GROOVE).replace("front", "roof"), REFUSED),
        ]
        for word in ("width", "depth", "offset")
    },
    **{
        f"RabbetTable.{word}": [
            swap(EDGE.format(RABBET), EDGE.format(RABBET.replace(f"{word} = ", f"{word} = 1"))),
            swap(EDGE.format(GROOVE), EDGE.format(f"{GROOVE}, {RABBET}"), REFUSED),
        ]
        for word in ("width", "depth")
    },
    "EdgeTable.moulding": [
        swap("", EDGE.replace("{}", "moulding = {{ left = 40 }}").format()),
        swap("", EDGE.replace("{}", "moulding = {{ front = 40 }}").format()),
        swap("", EDGE.replace("{}", "moulding = {{ front = 4 }}").format(), REFUSED),
        swap("", EDGE.replace("{}", "moulding = {{ top = 40 }}").format(), REFUSED),
        swap("", EDGE.replace("{}", "round = 8, moulding = {{ left = 40 }}").format(), REFUSED),
    ],
}
