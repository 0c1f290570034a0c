"""A Chromium for tests: where it is, how it is started, what it shows, and axe-core for that.

Needs Chromium (`apt-get install chromium`, or MATELINE_BROWSER=/path/to/it) and, for the
accessibility rules, axe-core from the npm registry, fetched for the test and never kept.
"""

import os
import shutil
import subprocess
import tarfile

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
# WebGL drawn by the processor, so that machines without a graphics card draw too.
# A busy machine may let that wait for seconds, and it is not to be ended for it.
SOFTWARE_GL = (
    "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-gpu-watchdog",
)  # fmt: skip
AXE = "axe-core@4.14.1"
SERIOUS = {"serious", "critical"}


def browser_path():
    """Where Chromium is; the test is skipped where there is none."""
    named = os.environ.get("MATELINE_BROWSER")
    found = named or next(filter(None, map(shutil.which, BROWSERS)), None)
    if not found:
        pytest.skip("There is no Chromium here: install it, or name it in MATELINE_BROWSER.")
    return found


def launched(playwright, flags=SOFTWARE_GL):
    """A browser; close it."""
    arguments = [*flags, "--no-sandbox"]  # test machines run as root, in a container
    return playwright.chromium.launch(executable_path=browser_path(), args=arguments)


def axe_source(folder):
    """The text of axe-core, fetched into an empty `folder`."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.fail("npm is not here, and axe-core comes from its registry: install npm.")
    command = [npm, "pack", AXE, "--silent", "--pack-destination", str(folder)]
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=120)
    if done.returncode:
        pytest.fail(f"The npm registry did not give {AXE}: {done.stderr.strip()}")
    (packed,) = folder.glob("*.tgz")
    with tarfile.open(packed) as archive:
        return archive.extractfile("package/axe.min.js").read().decode()


def barriers(page, axe):
    """What axe-core finds that is serious: what keeps somebody out."""
    page.evaluate(axe)
    found = page.evaluate("axe.run()")
    assert len(found["passes"]) > 10  # the rules were really tried
    return [
        f"{each['id']}: {each['nodes'][0]['html'][:120]}: {each['nodes'][0]['failureSummary']}"
        for each in found["violations"]
        if each["impact"] in SERIOUS
    ]


FRAMES = """() => new Promise((done) =>
  requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"""


def two_frames(page):
    """Wait until what was asked for is to be seen. Where no frame comes, that fails in time:
    `page.evaluate` would wait for a promise without end.
    """
    page.wait_for_function(FRAMES)


HOLDS = "import('/page/store.js').then((store) => { window.known = store.state; })"
KNOWS = """(before) => {
  const { definition, survey } = window.known;
  return definition?.version !== before && survey?.version === definition?.version
    && survey.state !== "working"; }"""


def surveyed(page, before=""):
    """Wait until a page of the bench shows the survey of a definition that is not `before`; what
    the page knows is `window.known` from then on.
    """
    page.evaluate(HOLDS)
    page.wait_for_function(KNOWS, arg=before, timeout=120_000)
