"""One set that is turned over, and faces of base coat only, read back from what is written.

The box of the starter with the band on its left side, mirrored onto the right one. A lock is on the
right side only, so that the piece round it is cut extra; a foot stays on the bottom, which has the
base coat only.
"""

import json
import re

import lxml.html
import pytest
from lxml import etree
from pypdf import PdfReader

from mateline.errors import InputError
from mateline.exports.build import _faces
from mateline.exports.by_hand.face_cutting import face_cutting
from mateline.exports.jobbook import html, write_pdf
from mateline.exports.jobbook.places import cuttings_of
from mateline.exports.json_report import contract, job_json
from mateline.exports.laying.sets import laid_sets
from mateline.exports.spare import chosen_pieces
from mateline.starter import write_starter
from mateline.survey import planned, surveyed, with_true_borders
from mateline.tape.reading import printed
from pdf_reading import forms, length, read, subpaths

SVG = "{http://www.w3.org/2000/svg}"
MORE = """
[[art]]
mirror = "box-left"
onto = ["box-right"]

[[hardware]]
name = "lock"
kind = "round"
diameter = "1"
on = "box-right"
from = { front = "8", bottom = "16" }
state = "stays"

[[hardware]]
name = "foot"
kind = "round"
diameter = "1"
on = "box-bottom"
from = { front = "8", left = "8" }
state = "stays"
"""


def box(folder, top=""):
    write_starter(folder)
    file = folder / "cabinet.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace('wrap = ["box-left", "box-front", "box-right"]', 'on = "box-left"')
    for end in ("left", "right"):
        text = re.sub(rf'"{end} and front"  ?= .*\n', "", text)
    file.write_text(text.replace("title =", f"{top}title =") + MORE, encoding="utf-8")
    return with_true_borders(surveyed(folder))


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return box(tmp_path_factory.mktemp("set") / "box")


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def files(job, plan, tmp_path_factory):
    """The files of every face, as a build writes them."""
    folder = tmp_path_factory.mktemp("files")
    cuttings = cuttings_of(job, plan.sets)
    for task, (work, place) in _faces(job, folder, plan.sets, laid_sets(job), cuttings):
        task(work, place)
    return folder / "faces"


@pytest.fixture(scope="module")
def turned(plan):
    (found,) = plan.sets
    return found


@pytest.fixture(scope="module")
def page(job, plan):
    return lxml.html.document_fromstring(html(job, plan))


@pytest.fixture(scope="module")
def wall(job, plan, tmp_path_factory):
    path = tmp_path_factory.mktemp("wall") / "job-book.pdf"
    write_pdf(job, plan, path)
    return PdfReader(path)


def ids(job, face):
    return {piece.id for each in job.stencils if each.face.name == face for piece in each.pieces}


def short(names):
    return {name.rsplit(" ", 1)[1] for name in names}


def test_the_right_side_has_the_names_on_the_board_and_its_own(job, turned):
    assert (turned.left, turned.right) == ("box-left", "box-right")
    assert set(turned.on_board.values()) == ids(job, "box-left") - set(turned.unused)
    assert set(turned.on_board) | set(turned.own) == ids(job, "box-right")
    assert len(turned.own) == len(turned.unused) == 1  # round the lock
    # The right side counts from its own left, so that names of its own would be others.
    assert any(short([own]) != short([name]) for own, name in turned.on_board.items())


def test_twins_lie_where_the_other_one_does(job, turned):
    here = {piece.id: piece for each in job.stencils for piece in each.pieces}
    wide = {each.face.name: each.face.outline.bounds[2] for each in job.stencils}["box-left"]
    for own, name in turned.on_board.items():
        (x, y), (u, v) = (here[one].area.centroid.coords[0] for one in (own, name))
        assert (x, y) == pytest.approx((wide - u, v), abs=2.0)  # the lock moves no twin's middle
        assert here[own].colour == here[name].colour


def test_the_book_names_pieces_of_the_right_side_as_its_board_does(turned, page):
    wanted = set(turned.on_board.values()) | set(turned.own)
    (face,) = page.xpath("//article[@id='face-box-right']")
    assert set(face.xpath(".//@data-piece")) == wanted
    assert set(face.xpath(".//tbody/tr/th/a/text()")) == wanted
    lettered = {label for label in face.xpath(".//*[@data-label]/text()") if " " not in label}
    assert lettered <= short(turned.on_board.values())
    ways = [each for each in page.xpath("//*[@id='passes']//dd") if each.text_content()]
    said = " ".join(each.text_content() for each in ways)
    assert all(name in said for name in short(wanted) if not name.startswith("C"))


def test_ids_are_there_once_and_links_lead_to_them(page):
    there = page.xpath("//@id")
    assert len(there) == len(set(there))
    assert {link[1:] for link in page.xpath("//a/@href")} <= set(there)


def test_the_picture_of_the_right_side_has_the_names_on_the_board(turned, files):
    root = etree.parse(files / "box-right" / "picture.svg")
    titles = [each.text for each in root.iter(f"{SVG}title")]
    told = {title.rsplit(", ", 1)[0] for title in titles if ", " in title}
    assert told == set(turned.on_board.values()) | set(turned.own)
    drawn = {each.text for each in root.iter(f"{SVG}text")}
    assert short(turned.on_board.values()) <= drawn
    assert {f"own {name}" for name in short(turned.own)} <= drawn


def test_pass_pages_are_in_the_plans_order_with_the_names_on_the_board(plan, turned, wall):
    headed = re.compile(r"Pass (\d+) of \d+: \S+\s+(\S+)")
    pages = [(found, page.extract_text()) for page in wall.pages
             if (found := headed.search(page.extract_text()))]  # fmt: skip
    wanted = [(run.each.order, there) for run in plan.runs for there in run.each.faces]
    assert [(int(found[1]), found[2]) for found, _ in pages] == [
        (order, there.face) for order, there in wanted
    ]
    rights = [there.face == "box-right" for _, there in wanted]
    assert rights == sorted(rights)  # all of the left set's passes first
    assert any(rights)
    for (_, there), (_, text) in zip(wanted, pages, strict=True):
        words = text.split()
        assert {name.rsplit(" ", 1)[1] for name in there.off} <= set(words)
        assert ("The set of box-left, turned over" in text) == (there.face == "box-right")
    for _, there in wanted:
        if there.face == "box-right":
            assert set(there.off) <= set(turned.on_board.values()) | set(turned.own)


def test_the_slider_does_the_left_set_first(plan, page):
    book = json.loads(page.get_element_by_id("book").text)
    assert book["rounds"] == {"box-left": 1, "box-right": 2}
    titles = [step["title"] for step in book["steps"]]
    assert titles[1:3] == [f"Pass {each.order}: {each.colour}" for each in plan.passes[1:]]
    assert titles[3:5] == [
        f"Turned over, pass {each.order}: {each.colour}" for each in plan.passes[1:]
    ]
    assert [list(step["off"]) for step in book["steps"][1:5]] == [["box-left"]] * 2 + [
        ["box-right"]
    ] * 2


def test_the_printed_stencil_has_the_names_for_the_back_as_the_drawing_has(turned, files):
    root = etree.parse(files / "box-left" / "stencil.svg")
    (group,) = root.xpath("//*[@id='label-back']")
    reader = read((files / "box-left" / "stencil.pdf").read_bytes())
    paths = subpaths(forms(reader)["label-back"])
    assert len(paths) == len(group) > 10
    assert all(length(path) > 0 for path in paths)
    first = " ".join(reader.pages[0].extract_text().split())
    assert "One set for box-left and, turned over, for box-right." in first
    assert "Names in violet, mirrored, are for the back" in first
    other = read((files / "box-right" / "stencil.pdf").read_bytes())
    assert "label-back" not in forms(other)
    said = " ".join(other.pages[0].extract_text().split())
    own = ", ".join(sorted(short(turned.own)))
    assert f"Cut only {own} from here: the set of box-left, turned over, does this face." in said


def test_the_first_page_says_that_one_set_is_cut_and_how_to_change_it(page):
    said = page.xpath("//p[@class='sets']")[0].text_content()
    assert said.startswith("One set, turned over: the set of box-left does box-right too.")
    assert "“turned_over = false” into cabinet.toml" in said


def test_two_sets_are_said_too(tmp_path):
    job = box(tmp_path / "box", "turned_over = false\n")
    plan = planned(job)
    assert plan.sets == ()
    page = lxml.html.document_fromstring(html(job, plan))
    said = page.xpath("//p[@class='sets']")[0].text_content()
    assert said.startswith("Two sets: each side has its own.")
    assert set(page.xpath("//article[@id='face-box-right']//@data-piece")) == ids(job, "box-right")


BARE = ("box-bottom", "box-top")


def test_a_face_of_base_coat_only_has_no_stencil(job, files):
    for name in BARE:
        assert {each.name for each in (files / name).iterdir()} == {"painted.svg", "picture.svg"}
    assert (files / "box-left" / "stencil.dxf").is_file()
    said = {face["name"]: face for face in contract("box", job.stencils, ())["faces"]}
    for name in BARE:
        assert said[name]["pieces"] == []
        outline = next(each.face.outline for each in job.stencils if each.face.name == name)
        assert said[name]["area"] == pytest.approx(outline.area, rel=1e-6)
    full = {
        face["name"]: face for face in json.loads(job_json("box", job.stencils, [], {}))["faces"]
    }
    assert all(full[name]["cut_length"] == 0 for name in BARE)
    assert full["box-left"]["cut_length"] > 0
    assert not any(finding.piece for finding in job.findings if finding.face in BARE)


def test_its_picture_says_so_and_what_to_tape_over(files):
    root = etree.parse(files / "box-bottom" / "picture.svg")
    words = [each.text for each in root.iter(f"{SVG}text")]
    assert "No board: base coat only" in words
    assert "hardware that stays: tape it over" in words


def test_no_piece_of_it_can_be_made_again(job):
    with pytest.raises(InputError, match="box-top has no pieces: it is cream only"):
        chosen_pieces(job, ["box-top"])


def test_the_book_shows_it_whole_and_says_why(page):
    (face,) = page.xpath("//article[@id='face-box-bottom']")
    assert "cream only, no board: tape over what stays, then spray it whole" in face.text_content()
    assert len(face.xpath(".//*[@class='bare']")) == 1
    listed = page.xpath("//section[@id='whole-job']/ul")[0].text_content()
    assert "box-bottom: cream only: sprayed whole. Tape over: foot." in listed
    assert "box-top: cream only: sprayed whole." in listed


def test_the_first_page_names_each_file_that_is_there(page, files):
    cells = page.xpath("//table[@class='files']//td")
    said = " ".join(cell.text_content() for cell in cells)
    named = set(re.findall(r"faces/[\w/.-]+", said))
    assert named >= {f"faces/box-left/{name}" for name in ("stencil.pdf", "hand-cutting.pdf")}
    for path in named:
        assert (files.parent / path).exists(), path
    rows = page.xpath("//table[@class='files']/tbody/tr/th/text()")
    assert rows == ["box-left", "box-right", "box-front"][: len(rows)]


def test_boxes_to_tick_are_told_apart_by_their_words(page):
    ticks = page.xpath("//*[@data-tick]/@data-tick")
    assert len(ticks) == len(set(ticks)) > 10


def test_by_hand_only_the_pieces_of_its_own_are_cut_for_the_right_side(job, turned, files):
    (own,) = turned.own
    (piece,) = (each for stencil in job.stencils for each in stencil.pieces if each.id == own)
    said = (files / "box-right" / "hand-cutting.txt").read_text(encoding="utf-8")
    assert re.findall(r"Cutting by hand: (.*)", said) == [f"box-right, piece {own.split()[-1]}"]
    left, low, right, high = piece.area.bounds
    assert said.splitlines()[2].startswith(
        f"Board {printed(right - left, job.tape)} wide, {printed(high - low, job.tape)} high."
    )
    reader = PdfReader(files / "box-right" / "hand-cutting.pdf")
    words = re.findall(rb"\(([^()]*)\) Tj", reader.pages[0].get_contents().get_data())
    ids = [word.decode() for word in words if re.fullmatch(rb"[A-Z]\d+", word)]
    assert ids == [own.split()[-1]]


def test_by_hand_a_side_that_another_set_does_says_so(job):
    (stencil,) = (each for each in job.stencils if each.face.name == "box-right")
    none = face_cutting(stencil, job.tape, None, ())
    assert (none.pages, none.table) == ((), "")
    every = face_cutting(stencil, job.tape, None, None)
    assert len(every.pages) >= 1
    assert "box-right, piece" not in every.table
