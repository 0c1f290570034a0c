"""Scenes by name, easy and hard, of twelve megapixels: the ones that tables of figures are made of.

`scene(name)` photographs one of CASES; it takes half a minute. `small(...)` is a scene for quick
tests, of a tenth of the pixels.
"""

from dataclasses import dataclass, field

from scenes.camera import standing
from scenes.design import design
from scenes.photograph import Light, photographed
from scenes.wear import worn


@dataclass(frozen=True)
class Case:
    """What a scene is made of: `camera` for `standing`, `light` for Light, `loss` for wear."""

    seed: int = 1
    camera: dict = field(default_factory=dict)
    light: dict = field(default_factory=dict)
    loss: float = 0.14
    bow: tuple = ()


CASES = {
    "plain": Case(),
    "k2, moved centre": Case(2, {"k2": 0.03, "moved": (45.0, -70.0)}),
    "wall as the paint": Case(3, light={"wall": "#25262c"}),
    "wall as the base": Case(4, light={"wall": "#e2d6b6"}),
    "bowed edge": Case(5, bow=((1, 0.5),)),
    "blurred": Case(6, light={"blur": 1.5}),
    "quarter gone": Case(7, loss=0.25),
    "far away": Case(8, {"density": 1.2}),
    "light from a side": Case(9, light={"slope": (1.1, -0.3), "spot": 0.08}),
    "steep view": Case(10, {"yaw_deg": -27.0, "pitch_deg": 9.0, "roll_deg": -3.0, "k1": -0.05}),
    "wide lens": Case(11, {"focal": 0.75, "k1": -0.16, "k2": 0.04, "density": 2.1}),
    "long lens": Case(12, {"focal": 2.2, "k1": 0.03, "yaw_deg": -6.0, "pitch_deg": 3.0}),
    "square on": Case(13, {"yaw_deg": 0.3, "pitch_deg": 0.2, "roll_deg": 0.1}),
    "all at once": Case(
        14,
        {"density": 1.6, "k2": 0.02, "moved": (-30.0, 40.0), "yaw_deg": 20.0},
        {"blur": 1.2, "slope": (0.8, 0.2), "noise": 0.012, "quality": 80},
        0.25,
    ),
}


def scene(name):
    """The scene of a case, twelve megapixels."""
    case = CASES[name]
    made = design(case.seed)
    wear = worn(made.outline, case.loss, seed=case.seed)
    camera = standing(made.outline, **case.camera)
    return photographed(made, camera, wear, Light(**case.light), case.seed, case.bow)


def small(seed=1, *, light=None, loss=0.14, bow=(), **camera):
    """A scene of 1200 by 1500 pixels, of a face of 300 by 400 mm."""
    made = design(seed, 300, 400)
    wear = worn(made.outline, loss, scratches=20, seed=seed)
    seen = standing(made.outline, **{"size": (1200, 1500), "density": 2.6, **camera})
    return photographed(made, seen, wear, light or Light(), seed, bow)
