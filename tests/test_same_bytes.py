"""The same bytes under other kernels, hash seeds, time zones, locales, rights and thread counts.

A matrix library takes the kernel that fits the processor, and so does numpy for its own loops; both
can be told to take another, as far as this processor has it. All at once and two cabinets here;
one by one, and all cabinets, with `pytest -m kernels tests/test_same_bytes.py`.
"""

import hashlib
import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

CABINETS = Path(__file__).parents[1] / "cabinets"
NAMES = tuple(sorted(path.name for path in CABINETS.iterdir() if path.is_dir()))
COMMAND = """
import os, sys
os.umask(int(sys.argv.pop(1), 8))
from mateline.cli import main
sys.exit(main())
"""
SIMPLE = {"OPENBLAS_CORETYPE": "Nehalem"}  # a kernel without fused multiply and add
if platform.machine() in {"x86_64", "AMD64"}:
    SIMPLE["NPY_DISABLE_CPU_FEATURES"] = "X86_V3 X86_V4"  # those that numpy chooses among
# The C library's sines with and without fused multiply and add differ in last bits.
PLAIN = {"GLIBC_TUNABLES": "glibc.cpu.hwcaps=-FMA,-AVX2,-AVX512F"}
ELSEWHERE = {
    "OPENBLAS_NUM_THREADS": "2",
    "PYTHONHASHSEED": "77",
    "TZ": "Pacific/Chatham",
    "LC_ALL": "C",
    "SOURCE_DATE_EPOCH": "86400000",
}
ALL = {**SIMPLE, **PLAIN, **ELSEWHERE}
ONE_BY_ONE = [
    *({"OPENBLAS_CORETYPE": name} for name in ("Haswell", "SkylakeX", "Zen", "Nehalem")),
    *({name: value} for name, value in {**SIMPLE, **ELSEWHERE}.items()),
    PLAIN,
    {"OPENBLAS_NUM_THREADS": "1"},
    {"LC_ALL": "xx_YY.UTF-8", "LANG": "xx_YY.UTF-8"},
    ALL,
]


def ran(words, changed, umask="022"):
    """What a command of another process writes to stdout."""
    plain = {name: value for name, value in os.environ.items() if name not in ALL}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", COMMAND, umask, *words, "--cores", "1"],
        check=False, capture_output=True, env={**plain, **changed},
    )  # fmt: skip
    assert done.returncode in {0, 1}, done.stderr.decode()
    return done.stdout


def built(name, out, changed, umask="022"):
    """The hash of every file of a build."""
    ran(["build", str(CABINETS / name), "--out", str(out)], changed, umask)
    return {
        path.relative_to(out).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


def test_a_check_says_the_same_under_another_kernel():
    words = ["check", str(CABINETS / "harbour-lights"), "--json"]
    assert ran(words, {}) == ran(words, ALL)


def test_a_build_has_the_same_bytes_elsewhere(tmp_path):
    here = built("corner-box", tmp_path / "here", {})
    assert built("corner-box", tmp_path / "there", ALL, umask="077") == here


@pytest.mark.kernels
@pytest.mark.parametrize("name", NAMES)
def test_every_file_of_every_cabinet_is_the_same_under_every_kernel(tmp_path, name):
    here = built(name, tmp_path / "here", {})
    for number, changed in enumerate(ONE_BY_ONE):
        there = built(name, tmp_path / str(number), changed)
        assert [file for file in here | there if here.get(file) != there.get(file)] == [], changed
