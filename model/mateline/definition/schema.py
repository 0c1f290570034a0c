"""The definition: what `cabinet.toml` may say, read and validated.

Stands after part and hardware_tables. Texts stay texts here; definition.py settles them. The same
models give editors their JSON Schema (`schema`).

    A word of the file            what it is here
    reading                       a text such as '51 1/2"', or a plain number of the file's unit
    name of a face                carcase and panel joined by a hyphen: "body-left"
"""

from __future__ import annotations

import tomllib
from datetime import date, time
from typing import TYPE_CHECKING, Annotated, Any, Literal
from unicodedata import category

from pydantic import Field, ValidationError

from mateline.cabinet.panel import Finish  # noqa: TC001  pydantic reads them
from mateline.cabinet.specification import View  # noqa: TC001
from mateline.checks.findings import Code  # noqa: TC001
from mateline.definition.tables.capture import PhotoTable, TraceTable  # noqa: TC001
from mateline.definition.tables.edges import EdgeTable  # noqa: TC001
from mateline.definition.tables.hardware import GroupTable, HardwareTable  # noqa: TC001
from mateline.definition.tables.part import Corner, Name, Part, Reading
from mateline.errors import InputError, InputFaultsError
from mateline.paint.shop import Method  # noqa: TC001
from mateline.placing.art import Fit, Side, Spot  # noqa: TC001

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

FILE = "cabinet.toml"
MOST_BYTES = 2_000_000  # of a definition, which a person writes
MOST_SHOWN = 60  # letters of what the file says, in a message
CONTROL = frozenset(["Cc", "Cs", "Zl", "Zp"])  # Unicode's categories; Zl and Zp end lines
NO_XML = frozenset(["\ufffe", "\uffff"])  # (XML 1.0, 2.2)
REMEDY = "Name a folder that holds a cabinet.toml, or start one with `mateline new`."

Unfolded = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*( off [a-z][a-z0-9-]*)?$", max_length=90)]
Colour = Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]
Percent = Annotated[float, Field(gt=0, le=100)]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class TapeTable(Part):
    """The tape that took the readings, and the unit of the whole file.

    Angles taken with a bevel gauge may be out by `gauge_deg`, with a digital level by `level_deg`.
    Both defaults are common practice, no source.
    """

    unit: Literal["mm", "cm", "m", "in", "ft"]
    graduation: Reading
    accuracy: Literal["I", "II", "III", "HB44"]
    from_hook: bool = True
    gauge_deg: Annotated[float, Field(gt=0, le=10)] = 0.5
    level_deg: Annotated[float, Field(gt=0, le=10)] = 0.2


class PaintTable(Part):
    """One colour of the palette. Paint data are the label's; None where it is not known.

    `dry_film_um` is of one coat. `recoat_hours` is from one coat to the next, `dry_hours` from
    the last coat to masking over it.
    """

    paint: Colour
    letter: Annotated[str, Field(pattern=r"^[A-Z]$")]
    label: str | None = None
    volume_solids_percent: Percent | None = None
    dry_film_um: Annotated[float, Field(gt=0, le=500)] | None = None
    coats: Annotated[int, Field(ge=1, le=10)] = 1
    recoat_hours: Annotated[float, Field(gt=0, le=336)] | None = None
    dry_hours: Annotated[float, Field(gt=0, le=336)] | None = None
    method: Method | None = None


class PaletteTable(Part):
    """The colours, and which of them is the base coat under all others."""

    base: str
    colours: dict[Name, PaintTable]
    passes: tuple[Name, ...] | None = None


class PunchTable(Part):
    """A punch for tape tacks: `length` by `width`, or a disc of `diameter`."""

    length: Reading | None = None
    width: Reading | None = None
    diameter: Reading | None = None


Feed = Annotated[float, Field(gt=0, le=6000)]  # mm a minute; the limit is common practice


class KnifeTable(Part):
    """A machine's drag knife; with one, a build writes G-code.

    Depths are from the top of the board. Feeds are common practice, no source; the least of
    yours, the knife's and the machine's counts.
    """

    offset: Reading
    depth: Reading
    swivel_depth: Reading
    clearance: Reading = "5 mm"
    feed_mm_min: Feed = 1500.0
    swivel_feed_mm_min: Feed = 600.0
    plunge_feed_mm_min: Feed = 300.0


class StencilTable(Part):
    """The stencil board. Defaults are common practice, no source; yours come first.

    `join_tape` is the width of the tape over a join of two sheets, under which no tack belongs.
    `paper` is what stencil.pdf is tiled for; without it A4, or Letter for a tape in inches.
    `bed` is the size of the cutter's bed; without it, it takes a whole sheet.
    `radii` takes those within 0.02 mm of a sixteenth of an inch, or of half a millimetre, to it.
    """

    sheet: tuple[Reading, Reading] = ("762 mm", "1016 mm")
    thickness: Reading = "0.4 mm"
    least_width: Reading = "6 mm"
    least_area_mm2: Annotated[float, Field(gt=0)] = 150.0
    sharpest_deg: Annotated[float, Field(gt=0, lt=90)] = 12.0
    punches: tuple[PunchTable, ...] = (
        PunchTable(length="30 mm", width="12 mm"),
        PunchTable(length="16 mm", width="8 mm"),
        PunchTable(diameter="6 mm"),
        PunchTable(diameter="4 mm"),
    )
    tape_margin: Reading = "2 mm"
    join_tape: Reading = "24 mm"
    reach: Reading = "150 mm"
    kerf: Reading = "0.2 mm"
    paper: Literal["A4", "A3", "Letter", "Tabloid"] | None = None
    radii: Literal["inch", "mm"] | None = None
    knife: KnifeTable | None = None
    bed: tuple[Reading, Reading] | None = None


class TransferTable(Part):
    """Share of the sprayed solids that lands on the work, percent; None takes the default."""

    gun: Percent | None = None
    can: Percent | None = None
    brush: Percent | None = None


class PaintingTable(Part):
    """How and when it is painted. Defaults are common practice, no source, where none is named.

    `start` is the first day of painting; without it days are only counted. Air, surface and
    humidity are measured where the paint is sprayed; without them the dew point is not checked.
    `degrees` are what temperatures are stated in; where it is not said, a job in inches is told °F
    first. `done` says what is finished already, and when its last coat was on: "base coat
    2027-05-03", "gold 2027-05-05 15:30", or a list of them; the rest of the plan follows it.
    """

    start: date | None = None
    done: str | tuple[str, ...] = ()
    day_starts: time = time(9, 0)
    hours_a_day: Annotated[float, Field(gt=0, le=24)] = 8.0
    days_off: tuple[Weekday, ...] = ()
    minutes_a_piece: Annotated[float, Field(ge=0, le=120)] = 1.5
    minutes_a_face: Annotated[float, Field(ge=0, le=480)] = 10.0
    method: Method = "gun"
    degrees: Literal["C", "F"] = "C"
    air: float | None = None
    surface: float | None = None
    humidity_percent: Percent | None = None
    slower_per_10c: Annotated[float, Field(ge=1, le=4)] = 1.0
    put_back_play: Reading = "0.5 mm"
    spray_angle_deg: Annotated[float, Field(ge=0, lt=80)] = 15.0
    edge_bleed: Reading = "0 mm"
    waste_percent: Annotated[float, Field(ge=0, le=200)] = 15.0
    transfer_percent: TransferTable = TransferTable()
    can_size_ml: Annotated[float, Field(gt=0, le=2000)] = 400.0
    can_covers_m2: Annotated[float, Field(gt=0, le=20)] | None = None


class CurveTable(Part):
    """One curve of an outline: its rise at the middle of its chord, its radius from a template, or
    points along it, each from its first corner along the chord and off the chord.

    `tangent` names the ends at which it runs on without a corner; `hollow` says that it runs
    inside its chord.
    """

    rise: Reading | None = None
    radius: Reading | None = None
    points: tuple[tuple[Reading, Reading], ...] = ()
    tangent: tuple[Corner, ...] = ()
    hollow: bool = False


class MeasuredTable(Part):
    """How an outline was measured: readings between its corners, or points where it is known.

    A reading taken more than once is a list. `angles` are in degrees: B is what a bevel gauge has
    there, "C-D to A-B" what a level shows on C-D that was set to 0 on A-B. `curves` are sides
    ("A-B") that are curved, and round corners ("C").
    """

    readings: dict[str, Reading | tuple[Reading, ...]] = {}
    angles: dict[str, Annotated[float, Field(ge=0, lt=180)]] = {}
    square: tuple[Corner, ...] = ()
    about: dict[str, Reading] = {}
    reflex: tuple[Corner, ...] = ()
    points: dict[Corner, tuple[Reading, Reading]] = {}
    curves: dict[str, CurveTable] = {}


class BoardTable(Part):
    """One panel: the edge of the outline it stands on (none for an end), its board.

    It may lie `set_back` behind the outline, or stop `short` of neighbours: readings from the
    sharp edges to its ends. `shared` names the face of another carcase that stands in its place.
    """

    edge: str | None = None
    board: Reading | None = None
    missing: bool = False
    set_back: Reading | None = None
    short: dict[Name, Reading] = {}
    shared: Name | None = None


class PlaceTable(Part):
    """Where a carcase's first corner is, in the cabinet frame; `turn` in degrees in its view."""

    x: Reading = 0
    y: Reading = 0
    z: Reading = 0
    turn: Annotated[float, Field(gt=-360, lt=360)] = 0.0


class StandingTable(Part):
    """One carcase on another: its first edge lies along that edge, `offset` from its first corner.

    Both are drawn in side view. It is centred across the cabinet and moved by `across`.
    """

    carcase: Name
    edge: str
    offset: Reading = 0
    across: Reading = 0


class CarcaseTable(Part):
    """A closed wooden box: an outline in one view carried over a width.

    `ends` says how ends of boards that are seen are painted, unless an edge says it itself.
    """

    name: Name
    view: View
    corners: Annotated[tuple[Corner, ...], Field(min_length=3, max_length=40)]
    width: Reading
    board: Reading
    panels: dict[Name, BoardTable]
    outline: MeasuredTable | None = None
    left: MeasuredTable | None = None
    right: MeasuredTable | None = None
    joints: tuple[str, ...] = ()
    edges: dict[str, EdgeTable] = {}
    ends: Finish | None = None
    at: PlaceTable | None = None
    stands_on: StandingTable | None = None


class ArtTable(Part):
    """One drawing on the cabinet. Exactly one of `on`, `wrap`, `cast` and `mirror` says where.

    `anchor` is a point of the drawing's box; it comes to the point `to` of the face's box,
    moved by `offset`. `wrap` lists faces as one walks round the cabinet; "body-top off
    body-front" names the face that one unfolds from. `landmarks` match elements of the drawing
    to points of the face instead; `ignored_landmarks` stay written but place nothing, and `warp`
    bends the drawing to meet the others, four or more. `fit = "corners"` bends it so that the
    corners of its outline come to those of the face. `bleed` says that its shapes run off the face
    on purpose, or how far they may.
    """

    drawing: str | None = None
    on: Name | tuple[Name, ...] | None = None
    wrap: tuple[Unfolded, ...] = ()
    cast: Side | None = None
    onto: tuple[Name, ...] = ()
    mirror: Name | None = None
    anchor: Spot = "lower-left"
    to: Spot = "lower-left"
    offset: tuple[Reading, Reading] = (0, 0)
    turn: float = 0.0
    scale: Annotated[float, Field(gt=0, le=1000)] = 1.0
    fit: Fit = "none"
    landmarks: Annotated[dict[str, tuple[Reading, Reading]], Field(max_length=60)] = {}
    ignored_landmarks: tuple[str, ...] = ()
    warp: bool = False
    only: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    reads_one_way: tuple[str, ...] = ()
    bleed: bool | Reading = False


class SettledTable(Part):
    """A finding that is meant to be so, and why: it is told apart and counts no more.

    It is found by its `code` and what else is stated of it: `face`, `piece`, `hardware`, a place
    `at` on the face that is within a centimetre of it, a text that its message `says`. `count` is
    how many such findings are meant.
    """

    code: Code
    because: Annotated[str, Field(min_length=1, pattern=r"\S")]
    face: Name | None = None
    piece: str | None = None
    hardware: str | None = None
    at: tuple[Reading, Reading] | None = None
    says: Annotated[str, Field(min_length=1)] | None = None
    count: Annotated[int, Field(ge=1, le=1000)] = 1


class DefinitionTable(Part):
    """The whole file. `turned_over = false` cuts a set of stencils for each of two mirrored sides;
    else the left one's set, turned over, does both.
    """

    title: str
    tape: TapeTable
    measures: dict[str, Reading] = {}
    palette: PaletteTable
    stencil: StencilTable = StencilTable()
    painting: PaintingTable = PaintingTable()
    turned_over: bool = True
    carcase: Annotated[tuple[CarcaseTable, ...], Field(min_length=1)]
    group: tuple[GroupTable, ...] = ()
    hardware: tuple[HardwareTable, ...] = ()
    art: tuple[ArtTable, ...] = ()
    photo: Annotated[tuple[PhotoTable, ...], Field(max_length=200)] = ()
    trace: tuple[TraceTable, ...] = ()
    settled: tuple[SettledTable, ...] = ()


def schema() -> dict[str, Any]:
    """The definition as a JSON Schema, for editors that complete and check while one types."""
    return DefinitionTable.model_json_schema(by_alias=True)


def load(folder: Path) -> DefinitionTable:
    """Read `folder`/cabinet.toml.

    Raises InputError when there is none or it is no TOML, InputFaultsError with everything that
    breaks the schema. Lengths, names of panels and the like are looked at later.
    """
    path = folder / FILE
    try:
        if path.exists() and not path.is_file():  # a pipe would be waited for, without end
            raise InputError(str(path), "", "It is a folder or a device, not a file.", REMEDY)
        if path.stat().st_size > MOST_BYTES:
            what = f"The file has more than {MOST_BYTES} bytes, {path.stat().st_size}."
            raise InputError(str(path), "", what, "Keep the definition only, and art in drawings.")
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise InputError(
            str(path),
            "",
            "There is no such file.",
            REMEDY,
        ) from None
    except (OSError, ValueError) as error:  # no UTF-8, no name of a file, no right to read it
        raise InputError(
            str(path), "", f"The file can't be read: {error}.", "Save it as UTF-8 text."
        ) from None
    return loaded(text, str(path))


def loaded(text: str, file: str) -> DefinitionTable:
    """The definition that a text states; `file` is for messages only. Raises as `load`."""
    return parsed(table_in(text, file), file)


def table_in(
    text: str, file: str, read: Callable[[str], Mapping[str, Any]] = tomllib.loads
) -> Mapping[str, Any]:
    """The table of a TOML text by `read`; `file` is for messages only.

    Raises InputError for what is no TOML.
    """
    try:
        return read(text)
    except ValueError as error:  # no TOML, no such day, a number too long
        raise InputError(
            file, "", f"This is no valid TOML: {error}.", "Mend the line that is named."
        ) from None
    except RecursionError:
        raise InputError(
            file, "", "Brackets stand too deep in one another.", "Take some of them away."
        ) from None


def parsed(table: Mapping[str, Any], file: str) -> DefinitionTable:
    """The definition that a TOML table states; `file` is for messages only.

    Raises InputFaultsError with all that is wrong.
    """
    faults = tuple(_unwritable(table, "", file))
    if faults:
        raise InputFaultsError(faults)
    try:
        return DefinitionTable.model_validate(table)
    except ValidationError as error:
        raise InputFaultsError(
            tuple(_fault(fault, table, file) for fault in _distinct(error))
        ) from None


def _unwritable(value: Any, place: str, file: str) -> Iterator[InputError]:
    """Texts that no drawing or calendar could hold, with their places.

    XML knows no control characters but tabs and ends of lines, and a calendar takes each of these
    for the end of an entry.
    """
    if isinstance(value, str):
        odd = next((one for one in value if category(one) in CONTROL or one in NO_XML), None)
        if odd is not None:
            what = f"The text {_shown(value)} has the control character U+{ord(odd):04X} in it."
            yield InputError(file, place, what, "Take it out, or put a space there.")
    elif isinstance(value, dict):
        for key, inner in value.items():
            name = str(key).encode("unicode_escape").decode()[:MOST_SHOWN]
            where = f"{place}, {name}" if place else name
            yield from _unwritable(key, where, file)
            yield from _unwritable(inner, where, file)
    elif isinstance(value, list):
        for number, inner in enumerate(value, start=1):
            yield from _unwritable(inner, f"{place} {number}", file)


def _distinct(error: ValidationError) -> list[Any]:
    """One fault a place: a reading that is of no allowed type is one fault, not three."""
    first: dict[tuple[Any, ...], Any] = {}
    for fault in error.errors(include_url=False):
        if fault["type"] == "too_short" and fault["input"]:
            continue  # pydantic's echo of faults inside the list
        place = tuple(p for p in fault["loc"] if p not in {"str", "int", "float", "[key]"})
        first.setdefault(place, fault)
    return list(first.values())


def _fault(fault: Any, table: Mapping[str, Any], file: str) -> InputError:
    place = _place(fault["loc"], table)
    kind, given = fault["type"], fault.get("input")
    if kind == "missing":
        return InputError(file, place, "This is missing.", "Add it; README.md shows an example.")
    if kind == "extra_forbidden":
        return InputError(
            file, place, "The definition knows no such word.", "Mend the spelling, or remove it."
        )
    if fault["loc"][-1] in {"str", "int", "float"}:
        what = f"A length is a reading in quotes or a number; the file says {_shown(given)}."
        return InputError(file, place, what, "Change it to match.")
    return InputError(
        file, place, f"{fault['msg']}; the file says {_shown(given)}.", "Change it to match."
    )


def _shown(given: Any) -> str:
    try:
        text = repr(given)
    except ValueError:  # a whole number of more than 4300 digits
        text = "a number too long to be written"
    return text if len(text) <= MOST_SHOWN else text[: MOST_SHOWN - 3] + "..."


def _place(location: tuple[Any, ...], table: Any) -> str:
    """`carcase 1 (body), panels, top`: numbers as people count, with the name beside them."""
    words: list[str] = []
    at = table
    for step in location:
        if isinstance(step, int):
            at = at[step] if isinstance(at, list) and step < len(at) else None
            name = at.get("name") if isinstance(at, dict) else None
            words[-1] += f" {step + 1}" + (f" ({name})" if name else "")
        elif step not in {"str", "int", "float", "[key]"}:
            at = at.get(step) if isinstance(at, dict) else None
            words.append(str(step))
    return ", ".join(words)
