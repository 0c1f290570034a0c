"""Words of the definition in each place where they may stand, and what they do there.

`CASES` has for each word of the schema tuples of what slots of `FILE` say without it, what they say
with it, and what happens.
"""

import re

from hardware_words import of_groups

FILE = """
title = "{title}"
{top}
[tape]
unit = "{unit}"
graduation = {graduation}
accuracy = "{accuracy}"
{tape}
[measures]
{measures}
[palette]
base = "{base}"
{palette}
[palette.colours.cream]
paint = "{paint}"
letter = "{letter}"
{cream}
[palette.colours.red]
paint = "#ff0000"
letter = "R"
{red}
[palette.colours.blue]
paint = "#0000ff"
letter = "B"
{blue}
[stencil]
{stencil}
[painting]
{painting}
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = {width}
board = {board}
{carcase}
{outline}
[carcase.panels]
front = {{ edge = "D-A" }}
back = {{ edge = "B-C", missing = true }}
top = {{ edge = "C-D", missing = true }}
{panels}
{more}
"""
READ = """[carcase.outline]
{}
[carcase.outline.readings]
A-B = 400
B-C = 500
C-D = 400
D-A = 500
A-C = 640
B-D = 641
"""
GAUGED = READ.format("angles = { A = 90.3 }")
LEVEL = READ.format('angles = { "C-D to A-B" = 0.1 }')
POINTS = """[carcase.outline]
{}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, 500]
"""
CURVED = READ + "[carcase.outline.curves]\n"
BARE = READ.replace("A-C = 640\nB-D = 641\n", "").replace("C-D = 400", "C-D = 410")
# C may lie on either side of B-D:
LOOSE = (
    READ.replace("A-C = 640\n", "").replace("B-C = 500", "B-C = 300").replace("D = 400", "D = 420")
)
USUAL = {"outline": READ.format(""), "panels": 'bottom = {edge = "A-B"}'}
GIVEN = {
    "title": "A test",
    "unit": "mm",
    "graduation": "1",
    "accuracy": "II",
    "base": "cream",
    "paint": "#f4ead2",
    "letter": "C",
    "width": "300",
    "board": "18",
}
SLOTS = (*GIVEN, "top", "tape", "measures", "palette", "cream", "red", "blue", "stencil",
         "painting", "carcase", "outline", "panels", "more")  # fmt: skip

ON = '[[art]]\ndrawing = "sign"\non = "box-left"\n'
OFF = f"{ON}offset = [30, 40]\n"
FITTED = '[[art]]\ndrawing = "sheet"\non = "box-left"\nfit = "face"\n'
MIRROR = f'{OFF}[[art]]\nmirror = "box-left"\nonto = ["box-right"]\n'
WRAP = '[[art]]\ndrawing = "sign"\nwrap = ["box-left", "box-front"]\noffset = [300, 90]\n'
CAST = '[[art]]\ndrawing = "sign"\ncast = "front"\n'
THREE_MARKS = f'{ON}landmarks = {{ "1" = [200, 145], "2" = [160, 146], "3" = [255, 152] }}\n'
MARKS = f'{ON}landmarks = {{ "1" = [200, 145], "2" = [160, 146] }}\n'
FOUR_MARKS = """[[art]]
drawing = "sheet"
on = "box-left"
landmarks = { "2" = [60, 60], "3" = [340, 62], "4" = [337, 432], "5" = [60, 430] }
"""
OFF_MARKS = '{ "1" = [50, 145], "2" = [10, 146] }'  # a good part of it lies off the face
CORNERS = "from_corners = { A = 300, B = 300 }\n"
FROM = "from = { front = 200, bottom = 70 }\n"
KINDS = {
    "round": 'kind = "round"\ndiameter = 20\n',
    "slot": 'kind = "slot"\nlength = 40\nwidth = 12\n',
    "rectangle": 'kind = "rectangle"\nlength = 40\nwidth = 12\n',
    "bolt": 'kind = "bolt"\nsize = "M8"\n',
    "bolt by diameter": 'kind = "bolt"\ndiameter = 9\n',
    "countersunk": 'kind = "countersunk"\nsize = "M6"\n',
    "countersunk in full": 'kind = "countersunk"\ndiameter = 7\nhead = 14\nhead_angle = 90\n',
}
HARDWARE = {
    kind: f'{ON}[[hardware]]\nname = "b"\non = "box-left"\nstate = "stays"\n{FROM}{text}'
    for kind, text in KINDS.items()
}
REMOVED = HARDWARE["slot"].replace('state = "stays"\n', "")
BESIDE = 'on = "box-left"\nstate'
IN_FRONT = HARDWARE["slot"].replace(BESIDE, 'on = "box-front"\nstate').replace("front =", "left =")
ROW = HARDWARE["round"] + "row = { count = 3, pitch = 40 }\n"
GRID = HARDWARE["round"] + "grid = { columns = 2, rows = 2, across = 40, up = 50 }\n"
OF_GROUPS = of_groups(ON, KINDS, FROM)
KNIFE = "knife = { offset = 0.5, depth = 0.6, swivel_depth = 0.3 }"
COLD = "air = 10\nhumidity_percent = 60"
CAN = 'method = "can"'
EDGE = '[carcase.edges]\n"left and front" = {{ {} }}\n'
HEAD = """[[carcase]]
name = "head"
view = "side"
corners = ["A", "B", "C", "D"]
width = 200
board = 12
{}
[carcase.outline.points]
A = [0, 0]
B = [200, 0]
C = [200, 150]
D = [0, 150]
[carcase.panels]
front = {{ edge = "D-A" }}
back = {{ edge = "B-C", missing = true }}
top = {{ edge = "C-D", missing = true }}
bottom = {{ edge = "A-B", missing = true }}
[[art]]
drawing = "sign"
cast = "right"
"""
STANDING = HEAD.format('stands_on = { carcase = "box", edge = "C-D" }')

# The slot is on one side only, which the right side is told of.
SETTLED = f'{HARDWARE["slot"]}[[settled]]\ncode = "mirror-missing"\nbecause = "It is there only."\n'

ADDED, REFUSED, TOLD = "changes", "refused", "told"

# Words that count whatever stands beside them: their slot and table, and a value that is not usual.
PLAIN = {
    ("tape", "TapeTable"): {"from_hook": "false"},
    ("palette", "PaletteTable"): {"passes": '["cream", "blue", "red"]'},
    ("red", "PaintTable"): {
        "label": '"Buoy red"',
        "volume_solids_percent": "41",
        "dry_film_um": "77",
        "coats": "3",
        "dry_hours": "77",
        "method": '"brush"',
    },
    ("stencil", "StencilTable"): {
        "sheet": "[300, 350]",
        "thickness": "2",
        "least_width": "40",
        "least_area_mm2": "5000",
        "sharpest_deg": "89",
        "tape_margin": "9",
        "reach": "60",
        "kerf": "1",
        "paper": '"A3"',
        "radii": '"mm"',
        "bed": "[400, 400]",
    },
    ("painting", "PaintingTable"): {
        "start": "2027-05-03",
        "day_starts": "11:00:00",
        "hours_a_day": "3",
        "days_off": '["monday"]',
        "minutes_a_piece": "60",
        "minutes_a_face": "60",
        "method": '"brush"',
        "put_back_play": "2",
        "spray_angle_deg": "60",
        "edge_bleed": "1",
        "waste_percent": "50",
    },
}


def add(word, before="", expected=ADDED, slot="more"):
    """A word at the end of what stands in a slot."""
    return {slot: before}, {slot: f"{before}\n{word}"}, expected


def swap(before, after, expected=ADDED, slot="more"):
    """A slot that says something else."""
    return {slot: before}, {slot: after}, expected


def of_art(word, value, **expected):
    """A word beside each way of placing a drawing; "art" is what happens in those unnamed."""
    ways = {"on": OFF, "wrap": WRAP, "cast": CAST, "mirror": MIRROR, "landmarks": MARKS}
    usual = {"mirror": REFUSED, "landmarks": REFUSED} | expected
    return [
        add(f"{word} = {value}", text.replace("offset = [30, 40]\n", "") if way == "on" else text,
            usual.get(way, ADDED))
        for way, text in ways.items() if f"{word} =" not in text or way in {"on", "mirror"}
    ]  # fmt: skip


def of_kinds(word, value, *effective, else_=REFUSED):
    """A size of hardware, which counts for some kinds only."""
    return [
        add(f"{word} = {value}", text, ADDED if kind in effective else else_)
        for kind, text in HARDWARE.items() if f"{word} =" not in KINDS[kind]
    ]  # fmt: skip


def own(method):
    """Every colour with a method of its own."""
    return dict.fromkeys(("cream", "red", "blue"), f'method = "{method}"')


IN_MM = {  # so that the box stays as large as it is in any unit of the file
    "width": '"300 mm"',
    "board": '"18 mm"',
    "outline": re.sub(r"(\d+)", r'"\1 mm"', POINTS.format("")),
    "more": "",
}
DISC, PLATE = "punches = [{ diameter = 6 }]", "punches = [{ length = 30, width = 8 }]"
BOARD = 'bottom = { edge = "A-B" }'
CASES = {
    **{
        f"{table}.{word}": [add(f"{word} = {value}", slot=slot)]
        for (slot, table), words in PLAIN.items()
        for word, value in words.items()
    },
    "DefinitionTable.title": [swap("A test", "Another", slot="title")],
    "DefinitionTable.measures": [
        add("depth = 300", expected=TOLD, slot="measures"),
        add("depth = 300", 'width = 9\nboard = "width + 3"', TOLD, slot="measures"),
        (
            {"measures": "deep = 30", "more": f'{ON}offset = ["deep", 0]'},
            {"measures": "deep = 40", "more": f'{ON}offset = ["deep", 0]'},
            ADDED,
        ),
    ],
    "DefinitionTable.turned_over": [
        ({"more": MIRROR}, {"more": MIRROR, "top": "turned_over = false"}, ADDED),
        ({"more": ON}, {"more": ON, "top": "turned_over = false"}, TOLD),
    ],
    "TapeTable.unit": [(IN_MM | {"unit": "mm"}, IN_MM | {"unit": "cm"}, ADDED)],
    "TapeTable.graduation": [swap("1", "2", slot="graduation")],
    "TapeTable.accuracy": [swap("II", "III", slot="accuracy")],
    "PaletteTable.base": [swap("cream", "red", slot="base")],
    "PaintTable.paint": [swap("#f4ead2", "#f4ead3", slot="paint")],
    "PaintTable.letter": [swap("C", "K", slot="letter")],
    "PaintTable.dry_film_um": [
        add("dry_film_um = 77", slot="red"),
        add("dry_film_um = 77", CAN, TOLD, slot="red"),
        add("dry_film_um = 77", f"{CAN}\nvolume_solids_percent = 20", slot="red"),
    ],
    "PaintTable.recoat_hours": [
        add("recoat_hours = 7", expected=TOLD, slot="red"),
        add("recoat_hours = 7", "coats = 2", slot="red"),
    ],
    "PunchTable.length": [swap(PLATE, PLATE.replace("30", "50"), slot="stencil")],
    "PunchTable.width": [
        swap(PLATE, PLATE.replace("8", "20"), slot="stencil"),
        swap(DISC, DISC.replace("6", "6, width = 4"), REFUSED, slot="stencil"),
    ],
    "PunchTable.diameter": [
        swap(DISC, DISC.replace("6", "16"), slot="stencil"),
        swap(PLATE, PLATE.replace("8", "8, diameter = 3"), REFUSED, slot="stencil"),
    ],
    **{
        f"KnifeTable.{word}": [swap(KNIFE, KNIFE.replace(" }", f", {word} = 7 }}"), slot="stencil")]
        for word in ("clearance", "feed_mm_min", "swivel_feed_mm_min", "plunge_feed_mm_min")
    },
    "KnifeTable.offset": [swap(KNIFE, KNIFE.replace("0.5", "0.7"), slot="stencil")],
    "KnifeTable.depth": [swap(KNIFE, KNIFE.replace("0.6", "0.8"), slot="stencil")],
    "KnifeTable.swivel_depth": [swap(KNIFE, KNIFE.replace("0.3", "0.2"), slot="stencil")],
    "StencilTable.join_tape": [add("join_tape = 60", "sheet = [300, 350]", slot="stencil")],
    "TransferTable.gun": [
        add("transfer_percent = { gun = 31 }", slot="painting"),
        add("transfer_percent = { gun = 31 }", CAN, TOLD, slot="painting"),
    ],
    "TransferTable.can": [
        add("transfer_percent = { can = 31 }", expected=TOLD, slot="painting"),
        add("transfer_percent = { can = 31 }", CAN, TOLD, slot="painting"),
        (
            {"painting": CAN, "red": "volume_solids_percent = 20"},
            {
                "painting": f"{CAN}\ntransfer_percent = {{ can = 31 }}",
                "red": "volume_solids_percent = 20",
            },
            ADDED,
        ),
    ],
    "TransferTable.brush": [
        add("transfer_percent = { brush = 31 }", 'method = "brush"', slot="painting"),
        add("transfer_percent = { brush = 31 }", expected=TOLD, slot="painting"),
    ],
    "PaintingTable.method": [
        add('method = "brush"', slot="painting"),
        (own("gun"), own("gun") | {"painting": 'method = "brush"'}, TOLD),
    ],
    "PaintingTable.done": [
        add('done = "base coat 2027-05-04"', "start = 2027-05-03", slot="painting"),
        add('done = ["red 2027-05-04 12:00"]', "start = 2027-05-03", slot="painting"),
        add('done = "base coat 2027-05-04"', expected=REFUSED, slot="painting"),
        *(
            add(f"done = {text}", "start = 2027-05-03", REFUSED, slot="painting")
            for text in ('"cream"', '"mint 2027-05-04"', '["red 2027-05-04", "cream 2027-05-05"]')
        ),
    ],
    "PaintingTable.degrees": [
        add('degrees = "F"', COLD, slot="painting"),
        add('degrees = "F"', expected=TOLD, slot="painting"),
    ],
    "PaintingTable.air": [
        add(COLD, slot="painting"),
        add("air = 9", expected=REFUSED, slot="painting"),
    ],
    "PaintingTable.humidity_percent": [
        swap(COLD, COLD.replace("60", "80"), slot="painting"),
        add("humidity_percent = 9", expected=REFUSED, slot="painting"),
    ],
    "PaintingTable.surface": [
        add("surface = 9", COLD, slot="painting"),
        add("surface = 9", expected=REFUSED, slot="painting"),
    ],
    "PaintingTable.slower_per_10c": [
        add("slower_per_10c = 2", COLD, slot="painting"),
        add("slower_per_10c = 2", COLD.replace("10", "30"), TOLD, slot="painting"),
        add("slower_per_10c = 2", expected=TOLD, slot="painting"),
    ],
    "PaintingTable.can_size_ml": [
        add("can_size_ml = 100", CAN, slot="painting"),
        add("can_size_ml = 100", expected=TOLD, slot="painting"),
    ],
    "PaintingTable.can_covers_m2": [
        add("can_covers_m2 = 0.3", CAN, slot="painting"),
        add("can_covers_m2 = 0.3", expected=TOLD, slot="painting"),
    ],
    **{
        f"PlaceTable.{word}": [swap(HEAD.format(""), HEAD.format(f"at = {{ {word} = 20 }}"))]
        for word in ("x", "y", "z", "turn")
    },
    "StandingTable.carcase": [swap(STANDING, STANDING.replace('= "box"', '= "b"'), REFUSED)],
    "StandingTable.edge": [
        swap(STANDING, STANDING.replace('x", edge = "C-D"', 'x", edge = "B-C"'))
    ],
    "StandingTable.offset": [swap(STANDING, STANDING.replace('D" }', 'D", offset = 30 }'))],
    "StandingTable.across": [swap(STANDING, STANDING.replace('D" }', 'D", across = 30 }'))],
    "CarcaseTable.name": [swap(HEAD.format(""), HEAD.format("").replace("head", "hood"))],
    "CarcaseTable.view": [
        swap(HEAD.format(""), HEAD.format("").replace("side", "front"), REFUSED),
    ],
    "CarcaseTable.width": [swap(HEAD.format(""), HEAD.format("").replace("= 200\n", "= 210\n"))],
    "CarcaseTable.board": [swap(HEAD.format(""), HEAD.format("").replace("= 12", "= 13"))],
    "CarcaseTable.ends": [
        add('ends = "art"', slot="carcase"),
        add('ends = "left"', slot="carcase"),
    ],
    "CarcaseTable.joints": [add('joints = ["bottom over front"]', slot="carcase")],
    "CarcaseTable.corners": [
        swap(HEAD.format(""), HEAD.format("").replace('"C", "D"', '"D", "C"'), REFUSED)
    ],
    "RowTable.count": [swap(ROW, ROW.replace("3,", "4,"))],
    "RowTable.pitch": [swap(ROW, ROW.replace("40 }", "50 }"))],
    "RowTable.turn": [swap(ROW, ROW.replace("40 }", "40, turn = 90 }"))],
    **{
        f"GridTable.{word}": [swap(GRID, re.sub(rf"{word} = (\d)", rf"{word} = 1\1", GRID))]
        for word in ("across", "up")
    },
    "GridTable.columns": [swap(GRID, GRID.replace("columns = 2", "columns = 3"))],
    "GridTable.rows": [swap(GRID, GRID.replace("rows = 2", "rows = 3"))],
    "HardwareTable.name": [swap(HARDWARE["round"], HARDWARE["round"].replace('"b"', '"c"'))],
    "HardwareTable.kind": [swap(HARDWARE["slot"], HARDWARE["slot"].replace('"slot', '"rectangle'))],
    "HardwareTable.on": [
        swap(HARDWARE["slot"], HARDWARE["slot"].replace(BESIDE, BESIDE.replace("left", "right")))
    ],
    "HardwareTable.from_edges": [
        swap(HARDWARE["round"], HARDWARE["round"].replace("200", "210")),
        swap(HARDWARE["round"], HARDWARE["round"].replace(", bottom = 70", ""), REFUSED),
    ],
    "HardwareTable.from_corners": [
        swap(HARDWARE["round"], HARDWARE["round"].replace(FROM, CORNERS)),
        add(CORNERS, HARDWARE["round"], REFUSED),
    ],
    "HardwareTable.size": of_kinds("size", '"M10"'),
    "HardwareTable.diameter": [
        *of_kinds("diameter", 11, "countersunk"),
        swap(HARDWARE["round"], HARDWARE["round"].replace("20\n", "21\n")),
    ],
    "HardwareTable.length": of_kinds("length", 90),
    "HardwareTable.width": of_kinds("width", 9),
    "HardwareTable.corner": of_kinds("corner", 3, "rectangle"),
    "HardwareTable.turn": of_kinds("turn", 30, "slot", "rectangle", else_=TOLD),
    "HardwareTable.head": of_kinds("head", 19, "countersunk"),
    "HardwareTable.head_angle": of_kinds("head_angle", 82, "countersunk"),
    "HardwareTable.state": [swap(REMOVED, HARDWARE["slot"])],
    "HardwareTable.margin": [
        add("margin = 4", HARDWARE["slot"]),
        add("margin = 4", REMOVED, TOLD),
    ],
    "HardwareTable.both_sides": [
        add("both_sides = true", HARDWARE["slot"]),
        add("both_sides = true", IN_FRONT),
        add("both_sides = true", IN_FRONT.replace("left = 200", "left = 150"), REFUSED),
    ],
    **OF_GROUPS,
    "HardwareTable.row": [
        add("row = { count = 2, pitch = 30 }", HARDWARE["round"]),
        add("row = { count = 2, pitch = 30 }", GRID, REFUSED),
    ],
    "HardwareTable.grid": [swap(HARDWARE["round"], GRID)],
    "SettledTable.code": [swap(SETTLED, SETTLED.replace('"mirror-missing"', '"mirror-extra"'))],
    "SettledTable.because": [swap(SETTLED, SETTLED.replace("there only", "meant"))],
    "SettledTable.face": [add('face = "box-left"', SETTLED)],  # it is on the other one
    "SettledTable.piece": [add('piece = "box-right R1"', SETTLED)],
    "SettledTable.hardware": [add('hardware = "c"', SETTLED)],
    "SettledTable.at": [add("at = [211, 70]", SETTLED)],  # 10.3 mm beside it
    "SettledTable.says": [add('says = "moon"', SETTLED)],
    "SettledTable.count": [add("count = 2", SETTLED)],
    "ArtTable.drawing": [add('drawing = "sign"', MIRROR, REFUSED)],
    "ArtTable.on": [add('on = "box-back"', text, REFUSED) for text in (WRAP, CAST, MIRROR)],
    "ArtTable.wrap": [add('wrap = ["box-back"]', text, REFUSED) for text in (ON, CAST, MIRROR)],
    "ArtTable.cast": [add('cast = "front"', text, REFUSED) for text in (ON, WRAP, MIRROR)],
    "ArtTable.mirror": [add('mirror = "box-left"', text, REFUSED) for text in (ON, WRAP, CAST)],
    "ArtTable.onto": [
        add('onto = ["box-right"]', ON, REFUSED),
        add('onto = ["box-right"]', WRAP, REFUSED),
        add('onto = ["head-right"]', STANDING),
        swap(MIRROR, MIRROR.replace('onto = ["box-right"]\n', ""), REFUSED),
    ],
    "ArtTable.anchor": of_art("anchor", '"centre"'),
    "ArtTable.to": of_art("to", '"centre"'),
    "ArtTable.offset": of_art("offset", "[11, 12]"),
    "ArtTable.turn": of_art("turn", 20),
    "ArtTable.scale": of_art("scale", 1.3),
    "ArtTable.fit": [
        *of_art("fit", '"width"'),
        add('fit = "face"', OFF),
        swap(FITTED, FITTED.replace("face", "corners")),
        *(add('fit = "corners"', text, REFUSED) for text in (OFF, WRAP, CAST)),
    ],
    "ArtTable.landmarks": [
        *of_art("landmarks", '{ "1" = [200, 145], "3" = [255, 152] }', wrap=REFUSED),
        add("landmarks = {}", ON, REFUSED),
    ],
    "ArtTable.ignored_landmarks": [
        *of_art("ignored_landmarks", '["2"]', on=REFUSED, wrap=REFUSED, cast=REFUSED),
        add('ignored_landmarks = ["9"]', THREE_MARKS, REFUSED),
        add('ignored_landmarks = ["3"]', THREE_MARKS, ADDED),
    ],
    "ArtTable.warp": [
        *of_art("warp", "true", on=REFUSED, wrap=REFUSED, cast=REFUSED),
        add("warp = true", FOUR_MARKS),
        add("warp = true", FOUR_MARKS.replace('on = "box-left"', 'cast = "left"'), REFUSED),
    ],
    "ArtTable.only": of_art("only", '["2"]', mirror=ADDED, landmarks=ADDED),
    "ArtTable.leave_out": [
        *of_art("leave_out", '["2"]', mirror=ADDED, landmarks=ADDED),
        add('leave_out = ["2"]', f'{ON}only = ["1"]', REFUSED),
        add('leave_out = ["2"]', f'{MIRROR}only = ["1"]', REFUSED),
    ],
    "ArtTable.bleed": [
        add("bleed = true", f"{ON}offset = [-30, 0]"),
        add("bleed = true", f"{ON}landmarks = {OFF_MARKS}"),
        add("bleed = 20", f"{ON}offset = [-30, 0]"),
        *of_art("bleed", "true", on=TOLD, wrap=TOLD, cast=TOLD, landmarks=TOLD),
        add("bleed = 0", f"{ON}offset = [-30, 0]", REFUSED),
    ],
    "ArtTable.reads_one_way": [
        add('reads_one_way = ["3"]', MIRROR, REFUSED),
        swap(MIRROR, MIRROR.replace(OFF, f'{OFF}reads_one_way = ["3"]\n')),
        add('reads_one_way = ["3"]', f'{ON}leave_out = ["3"]', REFUSED),
        add('reads_one_way = ["3"]', f'{ON}only = ["1"]', REFUSED),
    ],
}
