"""Photos as phones make them, of faces with and without black outlines: which paint, which damage.

The figures of the camera's own picture are those of test_labelled; a phone's contrast leaves light
that no smooth field follows, its sharpening and its coarse colours leave rims beside borders.
"""

import numpy as np
import pytest

from mateline.capture.labelling.labelled import labelled
from mateline.capture.photo_files import read_picture
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import squared
from scenes.camera import standing
from scenes.design import design
from scenes.ideal import places_of
from scenes.judging import labels_right
from scenes.phone import outlined, phone
from scenes.photograph import photographed
from scenes.wear import sampled, worn


@pytest.mark.parametrize(
    ("make", "seed", "sound"),
    [(design, 3, 0.996), (design, 4, 0.996), (outlined, 2, 0.99), (outlined, 8, 0.993)],
)
def test_paint_in_a_photo_of_a_phone_is_told_from_damage(make, seed, sound, tmp_path):
    made = make(seed, 240.0, 320.0)
    wear = worn(made.outline, 0.05, 6, seed)
    scene = photographed(made, standing(made.outline, (800, 980)), wear, seed=seed)
    (tmp_path / "photo.jpg").write_bytes(phone(scene))
    picture = read_picture(tmp_path / "photo.jpg", root=tmp_path)
    face, _ = squared(picture, outline_of("side", made.corners))
    labels = labelled(face, tuple((name, made.palette[name]) for name in made.colours))
    assert labels_right(labels, made, wear)["sound"] > sound
    places = places_of(face.grid)
    hurt = sampled(wear.wood, wear, places) + sampled(wear.scratch, wear, places)
    whole = (hurt == 0).reshape(labels.numbers.shape) & (labels.numbers >= 0)
    assert np.mean(~labels.sound[whole]) < 0.02
