"""Hands at the page: they start cabinets, draw, type, choose and wait.

A story that must be playable by whoever has no mouse is told to both kinds of hand. By keys, a
thing is reached with the Tab key alone, so that what can't be reached so fails.
"""

import re
import tomllib

from browsers import two_frames

WRITTEN = re.compile(r"/(edit|undo|redo|text)$")
AT = """([x, y]) => {
  const matrix = document.querySelector("svg.drawing").getScreenCTM();
  const spot = new DOMPoint(x, -y).matrixTransform(matrix);
  return [spot.x, spot.y];
}"""
MOST_STOPS = 250  # of the Tab key until all of a page was gone through
HAS_FOCUS = "(element) => element === document.activeElement"
GOES_IN = """(element) => element.type === "radio" && element.name
  && document.activeElement.type === "radio" && document.activeElement.name === element.name"""
CHOSEN = "(element) => element.selectedIndex"
PLACE = "(element, value) => [...element.options].findIndex((each) => each.value === value)"


class Mouse:
    """Clicks, and types where it has clicked."""

    def __init__(self, page):
        self.page = page

    def one(self, thing):
        """The first that a selector, or a locator, finds."""
        return (self.page.locator(thing) if isinstance(thing, str) else thing).first

    def press(self, thing):
        """Press a button, a link or whatever can be chosen."""
        self.one(thing).click()

    def write(self, field, text):
        """Make a field say something else, and leave it."""
        self.fill(field, text)
        self.page.keyboard.press("Tab")

    def enter(self, field, text):
        """As `write`, ended by Enter."""
        self.fill(field, text)
        self.page.keyboard.press("Enter")

    def fill(self, field, text):
        """Make a field say something else, and stay in it."""
        self.one(field).fill(text)

    def choose(self, field, value):
        """Choose one of a list."""
        self.one(field).select_option(value)

    def paint(self, field, colour):
        """Choose a colour in the browser's own chooser."""
        self.one(field).fill(colour)

    def give(self, asks, file):
        """Give a file to what asks for one."""
        with self.page.expect_file_chooser() as asked:
            self.press(asks)
        asked.value.set_files(file)

    def corners(self, *corners):
        """Draw a profile with corners at mm from the paper's lower left."""
        self.press("[data-key=pen]")
        for corner in corners:
            self.page.mouse.click(*self.page.evaluate(AT, corner))


class Keys(Mouse):
    """Never touches a mouse."""

    def reach(self, thing):
        """Go from one thing to the next until this one is in hand."""
        wanted = self.one(thing)
        wanted.wait_for()
        for _ in range(MOST_STOPS):
            if wanted.evaluate(HAS_FOCUS):
                return
            if wanted.evaluate(GOES_IN):  # a group has one stop; arrows go from one to the next
                self.page.keyboard.press("ArrowDown")
                continue
            self.page.keyboard.press("Tab")
        raise AssertionError(f"the Tab key does not lead to {thing}")

    def press(self, thing):
        self.reach(thing)
        self.page.keyboard.press("Enter")

    def fill(self, field, text):
        self.reach(field)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def choose(self, field, value):
        self.reach(field)
        wanted = self.one(field)
        steps = wanted.evaluate(PLACE, value) - wanted.evaluate(CHOSEN)
        for _ in range(abs(steps)):
            self.page.keyboard.press("ArrowDown" if steps > 0 else "ArrowUp")

    def paint(self, field, colour):
        """Nothing: that chooser is another window. The colour is typed elsewhere."""

    def corners(self, *corners):
        self.press("[data-key=pen]")
        self.page.wait_for_selector("svg.drawing[role=application]:focus")
        at = corners[0]  # the cross stands somewhere: only the form counts
        for x, y in corners:
            for way, steps in (("ArrowRight", x - at[0]), ("ArrowUp", y - at[1])):
                key = way if steps > 0 else {"ArrowRight": "ArrowLeft", "ArrowUp": "ArrowDown"}[way]
                for _ in range(abs(steps) // 100):  # shift takes ten squares of 10 mm
                    self.page.keyboard.press(f"Shift+{key}")
            self.page.keyboard.press("Enter")
            at = x, y


def edited(page, act):
    """Do what makes an edit, and wait for its answer."""
    with page.expect_response(WRITTEN) as told:
        act()
    assert told.value.ok
    two_frames(page)


def read(page, pair, text):
    """Type one reading of an outline."""
    page.fill(f"#read-{pair}", text)
    edited(page, lambda: page.keyboard.press("Enter"))


def started(page, title="Tall one", unit="mm", shape="empty", hand=Mouse):
    """Start a cabinet on the first page."""
    by = hand(page)
    by.write("#new-title", title)
    by.press(f"[data-key=unit-{unit}]")
    by.press(f"[data-key=shape-{shape}]")
    by.press("[data-key=start]")
    page.wait_for_selector("body[data-ready=measure] svg.drawing")
    page.wait_for_selector("#carcase-name")  # the last that is drawn, and not in a hand yet


def drawn(page, *corners, hand=Mouse):
    """Draw a profile with corners at mm from the ruled paper's lower left, and close it."""
    by = hand(page)
    by.corners(*corners)
    edited(page, lambda: by.press("[data-key=pen-close]"))


def table(folder):
    """What the definition states."""
    return tomllib.loads((folder / "cabinet.toml").read_text(encoding="utf-8"))
