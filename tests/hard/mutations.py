"""Definitions and drawings with parts torn out, swapped or replaced: the same ones in every run.

`definition(seed)`, `svg(seed)` and `dxf(seed)` give the text of one input each. About half of the
definitions are changed as text, the others as tables whose values are replaced or moved.
"""

import json
import random
import re
import tomllib
from pathlib import Path

from hard.hostile_dxf import SQUARE, circle, ellipse, raw, spline
from hard.test_mutilated import WHOLE_SVG, WORDS

STARTER = Path(__file__).parents[2] / "model" / "mateline" / "starter" / "cabinet.toml"
DXF = raw(circle() + ellipse(0.5) + spline(9) + SQUARE).decode()
SVG_PARTS = [
    '<rect width="5" height="5"/>', '<use href="#s"/>', "<g>", "</g>", '<path d="M0 0"/>', "&lt;",
    '<g transform="scale(0)"><text>A</text></g>', "<!-- -->", "<style>*{opacity:.5}</style>",
]  # fmt: skip
CODES = ["0", "-1", "1e308", "nan", "inf", "", "10", "42", "70", "INSERT", "ENDSEC", "LINE", "5",
         "ARC", "SPLINE", "SECTION", "EOF", "999", "1e-300", "\u00e4", "8", "TEXT"]  # fmt: skip
VALUES = [
    0, -1, 1, 1e308, -1e-308, float("nan"), float("inf"), 10**30, True, False, "", " ", "0", "-1",
    "1/0", "1/1000", "3", "9 9/8", "1e9", "30 m", "board", "depth - 2*board", "2*", "(" * 50,
    "A", "A-B", "A-A", "D-A", "box", "box-left", "box-front", "left", "cream", "red", "#000000",
    "mm", "in", "side", "plan", "front over top", "x over y", "../x.svg", "band.svg", "none.svg",
    "a\u0007", "\ud7ff\uffff", "x" * 400, [], {}, [[]], ["A"], ["A", "B"], ["3", "3"], [0, 0],
    {"x": 1}, [{"name": "box"}], {"edge": "A-B"}, "monday", 45.0, 89.9999, 1e-9,
]  # fmt: skip


def definition(seed):
    """The text of a definition. JSON is TOML's inline tables but for its colons."""
    chance = random.Random(seed)  # noqa: S311  # inputs, not secrets
    text = STARTER.read_text(encoding="utf-8")
    return _torn(text, chance) if chance.random() < 0.4 else _toml(_changed(text, chance))


def svg(seed):
    """The text of an SVG drawing."""
    chance = random.Random(seed)  # noqa: S311  # inputs, not secrets
    text = WHOLE_SVG
    for _ in range(chance.randint(1, 4)):
        kind = chance.random()
        if kind < 0.5:
            places = [match.span(1) for match in re.finditer(r'="([^"]*)"', text)][1:]
            start, stop = chance.choice(places) if places else (0, 0)
            other = chance.choice(places) if places else (0, 0)
            word = text[slice(*other)] if chance.random() < 0.2 else chance.choice(WORDS)
            text = text[:start] + word + text[stop:]
        elif kind < 0.7:
            places = [match.start() for match in re.finditer("<", text)]
            at = chance.choice(places) if places else 0
            text = text[:at] + chance.choice(SVG_PARTS) + text[at:]
        elif kind < 0.85:
            text = _lines_moved(text, chance)
        else:
            text = _torn(text, chance)
    return text


def dxf(seed):
    """The text of a DXF drawing."""
    chance = random.Random(seed)  # noqa: S311  # inputs, not secrets
    lines = DXF.split("\n")
    kind = chance.random()
    if kind < 0.1:
        return DXF[: chance.randrange(len(DXF))]
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(lines))
        if kind < 0.6:  # values only, which stand in every other line
            at = min(at | 1, len(lines) - 1)
            lines[at] = chance.choice(
                [chance.choice(CODES), str(chance.uniform(-20, 20)), lines[at - 2]]
            )
            continue
        new = chance.choice([[], [chance.choice(CODES)], [chance.choice(CODES)], [lines[at]] * 3])
        lines[at : at + chance.randint(0, 2)] = new
    return "\n".join(lines)


def _torn(text, chance):
    """Text with letters taken out, put in or doubled."""
    at, size = chance.randrange(len(text)), chance.randint(1, 9)
    kind = chance.random()
    if kind < 0.4:
        return text[:at] + text[at + size :]
    if kind < 0.6:
        return _lines_moved(text, chance)
    new = chance.choice(
        [*'"[]{}=#.,-\n\t \x00\r\x1b', "9" * 30, "[[art]]\n", "\u202e", text[at:][:40]]
    )
    return text[:at] + new + text[at:]


def _lines_moved(text, chance):
    lines = text.split("\n")
    one = lines.pop(chance.randrange(len(lines)))
    for _ in range(chance.randint(0, 2)):
        lines.insert(chance.randint(0, len(lines)), one)
    return "\n".join(lines)


def _changed(text, chance):
    """The table of a definition with values replaced, taken out, moved or doubled."""
    table = tomllib.loads(text)
    for _ in range(chance.randint(1, 3)):
        holders = [(holder, key) for holder, key in _places(table)]
        if not holders:
            break
        holder, key = chance.choice(holders)
        kind = chance.random()
        if kind < 0.6:
            holder[key] = chance.choice(VALUES)
        elif kind < 0.75:
            del holder[key]
        elif kind < 0.9:
            other, name = chance.choice(holders)
            holder[key] = json.loads(json.dumps(other[name])) if name in _keys(other) else 0
        elif isinstance(holder, dict):
            holder[chance.choice(["x", "A-B", "turn", "corner", "edge", "name"])] = holder[key]
        else:
            holder.extend([holder[key]] * chance.randint(1, 60))
    return table


def _places(value):
    """Every (holder, key or index) in a table."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in list(pairs):
        yield value, key
        if isinstance(inner, dict | list):
            yield from _places(inner)


def _keys(holder):
    return holder.keys() if isinstance(holder, dict) else range(len(holder))


def _toml(table):
    """A table as TOML: each of its keys on a line, all else inline."""
    return "".join(f"{_word(key)} = {_inline(value)}\n" for key, value in table.items())


def _inline(value):
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_word(key)} = {_inline(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    if isinstance(value, str):
        return _word(value)
    return str(value).lower() if isinstance(value, bool) else repr(value)


def _word(text):
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
