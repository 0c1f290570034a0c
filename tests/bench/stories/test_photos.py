"""From photos to a pattern, on the page alone: squared, traced, and laid under tracing paper.

The truth is the cabinet that the tests' own camera took the photos of (tests/scenes/last_season).
"""

import tomllib

import pytest

from mateline.one_drawing import pattern_report
from scenes.last_season import front, true_cabinet

pytestmark = [pytest.mark.browser, pytest.mark.stories]

LONG = 240_000  # ms: squaring and tracing are processes of their own, on a machine that is shared
PHOTO = 1  # the front's place among [[photo]]


@pytest.mark.stories
def test_photos_become_a_pattern(copied, visit):
    folder = copied("last-season")
    page = visit("#/last-season/art/body-front")
    page.set_default_timeout(LONG)
    page.click(f'[data-key="square-{PHOTO}"]')
    page.wait_for_selector(".photo-card:has-text('body-front') .photo-pair img:nth-child(2)")
    page.wait_for_selector(".photo-card:has-text('body-front') >> text=Places may be off by")
    page.click(f'[data-key="trace-{PHOTO}"]')
    page.wait_for_selector("text=Traced: 6 regions")
    assert (folder / "squared" / "body-front.png").exists()
    truth = front(true_cabinet().face("body-front").outline)
    areas = {}
    for region in truth.pattern.regions:
        areas[region.colour] = areas.get(region.colour, 0.0) + region.area.area
    palette = tomllib.loads((folder / "cabinet.toml").read_text())["palette"]["colours"]
    found = pattern_report(folder / "traced" / "front.svg").colours()
    for name, area in areas.items():
        assert found[palette[name]["paint"]] == pytest.approx(area, rel=0.03), name
    # Traced over by hand, the photo lies under the paper and the tracer's borders are taken over.
    page.click(f'[data-key="hand-{PHOTO}"]')
    page.wait_for_selector("body[data-traced]")
    page.wait_for_selector(".layer-under image")
    page.select_option("#guides-what", "traced/front.svg")
    page.wait_for_selector(".layer-guides path")
