"""Drawings of our own that have what public ones fell over: written, read back and judged.

A fixed sample for every run. Public sets and thousands of random drawings are judged on request:
see test_corpus and judge_patterns.
"""

import math

import pytest

from corpus.judge_patterns import outcome, random_outcome

PAGE = '<rect width="300" height="200" fill="#ffffff"/>'
SIZE = 'width="300mm" height="200mm" viewBox="0 0 300 200"'


def path(fill, points):
    words = "L".join(f"{x:g} {y:g}" for x, y in points)
    return f'<path fill="{fill}" d="M{words}Z"/>'


def wave(x, y, half, lift, count):
    """A side that is an S about its chord, to the last digit, and three straight ones."""
    steps = range(-count, count + 1)
    rim = [(round(half * k / count, 3), round(lift * math.sin(math.pi * k / count), 4))
           for k in steps]  # fmt: skip
    return path("#0044aa", [(x + u, y + v) for u, v in (*rim, (half, 40), (-half, 40))])


WAVES = [
    wave(60 + 80 * column, 20 + 45 * row, 30, lift, count)
    for column, count in enumerate((2, 4, 16))
    for row, lift in enumerate((0.015, 0.03, 0.4, 8))
]
#  a flag of two bow-ties with the same corners, parted by a cross
TIES = [
    path("#111111", [(0, 0), (300, 200), (300, 0), (0, 200)]).replace("/>", ' id="black"/>'),
    path("#117733", [(0, 0), (300, 0), (0, 200), (300, 200)]),
    '<path stroke="#ffcc00" stroke-width="20" d="M0 0L300 200M0 200L300 0"/>',
]
HAIRS = [
    '<rect x="20" y="20" width="120" height="90" fill="#aa0000"/>',
    '<rect x="140.004" y="20" width="120" height="90" fill="#0044aa"/>',
    '<path fill="#ffcc00" d="M20 130H280V130.01H20Z"/>',
    '<path fill="#117733" d="M20 150L280 152L20 152.004Z"/>',
]
#  straight edges whose ends are moved by a hair, as noding moves them
STRAIGHT = [
    path("#117733", [(0, 0), (150.00001, 66.666668), (300, 133.33333), (300, 0)]),
    path("#aa0000", [(0, 0), (75, 100), (150.000001, 200.0000004), (0, 200)]),
]
MONO = [
    '<path fill-rule="evenodd" d="M9 99a90 90 0 1 0 180 0a90 90 0 1 0 -180 0ZM59 99h80v40h-80Z"/>',
    '<path d="M200 40C240 0 260 80 290 40V160C250 200 240 120 200 160Z"/>',
]
NONE = [
    '<circle cx="150" cy="100" r="60" fill="none" stroke="#aa0000" stroke-width="12"/>',
    '<path fill="none" d="M0 0L300 200"/>',
    '<path fill="#0044aa" d="M0 140C100 90 200 190 300 140V200H0Z"/>',
]
SHARP = [
    '<path fill="#aa0000" d="M20 100A200 200 0 0 1 280 100A210 210 0 0 0 20 100Z"/>',
    '<circle cx="100" cy="60" r="30" fill="#ffcc00"/><circle cx="160" cy="60" r="30"/>',
    '<path fill="#117733" d="M0 199.99C100 199.98 200 200 300 199.985V200H0Z"/>',
]


def drawing(parts, scale=1.0):
    size = SIZE
    if scale != 1:
        view = f"0 0 {300 * scale:g} {200 * scale:g}"
        size = f'width="300mm" height="200mm" viewBox="{view}"'
        parts = [f'<g transform="scale({scale:g})">', *parts, "</g>"]
    return "\n".join([f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', *parts, "</svg>", ""])


DRAWINGS = {
    "waves": drawing([PAGE, *WAVES]),
    "waves on nothing": drawing(WAVES),
    "bow-ties": drawing(TIES),
    "hairs": drawing([PAGE, *HAIRS]),
    "straight": drawing([PAGE, *STRAIGHT]),
    "mono": drawing(MONO),
    "none": drawing(NONE),
    "sharp": drawing([PAGE, *SHARP]),
    "tiny": drawing([PAGE, *WAVES, *NONE], 0.01 / 300),
    "huge": drawing([PAGE, *SHARP, *TIES[:2]], 1e4),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_what_is_written_is_sound_and_shows_the_drawing(name, tmp_path):
    source = tmp_path / "drawing.svg"
    source.write_text(DRAWINGS[name])
    found = outcome(source, name)
    assert found.faults == {}
    assert found.alike >= 0.998


@pytest.mark.parametrize("seed", range(24))
def test_random_drawings_are_sound_once_written(seed):
    found = random_outcome(seed)
    assert found.faults.keys() <= {"refused"}
    assert found.alike >= 0.99  # hairs of one pixel are no fault
