"""What surveying again costs after a change, beside a full survey of the same cabinet.

    python benchmarks/bench_survey.py

harbour-lights in one process that is warm: everything is imported, and a full survey starts with
an empty memory. Medians of runs that take turns, so that a busy machine slows all alike. Aims: one
drawing moved on one face at most 0.12 of a full survey (the median of the four that lie on one face
alone), a paint's drying time changed no geometry at all (no stage is run), one reading at most 1.
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


PLACED = 'drawing = "{}"\non = "{}"\nanchor = "{}"'


def turned(drawing, face, anchor):
    old = PLACED.format(drawing, face, anchor)
    return replaced(old, old + "\nturn = 0.{}")


# What is changed, and the aim. Each number is another change, so no survey finds an earlier one's.
# The drawings are all that lie on one face alone; a face costs what is on it.
EDITS = {
    "marquee moved on head-front": (turned("marquee.svg", "head-front", "upper-middle"), 0.12),
    "playfield moved on body-top": (turned("playfield.svg", "body-top", "upper-middle"), 0.12),
    "awning moved on head-top": (turned("awning.svg", "head-top", "centre"), 0.12),
    "front moved on body-front": (
        replaced('"300 mm"], return-ring', '"300.{} mm"], return-ring'), 0.12
    ),
    "a paint's drying time": (replaced("dry_hours = 16", "dry_hours = 1{}"), 0.12),
    "one reading": (replaced('B-C = "26 1/16"', 'B-C = "26 {}/32"'), 1.0),
}  # fmt: skip
MOVED = [name for name in EDITS if "moved" in name]


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
    each = median(median(took[name]) for name in MOVED) / full
    print(f"{'one drawing moved, the median':34} {'':7}      {each:5.3f} of full (aim 0.12)")


if __name__ == "__main__":
    main()
