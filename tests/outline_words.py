"""Words of the definition on how an outline is measured: their cases, as in tests/words.py."""

from words import ADDED, BARE, CURVED, GAUGED, LEVEL, LOOSE, POINTS, READ, REFUSED, TOLD, add, swap

OUTLINE_CASES = {
    "MeasuredTable.readings": [
        swap(READ.format(""), READ.format("").replace("641", "645"), slot="outline")
    ],
    "MeasuredTable.points": [
        swap(POINTS.format(""), POINTS.format("").replace("400, 500", "400, 480"), slot="outline")
    ],
    "MeasuredTable.square": [
        swap(BARE.format('square = ["A"]'), BARE.format('square = ["C"]'), slot="outline"),
        swap(POINTS.format(""), POINTS.format('square = ["A"]'), REFUSED, slot="outline"),
    ],
    "MeasuredTable.about": [  # tests/tape/test_outline.py shows where it chooses
        swap(POINTS.format(""), POINTS.format('about = { "A-C" = 6 }'), REFUSED, slot="outline"),
    ],
    "MeasuredTable.angles": [
        swap(READ.format(""), GAUGED, slot="outline"),
        swap(READ.format(""), LEVEL, slot="outline"),
        swap(POINTS.format(""), POINTS.format("angles = { A = 90 }"), REFUSED, slot="outline"),
    ],
    "TapeTable.gauge_deg": [
        add("gauge_deg = 2", expected=TOLD, slot="tape"),
        ({"tape": "", "outline": GAUGED}, {"tape": "gauge_deg = 2", "outline": GAUGED}, ADDED),
    ],
    "TapeTable.level_deg": [
        add("level_deg = 2", expected=TOLD, slot="tape"),
        ({"tape": "", "outline": LEVEL}, {"tape": "level_deg = 2", "outline": LEVEL}, ADDED),
    ],
    "MeasuredTable.reflex": [
        swap(LOOSE.format(""), LOOSE.format('reflex = ["C"]'), slot="outline"),
        swap(POINTS.format(""), POINTS.format('reflex = ["C"]'), REFUSED, slot="outline"),
    ],
    "CurveTable.rise": [
        swap(CURVED.format(""), CURVED.format("") + "C-D = { rise = 40 }", slot="outline"),
    ],
    "CurveTable.radius": [
        swap(CURVED.format(""), CURVED.format("") + "C-D = { radius = 400 }", slot="outline")
    ],
    "CurveTable.points": [
        swap(
            CURVED.format(""),
            CURVED.format("") + "C-D = { points = [[100, 20], [200, 28], [300, 21]] }",
            slot="outline",
        )
    ],
    "CurveTable.tangent": [
        swap(
            CURVED.format("") + "C-D = { rise = 20 }",
            CURVED.format("") + 'C-D = { rise = 20, tangent = ["C"] }',
            slot="outline",
        )
    ],
    "CurveTable.hollow": [
        swap(
            CURVED.format("") + "C-D = { rise = 20 }",
            CURVED.format("") + "C-D = { rise = 20, hollow = true }",
            slot="outline",
        ),
        swap(
            CURVED.format("") + 'C-D = { tangent = ["C"] }',
            CURVED.format("") + 'C-D = { tangent = ["C"], hollow = true }',
            REFUSED,
            slot="outline",
        ),
    ],
}
