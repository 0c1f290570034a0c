import math
from fractions import Fraction
from itertools import combinations

import pytest
import shapely

from mateline.cabinet.hole import Hole
from mateline.checks.findings import Finding, Settled
from mateline.exports.picture.face_picture import (
    MARK,
    MOST_LISTED,
    face_picture,
    numbered_picture,
)
from mateline.exports.picture.id_places import MOST_CALLED
from mateline.tape.accuracy import Tape
from stencils import FRONT, board, painted_by, seaside, striped
from svg_reading import SVG, parsed

INCHES = Tape("in", Fraction(254, 160), "HB44")
METRIC = Tape("mm", Fraction(1), "II")


def finding(**more):
    return Finding("tip-sharp", "warn", "Sharp.", "Blunt it.", **{"face": "body-front", **more})


def words(text):
    return [element.text for element in parsed(text).iter(f"{SVG}text")]


def discs(text):
    """Centres of the finding's marks on the face."""
    circles = parsed(text).iter(f"{SVG}circle")
    return [
        (float(circle.get("cx")), float(circle.get("cy")))
        for circle in circles
        if circle.get("r") == f"{MARK:g}"
    ]


def test_it_says_the_face_its_size_and_its_pieces():
    found = words(face_picture(seaside(), [], INCHES))
    assert found[0] == "body-front"
    assert found[1].startswith('15 3/4" × 11 13/16"')  # noqa: RUF001
    assert {"A1", "B1", "C1", "3 pieces", "A  cream (base coat): 1"} <= set(found)


def test_the_scale_bar_is_in_the_users_unit_and_true():
    for tape, label, length in ((INCHES, '6"', 6 * 25.4), (METRIC, "200 mm", 200.0)):
        text = face_picture(seaside(), [], tape)
        assert label in words(text)
        bars = [
            float(box.get("width"))
            for box in parsed(text).iter(f"{SVG}rect")
            if box.get("height") == "5"
        ]
        assert sum(bars) == pytest.approx(length * 900 / 400, abs=0.02)  # the face is 900 px wide


def test_what_is_settled_is_in_the_legend_with_its_reason_and_has_no_mark():
    meant = finding(piece="body-front B1", at=(10.0, 20.0))
    other = finding(face="body-back")
    settled = [Settled(meant, "It is a flame."), Settled(other, "It is a sword.")]
    text = face_picture(seaside(), [], INCHES, settled)
    found = words(text)
    place = found.index("Settled")
    assert found[place + 1 : place + 4] == ["tip-sharp", "body-front B1", "It is a flame."]
    assert "It is a sword." not in found
    assert discs(text) == []
    assert len(discs(face_picture(seaside(), [meant], INCHES))) == 1


def test_many_that_are_settled_are_counted():
    settled = [Settled(finding(), "Meant.")] * (MOST_LISTED + 5)
    assert "and 5 more in findings.json" in words(face_picture(seaside(), [], INCHES, settled))


def test_findings_of_other_faces_are_left_out():
    text = face_picture(seaside(), [finding(), finding(face="body-back", piece="x")], INCHES)
    assert words(text).count("tip-sharp") == 1


def test_a_finding_is_marked_at_its_place():
    text = face_picture(seaside(), [finding(at=(100.0, 260.0))], INCHES)
    (mark,), (line,) = discs(text), parsed(text).iter(f"{SVG}line")
    start, end = ((float(line.get(f"x{at}")), float(line.get(f"y{at}"))) for at in "12")
    assert end == pytest.approx((225, 90))  # 2.25 px a mm, y down from 300
    assert start == mark


def test_no_mark_hides_a_marked_place():
    places = [(100.0, 260.0), (103.0, 258.0), (106.0, 262.0)]  # 2.25 px a mm: all within a disc
    text = face_picture(seaside(), [finding(at=at) for at in places], INCHES)
    seen = [(2.25 * x, 2.25 * (300 - y)) for x, y in places]
    apart = [math.dist(mark, place) for mark in discs(text) for place in seen]
    assert len(apart) == 9
    assert min(apart) > MARK


def test_findings_have_their_numbers_of_the_whole_job():
    text = numbered_picture(seaside(), [(7, finding(at=(100.0, 260.0))), (12, finding())], INCHES)
    assert [word for word in words(text) if word in {"1", "2", "7", "12"}] == ["7", "7", "12"]


def test_marks_at_one_place_are_led_apart():
    marks = discs(face_picture(seaside(), [finding(at=(100.0, 260.0))] * 12, INCHES))
    apart = [math.dist(one, other) for at, one in enumerate(marks) for other in marks[at + 1 :]]
    assert len(marks) == 12
    assert min(apart) > 2 * MARK


def test_a_long_list_is_cut_and_says_where_the_rest_is():
    found = words(face_picture(seaside(), [finding()] * (MOST_LISTED + 5), INCHES))
    assert found.count("tip-sharp") == MOST_LISTED
    assert "and 5 more in findings.json" in found


def crumbs(count):
    """A face 900 mm, and so 900 px, wide with `count` pieces of 6 mm in it."""
    places = [(20 + 40 * (at % 20), 20 + 30 * (at // 20)) for at in range(count)]
    small = [("sun yellow", shapely.box(x, y, x + 6, y + 6)) for x, y in places]
    return painted_by(board("front", FRONT, (900.0, 600.0)), small)


def dots(text):
    """Where leaders end on their pieces."""
    circles = parsed(text).iter(f"{SVG}circle")
    return [(float(c.get("cx")), float(c.get("cy"))) for c in circles if c.get("r") == "1.6"]


def tags(text):
    boxes = [box for box in parsed(text).iter(f"{SVG}rect") if box.get("rx") == "2.5"]
    sides = [[float(box.get(side)) for side in ("x", "y", "width", "height")] for box in boxes]
    return [shapely.box(x, y, x + wide, y + high) for x, y, wide, high in sides]


@pytest.mark.parametrize("count", [0, 5, MOST_CALLED, MOST_CALLED + 1, 200])
def test_the_id_of_every_piece_is_there_once(count):
    stencil = crumbs(count)
    found = words(face_picture(stencil, [], METRIC))
    names = [f"{piece.letter}{piece.number}" for piece in stencil.pieces]
    assert len(names) == count + 1
    assert all(found.count(name) == 1 for name in names)


def test_small_pieces_are_called_out_beside_them_and_tags_do_not_lap():
    stencil = crumbs(MOST_CALLED)
    text = face_picture(stencil, [], METRIC)
    assert len(tags(text)) == MOST_CALLED
    assert all(a.disjoint(b) for a, b in combinations(tags(text), 2))
    small = [piece.area for piece in stencil.pieces if piece.colour == "sun yellow"]
    found = shapely.STRtree([shapely.Point(x, 600 - y) for x, y in dots(text)])
    assert all(len(found.query(area, predicate="contains")) == 1 for area in small)


def test_where_too_many_would_be_called_out_all_are_lettered_in_place():
    assert tags(face_picture(crumbs(MOST_CALLED + 1), [], METRIC)) == []


def test_a_finding_hides_no_id():
    stencil = crumbs(5)
    boxes = tags(face_picture(stencil, [], METRIC))
    at = (boxes[0].centroid.x, 600 - boxes[0].centroid.y)
    (mark,) = discs(face_picture(stencil, [finding(at=at)], METRIC))
    assert all(shapely.Point(mark).buffer(MARK).disjoint(box) for box in boxes)


def test_names_are_escaped():
    hole = Hole("bolt <M6> & nut", "round", (50.0, 50.0), 10.0, 10.0)
    text = face_picture(striped(board("front", FRONT, (300.0, 200.0), holes=[hole])), [], METRIC)
    titles = [title.text for title in parsed(text).iter(f"{SVG}title")]
    assert "bolt <M6> & nut" in titles


def test_the_key_shows_only_what_is_on_the_face():
    assert {"tape tack", "open hole under the board", "hardware that stays"} <= set(
        words(face_picture(seaside(), [], METRIC))
    )
    plain = words(face_picture(striped(board("front", FRONT, (300.0, 200.0))), [], METRIC))
    assert not {"open hole under the board", "hardware that stays", "score (fold)"} & set(plain)


def test_the_same_face_gives_the_same_bytes():
    assert face_picture(seaside(), [], METRIC) == face_picture(seaside(), [], METRIC)
