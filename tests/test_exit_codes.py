"""What a command says and returns when something is wrong: with the place, or with us.

The exit codes are those of the contract: 2 the input can't be used, 3 our own fault, 130 Ctrl-C.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from mateline.cli import main
from mateline.commands import parser as commands
from mateline.crew import Crew
from mateline.exports.folder import files_in
from mateline.starter import write_starter

COMMAND = (sys.executable, "-c", "import sys; from mateline.cli import main; sys.exit(main())")


@pytest.fixture(autouse=True)
def shop(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write_starter(tmp_path / "box")
    return tmp_path


def typed(*words, **how):
    return subprocess.run(
        [*COMMAND, *words], check=False, text=True, encoding="utf-8", errors="replace",
        stderr=subprocess.PIPE, **{"stdout": subprocess.PIPE, **how},
    )  # fmt: skip


def fail(*_, **__):
    raise ZeroDivisionError("float division\nby zero")


def fail_in_a_hand(_):
    from mateline.curves import Chain, moved

    moved(Chain((0.0, 0.0), ()), None)


def test_our_own_fault_is_one_line_with_its_place_and_a_code_of_its_own(monkeypatch, capsys):
    monkeypatch.setattr("mateline.tape.report.as_json", fail)
    assert main(["tape", "box", "--json"]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.splitlines()
    assert line.startswith(
        "mateline: Our own fault, not yours: ZeroDivisionError: float division by zero ("
    )
    assert "commands/parser.py, line " in line
    assert "while starting. Nothing was changed." in line
    assert "MATELINE_TRACEBACK=1" in line


def test_the_traceback_is_shown_to_whoever_asks_for_it(monkeypatch, capsys):
    monkeypatch.setattr("mateline.tape.report.as_json", fail)
    monkeypatch.setenv("MATELINE_TRACEBACK", "1")
    assert main(["tape", "box", "--json"]) == 3
    assert "Traceback (most recent call last)" in capsys.readouterr().err


def test_a_build_that_fails_through_us_says_where_and_leaves_everything(shop, monkeypatch, capsys):
    monkeypatch.setattr("mateline.exports.build.findings_json", fail)
    before = files_in(shop)
    assert main(["build", "box", "--cores", "1"]) == 3
    err = capsys.readouterr().err
    assert "Traceback" not in err
    last = err.splitlines()[-1]
    assert "exports/build.py, line " in last
    assert "while writing 5 faces, the models and the job book. Nothing was changed." in last
    assert files_in(shop) == before
    assert not (shop / "exports").exists()


def test_the_place_of_a_fault_in_another_process_is_its_own(monkeypatch, capsys):
    def run(*_):
        with Crew(1) as crew:
            crew.done([(fail_in_a_hand, (None,))] * 3)

    monkeypatch.setattr(commands, "_tape", run)
    assert main(["tape", "box"]) == 3
    assert "(curves.py, line " in capsys.readouterr().err


def test_memory_that_runs_out_is_told_in_a_line_too(monkeypatch, capsys):
    def overflow(*_):
        raise MemoryError

    monkeypatch.setattr("mateline.tape.report.as_json", overflow)
    assert main(["tape", "box", "--json"]) == 3
    assert capsys.readouterr().err.startswith("mateline: Our own fault, not yours: MemoryError")


def test_ctrl_c_is_told_in_a_line(shop, monkeypatch, capsys):
    def interrupt(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("mateline.survey._cabinet", interrupt)
    assert main(["build", "box", "--cores", "1"]) == 130
    last = capsys.readouterr().err.splitlines()[-1]
    assert last == (
        "mateline: Stopped by Ctrl-C while solving the outlines and joining the boards. "
        "Nothing was changed."
    )
    assert not (shop / "exports").exists()


@pytest.mark.parametrize(
    ("out", "words"),
    [
        ("/", "no job.json of a build"),
        ("box", "no job.json of a build"),
        (".", "no job.json of a build"),
        ("box/cabinet.toml", "This is a file"),
        ("box/cabinet.toml/x", "cannot be written here"),
        ("loop/x", "links"),
        ("x" * 300, "File name too long"),
        (f"{'x' * 250}/y", ""),
        ("gone/x", ""),  # a link to nowhere is a folder that can be made
    ],
)
def test_a_place_that_cannot_take_the_exports_is_told_before_anything_is_written(
    shop, capsys, out, words
):
    (shop / "loop").symlink_to("pool")
    (shop / "pool").symlink_to("loop")
    (shop / "gone").symlink_to("nowhere")
    before = files_in(shop)
    code = main(["build", "box", "--out", out, "--cores", "1"])
    err = capsys.readouterr().err
    assert "Traceback" not in err
    if words:
        assert code == 2
        assert words in err.splitlines()[-1]
        assert files_in(shop) == before
        assert list(shop.glob(".*")) == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
@pytest.mark.parametrize("words", [["tape", "box"], ["tape", "box", "--json"], ["--help"]])
def test_an_answer_on_a_full_disk_is_told(words):
    with Path("/dev/full").open("w") as full:
        done = typed(*words, stdout=full)
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert line.startswith("mateline: stdout: The answer can't be written: No space left")


def test_an_answer_that_nobody_reads_is_told():
    read, write = os.pipe()
    os.close(read)
    done = typed("tape", "box", stdout=write)
    os.close(write)
    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
    assert "The answer can't be written: Broken pipe." in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="a shell closes it")
def test_a_closed_stdout_is_told_and_a_closed_stderr_disturbs_nothing():
    shell = ["sh", "-c", '"$@" >&-', "sh", *COMMAND, "tape", "box"]
    done = subprocess.run(shell, check=False, capture_output=True, text=True)
    assert done.returncode == 2
    assert done.stderr == (
        "mateline: stdout: There is no stdout to answer on. Send it where it can be read to the "
        "end.\n"
    )
    shell = ["sh", "-c", '"$@" 2>&-', "sh", *COMMAND, "check", "box", "--json", "--cores", "1"]
    done = subprocess.run(shell, check=False, capture_output=True, text=True)
    assert done.returncode == 0
    assert json.loads(done.stdout)["cabinet"] == "box"


LOCALES = [
    {"LC_ALL": "xx_YY", "LANG": "xx_YY"},
    {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    {"PYTHONIOENCODING": "ascii"},
    {"PYTHONIOENCODING": "latin-1"},
]


@pytest.mark.parametrize("locale", LOCALES, ids=[str(each) for each in LOCALES])
def test_a_terminal_that_knows_few_characters_gets_the_answer(shop, locale):
    toml = shop / "box" / "cabinet.toml"
    text = toml.read_text(encoding="utf-8").replace("My cabinet", "Kabinett “Ω” 𝄞")
    toml.write_text(text, encoding="utf-8")
    env = {**os.environ, **locale}
    done = typed("check", "box", "--cores", "1", env=env)
    assert (done.returncode, "Traceback" in done.stderr) == (0, False)
    assert done.stdout.startswith("Kabinett ")
    done = typed("check", "box", "--json", "--cores", "1", env=env)
    assert json.loads(done.stdout)["cabinet"] == "box"


def test_python_can_run_the_package():
    done = subprocess.run(
        [sys.executable, "-m", "mateline", "check", "nowhere"],
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 2
    assert "There is no such file." in done.stderr


def test_settings_that_somebody_has_for_ezdxf_change_nothing(shop):
    """Nor does a home that can't be looked into: root may look anywhere, so it is a loop here."""
    from mateline.drawing.dxf.library import options

    assert options.loaded_config_files == ()
    home = shop / "home"
    (home / "ezdxf").mkdir(parents=True)
    (home / "ezdxf" / "ezdxf.ini").write_text("[core]\nload_proxy_graphics = false\n")
    (shop / "loop").symlink_to("loop")
    code = "from mateline.drawing.dxf.library import options; print(options.load_proxy_graphics)"
    for where in (home, shop / "loop"):
        done = subprocess.run(
            [sys.executable, "-c", code], check=False, capture_output=True, text=True,
            env={**os.environ, "XDG_CONFIG_HOME": str(where), "HOME": str(where)},
        )  # fmt: skip
        assert (done.stdout, done.stderr) == ("True\n", "")
