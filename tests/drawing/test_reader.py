"""Any drawing is read by the ending of its name."""

import ezdxf
import pytest

from mateline.drawing.reader import read_drawing
from mateline.errors import InputError
from mateline.one_drawing import pattern_report


def test_an_svg_and_a_dxf_of_one_circle_give_one_pattern(tmp_path):
    svg, dxf = tmp_path / "sun.SVG", tmp_path / "sun.dxf"
    svg.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
        '<circle cx="30" cy="30" r="30" fill="red"/></svg>'
    )
    document = ezdxf.new(units=4)
    document.modelspace().add_circle((30, 30), 30, dxfattribs={"color": 1})
    document.saveas(dxf)
    one, other = (pattern_report(path).as_json() for path in (svg, dxf))
    for key in ("width", "height", "regions", "borders", "segments"):
        assert one[key] == other[key]
    assert one["colours"][0] == other["colours"][0]


@pytest.mark.parametrize(("name", "what"), [("a.png", ".png"), ("art", "not “”")])
def test_other_kinds_of_file_are_refused_by_name(tmp_path, name, what):
    (tmp_path / name).touch()
    with pytest.raises(InputError, match=what):
        read_drawing(tmp_path / name, root=tmp_path)
