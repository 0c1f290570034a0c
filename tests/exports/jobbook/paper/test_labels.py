"""Labels on paper, on pages that are worked by hand: 1 mm on the page is 1 mm here."""

import numpy as np
import pytest

from mateline.exports.jobbook.paper.labels import AROUND, CALLED, LEAST, labels_of, leader
from mateline.exports.print.pdf_file import POINT

NOTHING = np.empty((0, 2))
PAGE = (100.0, 60.0)


def boxes(labels):
    for label in labels.values():
        (x, y), half, tall = label.at, label.wide / 2, 0.36 * label.size / POINT
        yield x - half, y - tall, x + half, y + tall


def test_an_id_stands_in_its_piece_where_it_has_room_and_is_led_to_it_elsewhere():
    spots = {"a B1": (30.0, 30.0, 8.0), "a B2": (70.0, 30.0, 0.4)}
    labels, missed = labels_of({"a B1": "B1", "a B2": "B2"}, spots, NOTHING, PAGE)
    assert not missed
    assert labels["a B1"].led is None
    assert labels["a B1"].at == (30.0, 30.0)
    assert labels["a B1"].size >= LEAST
    assert labels["a B2"].led == (70.0, 30.0)
    assert labels["a B2"].size == CALLED
    ((start, end),) = leader(labels["a B2"])
    assert start == (70.0, 30.0)
    assert 0 < np.hypot(end[0] - 70, end[1] - 30) < 3


@pytest.mark.parametrize("many", [12, 60, 400])
def test_labels_never_lie_on_one_another_and_all_are_named_or_missed(many):
    spots = {f"a B{n}": (50 + 5 * np.cos(n), 30 + 5 * np.sin(n), 0.3) for n in range(many)}
    names = {piece: piece.split()[1] for piece in spots}
    labels, missed = labels_of(names, spots, NOTHING, PAGE)
    assert set(labels) | set(missed) == set(spots)
    assert not set(labels) & set(missed)
    assert (not missed) == (many < 50)
    found = list(boxes(labels))
    for at, (left, low, right, high) in enumerate(found):
        assert -AROUND <= left < right <= PAGE[0] + AROUND
        assert -AROUND <= low < high <= PAGE[1] + AROUND
        for other in found[:at]:
            assert left >= other[2] or other[0] >= right or low >= other[3] or other[1] >= high
