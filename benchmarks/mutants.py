"""How many planted faults the tests of each room of the geometry core find.

On request: `pip install cosmic-ray`, then `python benchmarks/mutants.py [ROOM ...] [--list]`.
Each fault is told as it was run, with its name and the count so far; `--only NAME ...` runs just
those again, once a test was written for them.
Cosmic Ray's operators plant one fault at a time into a copy of the package; the tests of the same
room run on it in a process of their own, up to the first that fails. Which faults are planted is
decided by a hash of their place, so it is the same in every run until that place changes. What is
planted, where, and which tests look for it is in pyproject.toml, `[tool.mutants]`.

Not planted: whatever only shows in a message, an annotation, a decorator or a docstring. One
operator is ours: a call that is made for what it does (a fault kept, a piece added) is left out.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import os
import resource
import shutil
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[1]
MODEL = ROOT / "model"
SECONDS = 3  # of the processor: how many times the untouched room's tests a mutant's may take
BYTES = 8 << 30  # of address space a mutant may take: what never ends must not fill the machine
# To import; none of them knows the package.
SLOW = ("cosmic_ray.mutating", "numpy", "scipy.optimize", "scipy.spatial", "scipy.stats",
        "shapely", "pytest", "cadquery", "trimesh")  # fmt: skip
LEFT_OUT = "a call left out"


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: `occurrence` of `operator` in a module, and the place where that is."""

    module: Path
    operator: str
    occurrence: int
    line: int
    column: int

    @property
    def key(self) -> str:
        """What its rank among others hangs on."""
        told = f"{self.module.relative_to(MODEL)} {self.operator} {self.line} {self.column}"
        return hashlib.sha256(f"{told} {self.occurrence}".encode()).hexdigest()

    @property
    def name(self) -> str:
        """What it is called by on the command line: short, and no two in the package share one."""
        return self.key[:8]

    def __str__(self) -> str:
        place = f"{self.module.relative_to(MODEL / 'mateline')}:{self.line}:{self.column}"
        text = self.module.read_text(encoding="utf-8").splitlines()[self.line - 1].strip()
        return f"{self.name}  {place}  {self.operator.removeprefix('core/')}  | {text}"


def main() -> None:
    """Plant, run, tell."""
    config = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["mutants"]
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("room", nargs="*", help=f"of {', '.join(config['rooms'])}; all")
    parser.add_argument("--list", action="store_true", help="list what would be planted")
    parser.add_argument("--sample", type=int, help="faults a room, in place of the configured")
    parser.add_argument("--only", nargs="+", help="names of faults: plant just these")
    options = parser.parse_args()
    rows = []
    for room in options.room or config["rooms"]:
        mutants = sampled(config, config["rooms"][room], options.sample, options.only)
        if not mutants:
            continue
        if options.list:
            print(*mutants, sep="\n")
            continue
        survivors = survivors_of(mutants, config["rooms"][room]["tests"])
        rows.append((room, len(mutants), len(mutants) - len(survivors)))
        print(f"{room}: {len(mutants)} planted, {rows[-1][2]} found; not found:")
        print(*(f"    {each}" for each in survivors), sep="\n", flush=True)
    for room, planted, found in rows:
        print(f"| {room} | {planted} | {found} | {found / planted:.0%} |")


def sampled(config: dict, room: dict, sample: int | None, only: list[str] | None) -> list[Mutant]:
    """The faults to plant in a room, in the order of their places."""
    modules = [path for name in room["modules"] for path in sorted(MODEL.glob(f"mateline/{name}"))]
    found = [mutant for path in modules for mutant in mutants_of(path, config["operators"])]
    if only:
        chosen = [mutant for mutant in found if mutant.name in only]
    else:
        chosen = sorted(found, key=lambda mutant: mutant.key)[: sample or room["sample"]]
    return sorted(chosen, key=lambda m: (m.module, m.line, m.column, m.operator, m.occurrence))


def mutants_of(path: Path, operators: list[str]) -> Iterator[Mutant]:
    """Every fault that can be planted in a module."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.plugins import get_operator

    text = path.read_text(encoding="utf-8")
    silent = silent_lines(text)
    tree = get_ast(text)
    for name in operators:
        operator = get_operator(f"core/{name}")()
        places = [place for node in ast_nodes(tree) for place in operator.mutation_positions(node)]
        for occurrence, ((line, column), _) in enumerate(places):
            # zip's `strict` only guards what cannot happen
            strict = text.splitlines()[line - 1][:column].endswith("strict=")
            if line not in silent and not strict:
                yield Mutant(path, f"core/{name}", occurrence, line, column)
    for occurrence, node in enumerate(effects(ast.parse(text))):
        if node.lineno not in silent:
            yield Mutant(path, LEFT_OUT, occurrence, node.lineno, node.col_offset)


def silent_lines(text: str) -> set[int]:
    """Lines on which a fault shows in no number: messages, annotations, decorators, imports."""
    found: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        parts: list[ast.AST] = []
        if isinstance(
            node, ast.Raise | ast.AnnAssign | ast.JoinedStr | ast.Import | ast.ImportFrom
        ):
            parts.append(node if not isinstance(node, ast.AnnAssign) else node.annotation)
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            parts.extend(node.decorator_list)
            if isinstance(node, ast.FunctionDef):
                found |= set(range(node.lineno, node.body[0].lineno))
        elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            parts.append(node)
        for part in parts:
            found |= set(range(part.lineno, part.end_lineno + 1))
    return found


def effects(tree: ast.AST) -> list[ast.Expr]:
    """Statements that are a call."""
    return [n for n in ast.walk(tree) if isinstance(n, ast.Expr) and isinstance(n.value, ast.Call)]


def mutated(mutant: Mutant) -> str | None:
    """The module's text with the fault in it."""
    text = mutant.module.read_text(encoding="utf-8")
    if mutant.operator == LEFT_OUT:
        node = effects(ast.parse(text))[mutant.occurrence]
        lines = text.splitlines(keepends=True)
        lines[node.lineno - 1 : node.end_lineno] = [" " * node.col_offset + "pass\n"]
        return "".join(lines)
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    return mutate_code(text, get_operator(mutant.operator)(), mutant.occurrence)


def survivors_of(mutants: list[Mutant], tests: list[str]) -> list[Mutant]:
    """Those that none of the tests finds. Raises RuntimeError where tests fail without a fault."""
    for library in SLOW:
        __import__(library)  # once, for all children
    with tempfile.TemporaryDirectory() as folder:
        copied = Path(folder) / "model"
        shutil.copytree(MODEL, copied, ignore=shutil.ignore_patterns("__pycache__"))
        code, used = ran(copied, tests, seconds=3600)
        if code != 0:
            raise RuntimeError(f"{tests} fail as they are")
        survivors = []
        for at, mutant in enumerate(mutants):
            place = copied / mutant.module.relative_to(MODEL)
            text = mutated(mutant)
            if text is None:
                raise RuntimeError(f"nothing was planted: {mutant}")
            place.write_text(text, encoding="utf-8")
            code, _ = ran(copied, tests, seconds=int(10 + SECONDS * used))
            place.write_text(mutant.module.read_text(encoding="utf-8"), encoding="utf-8")
            if code == 0:
                survivors.append(mutant)
            told = f"{at + 1 - len(survivors)} found of {at + 1} run of {len(mutants)}"
            result = "NOT FOUND" if code == 0 else "found"
            print(f"  {told}; {result}: {mutant}", file=sys.stderr, flush=True)
        return survivors


def ran(model: Path, tests: list[str], seconds: int) -> tuple[int, float]:
    """The exit code of the tests on a copy of the package, and the processor seconds they took."""
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
        os.environ["PYTHONPATH"] = str(model)
        sys.dont_write_bytecode = True
        sys.path.insert(0, str(model))
        os.chdir(ROOT)
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        import pytest

        os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "--no-header", *tests])))
    _, status, used = os.wait4(child, 0)
    return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
