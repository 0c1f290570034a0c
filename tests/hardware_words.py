"""Words of groups of hardware, and of places along edges, for tests/words.py."""

ADDED, REFUSED, TOLD = "changes", "refused", "told"
LEG = """
[[hardware]]
name = "leg"
group = "plate"
on = "box-left"
"""
ALONG = """
[[hardware]]
name = "vent"
kind = "round"
diameter = 8
on = "box-left"
along = { edge = "bottom", from = "front", at = 60, in = 30 }
"""


def of_groups(art, kinds, place):
    """Cases by word. `kinds` are the sizes of each kind of hardware, `place` where it lies."""

    def swap(before, after, expected=ADDED):
        return {"more": f"{art}{before}"}, {"more": f"{art}{after}"}, expected

    def group(part, leg=""):
        return f'[[group]]\nname = "plate"\n[[group.part]]\nname = "a"\n{part}{LEG}{place}{leg}'

    def part(word, value, *effective, else_=REFUSED, state="stays"):
        """A word of a part, which counts for some kinds only."""
        kept = {name: f'{text}state = "{state}"\n' for name, text in kinds.items()}
        return [
            swap(group(text), group(f"{text}{word} = {value}\n"),
                 ADDED if name in effective or not effective else else_)
            for name, text in kept.items() if f"{word} =" not in text
        ]  # fmt: skip

    bolt = f"{kinds['round']}at = [20, 10]\n"
    twins = f"{kinds['round']}at = [-20, 0]\nrow = {{ count = 2, pitch = 40 }}\n"
    row = "row = { count = 2, pitch = 50 }\n"
    grid = "grid = { columns = 2, rows = 1, across = 50, up = 9 }\n"
    along = ALONG.replace("30 }", "30, count = 3, pitch = 40 }")
    fitted = ALONG.replace("30 }", "30, pitch = 40, leave = 60 }")
    return {
        "GroupTable.name": [
            swap(group(bolt), group(bolt).replace('name = "plate"', 'name = "foot"'), REFUSED)
        ],
        "GroupPartTable.name": [swap(group(bolt), group(bolt).replace('"a"', '"b"'))],
        "GroupPartTable.kind": [
            swap(group(kinds["slot"]), group(kinds["slot"].replace("slot", "rectangle")))
        ],
        "GroupPartTable.at": [swap(group(bolt), group(bolt.replace("20, 10", "21, 10")))],
        "GroupPartTable.size": part("size", '"M10"', "none", else_=REFUSED),
        "GroupPartTable.diameter": part("diameter", 11, "countersunk"),
        "GroupPartTable.length": part("length", 90, "none"),
        "GroupPartTable.width": part("width", 9, "none"),
        "GroupPartTable.corner": part("corner", 3, "rectangle"),
        "GroupPartTable.turn": part("turn", 30, "slot", "rectangle", else_=TOLD),
        "GroupPartTable.head": part("head", 19, "countersunk"),
        "GroupPartTable.head_angle": part("head_angle", 82, "countersunk"),
        "GroupPartTable.state": [swap(group(bolt), group(f'{bolt}state = "stays"\n'))],
        "GroupPartTable.margin": [
            *part("margin", 4),
            *part("margin", 4, "none", else_=TOLD, state="removed"),
        ],
        "GroupPartTable.row": [swap(group(bolt), group(f"{bolt}{row}"))],
        "GroupPartTable.grid": [
            swap(group(bolt), group(f"{bolt}{grid}")),
            swap(group(f"{bolt}{row}"), group(f"{bolt}{row}{grid}"), REFUSED),
        ],
        "HardwareTable.group": [
            swap(group(bolt), group(bolt).replace('group = "plate"', 'group = "foot"'), REFUSED),
            *(
                swap(group(bolt), group(bolt, f"{word}\n"), REFUSED)
                for word in (
                    'kind = "round"',
                    'size = "M6"',
                    "diameter = 8",
                    "length = 9",
                    "width = 9",
                    "corner = 1",
                    "head = 9",
                    "head_angle = 82",
                    'state = "stays"',
                    "margin = 3",
                )
            ),
            swap(group(bolt), group(bolt, row)),
            swap(group(bolt), group(bolt, grid)),
            swap(group(bolt, row), group(bolt, row + grid), REFUSED),
            swap(group(bolt), group(bolt, "turn = 90\n")),
            swap(group(twins), group(twins, "turn = 180\n"), TOLD),
            swap(group(kinds["round"]), group(kinds["round"], "turn = 90\n"), TOLD),
        ],
        "HardwareTable.mirrored": [
            swap(group(bolt), group(bolt, "mirrored = true\n")),
            swap(group(twins), group(twins, "mirrored = true\n"), TOLD),
            swap(ALONG, f"{ALONG}mirrored = true\n", REFUSED),
        ],
        "HardwareTable.straddles": [
            swap(ALONG, f'{ALONG}straddles = "{face}"\n', REFUSED)
            for face in ("box-front", "box-right", "box-lid")
        ],
        "HardwareTable.along": [
            swap(ALONG, ALONG + place, REFUSED),
            swap(ALONG, ALONG + row, REFUSED),
            swap(ALONG, ALONG + grid, REFUSED),
            swap(ALONG, f"{ALONG}from_corners = {{ A = 300, B = 300 }}\n", REFUSED),
        ],
        "AlongTable.edge": [swap(ALONG, ALONG.replace("bottom", "top"))],
        "AlongTable.corner": [
            swap(ALONG, ALONG.replace("front", "back")),
            swap(ALONG, ALONG.replace("front", "B")),
            swap(ALONG, ALONG.replace("front", "top"), REFUSED),
        ],
        "AlongTable.at": [swap(ALONG, ALONG.replace("60", "61"))],
        "AlongTable.inside": [swap(ALONG, ALONG.replace("30", "31"))],
        "AlongTable.count": [
            swap(along, along.replace("count = 3", "count = 4")),
            swap(ALONG, ALONG.replace("30 }", "30, count = 2 }"), REFUSED),
        ],
        "AlongTable.pitch": [
            swap(along, along.replace("pitch = 40", "pitch = 41")),
            swap(ALONG, ALONG.replace("30 }", "30, pitch = 40 }"), REFUSED),
        ],
        "AlongTable.leave": [
            swap(fitted, fitted.replace("leave = 60", "leave = 120")),
            swap(ALONG, ALONG.replace("30 }", "30, leave = 40 }"), REFUSED),
            swap(along, along.replace("40 }", "40, leave = 9 }"), REFUSED),
        ],
    }
