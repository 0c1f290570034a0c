"""Stories on harbour-lights: what is wrong is found, mended, settled and built, by mouse and keys.

Faults are planted in a copy; what the page has done is read in the copy's cabinet.toml.
"""

import json
import re

import pytest

from browsers import surveyed

pytestmark = pytest.mark.browser

HARBOUR = "#/harbour-lights"
WRONG = ('A-C = "58 5/16"', 'A-C = "58 13/16"')  # half an inch too long, on the right side
BUTTON = 'from = { front = "3", bottom = "12 1/4" }'
ON_A_BORDER = 'from = { front = "4 1/4", bottom = "12 1/4" }'
SETTLED = [
    "[[settled]]",
    'code = "mirror-extra"',
    'face = "body-right"',
    'hardware = "cash-box lock"',
    'because = "The operator\'s lock is on the right side only."',
]


@pytest.fixture
def harbour(copied):
    """Our cabinet, or a copy of it with some words for others."""
    folder = copied("harbour-lights")

    def planted(*changes):
        path = folder / "cabinet.toml"
        text = path.read_text(encoding="utf-8")
        for before, after in changes:
            assert before in text
            text = text.replace(before, after)
        path.write_text(text, encoding="utf-8")
        return path

    return planted


@pytest.fixture
def differences():
    """Lines that are in one text only: those that went, those that came."""

    def of(before, after):
        old, new = before.splitlines(), after.splitlines()
        return [each for each in old if each not in new], [each for each in new if each not in old]

    return of


@pytest.fixture
def edited(bench):
    """Does something on a page that is one edit, and waits for its survey."""

    def done(page, act):
        before = bench.get("/cabinets/harbour-lights/definition")["version"]
        act()
        surveyed(page, before)

    return done


def finding(page, words):
    return page.locator(".finding").filter(has_text=words)


def shown(page, view):
    """Go to a view by its name in the bar."""
    page.get_by_role("link", name=view, exact=True).click()
    page.wait_for_selector(f"body[data-ready={view.lower()}]")


def the_reading_is_mended(page, edited):
    # The finding leads to the reading, which is typed again.
    finding(page, "Reading suspect").locator(".finding-head").click()
    page.get_by_role("button", name="Go to A-C").click()
    page.wait_for_selector("body[data-ready=measure]")
    reading = page.locator("#read-A-C")
    assert reading.input_value() == "58 13/16"
    reading.fill("58 5/16")
    edited(page, lambda: reading.press("Tab"))
    shown(page, "Look")
    assert finding(page, "Reading suspect").count() == 0


def the_button_is_moved(page, edited):
    wrong = finding(page, "Border over hole").first
    wrong.locator(".finding-head").click()
    edited(page, wrong.get_by_role("button", name=re.compile("^Move it .* to the right")).click)
    assert finding(page, "Border over hole").count() == 0
    assert "less" in page.locator("[data-since]").inner_text()


def the_lock_is_settled(page, edited):
    lock = finding(page, "Mirror extra")
    lock.locator(".finding-head").click()
    lock.get_by_role("button", name="It is meant to be so").click()
    page.get_by_role("button", name="Settle it").click()
    assert page.get_by_text("Say why first.").is_visible()
    page.get_by_label("Because").fill("The operator's lock is on the right side only.")
    edited(page, page.get_by_role("button", name="Settle it").click)
    assert finding(page, "Mirror extra").count() == 0
    assert page.get_by_text("Settled: 1").is_visible()


def it_is_built(page, path):
    shown(page, "Build")
    page.get_by_role("button", name="Build", exact=True).click()
    page.get_by_text("Built: ").wait_for(timeout=300_000)
    built = path.parents[1] / "exports" / "harbour-lights"
    job = json.loads((built / "job.json").read_text(encoding="utf-8"))
    assert {"job-book.html", "model.step"} <= set(job["files"])
    page.get_by_role("button", name="Open the job book here").click()
    book = page.frame_locator("iframe[title='Job book']")
    book.get_by_role("heading", name="Harbour Lights").first.wait_for()


def test_a_wrong_reading_a_button_on_a_border_and_a_finding_that_is_meant(
    harbour, visit, edited, differences
):
    clean = harbour().read_text(encoding="utf-8")
    path = harbour(WRONG, (BUTTON, ON_A_BORDER))
    page = visit(f"{HARBOUR}/look")
    surveyed(page)
    the_reading_is_mended(page, edited)
    the_button_is_moved(page, edited)
    the_lock_is_settled(page, edited)
    went, came = differences(clean, path.read_text(encoding="utf-8"))
    assert went == [BUTTON]
    assert re.fullmatch(r'from = \{ front = "[^"]+", bottom = "12 1/4" \}', came[0])
    assert came[1:] == SETTLED
    it_is_built(page, path)
