"""What the bench's page costs, beside the model's own time and a bare page with the same drawing.

    python benchmarks/bench_page.py [--edits 1000]

Chromium and the bench as it is typed, on a copy of harbour-lights (377 pieces) and of the quilt
(3 102). Medians of five runs that take turns. Floors, measured in the same run:

    bare       a page that holds the same face's pieces as an SVG and nothing else: its first paint,
               a frame while one circle in it is dragged, a frame while it is zoomed
    the model  Surveyor on the same edit in this process, without a server or a page

Aims on a desk machine: usable in 0.5 s; 60 frames a second while hardware is dragged; findings
0.15 s after a moved drawing, 1 s after a typed reading, the outline 0.06 s after it; memory bounded
over a thousand edits, in the server and in the page.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from playwright.sync_api import sync_playwright

from mateline.memory import Memory
from mateline.survey import Surveyor

RUNS = 5
CABINETS = Path(__file__).parents[1] / "cabinets"
SIZE = {"width": 1280, "height": 800}
STEPS = 60  # of a drag, and frames of a zoom
STORE = "import('/page/store.js').then((store) => { window.known = store; })"
IDLE = """() => { const { definition, survey } = window.known.state;
  return survey?.version === definition?.version && survey.state === "ready"; }"""
# From an edit to its outline and to its survey, ms.
EDITED = """async (patch) => {
  const { edit, state, subscribe } = window.known, start = performance.now();
  let outline = null;
  return await new Promise((done) => {
    const end = subscribe((changed) => {
      if (changed.has("outlines")) outline ??= performance.now() - start;
      const { definition, survey } = state;
      if (!changed.has("survey") || survey.state === "working") return;
      if (survey.version !== definition.version || outline === null) return;
      end();
      requestAnimationFrame(() => done([outline, performance.now() - start]));
    });
    edit("measured", patch);
  });
}"""
RECORD = """() => {
  window.frames = [];
  let last = performance.now();
  const next = (now) => {
    frames.push(now - last);
    last = now;
    window.ask = requestAnimationFrame(next);
  };
  window.ask = requestAnimationFrame(next);
}"""
RECORDED = "() => { cancelAnimationFrame(window.ask); return window.frames.slice(2); }"
ZOOMED = """async (count) => {
  const svg = document.querySelector("svg.drawing"), frames = [];
  let last = performance.now();
  for (let at = 0; at < count; at += 1) {
    const key = at % 20 < 10 ? "+" : "-";
    if (svg.dataset.bare) {
      const wide = (svg.scale ??= Number(svg.getAttribute("viewBox").split(" ")[2]));
      svg.scale = key === "+" ? wide / 1.5 : wide * 1.5;
      svg.setAttribute("viewBox", `0 0 ${svg.scale} ${svg.scale}`);
    } else svg.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
    await new Promise(requestAnimationFrame);
    const now = performance.now();
    frames.push(now - last);
    last = now;
  }
  return frames.slice(2);
}"""
MANY = """async ([count, one, other]) => {
  for (let at = 0; at < count; at += 1) await window.known.edit("measured", at % 2 ? one : other);
}"""
BARE = """<!doctype html><meta charset="utf-8"><body style="margin:0">
<svg class="drawing" data-bare="1" tabindex="0" style="width:60vw;height:100vh"
  viewBox="0 0 {width} {height}">{paths}
<circle id="grip" cx="{x}" cy="{y}" r="15" fill="#d9532f"/></svg>
<script>
  const grip = document.getElementById("grip"), svg = grip.ownerSVGElement;
  grip.addEventListener("pointerdown", (event) => {{
    const from = [event.clientX, event.clientY], by = svg.viewBox.baseVal.width / svg.clientWidth;
    grip.setPointerCapture(event.pointerId);
    grip.onpointermove = (next) => grip.setAttribute("transform",
      `translate(${{(next.clientX - from[0]) * by}} ${{(next.clientY - from[1]) * by}})`);
    grip.onpointerup = () => {{ grip.onpointermove = null; }};
  }});
</script>"""

TURNED = [{"op": "add", "path": "/art/10/turn", "value": 0.5}]  # marquee.svg, on head-front
READING = "/carcase/0/right/readings/B-C"


class Served:
    """The bench as it is typed, on a folder."""

    def __init__(self, folder):
        words = [sys.executable, "-m", "mateline", "bench", str(folder), "--no-open"]
        self.process = subprocess.Popen(
            words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self.address = self.process.stdout.readline().strip().split("#")[0]

    def memory(self):
        """Resident memory, MB; None where the system does not tell."""
        status = Path(f"/proc/{self.process.pid}/status")
        if not status.is_file():
            return None
        for line in status.read_text().splitlines():
            if line.startswith("VmRSS"):
                return int(line.split()[1]) / 1024
        return None

    def stop(self):
        self.process.terminate()
        self.process.wait()


def visited(browser, address, view):
    page = browser.new_page(viewport=SIZE, reduced_motion="reduce")
    page.set_default_timeout(120_000)
    page.goto(f"{address}#/{view}")
    page.wait_for_selector("body[data-ready]")
    page.evaluate(STORE)
    page.wait_for_function(IDLE)
    return page


def usable(browser, address, view):
    """From the first byte to pieces that can be clicked, ms."""
    page = browser.new_page(viewport=SIZE, reduced_motion="reduce")
    start = time.perf_counter()
    page.goto(f"{address}#/{view}", wait_until="commit")
    page.wait_for_selector("canvas[data-painted]", state="attached")
    took = (time.perf_counter() - start) * 1e3
    page.close()
    return took


def painted(browser, path):
    page = browser.new_page(viewport=SIZE)
    start = time.perf_counter()
    page.goto(path.as_uri(), wait_until="commit")
    page.wait_for_function("performance.getEntriesByType('paint').length")
    took = (time.perf_counter() - start) * 1e3
    page.close()
    return took


def dragged(page, selector):
    """Frames while something is dragged back and forth, ms."""
    box = page.locator(selector).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(RECORD)
    for step in range(STEPS):
        page.mouse.move(x - abs(30 - step % 60), y - step % 20)
    frames = page.evaluate(RECORDED)
    page.keyboard.press("Escape")
    page.mouse.up()
    return frames


def bare_page(folder, browser, address, view, face):
    """A file with the pieces of a face as they are told to the page, and nothing else."""
    page = visited(browser, address, view)
    told = page.evaluate(f"window.known.face({json.dumps(face)})")
    page.close()
    paths = "".join(
        f'<path fill="{each["paint"]}" stroke="#0006" d="{each["d"]}"/>' for each in told["pieces"]
    )
    width, height = told["width"], told["height"]
    text = BARE.format(width=width, height=height, paths=paths, x=width * 0.8, y=height / 2)
    path = folder / f"{face}.html"
    path.write_text(text, encoding="utf-8")
    return path


def of_the_model(folder):
    """(a moved drawing, a typed reading) by Surveyor in this process, ms: medians."""
    path = folder / "cabinet.toml"
    original = path.read_text(encoding="utf-8")
    surveyor, took = Surveyor(Memory()), ([], [])
    moved = 'drawing = "marquee.svg"\non = "head-front"'
    edits = ((moved, moved + "\nturn = 0.{}"), ('B-C = "26 1/8"', 'B-C = "26 {}/32"'))
    surveyor.surveyed(folder)
    for run in range(RUNS):
        for times, (old, new) in zip(took, edits, strict=True):
            path.write_text(original.replace(old, new.format(run + 1)), encoding="utf-8")
            start = time.perf_counter()
            surveyor.surveyed(folder)
            times.append((time.perf_counter() - start) * 1e3)
            path.write_text(original, encoding="utf-8")
            surveyor.surveyed(folder)
    return [median(times) for times in took]


def told(what, found, floor, aim, unit="ms"):
    ratio = f"{found / floor:6.2f} times the floor, {floor:.0f} {unit}" if floor else ""
    print(f"{what:46} {found:7.0f} {unit}  {ratio}  (aim {aim})", flush=True)


def look_at_pages(browser, served, folder):
    views = {"harbour-lights": "body-left", "quilt": "chest-left"}
    for name, face in views.items():
        view = f"{name}/look/{face}"
        visited(browser, served.address, view).close()  # surveyed once, as it is all day
        bare = bare_page(folder, browser, served.address, view, face)
        opened = median(usable(browser, served.address, view) for _ in range(RUNS))
        told(f"{name} usable", opened, median(painted(browser, bare) for _ in range(RUNS)), 500)
        page, plain = visited(browser, served.address, view), browser.new_page(viewport=SIZE)
        plain.goto(bare.as_uri())
        page.wait_for_selector("canvas[data-painted]", state="attached")
        zooms = [median(each.evaluate(ZOOMED, STEPS)) for each in (page, plain)]
        told(f"{name}, a frame of zooming", *zooms, 16.7)
        page.close()
        if name == "harbour-lights":
            grips = visited(browser, served.address, f"{name}/hardware/{face}")
            grips.wait_for_selector("[data-key=grip-4] .hole", state="attached")
            found = dragged(grips, "[data-key=grip-4] .hole")
            floor = dragged(plain, "#grip")
            told("a frame of dragging hardware", median(found), median(floor), 16.7)
            late = [sum(each > 25 for each in frames) / len(frames) for frames in (found, floor)]
            print(f"{'frames that came late':46} {late[0]:7.0%}     {late[1]:.0%} on the bare page")
            grips.close()
        plain.close()


def edit_on_pages(browser, served, folder):
    page = visited(browser, served.address, "harbour-lights/look/head-front")
    moved, typed, outlines = [], [], []
    for run in range(RUNS):
        turn = [{**TURNED[0], "value": round(0.5 + run / 10, 1)}]
        moved.append(page.evaluate(EDITED, turn)[1])
        value = f"26 {run + 1}/32"
        reading = [{"op": "replace", "path": READING, "value": value}]
        outline, survey = page.evaluate(EDITED, reading)
        outlines.append(outline)
        typed.append(survey)
    page.close()
    model = of_the_model(folder / "model" / "harbour-lights")
    told("findings after a moved drawing", median(moved), model[0], 150)
    told("findings after a typed reading", median(typed), model[1], 1000)
    told("its outline", median(outlines), None, 60)


def remember(browser, served, edits):
    page = visited(browser, served.address, "harbour-lights/hardware/body-left")
    metrics = page.context.new_cdp_session(page)
    metrics.send("Performance.enable")

    def held():
        page.wait_for_function(IDLE)
        metrics.send("HeapProfiler.collectGarbage")
        found = metrics.send("Performance.getMetrics")["metrics"]
        heap = next(each["value"] for each in found if each["name"] == "JSHeapUsedSize")
        return heap / 2**20, served.memory()

    path = "/hardware/4/from/front"
    patches = [[{"op": "replace", "path": path, "value": each}] for each in ("3", "3 1/16")]
    page.evaluate(MANY, [50, *patches])  # what is kept at all is kept by now
    before, start = held(), time.perf_counter()
    page.evaluate(MANY, [edits, *patches])
    each = (time.perf_counter() - start) * 1e3 / edits
    after = held()
    page.close()
    print(f"{f'after {edits} edits, {each:.0f} ms each, page':46} {before[0]:7.1f} MB before,"
          f" {after[0]:.1f} MB after")  # fmt: skip
    if after[1] is not None:
        print(f"{'server':46} {before[1]:7.1f} MB before, {after[1]:.1f} MB after")


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("--edits", type=int, default=1000)
    edits = asked.parse_args().edits
    named = os.environ.get("MATELINE_BROWSER") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as temporary, sync_playwright() as running:
        folder = Path(temporary)
        for where in ("served", "model"):
            for name in ("harbour-lights", "quilt"):
                shutil.copytree(CABINETS / name, folder / where / name)
        served = Served(folder / "served")
        browser = running.chromium.launch(executable_path=named, args=["--no-sandbox"])
        try:
            look_at_pages(browser, served, folder)
            edit_on_pages(browser, served, folder)
            remember(browser, served, edits)
        finally:
            browser.close()
            served.stop()


if __name__ == "__main__":
    main()
