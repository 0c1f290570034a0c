"""docs/first-cabinet.md: what it says that the commands print is what they print."""

import re
import shutil
from pathlib import Path

import pytest

from mateline.cli import main

ROOT = Path(__file__).parents[1]
TUTORIAL = ROOT / "docs" / "first-cabinet.md"
TEXT = TUTORIAL.read_text(encoding="utf-8")
SHOWN = re.findall(r"```console\n\$ mateline ([^\n]*)\n(.*?)\n```", TEXT, re.DOTALL)
MOST = 600_000  # bytes of all pictures together


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tutorial")
    shutil.copytree(ROOT / "cabinets" / "corner-box", folder / "cabinets" / "corner-box")
    return folder


def test_it_shows_the_three_commands_of_the_road():
    assert [command.split()[0] for command, _ in SHOWN] == ["tape", "check", "build"]


@pytest.mark.parametrize(("command", "said"), SHOWN, ids=[each.split()[0] for each, _ in SHOWN])
def test_each_command_prints_what_is_shown(command, said, shop, monkeypatch, capsys):
    monkeypatch.chdir(shop)
    monkeypatch.setenv("COLUMNS", "80")
    assert main(command.split()) == 0
    printed, at = capsys.readouterr().out, 0
    for part in re.split(r"^…$", said, flags=re.MULTILINE):  # what is left out
        found = printed.find(part.strip("\n"), at)
        assert found >= 0, part
        at = found + len(part.strip("\n"))


def test_the_slip_that_it_tells_of_is_told(shop, monkeypatch, capsys):
    monkeypatch.chdir(shop)
    shutil.copytree("cabinets/corner-box", "slipped")
    file = Path("slipped/cabinet.toml")
    file.write_text(file.read_text(encoding="utf-8").replace("A-C = 516", "A-C = 561"), "utf-8")
    main(["tape", "slipped"])
    (told,) = re.findall(r"would say `([^`]*)`", TEXT)
    assert told in capsys.readouterr().out


def test_the_days_that_it_tells_of_are_those_of_the_plan(shop, monkeypatch):
    monkeypatch.chdir(shop)
    main(["build", "cabinets/corner-box", "--out", "days"])
    days = Path("days/painting-days.txt").read_text(encoding="utf-8")
    assert days.count("\nDay ") + days.startswith("Day ") == TEXT.count(". Day ")
    assert "Lay and tape all board: 27 pieces" in days
    assert "Put back and tape 11 pieces of coral" in days


def test_all_its_pictures_and_those_of_the_readme_are_there_and_small():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = {TUTORIAL.parent / each for each in re.findall(r"\]\((pictures/[^)]*)\)", TEXT)}
    named |= {ROOT / each for each in re.findall(r"\]\((docs/pictures/[^)]*)\)", readme)}
    assert len(named) == 12
    assert named == set((ROOT / "docs" / "pictures").iterdir())
    assert sum(each.stat().st_size for each in named) <= MOST
