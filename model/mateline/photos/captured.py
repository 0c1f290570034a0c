"""The short roads of `mateline square` and `mateline trace`: from a cabinet's photos to drawings.

Stands after photographed, before survey. Nothing is written here.

    photos -> squared -> labels -> traced -> true where it is asked -> the drawing of the face
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mateline.cabinet.cabinet import cabinet_of
from mateline.capture.asked import Trace
from mateline.capture.colours import difference, ink_light, lab_of, measured_paints
from mateline.capture.labelling.labelled import absent, labelled, proposed
from mateline.capture.photo_files import read_picture
from mateline.capture.regularity.regular import regular
from mateline.capture.squaring.joined import joined
from mateline.capture.squaring.square import sight, told
from mateline.capture.traced import expected_error, segment_counts
from mateline.capture.tracing.trace import fit
from mateline.curves import length
from mateline.definition.definition import settled
from mateline.definition.schema import FILE, load
from mateline.errors import Faults, InputError
from mateline.photos.cards import card_seen, light_of_card
from mateline.photos.photographed import photographed, rim_of, sights_of
from mateline.placing.art import Anchored, OnFaces
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.faces import Face
    from mateline.capture.asked import Photo
    from mateline.capture.colours import Card
    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labels import Labels
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.square import Sighted, Squared
    from mateline.capture.traced import Traced
    from mateline.definition.definition import Definition

    Say = Callable[[str], None]

FEWEST_COLOURS = 2
MADE_TRUE = 0.3  # mm: how far what is made true may move a border


@dataclass(frozen=True, slots=True, eq=False)
class Photographed:
    """A cabinet whose definition is settled, with its photos in `folder`; `file` is what messages
    call the definition.
    """

    folder: Path
    definition: Definition
    cabinet: Cabinet
    file: str

    def face(self, name: str, place: str) -> Face:
        """The face called `name`. Raises InputError for none."""
        face = self.cabinet.face(name)
        if face is None:
            faults = Faults(self.file)
            faults.unknown(place, name, "face", [each.name for each in self.cabinet.faces])
            faults.settle()
            raise AssertionError(name)  # settle has raised
        return face


@dataclass(frozen=True, slots=True, eq=False)
class SquaredFace:
    """A face seen square on, what each of its photos gave, and the card beside the first."""

    face: Face
    picture: FacePicture
    photos: tuple[Squared, ...]
    card: Card | None = None


@dataclass(frozen=True, slots=True)
class SeenPaint:
    """How the palette's colour `name` looks in a photo, "#rrggbb", and how far that is from what
    the palette says (CIEDE2000).
    """

    name: str
    ink: str
    difference: float


@dataclass(frozen=True, slots=True, eq=False)
class TracedFace:
    """A face's traced art: the `drawing` it is for, what it was traced in, what the palette's
    colours (`palette`, "#rrggbb") measure there, and `notes` for a person.
    """

    face: Face
    drawing: str
    squared: SquaredFace
    labels: Labels
    traced: Traced
    palette: Mapping[str, str]
    paints: tuple[SeenPaint, ...]
    notes: tuple[str, ...]

    def guessed_share(self) -> float:
        """The share of all border length, the outline's left aside, that no sound paint shows."""
        inner = [each for each in self.traced.borders if -1 not in (each.left, each.right)]
        whole = sum(length(each.chain) for each in inner)
        guessed = sum(end - start for each in inner for start, end in each.guessed)
        return guessed / whole if whole else 0.0

    def as_json(self, out: str) -> dict[str, Any]:
        """The answer of `--json`; `out` is where the drawing was written. mm, mm²."""
        inner = [each for each in self.traced.borders if -1 not in (each.left, each.right)]
        traced = expected_error(inner)
        squared = max(photo.expected.rms for photo in self.squared.photos)
        return {
            "out": out,
            "regions": len(self.traced.regions),
            "borders": len(inner),
            "segments": segment_counts(inner),
            "expected_rms": round(math.hypot(traced, squared), 4),
            "expected_of_tracing": round(traced, 4),
            "expected_of_squaring": round(squared, 4),
            "guessed": round(self.guessed_share(), 6),
            "colours": [{"colour": name, "area": round(size, 2)} for name, size in self.areas()],
            "light": "card" if self.squared.card else "palette",
            "paints": [
                {"colour": each.name, "seen": each.ink, "ciede2000": each.difference}
                for each in self.paints
            ],
            "notes": list(self.notes),
        }

    def areas(self) -> list[tuple[str, float]]:
        """Each colour's area, mm², the largest first."""
        return sorted(self.traced.areas().items(), key=lambda each: (-each[1], each[0]))


def photographs(folder: Path) -> Photographed:
    """The cabinet of a folder, as far as its photos need it.

    Raises InputError or InputFaultsError.
    """
    there = _built(folder)
    definition, file = there.definition, there.file
    if not definition.photos:
        raise InputError(
            file, "photo", "It names no photo.",
            'Add [[photo]] with file = "..." and on = the face that it shows.',
        )  # fmt: skip
    for photo in definition.photos:
        there.face(photo.face, f"{photo.place}, on")
    return there


def _built(folder: Path) -> Photographed:
    file = str(folder / FILE)
    definition = settled(load(folder), Faults(file))
    faults = Faults(file, said=lambda size: printed_exact(size, definition.tape.unit))
    cabinet = cabinet_of(definition.carcases, definition.hardware, definition.tape, faults)
    return Photographed(folder, definition, cabinet, file)


def face_of(folder: Path, name: str) -> Face:
    """A face of the cabinet in a folder, which need have no photos.

    Raises InputError or InputFaultsError.
    """
    return _built(folder).face(name, "FACE")


def squared_faces(
    there: Photographed, files: Sequence[str] = (), say: Say = lambda _: None
) -> tuple[SquaredFace, ...]:
    """Each face that photos show, in the order of the definition; of `files` only, if any are
    named. Raises InputError or InputFaultsError.
    """
    photos = there.definition.photos
    known = [photo.file for photo in photos]
    for name in files:
        if name not in known:
            faults = Faults(there.file)
            faults.unknown("photo", name, "photo in the definition", known)
            faults.settle()
    faces = dict.fromkeys(photo.face for photo in photos if not files or photo.file in files)
    return tuple(
        squared_face(there, name, tuple(p for p in photos if p.face == name), say) for name in faces
    )


def squared_face(
    there: Photographed, name: str, photos: Sequence[Photo], say: Say = lambda _: None
) -> SquaredFace:
    """One face from all its photos. Raises InputError or InputFaultsError."""
    face = there.face(name, "photo")
    tape = there.definition.tape
    outline = photographed(face, there.cabinet, tape)
    others = [
        photographed(each, there.cabinet, tape) for each in there.cabinet.faces if each.name != name
    ]
    sighted: list[Sighted] = []
    lights: list[tuple[float, float, float] | None] = []
    for photo in photos:
        say(f"squaring {photo.file}")
        faults = Faults(there.file)
        sights = sights_of(photo, face, faults)
        _refuse_other_corners(photo, outline, faults)
        faults.settle()
        shown = read_picture(there.folder / photo.file, root=there.folder)
        lights.append(light_of_card(photo, shown, first=not sighted, faults=faults))
        faults.settle()
        sighted.append(
            sight(shown, outline, corners=photo.corners or None, sights=sights, others=others)
        )
    picture, together = joined(sighted)
    squared = tuple(told(each, picture.grid) for each in together)
    card = card_seen(photos[0], together[0].solved.view, lights[0])
    return SquaredFace(face, picture, squared, card)


def _refuse_other_corners(photo: Photo, outline: Outline, faults: Faults) -> None:
    if photo.corners and len(photo.corners) != len(outline):
        names = ", ".join(outline.names)
        faults.add(
            f"{photo.place}, corners",
            f"It names {len(photo.corners)} corners, and {photo.face} has {len(outline)}.",
            f"Name them in this order: {names}; or leave them out.",
        )


def traced_face(there: Photographed, name: str, say: Say = lambda _: None) -> TracedFace:
    """The art of one face from its photos. Raises InputError or InputFaultsError."""
    face = there.face(name, "FACE")
    wish = next((each for each in there.definition.traces if each.face == name), Trace(name))
    photos = _photos_of(there, name)
    drawing = drawing_for(there, wish)
    squared = squared_face(there, name, photos, say)
    say(f"telling the paint of {name} from damage")
    labels = _labels(there, wish, squared)
    picture, notes = squared.picture, [note for each in squared.photos for note in each.notes]
    if wish.opposite is not None:
        picture, labels, more = _beside(there, wish, (picture, labels), say)
        notes += more
    say(f"tracing the borders of {name}")
    found = fit(labels, picture, rim_of(face.flat))
    notes += _told_of(found.finer, found.rough)
    notes += [f"There is no {colour} in the photo." for colour in absent(labels)]
    traced, more = _made_true(there, wish, found.traced)
    notes += more
    inks = dict(there.definition.colours.paints)
    paints = _seen(labels, squared, inks)
    return TracedFace(face, drawing, squared, labels, traced, inks, paints, tuple(notes))


def _seen(labels: Labels, squared: SquaredFace, inks: Mapping[str, str]) -> tuple[SeenPaint, ...]:
    """How each colour that is there looks in the photo, its light, tint and haze taken out.

    How bright and how warm the light was is told by the card; without one by the palette itself:
    a fading that all colours share doesn't show then.
    """
    gone = absent(labels)
    if squared.card is not None:
        measured = measured_paints(labels, squared.picture, inks, squared.card)
        return tuple(
            SeenPaint(each.name, each.ink, round(each.difference, 2))
            for each in measured
            if each.ink is not None and each.difference is not None and each.name not in gone
        )
    seen = [(name, ink) for name, ink in proposed(labels) if name not in gone]
    return tuple(
        SeenPaint(name, ink, round(float(difference(_lab(ink), _lab(inks[name]))), 2))
        for name, ink in seen
    )


def _lab(ink: str) -> NDArray[np.float64]:
    return lab_of(ink_light(ink))


def _photos_of(there: Photographed, name: str) -> tuple[Photo, ...]:
    photos = tuple(each for each in there.definition.photos if each.face == name)
    if not photos:
        shown = ", ".join(dict.fromkeys(each.face for each in there.definition.photos))
        raise InputError(
            there.file, "photo", f"No photo shows {name}.",
            f"Add a [[photo]] of it; those that are there show {shown}.",
        )  # fmt: skip
    return photos


def _labels(there: Photographed, wish: Trace, squared: SquaredFace) -> Labels:
    file = ", ".join(photo.file for photo in squared.photos)
    return labelled(squared.picture, _palette(there, wish), wish.bare or None, file=file)


def _palette(there: Photographed, wish: Trace) -> tuple[tuple[str, str], ...]:
    paints = there.definition.colours.paints
    names = wish.colours or tuple(paints)
    if len(names) < FEWEST_COLOURS:
        raise InputError(
            there.file, wish.place or "palette", "There is one colour, and so no border to trace.",
            "Give the palette the colours that the art has, about as they look.",
        )  # fmt: skip
    return tuple((name, paints[name]) for name in names)


def _beside(
    there: Photographed, wish: Trace, own: tuple[FacePicture, Labels], say: Say
) -> tuple[FacePicture, Labels, list[str]]:
    """One side with what the opposite one shows behind its damage."""
    from mateline.capture.both_sides.joint import joined as joined_sides  # noqa: PLC0415
    from mateline.capture.both_sides.registration import UnlikeError  # noqa: PLC0415

    other = wish.opposite or ""
    squared = squared_face(there, other, _photos_of(there, other), say)
    say(f"telling the paint of {other} from damage")
    labels = _labels(there, wish, squared)
    say(f"laying {other} over {wish.face}")
    try:
        both = joined_sides(own, (squared.picture, labels))
    except UnlikeError as unlike:
        raise InputError(
            there.file, f"{wish.place}, beside",
            f"Hardly a border of {wish.face} is left on {other}.",
            "Leave `beside` out, or photograph more of what is left there.",
        ) from unlike  # fmt: skip
    notes = [
        f"The sides differ by {each.area:.0f} mm² near ({each.at[0]:.0f}, {each.at[1]:.0f}): "
        f"{each.left} on {wish.face}, {each.right} on {other}; {wish.face} keeps its own."
        for each in both.differences
    ]
    return (*both.left, notes)


def _made_true(there: Photographed, wish: Trace, traced: Traced) -> tuple[Traced, list[str]]:
    """What was traced, with what the definition says is true made so, and what that moved."""
    if not wish.true:
        return traced, []
    inches = there.definition.tape.unit in {"in", "ft"}
    sizes = there.definition.radii or ("inch" if inches else "mm")
    traced, changes = regular(traced, wish.true, MADE_TRUE, sizes)
    unit = there.definition.tape.unit
    moved = [f"{each.words}; moved by {printed_exact(each.moved, unit)}." for each in changes]
    return traced, [f"Made true: {each}" for each in moved]


def _told_of(finer: Sequence[int], rough: Sequence[int]) -> list[str]:
    notes = []
    if finer:
        notes.append(f"{len(finer)} borders have more pieces than they need: others ran too near.")
    if rough:
        notes.append(f"{len(rough)} borders are as the pixels show them: no lines and arcs fitted.")
    return notes


def drawing_for(there: Photographed, wish: Trace) -> str:
    """The drawing that a face is traced into: that of its art, or the one that is named.

    Raises InputError where no art on the face could take it.
    """
    usual = Anchored()
    wanted = [
        art
        for art in there.definition.art
        if isinstance(art.where, OnFaces) and wish.face in art.where.faces
        and (wish.drawing is None or art.drawing == wish.drawing)
    ]  # fmt: skip
    named = wish.drawing or "traced/" + wish.face + ".svg"
    if len(wanted) != 1:
        what = "No art" if not wanted else "More than one"
        raise InputError(
            there.file, "art", f"{what} on {wish.face} takes the drawing that is traced.",
            f'Add [[art]] with drawing = "{named}" and on = "{wish.face}"'
            + ("." if not wanted else f", and name it in the [[trace]] of {wish.face}."),
        )  # fmt: skip
    art = wanted[0]
    if art.put != usual:
        raise InputError(
            there.file, art.place, "A traced drawing has the face's size and place already.",
            "Remove anchor, to, offset, turn, scale, fit and landmarks from the entry.",
        )  # fmt: skip
    if not art.drawing.lower().endswith(".svg"):
        raise InputError(
            there.file, art.place, f"What is traced is written as SVG, and {art.drawing} is none.",
            f'Call it "{named}".',
        )  # fmt: skip
    if not (there.folder / art.drawing).resolve().is_relative_to(there.folder.resolve()):
        raise InputError(
            there.file, art.place, "The drawing lies outside the cabinet's folder.",
            f'Call it "{named}".',
        )  # fmt: skip
    return art.drawing
