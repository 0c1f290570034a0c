"""Work is counted before it is done: what a drawing asks for, to the last element."""

import pytest
from lxml import etree

from mateline.drawing.dxf.census import refuse_too_much
from mateline.drawing.svg import rendering
from mateline.drawing.svg.census import Census
from mateline.drawing.svg.path_data import least_numbers, least_segments, subpaths
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
        ("0\nLINE\n" * 30_000, ""),
        ("0\nLINE\n67\n1\n" * 30_001, ""),  # all in paper space
        ("0\nPOLYLINE\n" + "0\nVERTEX\n" * 40_000, ""),
    ],
    ids=["entities", "corners", "vertices", "as many as may be", "in paper space", "one polyline"],
)
def test_a_text_dxf_is_counted_before_its_library_reads_it(entities, reason):
    if reason:
        with pytest.raises(ValueError, match=reason):
            refuse_too_much(dxf(entities))
    else:
        refuse_too_much(dxf(entities))
