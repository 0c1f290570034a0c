"""What the book gives back to a phone: lists that nobody reads, and the cabinet out of sight.

Needs Chromium, see browsers.py.
"""

import pytest

from browsers import launched
from mateline.exports.jobbook import html
from mateline.starter import write_starter
from mateline.survey import planned, surveyed, with_true_borders

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """The starter's book, and one with so many pieces that it spares memory."""
    folder = tmp_path_factory.mktemp("memory")
    write_starter(folder / "box")
    job = with_true_borders(surveyed(folder / "box"))
    plain = html(job, planned(job))
    dots = "".join(
        f'<path class="piece" id="dot-{at}" data-piece="box-left Z{at}" data-colour="cream" '
        f'fill="#ffffff" d="M0 0h1v1z"/>'
        for at in range(700)
    )
    first = '<g class="pieces" fill-rule="evenodd">'
    assert first in plain
    (folder / "plain.html").write_text(plain, encoding="utf-8")
    (folder / "many.html").write_text(plain.replace(first, first + dots, 1), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        started = launched(running)
        yield started
        started.close()


@pytest.fixture
def opened(browser, book):
    contexts, faults = [], []

    def open_book(name, **more):
        context = browser.new_context(
            viewport={"width": 1280, "height": 800}, offline=True, reduced_motion="reduce", **more
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto((book / f"{name}.html").as_uri())
        return page

    yield open_book
    for context in contexts:
        context.close()
    assert faults == []


def test_a_list_of_pieces_is_there_while_it_is_unfolded(opened):
    page = opened("plain")
    rows = page.locator("#face-box-left .later tbody tr")
    assert rows.count() == 0
    page.click("#face-box-left .later summary")
    rows.first.wait_for()
    pieces = page.locator("#face-box-left .pieces .piece")
    assert rows.count() == pieces.count() > 3
    rows.first.locator("a").click()  # and its links lead to the drawing
    assert page.locator("#face-box-left .over .chosen").count() == 1
    page.click("#face-box-left .later summary")
    rows.first.wait_for(state="detached")
    assert rows.count() == 0


def test_without_a_script_lists_are_there(opened):
    page = opened("plain", java_script_enabled=False)
    page.click("#face-box-left .later summary")
    assert page.is_visible("#face-box-left .later tbody tr >> nth=0")


def test_of_very_many_pieces_the_cabinet_out_of_sight_is_put_away(opened):
    page = opened("many")
    assert page.locator("#cabinet-3d[data-drawn]").count() == 0  # nobody has come to it
    views = []
    for _ in range(2):
        page.evaluate("document.getElementById('cabinet').scrollIntoView()")
        page.wait_for_selector("#cabinet-3d[data-drawn]")
        page.get_by_role("button", name="Left", exact=True).click()
        page.wait_for_selector("#cabinet-3d[data-drawn^='-90 ']")
        views.append(page.get_attribute("#cabinet-3d", "data-drawn"))
        page.evaluate("document.getElementById('days').scrollIntoView()")
        page.wait_for_selector("#cabinet-3d:not([data-drawn])", state="attached")
    page.evaluate("document.getElementById('cabinet').scrollIntoView()")
    page.wait_for_selector(f"#cabinet-3d[data-drawn='{views[0]}']")  # as it was turned
    page.focus("#cabinet-3d")
    page.keyboard.press("ArrowLeft")
    page.wait_for_selector("#cabinet-3d[data-drawn^='-100 ']")


def test_the_cabinet_of_few_pieces_stays(opened):
    page = opened("plain")
    page.wait_for_selector("#cabinet-3d[data-drawn]", state="attached")
    page.evaluate("document.getElementById('days').scrollIntoView()")
    page.wait_for_function("new Promise(done => requestIdleCallback(() => done(true)))")
    assert page.locator("#cabinet-3d[data-drawn]").count() == 1
