"""Palette, painting days and board by their fields, and the definition by hand."""

import datetime as dt

import pytest

from measuring_hands import edited, table

pytestmark = pytest.mark.browser


@pytest.fixture
def box(copied):
    return copied("corner-box")


@pytest.fixture
def paint(box, visit):  # noqa: ARG001  the cabinet is there before its page
    page = visit("#/corner-box/paint")
    page.wait_for_selector("#new-name")
    return page


def field(page, pointer, key="days"):
    return page.locator(f"[id='{key}field{pointer}']")


def test_a_colour_called_anew_is_called_so_everywhere(box, paint):
    edited(paint, lambda: paint.check("#base-teal"))
    passes = paint.locator("[id='passesfield/palette/passes-add']")
    for colour in ("coral", "teal"):
        edited(paint, lambda colour=colour: passes.select_option(colour))
    paint.fill("#name-teal", "Deep Teal")
    edited(paint, lambda: paint.press("#name-teal", "Enter"))
    palette = table(box)["palette"]
    assert palette["base"] == "deep-teal"
    assert palette["passes"] == ["coral", "deep-teal"]
    assert palette["colours"]["deep-teal"] == {"paint": "#1f7a7c", "letter": "T"}
    edited(paint, lambda: paint.click("[data-key=out-coral]"))
    assert table(box)["palette"]["passes"] == ["deep-teal"]


def test_a_new_colour_gets_a_letter_that_is_free(box, paint):
    paint.fill("#new-look", "#123456")
    paint.fill("#new-name", "Crimson")
    edited(paint, lambda: paint.press("#new-name", "Enter"))
    colours = table(box)["palette"]["colours"]
    assert colours["crimson"] == {"paint": "#123456", "letter": "I"}  # C and R are taken


def test_days_are_days_and_hours_are_numbers(box, paint):
    start = field(paint, "/painting/start")
    edited(paint, lambda: start.fill("2027-05-03") or start.press("Tab"))
    hours = field(paint, "/painting/hours_a_day")
    edited(paint, lambda: hours.fill("6,5") or hours.press("Tab"))
    for day in ("sunday", "monday"):
        key = f"[data-key='daysfield/painting/days_off-{day}']"
        edited(paint, lambda key=key: paint.click(key))
    assert table(box)["painting"] == {
        "start": dt.date(2027, 5, 3), "hours_a_day": 6.5, "days_off": ["monday", "sunday"],
    }  # fmt: skip
    hours.fill("")
    edited(paint, lambda: hours.press("Tab"))
    assert "hours_a_day" not in table(box)["painting"]


def test_a_fault_stands_at_its_field_until_it_is_mended(paint):
    letter = paint.locator("[id='colourfield/palette/colours/teal/letter']")
    letter.fill("teal")
    edited(paint, lambda: letter.press("Tab"))
    own = letter.locator("xpath=ancestor::*[contains(@class, 'field')][1]")
    assert "teal" in own.locator(".fault").text_content()
    assert letter.get_attribute("aria-invalid") == "true"
    assert own.locator(".fault").get_attribute("id") in letter.get_attribute("aria-describedby")
    letter.fill("T")
    edited(paint, lambda: letter.press("Tab"))
    assert paint.locator(".fault").count() == 0


def test_the_text_is_written_whole_and_its_faults_lead_to_their_lines(box, visit):
    page = visit("#/corner-box/text")
    text = page.input_value("#text")
    assert text == (box / "cabinet.toml").read_text(encoding="utf-8")
    page.fill("#text", text.replace("width = 380", "width = 380\nwitdh = 3"))
    edited(page, lambda: page.keyboard.press("Control+s"))
    assert "witdh = 3" in (box / "cabinet.toml").read_text(encoding="utf-8")
    assert "no such word" in page.text_content(".finding")
    page.click(".finding button")
    assert page.evaluate("getSelection().toString()") == "witdh = 3"
    page.fill("#text", text)
    edited(page, lambda: page.click("[data-key=save]"))
    assert (box / "cabinet.toml").read_text(encoding="utf-8") == text
    page.wait_for_selector(".side:has-text('Nothing in it is wrong.')")


def test_what_was_typed_stays_where_the_file_is_changed_outside(box, visit):
    page = visit("#/corner-box/text")
    text = page.input_value("#text")
    page.fill("#text", text + "# mine\n")
    (box / "cabinet.toml").write_text(text.replace('"Corner box"', '"Another"'), encoding="utf-8")
    page.wait_for_function("() => document.querySelector('#bar h1').textContent === 'Another'")
    assert page.input_value("#text") == text + "# mine\n"
    page.click("[data-key=save]")
    page.get_by_role("button", name="Take it").click()
    assert 'title = "Another"' in page.input_value("#text")
    assert 'title = "Another"' in (box / "cabinet.toml").read_text(encoding="utf-8")
