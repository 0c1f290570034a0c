"""Places are where the values are: read from there, they make the table that tomllib reads."""

import tomllib
from pathlib import Path

import pytest

from mateline.bench.keeping.toml.layout import Layout

ROOT = Path(__file__).parents[4]
TEXTS = [*sorted(ROOT.glob("cabinets/*/cabinet.toml")), Path(__file__).parents[1] / "odd.toml"]
# Source: TOML 1.0.0 (https://toml.io/en/v1.0.0): strings, dates, dotted keys, arrays of tables.
HARD = r'''
"127.0.0.1" = "value"
'quoted "value"' = "v" # "no string"
"" = "blank"
3.14159 = "pi"
fruit.name = "banana"   # dotted
fruit. color = "yellow"
fruit . flavor = "banana"
str1 = """
Roses are red # no comment
Violets are blue \
   indeed"""
str5 = """Here are three quotation marks: ""\"."""
str6 = """Here are fifteen: ""\"""\"""\"""\"""\"."""
str7 = """"This," she said, "is just a pointless statement.""""
quot15 = \'\'\'Here are fifteen quotation marks: """""""""""""""\'\'\'
apos = \'\'\'\'That,' she said, 'is still pointless.\'\'\'\'
winpath = 'C:\Users\nodejs\templates'
int5 = 1_000
hex = 0xDEAD_BEEF
flt = [ +1.0, 5e+22, -2E-2, inf, -nan_no ]
odt = 1979-05-27 07:32:00Z
ldt = 1979-05-27T00:32:00.999999
ld = 1979-05-27
lt = 07:32:00
nested = [ [ 1, 2 ], ["a", "b,]", "c#"], [{ x = 1, y.z = "}" }, {}] ]
broken = [
  1, # one ]
  2

  , # two
]
[ j . "ʞ" . 'l' ]
a = 1
[[fruits]]
name = "apple"
[fruits.physical]
color = "red"
[[fruits.varieties]]
name = "red delicious"
[[fruits.varieties]]
name = "granny smith"
[[fruits]]
name = "banana"
[[fruits.varieties]]
name = "plantain"
'''.replace("\\'", "'").replace("-nan_no", "-inf")


def table(node, text):
    """The value of a node, read from its places."""
    if node.kind == "leaf":
        return tomllib.loads(f"x = {text[node.start : node.end]}")["x"]
    if node.kind in {"array", "tables"}:
        return [table(each, text) for each in node.items]
    return {key: table(each, text) for key, each in node.children.items()}


@pytest.mark.parametrize(
    "text", [HARD, *(path.read_text(encoding="utf-8") for path in TEXTS)],
    ids=["hard", *(path.parent.name for path in TEXTS)],
)  # fmt: skip
def test_what_stands_in_the_places_is_the_table(text):
    layout = Layout(text)
    assert table(layout.root, text) == tomllib.loads(text)


def test_lines_and_comments_are_found():
    text = 'a = "#" # one\n# two\n[t] # three\nb = [ # four\n]\n'
    layout = Layout(text)
    assert [text[at : layout.line_end(at)].strip() for at in layout.comments] == [
        "# one", "# two", "# three", "# four",
    ]  # fmt: skip
    assert text[layout.comment_after(0) :].startswith("# one")
    assert layout.comment_after(len(text) - 2) is None
    node = layout.node(("t", "b"))
    assert text[node.entry.start : node.entry.end] == "b = [ # four\n]\n"
    assert layout.node(("t", "c", 1)) is None
