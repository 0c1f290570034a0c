"""The door: a definition's texts become plain data in mm and radians, once, all faults told.

Last of the room. Nothing behind it sees a text to be read, a unit to be read in, or a file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mateline.definition.art import art_of
from mateline.definition.board import board_of, usual_board
from mateline.definition.capture import photos_of, traces_of
from mateline.definition.carcases import carcases_of, outlines_only
from mateline.definition.effect import idle_words
from mateline.definition.hardware import hardware_of, idle_turns
from mateline.definition.lengths import METRIC, Ruler, ruler_for
from mateline.definition.painting import done_in, shop_of
from mateline.definition.palette import colours_of
from mateline.definition.schema import PaintingTable, PaintTable
from mateline.definition.settlements import settlements_of
from mateline.errors import Faults

if TYPE_CHECKING:
    from mateline.borders.standard_radii import RadiusSizes
    from mateline.cabinet.specification import Carcase, Hardware
    from mateline.capture.asked import Photo, Trace
    from mateline.checks.findings import IdleWord, Settlement
    from mateline.definition.schema import DefinitionTable
    from mateline.paint.done import Done
    from mateline.paint.shop import Shop
    from mateline.placing.art import Art
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Colours
    from mateline.tape.accuracy import Tape


@dataclass(frozen=True, slots=True)
class Definition:
    """A cabinet, its art and how it is painted: everything that the road starts from.

    `tape` is what lengths are said in, and how sure readings are. Without a `shop` it is painted
    in a usual one. `passes` is the user's own order of colours, None for ours; `done` is what of
    it is finished already. A set of stencils that is `turned_over` paints the opposite side too.
    `paper` is what true-size pages are tiled for, None for that of the tape's country. `radii`
    takes those near a standard size to it. `idle` are words of a file that have no effect;
    `settlements` say which findings are meant to be so. Art may be traced in `photos`, as `traces`
    say.
    """

    title: str
    colours: Colours
    carcases: tuple[Carcase, ...]
    hardware: tuple[Hardware, ...] = ()
    art: tuple[Art, ...] = ()
    tape: Tape = METRIC
    board: Board = field(default_factory=usual_board)
    shop: Shop | None = None
    passes: tuple[str, ...] | None = None
    done: tuple[Done, ...] = ()
    turned_over: bool = True
    paper: str | None = None
    radii: RadiusSizes | None = None
    idle: tuple[IdleWord, ...] = ()
    settlements: tuple[Settlement, ...] = ()
    photos: tuple[Photo, ...] = ()
    traces: tuple[Trace, ...] = ()


def usual_shop(colours: Colours, tape: Tape = METRIC) -> Shop:
    """A shop that nothing is stated of: all figures are defaults, with their ranges."""
    paints = {
        name: PaintTable(paint=paint, letter=colours.letters[name])
        for name, paint in colours.paints.items()
    }
    return shop_of(PaintingTable(), paints, Ruler(tape, Faults()))


def settled(table: DefinitionTable, faults: Faults) -> Definition:
    """What `table` states, in mm and radians.

    Raises InputError or InputFaultsError with everything in it that can't be read.
    """
    ruler = ruler_for(table, faults)
    colours = colours_of(table.palette, faults)
    carcases = carcases_of(table.carcase, ruler)  # faults are told in the file's order
    hardware = hardware_of(table.hardware, table.group, ruler)
    photos = photos_of(table.photo, ruler)
    definition = Definition(
        title=table.title,
        colours=colours,
        carcases=carcases,
        hardware=hardware,
        art=art_of(table.art, ruler),
        tape=ruler.tape,
        board=board_of(table.stencil, ruler),
        shop=shop_of(table.painting, table.palette.colours, ruler),
        passes=table.palette.passes,
        done=done_in(table.painting, ruler),
        turned_over=table.turned_over,
        paper=table.stencil.paper,
        radii=table.stencil.radii,
        idle=(*idle_words(table), *idle_turns(table.hardware, hardware)),
        settlements=settlements_of(table.settled, ruler),
        photos=photos,
        traces=traces_of(table.trace, photos, colours.paints, ruler),
    )
    faults.settle()
    return definition


def measured_only(table: DefinitionTable, faults: Faults) -> tuple[tuple[Carcase, ...], Tape]:
    """Only what the tape's own report needs, so that it serves while the rest is being written.

    Raises InputError or InputFaultsError.
    """
    ruler = ruler_for(table, faults)
    carcases = outlines_only(table.carcase, ruler)
    faults.settle()
    return carcases, ruler.tape
