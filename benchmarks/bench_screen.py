"""What the job book of very many pieces costs a browser: its first paint, a step of its slider, and
memory.

    python benchmarks/bench_screen.py

Medians of five runs in Chromium, the quilt (3 102 pieces), beside a bare page that holds the same
drawings and nothing else: its first paint, and one frame after all pieces of the drawing in sight
got another fill. Aims: first paint at most 1 s, a step at most 0.1 s, on a desk machine.

Memory is what the browser's processes have for themselves on a phone's screen, over an empty page:
as the book opens, with passes shown on the first face, with the cabinet in sight, and at its end.
It is read from /proc, so on Linux alone.
"""

import os
import re
import shutil
import subprocess
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


HELD = {
    "opened": "null",
    "first face, passes": """(async () => {
        document.querySelector("svg[data-face]").scrollIntoView();
        for (const at of [0, 1, 2, 3]) {
            const slider = document.getElementById("step");
            slider.value = at;
            slider.dispatchEvent(new Event("input"));
            await new Promise(done => setTimeout(done, 400));
        }})()""",
    "cabinet": "document.getElementById('cabinet').scrollIntoView()",
    "days": "document.getElementById('days').scrollIntoView()",
}


def children():
    """The processes of the browser that has the page, and of the one that draws for it."""
    listed = subprocess.run(
        ["ps", "-eo", "pid,ppid,args"], check=True, capture_output=True, text=True
    )
    rows = [line.split(None, 2) for line in listed.stdout.splitlines()[1:]]
    ours, before = {str(os.getpid())}, set()
    while ours != before:
        before = set(ours)
        ours |= {pid for pid, parent, _ in rows if parent in ours}
    kinds = "--type=renderer", "--type=gpu-process"
    return [pid for pid, _, what in rows if pid in ours and any(kind in what for kind in kinds)]


def private(page):
    """MiB that no other process shares."""
    page.wait_for_timeout(2000)
    page.context.new_cdp_session(page).send("HeapProfiler.collectGarbage")
    total = 0
    for pid in children():
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
        total += sum(int(line.split()[1]) for line in lines if line.startswith("Private_"))
    return total / 1024


def remembered(launch, path):
    """Memory over an empty page at each of `HELD`, MiB, medians of three runs."""
    found = {name: [] for name in HELD}
    for _ in range(3):
        browser = launch()
        page = browser.new_page(viewport={"width": 390, "height": 844}, device_scale_factor=2)
        page.goto("about:blank")
        empty = private(page)
        page.goto(path.as_uri())
        for name, done in HELD.items():
            page.evaluate(done)
            if name == "cabinet":
                page.wait_for_selector("#cabinet-3d[data-drawn]")
            found[name].append(private(page) - empty)
        browser.close()
    return {name: median(values) for name, values in found.items()}


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

        def launch():
            args = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
            return running.chromium.launch(executable_path=named, args=args)

        browser = launch()
        floor = measured(browser, bare, BARE_STEP, "svg")
        found = measured(browser, whole, STEP, ".face")
        browser.close()
        memory = remembered(launch, whole)
    for name, ours, least, aim in zip(
        ("first paint", "step of the slider"), found, floor, (1000, 100), strict=True
    ):
        print(
            f"{name:20} {ours:7.0f} ms   {ours / least:5.2f} x the bare page's {least:.0f} ms"
            f"   (aim {aim} ms)"
        )
    for name, held in memory.items():
        print(f"memory, {name:20} {held:5.0f} MiB over an empty page")


if __name__ == "__main__":
    main()
