"""The grey or white card beside a face: what a photo says of its light.

Stands after photographed, before captured.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.colours import Card, CardError, card_light
from mateline.capture.squaring.view import places_of

if TYPE_CHECKING:
    from mateline.capture.asked import Photo
    from mateline.capture.picture import Picture
    from mateline.capture.squaring.view import View
    from mateline.errors import Faults

    Light = tuple[float, float, float]


def light_of_card(photo: Photo, shown: Picture, faults: Faults, *, first: bool) -> Light | None:
    """Light from the photo's card; None where it has none."""
    if photo.card is None:
        return None
    where = f"{photo.place}, card"
    if not first:  # the others are made as bright as the first
        faults.add(
            where,
            f"Only the first photo of {photo.face} can have a card.",
            "Name the photo with the card before the others of the face.",
        )
        return None
    try:
        return card_light(shown, photo.card.pixels)
    except CardError as wrong:
        what = "Name two opposite corners of a plain part of the card, in pixels of the photo."
        faults.add(where, str(wrong), what)
        return None


def card_seen(photo: Photo, view: View, light: Light | None) -> Card | None:
    """The card of a photo, where it lies in the plane of the face."""
    if photo.card is None or light is None:
        return None
    middle = np.mean(np.array(photo.card.pixels), axis=0)[None]
    x, y = np.round(places_of(view, middle)[0], 3).tolist()
    return Card(light, (x, y), photo.card.reflectance)
