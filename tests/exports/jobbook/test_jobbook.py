"""The job book as a file: read back with lxml, held against the job and the plan."""

import json
import math
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import lxml.html
import numpy as np
import pytest
import shapely
from lxml import etree

from blundered import OUTLINES, slipped
from mateline.checks.findings import Settled
from mateline.exports.jobbook import html
from mateline.exports.jobbook.drawing import Around, drawing
from mateline.exports.jobbook.measurements import section
from mateline.exports.jobbook.view3d import scene
from mateline.exports.picture.cabinet_picture import cabinet_picture
from mateline.exports.picture.projection import raised
from mateline.paint.workdays import workdays_of
from mateline.starter import write_starter
from mateline.survey import planned, surveyed, with_true_borders
from mateline.tape.reading import printed
from mateline.tape.report import sentences

SVG = "http://www.w3.org/2000/svg"


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobbook") / "box"
    write_starter(folder)
    return with_true_borders(surveyed(folder))


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def text(job, plan):
    return html(job, plan)


@pytest.fixture(scope="module")
def page(text):
    return lxml.html.document_fromstring(text)


def data(page):
    return json.loads(page.get_element_by_id("book").text)


def pieces(job):
    return [piece for stencil in job.stencils for piece in stencil.pieces]


def test_the_same_job_gives_the_same_bytes(tmp_path, text):
    write_starter(tmp_path / "box")
    again = with_true_borders(surveyed(tmp_path / "box"))
    assert html(again, planned(again)) == text


def test_it_needs_nothing_from_anywhere(text, page):
    assert text.replace(SVG, "").count("http:") == 0
    assert "https:" not in text
    assert re.search(r"url\((?!#|%23)", text) is None  # places in the page itself are none
    assert "@import" not in text
    for element, _, link, _ in page.iterlinks():
        assert link.startswith(("#", "data:")), element.tag
    (policy,) = page.xpath("//meta[@http-equiv]/@content")
    assert policy.startswith("default-src 'none'")


def test_every_id_is_there_once_and_every_link_has_its_place(page):
    ids = Counter(page.xpath("//@id"))
    assert [name for name, count in ids.items() if count > 1] == []
    wanted = [link[1:] for link in page.xpath("//a/@href")]
    wanted += page.xpath("//@aria-labelledby") + page.xpath("//label/@for")
    assert [name for name in wanted if name not in ids] == []


def test_every_piece_is_drawn_listed_and_offered_to_the_finder(job, page):
    names = sorted(piece.id for piece in pieces(job))
    assert sorted(page.xpath("//*[@data-piece]/@data-piece")) == names
    assert sorted(page.xpath("//datalist/option/@value")) == names
    assert sorted(page.xpath("//article//tbody/tr/th/a/text()")) == names


def test_cautions_come_right_after_the_whole_job_and_name_every_topic(page):
    first = ["whole-job", "cautions", "cabinet", "faces"]
    assert page.xpath("//main/section/@id")[:4] == first
    said = page.get_element_by_id("cautions").text_content()
    for topic in ("lead", "isocyanate", "respirator", "blade", "PVC", "Rags", "Unplug", "label"):
        assert topic in said


def test_findings_that_stop_are_told_with_the_cautions(job, plan):
    stopped = replace(job, findings=(replace(job.findings[0], level="stop"), *job.findings[1:]))
    said = lxml.html.document_fromstring(html(stopped, plan)).get_element_by_id("cautions")
    assert "Before you cut: 1 finding says stop." in said.text_content()


def test_the_steps_take_each_colours_pieces_off_and_never_the_base(job, plan, page):
    steps = data(page)["steps"]
    assert [step["kind"] for step in steps] == ["base", "colour", "colour", "finished"]
    for step in steps[1:-1]:
        wanted = {}
        for piece in pieces(job):
            if piece.colour == step["colour"]:
                wanted.setdefault(piece.face, []).append(piece.id)
        assert step["off"] == wanted
    assert steps[0]["colour"] == job.colours.base
    (slider,) = page.xpath("//input[@type='range']")
    assert (slider.get("min"), slider.get("max")) == ("0", str(len(plan.passes)))


def test_a_face_is_done_after_its_last_colour(job, page):
    steps = data(page)["steps"]
    for stencil in job.stencils:
        colours = {piece.colour for piece in stencil.pieces} - {job.colours.base}
        last = [step["colour"] for step in steps if stencil.face.name in step.get("last", [])]
        assert len(last) == bool(colours)
        later = [step["colour"] for step in steps[1:-1]]
        if last:
            assert not colours & set(later[later.index(last[0]) + 1 :])


def test_without_a_plan_there_is_no_slider_and_the_rest_stays(job):
    page = lxml.html.document_fromstring(html(job, None))
    assert page.xpath("//input[@type='range']") == []
    assert page.xpath("//section[@id='passes']") == []
    assert len(page.xpath("//*[@data-piece]")) == len(pieces(job))


def test_borders_have_to_be_fitted_first(job, plan):
    raw = replace(job, stencils=tuple(replace(each, chains=()) for each in job.stencils))
    with pytest.raises(ValueError, match="each border needs its chain"):
        html(raw, plan)


def test_every_piece_has_its_id_on_its_drawing_once(job, page):
    for stencil in job.stencils:
        (drawing,) = page.xpath(f"//svg[@data-face='{stencil.face.name}']")
        shown = [each.text_content() for each in drawing.xpath(".//g[@class='ids']//text")]
        assert sorted(shown) == sorted(piece.short for piece in stencil.pieces)


def test_a_piece_too_small_for_its_id_is_led_to_it(job):
    stencil = job.stencils[0]
    places = [shapely.LineString([p.area.centroid, p.area.centroid]) for p in stencil.pieces]
    around = Around(job.tape, ())
    made = lxml.html.fragment_fromstring(drawing(stencil, (), np.array(places), (), around))
    led = made.xpath(".//g[@class='led']")
    assert [each.xpath("./text/text()")[0] for each in led] == [p.short for p in stencil.pieces]
    for group, piece in zip(led, stencil.pieces, strict=True):
        (dot,) = group.xpath("./circle")
        top = stencil.face.outline.bounds[3]
        at = shapely.Point(float(dot.get("cx")), top - float(dot.get("cy")))
        assert at.distance(piece.area.centroid) < 0.01


def test_a_drawing_has_the_names_of_its_sides_and_a_scale_bar(page):
    (left,) = page.xpath("//svg[@data-face='box-left']")
    names = [each.text for each in left.xpath(".//g[@class='sides']/text")]
    assert {"front (box-front)", "back"} <= set(names)
    (bar,) = left.xpath(".//g[@class='bar-scale']")
    dark, light = (float(each.get("width")) for each in bar.xpath("./rect"))
    mm_a_px = float(re.search(r"scale\(([\d.]+)\)", bar.get("transform"))[1])
    inches = (dark + light) * mm_a_px / 25.4
    (said,) = bar.xpath("./text/text()")
    assert inches == pytest.approx(float(said.strip('"')), abs=0.01)


def test_what_a_table_is_headed_by_is_told_in_each_card_of_a_phone(page):
    for table in page.xpath("//div[@class='wide']/table"):
        heads = [each.text_content() for each in table.xpath("./thead/tr/th")]
        style = table.get("style") or ""
        for at, word in enumerate(heads[1:], 1):
            assert not word or f"--c{at}:'" in style


def test_slider_and_finder_are_reached_in_five_stops(page):
    stops = page.xpath("//body//*[self::a[@href] or self::button or self::input or @tabindex='0']")
    assert {each.get("id") for each in stops[:5]} >= {"step", "find"}


def test_each_finding_is_told_and_marked_at_its_place(job, page):
    tops = {each.face.name: each.face.outline.bounds[3] for each in job.stencils}
    entries = page.xpath("//ol[@class='findings']/li")
    assert len(entries) == len(job.findings) > 0
    for entry in entries:
        (finding,) = [each for each in job.findings if each.message in level(entry)]
        assert finding.remedy in level(entry)
        (link,) = entry.xpath(".//a[@data-show]/@href")
        mark = page.get_element_by_id(link[1:])
        (disc,), (lead,) = mark.xpath("./circle[not(@class)]"), mark.xpath("./line")
        at = float(lead.get("x2")), tops[finding.face] - float(lead.get("y2"))
        assert at == pytest.approx(finding.at, abs=0.006)  # two decimals
        middle = float(disc.get("cx")), tops[finding.face] - float(disc.get("cy"))
        assert math.dist(middle, finding.at) > float(disc.get("r"))  # and it doesn't hide it


def test_what_is_settled_has_a_list_of_its_own_with_its_reason(job, plan):
    first, *others = job.findings
    why = "The fence <in front> hides it."
    meant = replace(job, findings=tuple(others), settled=(Settled(first, why),))
    page = lxml.html.document_fromstring(html(meant, plan))
    (entry,) = page.xpath("//ul[@class='settled']/li")
    assert first.message in level(entry)
    assert f"Because: {why}" in entry.text_content()
    assert entry.xpath(".//a/@href") == [f"#face-{first.face}"]
    assert len(page.xpath("//ol[@class='findings']/li")) == len(others)
    assert len(page.xpath("//*[@data-finding]")) == len(others)  # it is not marked
    assert "; 1 settled." in page.get_element_by_id("findings").text_content()


def test_what_comes_of_a_finding_is_told_with_it_in_full(job, plan):
    first, *others = job.findings
    cause = replace(first, consequences=tuple(others))
    page = lxml.html.document_fromstring(html(replace(job, findings=(cause,)), plan))
    (entry,) = page.xpath("//ol[@class='findings']/li")
    told = [level(each) for each in entry.xpath("./details/ul/li")]
    assert len(told) == len(others) > 0
    for each, said in zip(others, told, strict=True):
        assert each.code in said
        assert each.message in said


def test_what_comes_of_a_finding_is_marked_with_its_number_wherever_it_is(job, plan):
    first, *others = job.findings
    assert len({each.face for each in job.findings}) > 1
    cause = replace(first, consequences=tuple(replace(each, piece=None) for each in others))
    text = html(replace(job, findings=(cause,)), plan)
    page = lxml.html.document_fromstring(text)
    marks = page.xpath("//*[@data-finding]")
    assert [mark.get("data-finding") for mark in marks] == ["1"] * len(job.findings)
    assert [mark.get("id") for mark in marks].count("mark-1") == 1
    for each in job.findings:
        (face,) = page.xpath(f"//article[@id='face-{each.face}']")
        assert len(face.xpath(".//*[@data-finding]")) == sum(
            one.face == each.face for one in job.findings
        )
        assert f"Findings here: 1 {first.code}" in face.text_content()


def test_the_tapes_readings_are_there_as_they_were_read(page):
    cells = {level(cell) for cell in page.xpath("//section[@id='measurements']//td")}
    # from the starter's definition
    assert {'20"', '30"', '20 1/16"', '30 1/16"', '36 1/16"', '36 1/8"'} <= cells


@pytest.mark.parametrize(
    ("slips", "heading", "words"),
    [
        ({("A", "C"): 1.0}, "one reading looks wrong", "A-C reads about"),
        ({("B", "E"): 1.0}, "a reading is wrong", "more than the tape explains"),
        ({("A", "D"): -2.0, ("B", "E"): -2.0}, "more than one reading is wrong", "again first."),
    ],
)
def test_the_book_says_of_wrong_readings_what_the_tape_says(job, slips, heading, words):
    wrong = slipped(OUTLINES["wedge"], np.random.default_rng(1), slips)
    outlines = {"wedge": wrong}
    page = section(replace(job, cabinet=replace(job.cabinet, outlines=outlines)))
    page = page.replace("\u00a0", " ").replace("\u2060", "")
    assert f"wedge: {heading}" in page
    assert words in page
    for sentence in sentences(wrong, job.tape):
        assert sentence in page


def test_paint_and_days_are_the_plans(plan, page):
    rows = page.xpath("//section[@id='paint']//tbody/tr")
    assert [row[0].text_content() for row in rows] == [need.colour for need in plan.needs]
    days = workdays_of(plan.steps, plan.shop)
    tasks = page.xpath("//section[@id='days']//label")
    assert [level(each[2]) for each in tasks] == [task.text for day in days for task in day.tasks]
    assert all(each[0].get("type") == "checkbox" for each in tasks)
    boxes = [each[0].get("data-tick") for each in tasks]
    assert len(set(boxes)) == len(boxes)
    headings = page.xpath("//section[@id='days']//h3 | //section[@id='days']//p[@class='day off']")
    assert [level(each) for each in headings] == [day.heading for day in days]
    notes = page.xpath("//section[@id='days']//li[@class='note']")
    assert [level(each) for each in notes] == [note for day in days for _, note in day.notes]


def level(element):
    """A text of the book as it was before it was kept from breaking."""
    return element.text_content().replace("\u00a0", " ").replace("\u2060", "")


def test_no_name_breaks_out_of_its_place(job, plan):
    rude = "Ship \"A\" <script>alert(1)</script> & 'co'"
    definition = replace(job.definition, title=rude)
    text = html(replace(job, definition=definition), plan)
    page = lxml.html.document_fromstring(text)
    assert page.xpath("//h1")[0].text_content() == rude
    assert len(page.xpath("//script")) == 2
    assert data(page)["base"] == "cream"


def test_the_data_cannot_end_its_script(text):
    start = text.index('id="book">')
    assert "<" not in text[start : text.index("</script>", start)]


def test_the_still_picture_is_the_cabinets_picture(job, page):
    source = page.get_element_by_id("cabinet-still").get("src")
    head, drawing = source.split(",", 1)
    assert head == "data:image/svg+xml"
    wanted = cabinet_picture(job.cabinet.faces, job.stencils, title=job.definition.title)
    assert unquote(drawing) == wanted
    assert etree.fromstring(unquote(drawing).encode()).tag == f"{{{SVG}}}svg"


def test_colours_do_not_alone_say_which_is_which(page):
    for figure in page.xpath("//figure"):
        assert figure.xpath(".//svg/@aria-label")[0].startswith("Drawing of ")
        said = figure.xpath(".//figcaption")[0].text_content()
        bare = not figure.xpath(".//*[@data-piece]")
        assert re.search(r"cream \(base coat\)" if bare else r"[A-Z] [a-z]+.*: \d+", said)


def triangles(facet, key, size):
    return np.array(facet[key]).reshape(-1, 3, size)


def test_triangles_fill_each_face_and_face_outwards(job):
    flat = {each["face"]: each for each in scene(job)["facets"] if each["kind"] == "flat"}
    assert len(flat) == len(job.cabinet.faces)
    for face in job.cabinet.faces:
        a, b, c = np.moveaxis(triangles(flat[face.name], "at", 3), 1, 0)
        normals = np.cross(b - a, c - a) / 2
        # 0.01 mm of rounding along the rim
        assert np.linalg.norm(normals, axis=1).sum() == pytest.approx(face.flat.area, rel=1e-4)
        outward = np.array(face.panel.frame.outward)
        assert (normals @ outward > 0).all()
        assert flat[face.name]["normal"] == pytest.approx(outward, abs=1e-4)


def test_the_drawing_lies_on_the_board_where_the_face_lifts_it(job):
    faces = {face.name: face for face in job.cabinet.faces}
    for facet in scene(job)["facets"]:
        if facet["kind"] == "flat":
            net = triangles(facet, "on", 2).reshape(-1, 2)
            there = raised(net, faces[facet["face"]].cells[0].lift)
            assert there == pytest.approx(triangles(facet, "at", 3).reshape(-1, 3), abs=0.02)


def test_the_main_demos_book_stays_small():
    folder = Path(__file__).parents[3] / "cabinets" / "harbour-lights"
    job = with_true_borders(surveyed(folder))
    text = html(job, planned(job))
    assert len(pieces(job)) >= 200
    assert len(text.encode()) < 3_000_000
    page = lxml.html.document_fromstring(text)
    assert len(page.xpath("//*[@data-piece]")) == len(pieces(job))


def test_the_sketch_has_corner_letters_lengths_and_where_the_front_is(job, page):
    (name,) = job.cabinet.outlines
    outline = job.cabinet.outlines[name]
    (sketch,) = page.xpath("//section[@id='measurements']//svg[@class='sketch']")

    def texts(kind):
        return [level(each) for each in sketch.xpath(f".//text[@class='{kind}']")]

    assert texts("corner") == list(outline.corners)
    # from the starter's definition, at the tape's sixteenths
    sides = [np.hypot(*(outline.points[at] - outline.points[at - 1])) for at in range(4)]
    assert texts("length") == [printed(each, job.tape) for each in (*sides[1:], sides[0])]
    assert texts("way") == ["front", "back", "bottom"]
    front, back = (float(each.get("x")) for each in sketch.xpath(".//text[@class='way']")[:2])
    low, high = (float(outline.points[:, 0].min()), float(outline.points[:, 0].max()))
    assert front < 0 < high - low < back
    box = [float(each) for each in sketch.get("viewbox").split()]
    for each in sketch.xpath(".//text"):
        assert box[0] < float(each.get("x")) < box[0] + box[2]
        assert box[1] < float(each.get("y")) < box[1] + box[3]


def test_no_reading_date_or_range_in_the_book_can_be_broken(text):
    page = lxml.html.document_fromstring(text)
    for hidden in page.xpath("//script|//style"):
        hidden.getparent().remove(hidden)
    words = "\n".join(page.itertext())
    assert re.search("\\d\u00a0\\d+/\\d+", words)
    for broken in (r"\d \d+/\d", r"\d (?:mm|in²|fl|h|°C)\b", r"\b[A-Z]-[A-Z]\b", r"\d-\d\d-"):
        assert not re.search(broken, words), broken
