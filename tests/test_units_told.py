"""Everything a person reads of a job is in the job's units, and no line ends within a reading.

The corner box is written twice: as it is, in millimetres, and as somebody with an inch tape would
have measured it. All its papers, and what the commands say of it, are searched for the other's.
"""

import re
import tomllib
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
from lxml import html
from pypdf import PdfReader

from mateline.cli import main
from mateline.exports import build
from mateline.exports.jobbook.places import cuttings_of
from mateline.exports.laying.sets import laid_sets
from mateline.survey import planned, surveyed, with_true_borders

BOX = Path(__file__).parents[1] / "cabinets" / "corner-box"
IN_INCHES = {
    'unit = "mm"': 'unit = "in"',
    "graduation = 1": 'graduation = "1/16"',
    "width = 380": 'width = "15"',
    "board = 12\n": 'board = "1/2"\n',
    "A-B = 420": 'A-B = "16 1/2"',
    "B-C = 300": 'B-C = "11 3/4"',
    "C-D = 421": 'C-D = "16 9/16"',
    "D-A = 300": 'D-A = "11 3/4"',
    "A-C = 516": 'A-C = "20 1/4"',
    "B-D = 517": 'B-D = "20 5/16"',
    "diameter = 20": 'diameter = "3/4"',
    "top = 107, left = 190": 'top = "4 1/4", left = "7 1/2"',
    "offset = [0, -5]": 'offset = ["0", "-3/16"]',
}
PAINTING = """
[painting]
start = 2027-04-05
days_off = ["tuesday"]
method = "can"
air = {air}
surface = {surface}
humidity_percent = 55
"""
# What an inch job may say beside its own: the other degrees, and paint in litres.
BESIDE = re.compile(r"\(\d+ °C\)|(?<=fl oz) \(?[\d.]+(?: to [\d.]+)? (?:ml|litres)\)?")
METRIC = re.compile(r"\d ?(?:mm²|cm²|m²|mm|cm|m|ml|l|L|litres|°C)(?![\w²])")
US = re.compile(r"(?<!:\d)\d ?(?:\"|″|in²|ft²|in|ft|inch|inches|mil)(?![\w²])|\d \d+/\d+|fl oz|°F")
ATTRIBUTES = "said by a reader of screens only:"
READING = re.compile(r"\d+ \d+/\d+\"")


@pytest.fixture(scope="module", params=["mm", "in"])
def told(request, tmp_path_factory):
    """The unit, and all that a person reads of the box by what it is from, lines as they break."""
    unit = request.param
    folder = tmp_path_factory.mktemp(f"box-{unit}")
    for drawing in BOX.glob("*.svg"):
        (folder / drawing.name).write_bytes(drawing.read_bytes())
    text = (BOX / "cabinet.toml").read_text(encoding="utf-8")
    for ours, theirs in IN_INCHES.items() if unit == "in" else ():
        assert ours in text
        text = text.replace(ours, theirs)
    painting = PAINTING.format(air=18, surface=17)
    (folder / "cabinet.toml").write_text(text + painting, encoding="utf-8")
    job = with_true_borders(surveyed(folder))
    out = tmp_path_factory.mktemp(f"papers-{unit}")
    plan = planned(job)
    laid, cuttings = laid_sets(job, plan.sets), cuttings_of(job, plan.sets)
    build._write_books(job, plan, out, laid, cuttings)
    for task, arguments in build._faces(job, out, plan.sets, laid, cuttings):
        task(*arguments)
    found = {}
    for path in sorted(out.rglob("*")):
        read = {".html": _page, ".pdf": _pdf, ".svg": _page, ".txt": _text, ".ics": _text}
        if path.suffix in read:
            found[path.relative_to(out).as_posix()] = read[path.suffix](path)
    for command in ("tape", "check"):
        with redirect_stdout(StringIO()) as answer:
            main([command, str(folder)])
        found[command] = answer.getvalue()
    assert tomllib.loads(text)["tape"]["unit"] == unit
    return unit, found


def _page(path):
    document = html.fromstring(path.read_bytes())
    for hidden in document.xpath("//script|//style"):
        hidden.getparent().remove(hidden)
    words = [*document.itertext(), ATTRIBUTES, *document.xpath("//@aria-label|//@title")]
    return "\n".join(word.strip() for word in words)


def _pdf(path):
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def _text(path):
    return path.read_text(encoding="utf-8")


def test_papers_and_answers_are_in_the_units_of_the_job(told):
    unit, papers = told
    wrong = METRIC if unit == "in" else US
    stray = {}
    for name, text in papers.items():
        level = " ".join(text.split())  # a line may end between two quantities
        level = BESIDE.sub("", level) if unit == "in" else level
        lines = [level[max(found.start() - 30, 0) : found.end() + 10] for found in
                 wrong.finditer(level)]  # fmt: skip
        if lines:
            stray[name] = lines
    assert stray == {}


def test_the_units_of_the_job_are_met(told):
    """So that the search above has something to search."""
    unit, papers = told
    level = {name: text.replace("\u00a0", " ") for name, text in papers.items()}
    right, area, degrees, paint = (
        (READING, "in²", "°F (", " fl oz") if unit == "in" else (METRIC, "cm²", "°C", " ml")
    )
    for name in ("job-book.html", "tape", "check", "faces/box-left/stencil.pdf"):
        assert right.search(level[name]), name
    assert area in level["check"]
    for words in (degrees, paint):
        assert words in level["job-book.html"]
        assert words in " ".join(level["job-book.pdf"].split())


def test_no_line_of_a_paper_ends_within_a_reading(told):
    """In files whose lines are set here; a browser keeps no-break spaces together by itself."""
    unit, papers = told
    for name, text in papers.items():
        if name.endswith((".txt", ".pdf")) or name in {"tape", "check"}:
            # A figure with decimals is a cell of its own: readings in inches have none.
            assert not re.search(r"(?<![.\d])\d+[ \u00a0]?\n *\d+/\d+\"", text), name
            assert not re.search(r"\d[ \u00a0]?\n *(?:mm|cm²|in²|°[CF]|ml)\b", text), name
    page = papers["job-book.html"].partition(ATTRIBUTES)[0]
    assert not READING.search(page) if unit == "in" else not re.search(r"\d mm\b", page)


def test_tables_and_lists_fit_a_terminal(told):
    _, papers = told
    for name in ("tape", "check", "painting-days.txt"):
        assert max(map(len, papers[name].splitlines())) <= 80, name
