"""Work is counted before it is done: what a drawing asks for, to the last element."""

import pytest
from lxml import etree

from mateline.drawing.dxf.census import refuse_too_much
from mateline.drawing.path import Line
from mateline.drawing.svg import rendering
from mateline.drawing.svg.census import Census, TooMuchError
from mateline.drawing.svg.path_data import least_curves, least_numbers, least_segments, subpaths
from mateline.drawing.svg.reader import read_svg
from mateline.drawing.svg.transparency import MOST_OVERLAPS, opaque
from mateline.errors import InputError

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">{}</svg>'


def tree_of(body):
    root = etree.fromstring(SVG.format(body))
    return root, Census({one.get("id"): one for one in root.iter() if one.get("id")})


#   svg 1, use 1, then l0: itself 1 and two uses, each 1 + l1 (itself and two squares: 3) = 9
def test_copies_of_copies_are_counted_without_being_made():
    root, census = tree_of(
        '<defs><g id="l0"><use href="#l1"/><use href="#l1"/></g>'
        '<g id="l1"><rect/><rect/></g></defs><use href="#l0"/>'
    )
    assert census.elements([root]) == 1 + 1 + 9


@pytest.mark.parametrize(
    ("body", "count"),
    [
        ("<rect/><text/><title/><metadata/>", 2),
        ("<switch><g systemLanguage='fr'/><g><rect/></g><rect/></switch>", 3),
        ('<symbol id="s"><rect/><rect/></symbol><use href="#s"/>', 3),
        ('<use id="a" href="#a"/>', 1),
        ('<use href="#none"/>', 1),
    ],
)
def test_what_is_drawn_is_counted_and_no_more(body, count):
    root, census = tree_of(body)
    assert census.elements([root]) == 1 + count  # and the svg itself


def test_as_many_elements_as_are_allowed_are_drawn_and_one_more_is_not(tmp_path, monkeypatch):
    monkeypatch.setattr(rendering, "MOST_ELEMENTS", 60)
    monkeypatch.setattr("mateline.drawing.svg.census.MOST_ELEMENTS", 60)
    path = tmp_path / "many.svg"
    for count, most in ((59, True), (60, False)):
        path.write_text(SVG.format('<rect width="1" height="1"/>' * count))
        if most:
            assert len(read_svg(path, root=tmp_path).shapes) == count
        else:
            with pytest.raises(InputError, match="more than 60 elements, 61 with"):
                read_svg(path, root=tmp_path)


@pytest.mark.parametrize(
    ("data", "segments", "moves"),
    [
        ("", 0, 0),
        ("M0 0", 1, 1),
        ("M0 0z", 2, 1),
        ("M0,0 1,1 2,2", 3, 1),
        ("M1-2-3-4", 2, 1),
        ("M0 0h1 2 3v4", 5, 1),
        ("M0 0C1 2 3 4 5 6 1e-3 2 3 4 5 6", 3, 1),
        ("m0 0a1 1 0 0 1 5 5 1 1 0 0 1 9 9Z", 4, 1),
    ],
)
def test_segments_are_counted_from_the_text(data, segments, moves):
    assert least_segments(data) == (segments, moves)
    made = subpaths(data)
    assert sum(len(part.steps) for part in made) <= segments


@pytest.mark.parametrize(
    ("data", "curves"),
    [
        ("", 0),
        ("M0 0L1 1 2 2H3V4z", 0),
        ("M0 0C1 2 3 4 5 6 1e-3 2 3 4 5 6", 2),
        ("m0 0s1 2 3 4q1 2 3 4t1-1-1 1z", 4),
        ("m0 0a1 1 0 0 1 5 5 1 1 0 0 1 9 9Z", 2),
    ],
)
def test_curves_are_counted_from_the_text(data, curves):
    assert least_curves(data) == curves
    steps = [step for part in subpaths(data) for step in part.steps]
    assert sum(not isinstance(step, Line) for step in steps) == curves


#   a curve counts for ten points: 76 paths of 1000 are 760 000, and nothing is drawn of them
@pytest.mark.parametrize("letter", ["t1 1", "c1 1 2 1 1 1", "a1 1 0 0 1 1 1"])
def test_curves_of_all_paths_are_counted_before_any_is_drawn(letter):
    def refused(paths):
        root, census = tree_of(f'<path d="M0 0{letter * 1000}"/>' * paths)
        try:
            census.refuse_too_much(root)
        except TooMuchError as wrong:
            return str(wrong.what)
        return ""

    assert refused(75) == ""
    assert refused(76).startswith("draws more than 750000 points, 760000 with")


#   10 elements for each of a clip's or a mask's parts: 3000 are as many as may be drawn
@pytest.mark.parametrize("kind", ["clip-path", "mask"])
def test_parts_of_clips_and_masks_are_counted_before_they_are_united(tmp_path, monkeypatch, kind):
    monkeypatch.setattr(rendering, "MOST_ELEMENTS", 60)
    monkeypatch.setattr("mateline.drawing.svg.census.MOST_ELEMENTS", 60)
    tag = {"clip-path": "clipPath", "mask": "mask"}[kind]
    path = tmp_path / "many.svg"
    for count in (5, 6):
        parts = '<rect width="5" height="5" fill="#fff"/>' * count
        used = f'<rect width="9" height="9" {kind}="url(#m)"/>'
        path.write_text(SVG.format(f'<{tag} id="m">{parts}</{tag}>{used}'))
        if count == 5:
            assert read_svg(path, root=tmp_path).shapes[0].area.area == pytest.approx(25)
        else:
            with pytest.raises(InputError, match=r"more than 60 elements, 6\d with"):
                read_svg(path, root=tmp_path)


@pytest.mark.parametrize(
    ("text", "count"), [("", 0), ("1", 1), ("1 2,3", 3), ("1e5-2", 2), (" +1 -2\n3.5 ", 3)]
)
def test_numbers_are_counted_from_the_text(text, count):
    assert least_numbers(text) == count


def test_half_transparent_shapes_are_counted_by_what_lies_under_them(tmp_path):
    # n shapes in one place lie on one another n (n - 1) / 2 times.
    path = tmp_path / "heap.svg"
    count = 776
    assert count * (count - 1) / 2 > MOST_OVERLAPS > (count - 1) * (count - 2) / 2
    path.write_text(SVG.format('<rect width="5" height="5" opacity=".5"/>' * count))
    with pytest.raises(InputError, match=f"{count} of them lie on others more than"):
        read_svg(path, root=tmp_path)
    assert opaque([], lambda *_: None) == ([], [])


def dxf(entities):
    return f"0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n".encode()


@pytest.mark.parametrize(
    ("entities", "reason"),
    [
        ("0\nLINE\n" * 30_001, "more than 30000 entities, 30001 at least"),
        ("0\nLWPOLYLINE\n" + "10\n1\n" * 250_001, "LWPOLYLINE in line 5: .* 250001 at least"),
        ("0\nPOLYLINE\n" + "0\nVERTEX\n" * 250_001, "POLYLINE in line 5: .* 250001 at least"),
        ("0\nSPLINE\n" + "10\n1\n" * 20_001, "SPLINE in line 5: it has 20001 control points"),
        ("0\nLINE\n" * 30_000, ""),
        ("0\nLINE\n67\n1\n" * 30_001, ""),  # all in paper space
        ("0\nPOLYLINE\n" + "0\nVERTEX\n" * 40_000, ""),
    ],
    ids=[
        "entities",
        "corners",
        "vertices",
        "spline",
        "as many as may be",
        "in paper space",
        "one polyline",
    ],
)
def test_a_text_dxf_is_counted_before_its_library_reads_it(entities, reason):
    if reason:
        with pytest.raises(ValueError, match=reason):
            refuse_too_much(dxf(entities))
    else:
        refuse_too_much(dxf(entities))
