"""What the page is told of one drawing: sizes in mm, places down from its upper edge."""

import pytest

from mateline.bench.told.drawings import drawing_told
from mateline.errors import InputError

# Two inches for forty units: a unit is 1.27 mm.
DRAWN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="2in" height="1in" viewBox="0 0 40 20">'
    '<rect id="flag" x="10" y="5" width="20" height="10" fill="#c0392b"/>'
    '<text y="3">Pier</text></svg>'
)


def test_a_drawing_is_told_in_mm(tmp_path):
    (tmp_path / "flag.svg").write_text(DRAWN)
    told = drawing_told(tmp_path, "flag.svg")
    assert (told["width"], told["height"]) == (50.8, 25.4)
    (shape,) = told["shapes"]
    assert (shape["paint"], shape["element"]) == ("#c0392b", "#flag")
    numbers = sorted({float(each) for each in shape["d"].strip("MZ").split()})
    assert numbers == pytest.approx([6.35, 12.7, 19.05, 38.1])  # 5, 10, 15 and 30 units
    assert told["landmarks"] == {"flag": [25.4, 12.7]}
    assert told["elements"] == ["flag"]
    assert "text" in told["notes"][0]


@pytest.mark.parametrize("name", ["none.svg", "../flag.svg"])
def test_no_other_file_is_told_of(tmp_path, name):
    (tmp_path / "flag.svg").write_text(DRAWN)
    inside = tmp_path / "cabinet"
    inside.mkdir()
    with pytest.raises(InputError):
        drawing_told(inside, name)
