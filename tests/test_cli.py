"""Commands, as a user types them: answers on stdout, talk on stderr, and what goes wrong.

`shop` is a folder with the cabinet that `mateline new` starts.
"""

import json
import shutil

import pytest
from pypdf import PdfReader

from mateline.cli import main
from mateline.starter import write_starter


@pytest.fixture(scope="module")
def started(tmp_path_factory):
    folder = tmp_path_factory.mktemp("started") / "box"
    write_starter(folder)
    return folder


@pytest.fixture
def shop(started, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shutil.copytree(started, tmp_path / "box")
    return tmp_path / "box"


def edited(shop, old, new):
    path = shop / "cabinet.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in the starter"
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_new_folder_checks_as_it_is(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["new", "mine"]) == 0
    assert main(["check", "mine"]) == 0
    assert "box-left" in capsys.readouterr().out


def test_new_touches_nothing_that_is_there(shop, capsys):
    before = (shop / "cabinet.toml").read_bytes()
    assert main(["new", str(shop)]) == 2
    assert (shop / "cabinet.toml").read_bytes() == before
    assert "There is something there already." in capsys.readouterr().err


def test_check_answers_with_one_json_object(shop, capsys):
    assert main(["check", str(shop), "--json"]) == 0
    out, err = capsys.readouterr()
    answer = json.loads(out)
    assert answer["cabinet"] == "box"
    assert {"name", "area", "pieces"} <= answer["faces"][0].keys()
    assert {"id", "colour", "area", "tacks"} <= answer["faces"][0]["pieces"][0].keys()
    for finding in answer["findings"]:
        assert {"code", "level", "face", "piece", "hardware", "at", "message", "remedy"} <= (
            finding.keys()
        )
    assert "checking" in err


def test_pieces_and_holes_add_up_to_their_face(shop, capsys):
    main(["check", str(shop), "--json"])
    for face in json.loads(capsys.readouterr().out)["faces"]:
        total = sum(each["area"] for each in (*face["pieces"], *face["holes"]))
        if face["pieces"]:
            assert total == pytest.approx(face["area"], rel=1e-9)
        else:  # base coat only: no board
            assert total < face["area"]


def test_tape_answers_in_words_and_in_json(shop, capsys):
    assert main(["tape", str(shop)]) == 0
    assert "The readings close." in capsys.readouterr().out
    assert main(["tape", str(shop), "--json"]) == 0
    assert "box" in json.loads(capsys.readouterr().out)["outlines"]


def test_a_suspect_reading_is_exit_code_1_of_tape_and_of_check(shop, capsys):
    edited(shop, 'A-C = "36 1/16"', 'A-C = "37 1/16"')  # one of six, and none tells which
    assert main(["tape", str(shop)]) == 1
    assert "cannot tell which" in capsys.readouterr().out
    assert main(["tape", str(shop), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["outlines"]["box"]["verdict"] == "cannot-tell"
    assert main(["check", str(shop), "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    (finding,) = [each for each in answer["findings"] if each["code"] == "reading-suspect"]
    assert finding["level"] == "stop"
    assert finding["face"] == "box-left"
    assert len(finding["at"]) == 2


SETTLED = """
[[settled]]
code = "reading-suspect"
face = "box-left"
because = "The box is built crooked."

# Hardware: where it is"""


def test_a_settled_stop_is_told_apart_and_is_no_exit_code(shop, capsys):
    edited(shop, 'A-C = "36 1/16"', 'A-C = "37 1/16"')
    edited(shop, "# Hardware: where it is", SETTLED)
    assert main(["check", str(shop), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert "reading-suspect" not in {each["code"] for each in answer["findings"]}
    (told,) = answer["settled"]
    assert (told["code"], told["level"]) == ("reading-suspect", "stop")
    assert told["because"] == "The box is built crooked."
    assert main(["check", str(shop)]) == 0
    assert "Because: The box is built crooked." in capsys.readouterr().out


def test_a_build_writes_what_is_settled_wherever_it_writes_findings(shop, capsys):
    edited(shop, 'A-C = "36 1/16"', 'A-C = "37 1/16"')
    edited(shop, "# Hardware: where it is", SETTLED)
    assert main(["build", str(shop), "--out", "out"]) == 0
    why = "The box is built crooked."
    assert f"Because: {why}" in capsys.readouterr().out
    out = shop.parent / "out"
    assert [each["because"] for each in json.loads((out / "findings.json").read_text())["settled"]]
    assert why in (out / "job-book.html").read_text(encoding="utf-8")
    assert why in (out / "faces" / "box-left" / "picture.svg").read_text(encoding="utf-8")
    pages = PdfReader(out / "job-book.pdf").pages
    assert why in " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_settlement_of_nothing_is_told_by_check_and_build(shop, capsys):
    edited(shop, "# Hardware: where it is", SETTLED)
    assert main(["check", str(shop), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [each["code"] for each in answer["findings"]][:1] == ["settlement-unmatched"]
    assert answer["settled"] == []


def test_a_code_that_no_check_has_is_refused(shop, capsys):
    edited(shop, "# Hardware: where it is", SETTLED.replace("reading-suspect", "readng-suspect"))
    assert main(["check", str(shop)]) == 2
    assert "settled 1, code" in capsys.readouterr().err
    edited(shop, "readng-suspect", "settlement-unmatched")
    assert main(["check", str(shop)]) == 2


SECOND = """
[[carcase]]
name = "shelf"
view = "plan"
corners = ["A", "B", "C", "D"]
width = "16"
board = "board"
at = {}

[carcase.outline.readings]
A-B = "20"
B-C = "10"
C-D = "20"
D-A = "10"
A-C = "41"

[carcase.panels]
front  = { edge = "D-A" }
back   = { edge = "B-C" }
top    = { edge = "C-D" }
bottom = { edge = "A-B" }
"""


def test_an_outline_that_is_refused_leaves_the_others_to_be_seen(shop, capsys):
    edited(shop, "# Hardware: where it is", SECOND + "\n# Hardware: where it is")
    assert main(["tape", str(shop)]) == 2
    out, err = capsys.readouterr()
    assert "The readings close." in out
    assert "shelf" not in out
    assert '(shelf), outline, A-C: 41" is longer than A-B and B-C together' in err
    assert main(["tape", str(shop), "--json"]) == 2
    answer = json.loads(capsys.readouterr().out)
    assert list(answer["outlines"]) == ["box"]
    assert list(answer["refused"]) == ["shelf"]
    assert {"place", "message", "remedy"} <= answer["refused"]["shelf"].keys()


def test_a_stop_is_exit_code_1(shop, capsys):
    # the coin door stays in place and the discs are no wider than it: one is swallowed
    edited(shop, 'kind = "rectangle"', 'kind = "rectangle"\nstate = "stays"\nmargin = "6"')
    assert main(["check", str(shop)]) == 1
    assert "Stop" in capsys.readouterr().out


BAD = [
    ('A-B = "20"', 'A-B = "twenty"', "readings, A-B"),
    ('A-C = "36 1/16"', 'A-X = "36 1/16"', "no corner “X”"),
    ('A-C = "36 1/16"', 'A-C = "96 1/16"', "A-C"),
    ('corners = ["A", "B", "C", "D"]', 'corners = ["A", "C", "B", "D"]', "carcase 1 (box)"),
    ('drawing = "band.svg"', 'drawing = "bend.svg"', "no such drawing"),
    ('drawing = "band.svg"', 'drawing = "../band.svg"', "lies outside"),
    ('drawing = "band.svg"', 'drawing = "cabinet.toml"', "A drawing is .svg or .dxf"),
    ('title = "My cabinet"', "title = My cabinet", "no valid TOML"),
    ('bottom = "2 1/2"', 'bottom = "95"', "lies off box-left"),
    ('"left and front"  = { end = "art" }', '"left and front" = { bevel = "2" }', "thick"),
    ('paint = "#c8402f"', 'paint = "#c8402e"', "not in the palette"),
    ('letter = "R"', 'letter = "B"', "letter"),
    ('base = "cream"', 'base = "crem"', "Did you mean “cream”?"),
    ('board = "3/4"', 'board = "3 * bord"', "bord"),
    ('unit = "in"', 'unit = "ell"', "tape, unit"),
    ('size = "3/8"', 'size = "3/7"', "no bolt size “3/7”"),
    ('on = "box-left"', 'on = "box-lift"', "Did you mean “box-left”?"),
    ('base = "cream"', 'base = "cream"\npasses = ["blue"]', "which no pass paints"),
    ("wrap = [", 'cast = "front"\nwrap = [', "2 ways"),
    ('width = "16"', 'width = "1"', "nothing left"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words"), BAD)
@pytest.mark.parametrize("command", ["check", "build"])
def test_bad_input_is_told_once_and_nothing_is_lost(shop, capsys, command, old, new, words):
    kept = shop.parent / "exports" / "box"
    kept.mkdir(parents=True)
    (kept / "job.json").write_text('{"made_by": "mateline", "files": []}', encoding="utf-8")
    edited(shop, old, new)
    assert main([command, str(shop)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    told = [line for line in err.splitlines() if "cabinet.toml" in line or ".svg" in line]
    assert told, err
    assert words in err
    assert "Traceback" not in err
    assert (kept / "job.json").read_text(encoding="utf-8").startswith('{"made_by"')


@pytest.mark.parametrize(
    ("drawing", "words"),
    [
        ("<svg", "band.svg"),
        ('<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"></svg>', ""),
        ("not xml at all", "band.svg"),
        ('<!DOCTYPE svg [<!ENTITY a "b">]><svg xmlns="http://www.w3.org/2000/svg">&a;</svg>', ""),
    ],
)
def test_a_bad_drawing_is_told_with_its_name(shop, capsys, drawing, words):
    (shop / "band.svg").write_text(drawing, encoding="utf-8")
    code = main(["check", str(shop)])
    assert code in {0, 2}
    assert code == 2 or not words
    assert words in capsys.readouterr().err


def test_a_folder_without_a_definition_is_told(tmp_path, capsys):
    assert main(["check", str(tmp_path)]) == 2
    assert "There is no such file." in capsys.readouterr().err


def test_check_never_imports_the_kernel(shop):
    import subprocess
    import sys

    code = (
        "import sys; from mateline.cli import main; main(sys.argv[1:]); "
        "sys.exit(any(name in sys.modules for name in ('cadquery', 'OCP', 'trimesh', 'ezdxf')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "check", str(shop)], capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr.decode()
