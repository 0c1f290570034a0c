"""What the job book of very many pieces costs a browser: its first paint and a step of its slider.

    python benchmarks/bench_screen.py

Medians of five runs in Chromium, the quilt (3 102 pieces), beside a bare page that holds the same
drawings and nothing else: its first paint, and one frame after all pieces of the drawing in sight
got another fill. Aims: first paint at most 1 s, a step at most 0.1 s, on a desk machine.
"""

import os
import re
import shutil
import tempfile
from pathlib import Path
from statistics import median

from playwright.sync_api import sync_playwright

from mateline.exports import jobbook
from mateline.survey import planned, surveyed, with_true_borders

RUNS = 5
CABINET = Path(__file__).parents[1] / "cabinets" / "quilt"
PAINT = "performance.getEntriesByType('paint')[0].startTime"
FRAME = "await new Promise(done => requestAnimationFrame(() => setTimeout(done)));"
STEP = f"""async at => {{
    const slider = document.getElementById("step"), start = performance.now();
    slider.value = at;
    slider.dispatchEvent(new Event("input"));
    {FRAME}
    return performance.now() - start;
}}"""
BARE_STEP = f"""async at => {{
    const start = performance.now();
    for (const path of document.querySelectorAll("svg")[0].querySelectorAll(".piece"))
        path.style.fill = ["#d9a441", "#27385f"][at % 2];
    {FRAME}
    return performance.now() - start;
}}"""


def measured(browser, path, step, place):
    """First paint and a step with the drawing at `place` in sight, ms."""
    paints, steps = [], []
    for _ in range(RUNS):
        page = browser.new_page(viewport={"width": 1280, "height": 800}, reduced_motion="reduce")
        page.goto(path.as_uri())
        page.wait_for_function("performance.getEntriesByType('paint').length")
        paints.append(page.evaluate(PAINT))
        page.locator(place).first.evaluate("each => each.scrollIntoView()")
        page.wait_for_timeout(500)
        steps += [page.evaluate(step, at) for at in (0, 1, 2, 3)]
        page.close()
    return median(paints), median(steps)


def main():
    job = with_true_borders(surveyed(CABINET))
    book = jobbook.html(job, planned(job))
    style = re.search(r"<style>.*?</style>", book, re.DOTALL)[0]
    drawings = re.findall(r"<svg[^>]*data-face=.*?</svg>", book, re.DOTALL)
    named = os.environ.get("MATELINE_BROWSER") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as running:
        whole, bare = Path(folder) / "book.html", Path(folder) / "bare.html"
        whole.write_text(book, encoding="utf-8")
        sheets = "".join(f'<div style="width:50rem">{each}</div>' for each in drawings)
        bare.write_text(f"<!doctype html>{style}<body>{sheets}", encoding="utf-8")
        browser = running.chromium.launch(executable_path=named, args=["--no-sandbox"])
        floor = measured(browser, bare, BARE_STEP, "svg")
        found = measured(browser, whole, STEP, ".face")
        browser.close()
    for name, ours, least, aim in zip(
        ("first paint", "step of the slider"), found, floor, (1000, 100), strict=True
    ):
        print(
            f"{name:20} {ours:7.0f} ms   {ours / least:5.2f} x the bare page's {least:.0f} ms"
            f"   (aim {aim} ms)"
        )


if __name__ == "__main__":
    main()
