"""The page's own geometry of tracing paper, asked in the browser; answers are worked on the page.

mm, y down. A bulge is the tangent of a quarter of an arc's turn.
"""

import math
import random

import pytest
from lxml import etree

from mateline.drawing.borders.reader import borders_in
from mateline.drawing.borders.writer import borders_svg

pytestmark = pytest.mark.browser

MODULES = """async (given) => {
  const from = (name) => import(`/page/tracing/${name}.js`);
  const [g, p, c, s, l] = await Promise.all(
    ["geometry", "paper", "changes", "snapping", "lengths"].map(from));
  const sheet = (...borders) => ({ width: 100, height: 80, outline: null, borders, seeds: [],
    marks: [] });
  const told = (paper) => paper.borders.map((b) => (p.isCircle(b) ? [b.centre, b.radius]
    : [b.start, ...b.steps.map(({ to, bulge }) => [...to, bulge])]));
  CODE
}"""


@pytest.fixture
def ask(visit):
    """Runs a body of JavaScript with the tracing modules at hand: g, p, c, s, l."""
    page = visit()
    return lambda code, given=None: page.evaluate(MODULES.replace("CODE", code), given)


def near(*numbers):
    return pytest.approx(list(numbers), abs=1e-6)


def test_an_arc_through_three_points_is_the_circle_through_them(ask):
    """Half a circle above the line; one of 90 degrees below it."""
    low = 5 - 5 * math.sqrt(2)  # the sagitta of a quarter circle over a chord of 10, below 0
    found = ask("return given.map(([a, b, q]) => g.bulgeThrough(a, b, q))", [
        [[0, 0], [5, -5], [10, 0]],
        [[0, 0], [5, -low], [10, 0]],
        [[0, 0], [4, 0], [10, 0]],
    ])  # fmt: skip
    assert found == near(1, -math.tan(math.pi / 8), 0)


def test_lines_and_circles_meet_where_they_do(ask):
    """A 3-4-5 triangle: the line y = 3 cuts the circle of radius 5 at x = +-4."""
    found = ask("return g.crossings(g.edge([-9, 3], [9, 3]), g.circleEdge([0, 0], 5))")
    assert sorted(found) == [near(-4, 3), near(4, 3)]
    touch = ask("return g.touching([10, 0], [0, 0], 6)")  # 6-8-10: touches at (3.6, +-4.8)
    assert sorted(touch) == [near(3.6, -4.8), near(3.6, 4.8)]
    assert ask("return g.centresThrough([-3, 0], [3, 0], 5).sort((a, b) => a[1] - b[1])") == [
        near(0, -4), near(0, 4),
    ]  # fmt: skip


def test_a_moved_corner_takes_along_what_ends_on_its_lines(ask):
    """A T: the foot lies halfway on the bar; the bar's end goes down by 20, so the foot by 10."""
    found = ask("""const bar = p.line([0, 0], [100, 0]), foot = p.line([50, 0], [50, 60]);
      return told(c.movedNode(sheet(bar, foot), [100, 0], [100, 20]));""")
    assert found == [[[0, 0], near(100, 20, 0)], [near(50, 10), near(50, 60, 0)]]


def test_two_borders_become_one(ask):
    """Two lines on one line; two eighths of one circle; and one beside another, which goes."""
    r = 10 / math.sqrt(2)
    eighth = math.tan(math.pi / 16)
    found = ask("""const [r, e] = given;
      const two = (a, b) => told(c.joined(sheet(a, b), a.key, b.key));
      const one = two(p.line([0, 0], [40, 0]), p.line([100, 0], [40, 0]));
      const arc = two(p.arc([10, 0], [r, r], e), p.arc([r, r], [0, 10], e));
      const keep = p.line([0, 0], [100, 0]), gone = p.line([10, 3], [90, 3]);
      const end = p.line([90, 3], [90, 50]);
      const beside = told(c.joined(sheet(keep, gone, end), keep.key, gone.key));
      return [one, arc, beside];""", [r, eighth])  # fmt: skip
    assert found[0] == [[[0, 0], near(100, 0, 0)]]
    assert found[1] == [[[10, 0], near(0, 10, math.tan(math.pi / 8))]]
    assert found[2] == [[[0, 0], near(100, 0, 0)], [near(90, 0), near(90, 50, 0)]]


def test_lines_are_made_true(ask):
    """Level at the mean height; parallel about the own middle; an arc that goes on as a line comes
    is a quarter circle here."""
    found = ask("""const one = p.line([0, 10], [60, 30]), two = p.line([10, 50], [50, 80]);
      const lead = p.line([0, 0], [10, 0]), bow = p.arc([10, 0], [20, 10], 0.1);
      return [told(c.level(sheet(one), one.key)), told(c.plumb(sheet(one), one.key)),
        told(c.parallel(sheet(one, two), one.key, two.key))[0],
        told(c.tangent(sheet(lead, bow), bow.key, lead.key))[1]];""")
    assert found[0] == [[near(0, 20), near(60, 20, 0)]]
    assert found[1] == [[near(30, 10), near(30, 30, 0)]]
    half = math.hypot(60, 20) / 2  # two runs by 4 to 3
    assert found[2] == [
        near(30 - 0.8 * half, 20 - 0.6 * half),
        near(30 + 0.8 * half, 20 + 0.6 * half, 0),
    ]
    assert found[3] == [[10, 0], near(20, 10, math.tan(math.pi / 8))]


def test_a_border_is_split_and_bent_where_one_says(ask):
    found = ask("""const bow = p.arc([0, 0], [10, 0], 1), ring = p.circle([50, 50], 10);
      const line = p.line([0, 0], [10, 0]);
      return [told(c.split(sheet(bow), bow.key, [5, -5])),
        told(c.split(sheet(ring), ring.key, [60, 50])),
        told(c.bent(sheet(line), line.key, 0, [5, -5]))];""")
    quarter = math.tan(math.pi / 8)
    assert found[0] == [[[0, 0], near(5, -5, quarter)], [near(5, -5), near(10, 0, quarter)]]
    assert found[1] == [[near(60, 50), near(40, 50, 1)], [near(40, 50), near(60, 50, 1)]]
    assert found[2] == [[[0, 0], near(10, 0, 1)]]


def test_what_is_caught_first(ask):
    """An end before its line, a crossing, a middle, a tangent, and else the tape's marks, which
    are counted from below: the paper is 80 high."""
    found = ask("""const lines = [p.line([0, 40], [100, 40]), p.line([50, 0], [50, 80])];
      const snap = s.snapper(sheet(...lines, p.circle([20, 20], 6))), tape = { graduation_mm: 4 };
      const at = (place, more = {}) => {
        const { at: to, kind } = snap.at(place, { reach: 1, tape, ...more });
        return [kind, to];
      };
      return [at([99.5, 40.4]), at([50.3, 40.2]), at([72.2, 40.3]), null,
        at([23.5, 24.9], { from: [30, 20] }), at([33.1, 61.2]),
        at([90, 11], { from: [80, 10], turned: true })];""")
    assert found[0] == ["end", near(100, 40)]
    assert found[1] == ["crossing", near(50, 40)]
    assert found[2] == ["border", near(72, 40)]
    assert found[4] == ["tangent", near(23.6, 24.8)]
    assert found[5] == ["mark", near(32, 60)]
    assert found[6][0] == "turn"
    assert found[6][1][1] == pytest.approx(10)


def test_lengths_are_read_as_the_tape_writes_them(ask):
    inches = ["12 1/4", "12-1/4", "3/8", "5' 3 7/16", "12.5", "1,5", "30 mm", "-2", "x", "", "1/"]
    found = ask("return given.map((each) => l.mmOf(each, { unit: 'in' }))", inches)
    expected = [12.25, 12.25, 0.375, 63.4375, 12.5, 1.5, 30 / 25.4, -2]
    assert found[:8] == pytest.approx([25.4 * each for each in expected])
    assert found[8:] == [None, None, None]
    sizes = ask("return l.templates('inch').map((each) => each[1])")
    assert sizes[0] == "1/8″"
    assert sizes[-1] == "3 1/2″"


def test_the_page_writes_what_python_writes(ask):
    dice = random.Random(5)  # noqa: S311  not for secrets
    given = [[round(dice.uniform(0, 500), 6) for _ in range(7)] for _ in range(40)]
    text = ask("""const borders = given.flatMap(([a, b, d, e, f, k, r]) => [p.line([a, b], [d, e]),
        p.arc([b, d], [e, f], (k - 250) / 100), p.circle([a, k], r + 1)]);
      const paper = { ...sheet(...borders), outline: p.line([0, 0], [100, 80]),
        seeds: [p.seed([1.5, 2], "#c0392b")] };
      paper.seeds[0].name = 'a "b" <c> & d';
      const once = p.text(paper);
      return [once, p.text(p.read(once))];""", given)  # fmt: skip
    assert text[1] == text[0]
    assert borders_svg(borders_in("x.svg", etree.fromstring(text[0].encode()))[0]) == text[0]
