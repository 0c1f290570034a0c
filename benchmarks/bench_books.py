"""What painting day costs a build: the plan, both job books, the calendar.

    python benchmarks/bench_books.py

Medians of five runs in this process, harbour-lights, beside the whole road up to the findings of
the same run. Aim: at most 1.5 s together.
"""

import tempfile
import time
from pathlib import Path
from statistics import median

from mateline.exports import jobbook
from mateline.exports.calendar import icalendar, plain
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.survey import planned, surveyed, with_true_borders

RUNS = 5
CABINET = Path(__file__).parents[1] / "cabinets" / "harbour-lights"


def timed(make):
    took = []
    for _ in range(RUNS):
        start = time.perf_counter()
        make()
        took.append(time.perf_counter() - start)
    return median(took)


def main():
    floor = timed(lambda: surveyed(CABINET))
    job = with_true_borders(surveyed(CABINET))
    plan = planned(job)
    picture = cabinet_picture(job.cabinet.faces, job.stencils, title=job.definition.title)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job-book.pdf"
        stages = {
            "plan": timed(lambda: planned(job)),
            "job-book.html": timed(lambda: jobbook.html(job, plan, picture)),
            "job-book.pdf": timed(lambda: jobbook.write_pdf(job, plan, path)),
            "calendar": timed(
                lambda: (
                    plain(plan.steps, plan.shop),
                    icalendar(plan.steps, plan.shop, job.definition.title),
                )
            ),
        }
    print(f"{'surveyed, the floor':22} {floor:7.3f} s")
    for name, seconds in stages.items():
        print(f"{name:22} {seconds:7.3f} s   {seconds / floor:5.2f} x floor")
    total = sum(stages.values())
    print(f"{'together':22} {total:7.3f} s   {total / floor:5.2f} x floor   (aim 1.5 s)")


if __name__ == "__main__":
    main()
