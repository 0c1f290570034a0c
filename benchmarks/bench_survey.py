"""What surveying again costs after a change, beside a full survey of the same cabinet.

    python benchmarks/bench_survey.py

harbour-lights in one process that is warm: everything is imported, and a full survey starts with
an empty memory. Medians of runs that take turns, so that a busy machine slows all alike. Aims: one
drawing moved on one face at most 0.12 of a full survey, a paint's drying time changed no geometry
at all (no stage is run), one reading changed at most 1.
"""

import gc
import shutil
import tempfile
import time
from pathlib import Path
from statistics import median

from mateline.memory import Memory
from mateline.survey import Surveyor

RUNS = 5
CABINET = Path(__file__).parents[1] / "cabinets" / "harbour-lights"


def timed(surveyor, folder):
    start = time.perf_counter()
    surveyor.surveyed(folder)
    return time.perf_counter() - start


def replaced(old, new):
    """An edit: the definition's text and a number to the text with `new` put in place of `old`."""

    def edit(text, number):
        if text.count(old) != 1:
            raise ValueError(f"{old!r} stands {text.count(old)} times in the definition")
        return text.replace(old, new.format(number))

    return edit


MARQUEE = 'drawing = "marquee.svg"\non = "head-front"\nanchor = "upper-middle"'
PLAYFIELD = 'drawing = "playfield.svg"\non = "body-top"\nanchor = "upper-middle"'
# What is changed, and the aim. Each number is another change, so no survey finds an earlier one's.
EDITS = {
    "marquee turned on head-front": (replaced(MARQUEE, MARQUEE + "\nturn = 0.{}"), 0.12),
    "playfield turned on body-top": (replaced(PLAYFIELD, PLAYFIELD + "\nturn = 0.{}"), 0.12),
    "a paint's drying time": (replaced("dry_hours = 16", "dry_hours = 1{}"), 0.12),
    "one reading": (replaced('B-C = "26 1/16"', 'B-C = "26 {}/32"'), 1.0),
}


def main():
    gc.disable()  # as in the commands
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "harbour-lights"
        shutil.copytree(CABINET, folder)
        original = (folder / "cabinet.toml").read_text(encoding="utf-8")
        surveyor = Surveyor(Memory())
        timed(surveyor, folder)
        took = {name: [] for name in ("full", "nothing changed", *EDITS)}
        ran = {}
        for run in range(RUNS):
            (folder / "cabinet.toml").write_text(original, encoding="utf-8")
            took["full"].append(timed(Surveyor(Memory()), folder))
            timed(surveyor, folder)
            before = surveyor.memory.ran
            took["nothing changed"].append(timed(surveyor, folder))
            ran["nothing changed"] = surveyor.memory.ran - before
            for name, (edit, _) in EDITS.items():
                (folder / "cabinet.toml").write_text(edit(original, run + 1), encoding="utf-8")
                before = surveyor.memory.ran
                took[name].append(timed(surveyor, folder))
                ran[name] = surveyor.memory.ran - before
    full = median(took["full"])
    print(f"{'full survey, warm process':34} {full * 1e3:7.0f} ms  = full")
    aims = {"nothing changed": "-", **{name: aim for name, (_, aim) in EDITS.items()}}
    for name, aim in aims.items():
        seconds = median(took[name])
        print(
            f"{name:34} {seconds * 1e3:7.0f} ms  {seconds / full:5.3f} of full (aim {aim}), "
            f"{ran[name]} stages run"
        )


if __name__ == "__main__":
    main()
