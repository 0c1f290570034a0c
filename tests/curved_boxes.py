"""Boxes with curved sides, from TOML. 400 wide and 500 high as drawn, with boards of 18 mm.

Their sides are called low (A-B), far (B-C), high (C-D) and near (D-A), whatever the view.
"""

from boxes import built

BOX = """
[[carcase]]
name = "box"
view = "{view}"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
{more}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, {left}]
[carcase.panels]
low = {{ edge = "A-B" }}
far = {{ edge = "B-C" }}
high = {{ edge = "C-D" }}
near = {{ edge = "D-A" }}
{panels}
[carcase.outline.curves]
{curves}
"""
BOWED = "C-D = { rise = 40 }"
HOLLOW = "C-D = { rise = 30, hollow = true }"
ROUNDED = 'B = { radius = 110 }\n"D" = { radius = 90 }'
HEELS = 'heel = { edge = "B" }\nshoulder = { edge = "D" }'


def curved(curves=BOWED, panels="", more="", *, view="side", left=500, after=""):
    """The cabinet of one such box."""
    text = BOX.format(curves=curves, panels=panels, more=more, view=view, left=left)
    return built(text + after)


def board(cabinet, name):
    """One panel of it."""
    return cabinet.face(f"box-{name}").panel
