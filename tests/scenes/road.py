"""The whole road from a photo to borders, as `mateline trace` goes it, over twenty scenes.

    photo -> square -> label -> trace

Three scenes are of twelve megapixels; the others show a face of 300 by 400 mm at the same px/mm.
"""

from dataclasses import dataclass, field

from mateline.capture.face_picture import FacePicture
from mateline.capture.labelling.labelled import labelled
from mateline.capture.labels import Labels
from mateline.capture.picture import Picture, decoded
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import squared
from mateline.capture.tracing.trace import fit
from scenes.camera import standing
from scenes.design import design
from scenes.photograph import Light, Scene, photographed
from scenes.wear import worn

DENSITY = 2.35  # px/mm


@dataclass(frozen=True)
class Ride:
    """What a scene of the road is made of, as in cases."""

    seed: int
    camera: dict = field(default_factory=dict)
    light: dict = field(default_factory=dict)
    loss: float = 0.14
    bow: tuple = ()
    whole: bool = False  # twelve megapixels


#  seed 9 has a stripe of 0.28 mm, less than a pixel, for 230 mm: no picture shows it
DARK, LENS = {"wall": "#25262c"}, {"k2": 0.03, "moved": (15.0, -22.0)}
SIDE = {"slope": (1.1, -0.3), "spot": 0.08}
RIDES = {
    **{f"plain {seed}": Ride(seed) for seed in range(1, 9)},
    "dark wall": Ride(18, light=DARK),
    "k2, moved centre": Ride(10, LENS),
    "bowed edge": Ride(11, bow=((1, 0.3),)),
    "blurred": Ride(12, light={"blur": 1.5}),
    "quarter gone": Ride(13, loss=0.25),
    "far away": Ride(14, {"density": 1.2}),
    "light from a side": Ride(15, light=SIDE),
    "steep view": Ride(16, {"yaw_deg": -27.0, "pitch_deg": 9.0, "roll_deg": -3.0, "k1": -0.05}),
    "all at once": Ride(
        17, {"density": 1.6, "k2": 0.02, "moved": (-10.0, 14.0), "yaw_deg": 20.0},
        {"blur": 1.2, "slope": (0.8, 0.2), "noise": 0.012, "quality": 80}, 0.25,
    ),
    "whole 1": Ride(1, whole=True),
    "whole 2": Ride(2, whole=True),
    "whole, dark wall": Ride(3, light=DARK, whole=True),
}  # fmt: skip


@dataclass(frozen=True)
class Ridden:
    """A scene and what each stage made of it; `expected` is the squared photo's error, mm rms."""

    scene: Scene
    picture: FacePicture
    expected: float
    labels: Labels


def ridden(name):
    """The scene of a ride, squared and labelled."""
    ride = RIDES[name]
    made = design(ride.seed) if ride.whole else design(ride.seed, 300.0, 400.0)
    wear = worn(made.outline, ride.loss, 60 if ride.whole else 20, seed=ride.seed)
    density = ride.camera.get("density", DENSITY)
    size = (3000, 4000) if ride.whole else (round(390 * density), round(500 * density))
    camera = standing(made.outline, **{"size": size, "density": density, **ride.camera})
    scene = photographed(made, camera, wear, Light(**ride.light), ride.seed, ride.bow)
    light = decoded((scene.picture / 255.0).astype("float32"))
    picture, told = squared(Picture(name, light), outline_of("side", made.corners))
    return Ridden(scene, picture, told.expected.rms, labelled(picture, tuple(made.palette.items())))


def traced(ride):
    """What is traced of it, with which borders fell back."""
    corners = [tuple(corner) for corner in ride.scene.design.corners]
    return fit(ride.labels, ride.picture, corners)
