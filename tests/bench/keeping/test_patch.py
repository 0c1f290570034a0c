"""A patch changes the table as RFC 6902 says, and the text nowhere else.

Source of the examples: RFC 6902 (JavaScript Object Notation Patch), Appendix A.
"""

import random
import tomllib
from difflib import unified_diff
from pathlib import Path

import pytest

from json_patches import applied, emptied, random_operation, walked, wire
from mateline.bench.keeping.cabinet_file import MANNER, edited
from mateline.bench.keeping.patch import patched
from mateline.bench.keeping.toml import literals
from mateline.bench.keeping.toml.layout import Layout
from mateline.bench.keeping.toml.replaced import same
from mateline.errors import InputError
from mateline.starter import write_starter

CABINETS = Path(__file__).parents[3] / "cabinets"
NAMES = ["corner-box", "eight-winds", "harbour-lights", "last-season", "night-ferry", "quilt"]
PATCHES = 120
ODD = (Path(__file__).parent / "odd.toml").read_text(encoding="utf-8")


def cabinet(name):
    return (CABINETS / name / "cabinet.toml").read_text(encoding="utf-8")


def lines_changed(old, new):
    lines = list(unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm=""))[2:]
    return [line for line in lines if not line.startswith("@@")]


def comments(text):
    """All comments of a text, by our own places of them, sorted."""
    layout = Layout(text)
    return sorted(text[at : layout.line_end(at)].strip() for at in layout.comments)


def toml(table):
    return "".join(
        f"{literals.key(key)} = {literals.value(value)}\n" for key, value in table.items()
    )


# Number of the appendix, document, patch, result; None for an error. Null is left out: A.4 to A.10
# have none, and A.11 has an unknown word instead.
RFC_6902 = [
    ("A.1", {"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux"}],
     {"baz": "qux", "foo": "bar"}),
    ("A.2", {"foo": ["bar", "baz"]}, [{"op": "add", "path": "/foo/1", "value": "qux"}],
     {"foo": ["bar", "qux", "baz"]}),
    ("A.3", {"baz": "qux", "foo": "bar"}, [{"op": "remove", "path": "/baz"}], {"foo": "bar"}),
    ("A.4", {"foo": ["bar", "qux", "baz"]}, [{"op": "remove", "path": "/foo/1"}],
     {"foo": ["bar", "baz"]}),
    ("A.5", {"baz": "qux", "foo": "bar"}, [{"op": "replace", "path": "/baz", "value": "boo"}],
     {"baz": "boo", "foo": "bar"}),
    ("A.6", {"foo": {"bar": "baz", "waldo": "fred"}, "qux": {"corge": "grault"}},
     [{"op": "move", "from": "/foo/waldo", "path": "/qux/thud"}],
     {"foo": {"bar": "baz"}, "qux": {"corge": "grault", "thud": "fred"}}),
    ("A.7", {"foo": ["all", "grass", "cows", "eat"]},
     [{"op": "move", "from": "/foo/1", "path": "/foo/3"}],
     {"foo": ["all", "cows", "eat", "grass"]}),
    ("A.8", {"baz": "qux", "foo": ["a", 2, "c"]},
     [{"op": "test", "path": "/baz", "value": "qux"}, {"op": "test", "path": "/foo/1", "value": 2}],
     {"baz": "qux", "foo": ["a", 2, "c"]}),
    ("A.9", {"baz": "qux"}, [{"op": "test", "path": "/baz", "value": "bar"}], None),
    ("A.10", {"foo": "bar"}, [{"op": "add", "path": "/child", "value": {"grandchild": {}}}],
     {"foo": "bar", "child": {"grandchild": {}}}),
    ("A.11", {"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux", "xyz": 123}],
     {"foo": "bar", "baz": "qux"}),
    ("A.14", {"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": 10}],
     {"/": 9, "~1": 10}),
    ("A.15", {"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": "10"}], None),
    ("A.16", {"foo": ["bar"]}, [{"op": "add", "path": "/foo/-", "value": ["abc", "def"]}],
     {"foo": ["bar", ["abc", "def"]]}),
]  # fmt: skip


@pytest.mark.parametrize(("document", "patch", "result"), [row[1:] for row in RFC_6902],
                         ids=[row[0] for row in RFC_6902])  # fmt: skip
def test_the_examples_of_rfc_6902_hold(document, patch, result):
    if result is None:
        with pytest.raises(InputError):
            patched(toml(document), patch)
    else:
        assert tomllib.loads(patched(toml(document), patch)) == result


def test_unlike_example_a12_an_add_makes_the_tables_on_its_way():
    new = patched('foo = "bar"\n', [{"op": "add", "path": "/baz/bat", "value": "qux"}])
    assert new == 'foo = "bar"\n\n[baz]\nbat = "qux"\n'


@pytest.mark.parametrize("name", NAMES)
def test_a_definition_in_which_nothing_changes_comes_back_byte_for_byte(name):
    text = cabinet(name)
    table = tomllib.loads(text)
    plain = [path for path, value in walked(table) if path and isinstance(value, str | int)]
    for path in plain[:: len(plain) // 12]:
        value = table
        for step in path:
            value = value[step]
        pointer = "".join(f"/{step}" for step in path)
        patch = [{"op": "replace", "path": pointer, "value": value}]
        assert edited(text, patch) == text
    assert edited(text, []) == text


@pytest.mark.parametrize("name", NAMES)
def test_each_value_of_each_definition_changes_one_line(name):
    text = cabinet(name)
    table = tomllib.loads(text)
    leaves = [path for path, value in walked(table) if isinstance(value, str | int | float)]
    for path in leaves[:: max(1, len(leaves) // 15)]:
        pointer = "".join(f"/{step}" for step in path)
        new = edited(text, [{"op": "replace", "path": pointer, "value": "another value"}])
        assert len(lines_changed(text, new)) == 2, path  # the line that goes and the one that comes
        assert comments(new) == comments(text)


@pytest.mark.parametrize("text", [ODD, cabinet("corner-box"), cabinet("night-ferry")],
                         ids=["odd", "corner-box", "night-ferry"])  # fmt: skip
def test_random_patches_do_to_the_text_what_they_do_to_the_table(text):
    chance = random.Random(1901)  # noqa: S311
    done = 0
    for _ in range(PATCHES):
        now, operations = tomllib.loads(text), []
        for _ in range(chance.randrange(1, 4)):
            operations.append(random_operation(chance, now))
            now = applied(now, operations[-1:])
            if emptied(now) != now:
                break  # an array of tables without one can't be told from none
        if emptied(now) != now:
            continue
        done += 1
        assert same(tomllib.loads(patched(text, wire(operations))), now), operations
    assert done > PATCHES / 2


@pytest.mark.parametrize("text", [ODD, cabinet("harbour-lights")], ids=["odd", "harbour-lights"])
def test_what_is_only_replaced_or_added_leaves_all_comments(text):
    chance = random.Random(7)  # noqa: S311
    for _ in range(60):
        operation = random_operation(chance, tomllib.loads(text))
        if operation["op"] == "add":
            assert comments(patched(text, wire([operation]))) == comments(text), operation


def test_an_entry_of_an_array_of_tables_goes_under_its_like_and_above_what_follows():
    text = cabinet("harbour-lights")
    value = {"name": "new", "on": "body-left", "from": {"front": "3", "top": "2"}}
    new = edited(text, [{"op": "add", "path": "/hardware/-", "value": value}])
    above, below = new.split(
        '[[hardware]]\nname = "new"\non = "body-left"\nfrom = { front = "3", top = "2" }\n\n'
    )
    assert above.endswith('across = "3 3/8", up = "1 1/4" }\n\n')
    assert below.startswith("# ---")
    assert above + below == text


def test_a_panel_is_written_as_the_panels_beside_it_are():
    new = edited(
        cabinet("harbour-lights"),
        [{"op": "add", "path": "/carcase/0/panels/deck", "value": {"edge": "A-B"}}],
    )
    assert '\nbottom = { edge = "A-B" }\ndeck   = { edge = "A-B" }\n\n[carcase.edges]' in new


def test_a_colour_gets_a_header_where_colours_have_them_and_braces_where_they_have_those():
    patch = [{"op": "add", "path": "/palette/colours/olive", "value": {"paint": "#77804a"}}]
    headed = edited(cabinet("harbour-lights"), patch)
    assert '\ndry_hours = 12\n\n[palette.colours.olive]\npaint = "#77804a"\n\n[painting]' in headed
    braced = edited(cabinet("corner-box"), patch)
    assert '\nolive = { paint = "#77804a" }\n\n[[carcase]]' in braced


def test_the_first_words_of_a_cabinet_are_written_as_the_starter_has_them(tmp_path):
    new = ""
    for path, value in [
        ("/title", "A box"), ("/tape/unit", "mm"), ("/palette/base", "cream"),
        ("/palette/colours/cream", {"paint": "#f6ead0", "letter": "C"}),
        ("/art/-", {"drawing": "band.svg"}),
        ("/carcase/-", {"name": "box", "at": {"x": 5}}),
        ("/carcase/0/outline/readings/A-B", 420), ("/carcase/0/outline/readings/B-C", 300),
        ("/carcase/0/panels/front", {"edge": "D-A"}), ("/hardware/-/from/top", 7),
    ]:  # fmt: skip
        new = edited(new, [{"op": "add", "path": path, "value": value}])
    assert new == (
        'title = "A box"\n\n[tape]\nunit = "mm"\n\n[palette]\nbase = "cream"\n\n'
        '[palette.colours]\ncream = { paint = "#f6ead0", letter = "C" }\n\n'
        '[[carcase]]\nname = "box"\nat = { x = 5 }\n\n'
        "[carcase.outline.readings]\nA-B = 420\nB-C = 300\n\n"
        '[carcase.panels]\nfront = { edge = "D-A" }\n\n'
        '[[hardware]]\nfrom = { top = 7 }\n\n[[art]]\ndrawing = "band.svg"\n'
    )
    write_starter(tmp_path / "box")
    starter = tomllib.loads((tmp_path / "box" / "cabinet.toml").read_text(encoding="utf-8"))
    order = [word for word in MANNER.order if word in starter]
    assert order == [word for word in starter if word in MANNER.order]


def test_an_entry_moves_with_its_text():
    text = cabinet("last-season")
    new = edited(text, [{"op": "move", "from": "/art/2", "path": "/art/0"}])
    moved = (
        "[[art]]                         # the left side was sanded: it gets the right one's mirror"
    )
    assert new.index(moved) < new.index('drawing = "traced/right.svg"')
    assert sorted(new.splitlines()) == sorted(text.splitlines())


def test_a_colour_gets_another_name_and_keeps_all_else():
    text = cabinet("harbour-lights")
    patch = [{"op": "move", "from": "/palette/colours/sky", "path": "/palette/colours/water"}]
    assert edited(text, patch) == text.replace("[palette.colours.sky]", "[palette.colours.water]")


def test_a_comment_behind_a_value_keeps_its_column():
    text = "a = 7              # seven\nb = { c = 1 } # one\n"
    patch = [{"op": "replace", "path": "/a", "value": 7000},
             {"op": "replace", "path": "/b/c", "value": 10}]  # fmt: skip
    assert patched(text, patch) == "a = 7000           # seven\nb = { c = 10 } # one\n"


def test_quotes_stay_what_they_were():
    text = "a = 'C:\\wood'\nb = \"x\"\n"
    patch = [{"op": "replace", "path": "/a", "value": "D:\\wood"},
             {"op": "replace", "path": "/b", "value": "D:\\wood"}]  # fmt: skip
    assert patched(text, patch) == "a = 'D:\\wood'\nb = \"D:\\\\wood\"\n"


def test_lines_that_end_as_windows_ends_them_go_on_so():
    text = cabinet("corner-box").replace("\n", "\r\n")
    new = edited(text, [{"op": "add", "path": "/settled/-", "value": {"code": "piece-tiny"}},
                        {"op": "replace", "path": "/tape/unit", "value": "cm"}])  # fmt: skip
    assert new.count("\r\n") == new.count("\n")
    assert new.replace("\r\n", "\n") == edited(
        cabinet("corner-box"),
        [{"op": "add", "path": "/settled/-", "value": {"code": "piece-tiny"}},
         {"op": "replace", "path": "/tape/unit", "value": "cm"}],
    )  # fmt: skip


def test_a_literal_is_taken_as_it_is_spelled():
    patch = [{"op": "add", "path": "/painting/start", "value": {"$toml": "2027-04-05"}}]
    new = edited(cabinet("corner-box"), patch)
    assert "[painting]\nstart = 2027-04-05\n" in new


def test_the_last_entry_takes_its_array_with_it_and_a_new_one_brings_it_back():
    text = cabinet("corner-box")
    none = edited(text, [{"op": "remove", "path": "/hardware/0"}])
    assert "hardware" not in tomllib.loads(none)
    again = edited(none, [{"op": "add", "path": "/hardware/0", "value": {"name": "latch"}}])
    assert tomllib.loads(again)["hardware"] == [{"name": "latch"}]


def test_a_table_that_loses_all_it_had_stays():
    new = edited(cabinet("corner-box"), [{"op": "remove", "path": "/carcase/0/outline/readings"}])
    assert tomllib.loads(new)["carcase"][0]["outline"] == {}
    assert "\n[carcase.outline]\n" in new


@pytest.mark.parametrize(("operation", "place", "what"), [
    ({"op": "remove", "path": "/hardware/4"}, "/hardware/4", "There is no “4” here."),
    ({"op": "replace", "path": "/tap/unit", "value": 1}, "/tap/unit", "There is no “tap” here."),
    ({"op": "add", "path": "/hardware/3", "value": {}}, "/hardware/3", "“3” is no place from 0"),
    ({"op": "add", "path": "/hardware/01", "value": {}}, "/hardware/01", "“01” is no place"),
    ({"op": "add", "path": "/title/a", "value": 1}, "/title/a", "“a” can't be in a value"),
    ({"op": "add", "path": "/hardware/-", "value": 3}, "/hardware/-", "What stands here are"),
    ({"op": "replace", "path": "/title", "value": None}, "/title", "TOML can't write None."),
    ({"op": "replace", "path": "/title", "value": "\ud800"}, "/title", "Half of a surrogate"),
    ({"op": "replace", "path": "/title", "value": {"$toml": "1\nb = 2"}}, "/title", "“1\nb = 2”"),
    ({"op": "replace", "path": "/title", "value": {"$toml": "1, 2"}}, "/title", "“1, 2” is"),
    ({"op": "replace", "path": "/title", "value": {"$toml": "1 # x"}}, "/title", "“1 # x” is"),
    ({"op": "replace", "path": "/title", "value": {"$toml": 5}}, "/title", "5 is no text"),
    ({"op": "replace", "path": "", "value": 5}, "", "A definition is a table."),
    ({"op": "remove", "path": ""}, "", "The whole document can't be removed."),
    ({"op": "replace", "path": "title", "value": 5}, "title", "'title' is no JSON pointer."),
    ({"op": "remove", "path": "/a~2"}, "/a~2", "“/a~2” has a ~ that means nothing."),
    ({"op": "move", "from": "/tape", "path": "/tape/unit"}, "/tape/unit", "A value can't be moved"),
    ({"op": "move", "from": "/no", "path": "/tape"}, "/tape", "There is no “no” here."),
    ({"op": "test", "path": "/title", "value": "x"}, "/title", "This is 'Corner box', not 'x'."),
    ({"op": "copy", "path": "/title"}, "/title", "The operation “copy” has no “from”."),
    ({"op": "swap", "path": "/title"}, "/title", "There is no operation “swap”."),
    ({"op": "add", "value": 1}, "operation 1", "The operation “add” has no “path”."),
])  # fmt: skip
def test_an_operation_that_cannot_be_done_says_where_and_why(operation, place, what):
    with pytest.raises(InputError) as fault:
        edited(cabinet("corner-box"), [operation], "cabinet.toml")
    assert (fault.value.file, fault.value.place) == ("cabinet.toml", place)
    assert fault.value.what.startswith(what)
    assert fault.value.remedy


def test_a_text_that_is_no_toml_is_not_patched():
    with pytest.raises(InputError, match="no valid TOML"):
        patched("a = \n", [])


def test_a_whole_table_put_anew_changes_only_what_differs():
    text = cabinet("corner-box")
    table = tomllib.loads(text)
    table["carcase"][0]["width"] = 381
    table["hardware"][0]["from"] = {"top": 110, "left": 190}
    table["art"].append({"drawing": "new.svg"})
    new = edited(text, [{"op": "replace", "path": "", "value": table}])
    assert lines_changed(text, new) == [
        "-width = 380", "+width = 381",
        "-from = { top = 107, left = 190 } # to its middle, from two edges of the cabinet",
        "+from = { top = 110, left = 190 } # to its middle, from two edges of the cabinet",
        "+", "+[[art]]", '+drawing = "new.svg"',
    ]  # fmt: skip


def test_brackets_too_deep_and_patches_too_long_are_told():
    deep = 1
    for _ in range(600):
        deep = [deep]
    with pytest.raises(InputError, match="too deep"):
        patched("a = 1\n", [{"op": "add", "path": "/b", "value": deep}])
    with pytest.raises(InputError, match="1001 operations"):
        patched("a = 1\n", [{"op": "test", "path": "/a", "value": 1}] * 1001)
