"""Standard radii, from the definition to the files."""

import io

import ezdxf
import pytest

from mateline.exports.by_hand.strokes import hand_sheets
from mateline.exports.by_hand.table import hand_cutting
from mateline.exports.cut.dxf import stencil_dxf
from mateline.exports.cut.svg import stencil_svg
from mateline.starter import write_starter
from mateline.stencil.cutting.cut_path import cut_path
from mateline.survey import surveyed, with_true_borders
from svg_reading import Arc, parsed, paths, segments


def written(folder, radii, reach=25.393):
    """A stencil of a side with discs of radius `reach` mm, and the tape."""
    write_starter(folder / "box")
    definition = folder / "box" / "cabinet.toml"
    text = definition.read_text(encoding="utf-8")
    assert "[stencil]" not in text
    definition.write_text(text + f"\n[stencil]\n{radii}\n", encoding="utf-8")
    drawing = folder / "box" / "band.svg"
    svg = drawing.read_text(encoding="utf-8")
    drawing.write_text(svg.replace('r="24"', f'r="{reach}"'), encoding="utf-8")
    job = with_true_borders(surveyed(folder / "box"))
    (left,) = (each for each in job.stencils if each.face.name == "box-left")
    return left, job.tape


def dxf_radii(stencil):
    space = ezdxf.read(io.StringIO(stencil_dxf(stencil))).modelspace()
    return [entity.dxf.radius for entity in space.query('CIRCLE[layer=="CUT"]')]


def svg_radii(stencil):
    (cut,) = (group for group in parsed(stencil_svg(stencil)) if group.get("id") == "cut")
    found = (segments(path.get("d")) for path in paths(cut))
    return [each.radii[0] for chain in found for each in chain if isinstance(each, Arc)]


@pytest.mark.parametrize(
    ("line", "reach", "expected"),
    [
        ('radii = "inch"', 25.393, 25.4),
        ('radii = "inch"', 25.44, 25.44),
        ('radii = "mm"', 24.985, 25.0),
        ("", 25.393, 25.393),
    ],
)
def test_the_files_carry_the_standard_radius(tmp_path, line, reach, expected):
    stencil, _ = written(tmp_path, line, reach)
    circles = dxf_radii(stencil)
    assert len(circles) >= 3
    assert circles == pytest.approx([expected] * len(circles), abs=1e-6)
    drawn = [each for each in svg_radii(stencil) if abs(each - expected) < 1e-5]
    assert len(drawn) >= 2 * len(circles)  # no arc of a path is more than half a turn


def test_the_sheet_for_cutting_by_hand_says_an_inch(tmp_path):
    stencil, tape = written(tmp_path, 'radii = "inch"')
    text = hand_cutting(hand_sheets(stencil, tape, cut_path(stencil.pattern)), tape)
    assert 'Template 2" across (R 1")' in text
