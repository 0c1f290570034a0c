"""The contributors' page holds: what it names is there, and rooms are no larger than it says."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
MODEL = ROOT / "model" / "mateline"
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LARGEST_ROOM = 15  # modules


def rows(heading):
    """The cells of each row of the table under a heading, without its head."""
    part = TEXT.split(f"## {heading}\n")[1].split("\n## ")[0]
    lines = [line for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def defined(path):
    """Names that a module defines at its top."""
    found = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            found |= {name.id for each in targets for name in ast.walk(each)
                      if isinstance(name, ast.Name)}  # fmt: skip
    return found


def test_every_change_of_the_table_is_made_where_it_says():
    table = rows("To change this, open that")
    assert len(table) >= 20
    for change, file, what in table:
        path = MODEL / file.strip("`")
        assert path.is_file(), change
        for word in re.findall(r"`([^`]+)`", what):
            if word.endswith(".py"):
                path = MODEL / word
                assert path.is_file(), change
            else:
                assert word in defined(path), (change, word)


def test_every_room_and_module_of_the_table_of_rooms_is_there():
    named = {name for row in rows("The rooms") for name in re.findall(r"`([^`]+)`", row[0])}
    for name in named - {"tests/", "benchmarks/"}:
        assert (MODEL / name).exists(), name
    there = {f"{path.name}/" for path in MODEL.iterdir() if (path / "__init__.py").is_file()}
    there |= {path.name for path in MODEL.glob("*.py")} - {"__init__.py"}
    assert there == named - {"tests/", "benchmarks/"}


def test_paths_in_the_text_are_there():
    words = re.findall(r"`((?:model|tests|benchmarks|[a-z_]+)/[\w/]*(?:\.py)?)`", TEXT)
    for word in words:
        assert (MODEL / word).exists() or (ROOT / word).exists() or any(MODEL.rglob(word)), word


def test_no_folder_is_too_large_to_look_through():
    for folder in [MODEL, *(path for path in MODEL.rglob("*") if path.is_dir())]:
        modules = [path for path in folder.glob("*.py") if path.name != "__init__.py"]
        assert len(modules) <= LARGEST_ROOM, folder


def test_no_module_is_longer_than_500_lines():
    for module in (
        path for top in ("model", "tests", "benchmarks") for path in ROOT.glob(f"{top}/**/*.py")
    ):
        assert len(module.read_text(encoding="utf-8").splitlines()) <= 500, module


def test_tests_mirror_the_rooms():
    rooms = {path.parent.relative_to(MODEL) for path in MODEL.rglob("*.py")}
    folders = {
        path.parent.relative_to(ROOT / "tests") for path in (ROOT / "tests").rglob("test_*.py")
    }
    ours = {Path("outside"), Path("hard"), Path("corpus"), Path("bench/stories"), Path()}
    assert folders - ours <= rooms
