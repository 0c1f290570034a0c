"""What stories need: a bench of a folder's own, and pages that can reach nothing else.

A story plays in headless Chromium against the real server. A page that asks for anything but the
bench, writes to its console, or throws, fails the story.
"""

import shutil
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from benches import opened
from browsers import axe_source, launched, surveyed

CABINETS = Path(__file__).parents[3] / "cabinets"
SIZES = {"desk": (1280, 800), "tablet": (820, 1180), "phone": (390, 844)}


@pytest.fixture(scope="module")  # Playwright's loop must be gone before another file starts its own
def chromium():
    """One browser for all stories of a file."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = launched(playwright)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def axe(tmp_path_factory):
    """The source of axe-core."""
    return axe_source(tmp_path_factory.mktemp("axe"))


@pytest.fixture
def root(tmp_path):
    """An empty folder for cabinets."""
    folder = tmp_path / "root"
    folder.mkdir()
    return folder


@pytest.fixture
def copied(root):
    """Copies one of our cabinets into the folder, under its own name."""

    def copy(name):
        shutil.copytree(CABINETS / name, root / name)
        return root / name

    return copy


@pytest.fixture
def bench(root):
    """The bench of the folder: see `benches.Calls`."""
    with opened(root) as calls:
        yield calls


@pytest.fixture
def visit(chromium, bench):
    """Opens a page of the bench at `#/name/view` and waits until the view is shown."""
    contexts, complaints = [], []

    def at(hash_="", size="desk", **more):
        width, height = SIZES[size]
        more = {"reduced_motion": "reduce", "accept_downloads": True, **more}
        context = chromium.new_context(viewport={"width": width, "height": height}, **more)
        contexts.append(context)
        context.route("**/*", only)
        page = context.new_page()
        page.set_default_timeout(30_000)
        page.on("console", said)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(f"{bench.address}{hash_}")
        page.wait_for_selector("body[data-ready]")
        if hash_:  # what is drawn anew when the first survey ends is not in anybody's hand yet
            page.wait_for_selector("body[data-survey=ready], body[data-survey=refused]")
        return page

    def only(route):
        if urlsplit(route.request.url).netloc == bench.host:
            route.continue_()
        else:
            complaints.append(f"asked for {route.request.url}")
            route.abort()

    def said(message):
        if message.type in {"error", "warning"}:
            complaints.append(f"{message.type}: {message.text}")

    at.complaints = complaints
    yield at
    for context in contexts:
        context.close()
    assert not complaints


@pytest.fixture
def box(copied):
    """The definition of a copy of corner-box."""
    return copied("corner-box") / "cabinet.toml"


@pytest.fixture
def at(box, visit):
    """A view of the box, surveyed."""
    assert box.is_file()

    def opened(view, **more):
        page = visit(f"#/corner-box/{view}", **more)
        surveyed(page)
        return page

    return opened
