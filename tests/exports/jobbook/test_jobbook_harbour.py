"""The demo's job book from a whole build, opened from the disk with the network shut."""

import pytest
from playwright.sync_api import sync_playwright

from browsers import SOFTWARE_GL, launched
from exports.jobbook.test_jobbook_browser import NO_GL, chosen, in_sight, wet
from mateline.cli import main
from mateline.survey import planned, surveyed

pytestmark = pytest.mark.browser

CABINET = "cabinets/harbour-lights"
LARGEST = 3_000_000  # bytes


@pytest.fixture(scope="module")
def plan(pytestconfig):
    return planned(surveyed(pytestconfig.rootpath / CABINET))


@pytest.fixture(scope="module")
def book(pytestconfig, tmp_path_factory):
    out = tmp_path_factory.mktemp("harbour") / "out"
    assert main(["build", str(pytestconfig.rootpath / CABINET), "--out", str(out)]) == 0
    assert (out / "job-book.pdf").read_bytes().startswith(b"%PDF")
    return out / "job-book.html"


@pytest.fixture(params=[SOFTWARE_GL, NO_GL], ids=["webgl", "no webgl"])
def page(request, book):
    asked, errors = [], []
    with sync_playwright() as running:
        browser = launched(running, request.param)
        page = browser.new_context(offline=True, reduced_motion="reduce").new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
        page.goto(book.as_uri())
        yield page
        browser.close()
    assert [url for url in asked if not url.startswith("data:")] == [book.as_uri()]
    assert errors == []


def test_it_is_small_enough_for_a_phone(book):
    assert book.stat().st_size < LARGEST


def test_passes_findings_and_pieces_are_where_they_should_be(page, plan):
    page.focus("#step")
    page.keyboard.press("Home")
    for run in plan.runs:  # the sets first as they were cut, then turned over
        page.keyboard.press("ArrowRight")
        each = run.each
        told = f"{'Turned over, pass' if run.round == 2 else 'Pass'} {each.order}: {each.colour}"
        assert page.inner_text("#step-title") == told
        assert wet(page) == sorted(piece for there in each.faces for piece in there.off)
    assert run.round == 2
    page.click("[data-show='1']")
    assert page.get_attribute("#mark-1", "class") == "mark chosen"
    assert in_sight(page, "#mark-1")
    last = plan.passes[-1].faces[0].off[-1]
    page.fill("#find", last)
    page.press("#find", "Enter")
    place = f"#piece-{last.replace(' ', '-')}"
    assert chosen(page) == [place]
    assert in_sight(page, place)
    page.press("#find", "Enter")  # it lies on the other side too, under the same name
    assert "turned over on" in page.inner_text("#chosen")
