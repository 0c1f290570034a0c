"""A page over a slow line: what has happened while it was opening is shown all the same.

The line is made slow by holding a call back until something else has happened, so that nothing
here depends on how quick a machine is.
"""

import pytest

from browsers import surveyed

pytestmark = pytest.mark.browser


def test_a_survey_that_ends_before_the_page_listens_is_shown(copied, bench, visit):
    page = visit()
    copied("corner-box")
    held, calls = [], "**/corner-box/events*"
    page.route(calls, lambda route: held.append(route))  # noqa: PLW0108  it names its hearers
    with page.expect_request(calls):
        page.goto(f"{bench.address}#/corner-box/look")
    page.wait_for_selector("body[data-ready=look]")
    bench.surveyed("corner-box")
    held[0].continue_()
    surveyed(page)
    assert page.evaluate("window.known.survey.faces.length") > 0


def test_nothing_is_said_to_be_found_before_anybody_has_looked(copied, bench, visit):
    page = visit()
    copied("corner-box")
    first = {"state": "working", "of": None, "count": 0, "findings": [], "settled": [], "faces": []}
    calls = "**/corner-box/survey"
    page.route(calls, lambda route: route.fulfill(json={**route.fetch().json(), **first}))
    page.route("**/corner-box/events*", lambda _: None)  # it hears nothing yet
    page.goto(f"{bench.address}#/corner-box/look")
    page.wait_for_selector("text=The cabinet is being looked at.")
    assert page.locator("text=Nothing was found").count() == 0
