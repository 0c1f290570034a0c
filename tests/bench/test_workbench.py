"""One open cabinet: edits, conflicts, changes from outside, and the survey of what was written."""

import gc
import json
import shutil
import tracemalloc
from contextlib import closing
from pathlib import Path
from threading import Event

import pytest

from mateline.bench import surveying
from mateline.bench.workbench import NEW, ConflictError, Workbench
from mateline.cli import main
from mateline.errors import InputError, InputFaultsError
from mateline.memory import Memory
from mateline.placed_art import UntracedError
from mateline.survey import surveyed

CABINETS = Path(__file__).parents[2] / "cabinets"
LONG = 600  # seconds that nothing here waits for
EDITS = 4  # more than the turns for which a survey's stages are remembered then


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(CABINETS / "corner-box", tmp_path / "box")
    return tmp_path / "box"


@pytest.fixture
def bench(folder):
    bench = Workbench(folder)
    yield bench
    bench.close()


def put(bench, path, value, says="Set"):
    patch = [{"op": "add", "path": path, "value": value}]
    return bench.edit(bench.stated().version, says, patch)


def diameter(bench, value):
    return put(bench, "/hardware/0/diameter", value, f"Set the latch to {value}")


def kinds(subscriber):
    return [event["kind"] for event in subscriber.taken()]


def test_a_cabinet_that_is_opened_is_told_and_surveyed(bench, folder):
    stated = bench.stated()
    text = (folder / "cabinet.toml").read_text(encoding="utf-8")
    assert (stated.text, stated.faults, stated.undo.count) == (text, (), 0)
    assert stated.table["title"] == "Corner box"
    survey = bench.surveyed(LONG)
    assert (survey.state, survey.version, survey.job_version) == ("ready", *[stated.version] * 2)
    assert survey.since is None
    assert Memory().key(survey.job) == Memory().key(surveyed(folder))
    assert set(bench.outlines().outlines) == {"box"}
    assert bench.plan() is bench.plan()


def test_an_edit_changes_one_line_and_is_in_the_file_when_it_is_answered(bench, folder):
    before = (folder / "cabinet.toml").read_text(encoding="utf-8")
    stated = diameter(bench, 24)
    after = (folder / "cabinet.toml").read_text(encoding="utf-8")
    assert after == stated.text == before.replace("diameter = 20", "diameter = 24")
    assert (stated.undo.count, stated.undo.next) == (1, "Set the latch to 24")
    assert Memory().key(bench.surveyed(LONG).job) == Memory().key(surveyed(folder))


def test_undo_goes_back_to_the_first_text_and_redo_to_the_last(bench, folder):
    first = bench.stated().text
    texts = [diameter(bench, value).text for value in (21, 22, 23)]
    bench.close()
    again = Workbench(folder)
    back = [again.undo(again.stated().version).text for _ in range(3)]
    assert back == [*texts[1::-1], first]
    with pytest.raises(InputError, match="nothing left to undo"):
        again.undo(again.stated().version)
    assert [again.redo(again.stated().version).text for _ in range(3)] == texts
    assert again.stated().redo.next is None
    again.close()


def test_two_pages_on_one_cabinet_see_each_others_edits(bench):
    one, other = bench.subscribe(), bench.subscribe()
    base = bench.stated().version
    mine = bench.edit(base, "mine", [{"op": "replace", "path": "/title", "value": "Mine"}])
    told = {event["kind"]: event for event in other.taken()}
    assert told["definition"] == {"kind": "definition", "version": mine.version, "says": "mine"}
    assert "definition" in kinds(one)
    with pytest.raises(ConflictError) as conflict:  # the other page has not read it again yet
        bench.edit(base, "theirs", [{"op": "replace", "path": "/title", "value": "Theirs"}])
    assert conflict.value.stated == bench.stated()
    assert conflict.value.version == mine.version
    assert bench.stated().table["title"] == "Mine"
    bench.leave(other)
    put(bench, "/title", "Again")
    assert other.taken() == []


def test_a_file_edited_outside_is_a_conflict_and_never_written_over(bench, folder):
    """Story (e): the file is edited outside meanwhile."""
    base = diameter(bench, 24).version
    page = bench.subscribe()
    file = folder / "cabinet.toml"
    theirs = file.read_text(encoding="utf-8").replace("Corner box", "By an editor")
    file.write_text(theirs, encoding="utf-8")
    with pytest.raises(ConflictError) as conflict:
        bench.edit(base, "mine", [{"op": "replace", "path": "/title", "value": "Mine"}])
    assert file.read_text(encoding="utf-8") == theirs == conflict.value.stated.text
    assert {"outside", "definition"} <= set(kinds(page))
    assert conflict.value.stated.undo.next == "Changed outside the bench"
    mine = bench.edit(
        bench.stated().version,
        "mine",
        [{"op": "replace", "path": "/hardware/0/diameter", "value": 9}],
    )
    assert "By an editor" in mine.text  # both are there
    for text in (theirs, theirs.replace("By an editor", "Corner box")):
        assert bench.undo(bench.stated().version).text == text


def test_looking_finds_what_was_changed_outside_and_nothing_else(bench, folder):
    assert not bench.looked()
    diameter(bench, 24)
    bench.put_file("new.svg", b"<svg/>", NEW)
    assert not bench.looked()  # both were ours
    page = bench.subscribe()
    file = folder / "cabinet.toml"
    file.write_text(file.read_text(encoding="utf-8") + "# more\n", encoding="utf-8")
    assert bench.looked()
    assert set(kinds(page)) == {"outside", "definition", "survey"}
    assert bench.stated().text.endswith("# more\n")
    bench.surveyed(LONG)
    page.taken()
    band = folder / "band.svg"
    band.write_text(band.read_text(encoding="utf-8").replace("</svg>", "<!-- --></svg>"))
    assert bench.looked()
    assert set(kinds(page)) == {"outside", "files", "survey"}
    bench.surveyed(LONG)
    band.unlink()
    assert bench.looked()
    survey = bench.surveyed(LONG)
    assert survey.state == "refused"
    assert "There is no such drawing" in survey.faults[0].what
    assert survey.job is not None  # what was ready last stays to be shown


def test_a_definition_that_cannot_be_surveyed_is_written_and_its_faults_are_told(bench, folder):
    ready = bench.surveyed(LONG)
    stated = put(bench, "/carcase/0/width", "12 parsecs")
    assert 'width = "12 parsecs"' in (folder / "cabinet.toml").read_text(encoding="utf-8")
    survey = bench.surveyed(LONG)
    assert (survey.state, survey.version, survey.ours) == ("refused", stated.version, False)
    assert survey.job is ready.job
    assert bench.stated().faults == survey.faults
    assert "carcase 1 (box), width" in survey.faults[0].place
    assert set(bench.outlines().outlines) == {"box"}  # the tape needs no width
    put(bench, "/carcase/0/wide", 3)
    assert [each.place for each in bench.stated().faults] == ["carcase 1 (box), wide"]
    with pytest.raises(InputFaultsError, match="knows no such word"):
        bench.outlines()
    bench.set_text(bench.stated().version, "half a line", "title = ")
    assert bench.stated().table is None
    assert "no valid TOML" in bench.stated().faults[0].what
    assert bench.surveyed(LONG).state == "refused"
    with pytest.raises(InputError, match="no valid TOML"):
        put(bench, "/title", "x")
    for _ in range(3):
        bench.undo(bench.stated().version)
    assert bench.surveyed(LONG).state == "ready"
    assert bench.stated().faults == ()


def test_an_operation_that_cannot_be_done_changes_nothing(bench, folder):
    before = (folder / "cabinet.toml").read_bytes()
    page = bench.subscribe()
    with pytest.raises(InputError, match="no “99”"):
        bench.edit(
            bench.stated().version, "x",
            [{"op": "replace", "path": "/title", "value": "x"},
             {"op": "remove", "path": "/hardware/99"}],
        )  # fmt: skip
    for text in ("x" * 2_000_001, "\ud800"):
        with pytest.raises(InputError):
            bench.set_text(bench.stated().version, "x", text)
    assert (folder / "cabinet.toml").read_bytes() == before
    assert page.taken() == []
    assert bench.edit(bench.stated().version, "nothing", []).undo.count == 0


def test_the_survey_is_of_the_text_that_was_written_not_of_the_disk(bench, folder, monkeypatch):
    bench.surveyed(LONG)
    at_work, go_on = Event(), Event()
    real = surveying.Surveyor.surveyed

    def slow(self, *given):
        at_work.set()
        assert go_on.wait(LONG)
        return real(self, *given)

    monkeypatch.setattr(surveying.Surveyor, "surveyed", slow)
    stated = diameter(bench, 33)
    assert at_work.wait(LONG)
    assert bench.survey().state == "working"
    assert bench.survey().job is not None
    file = folder / "cabinet.toml"
    file.write_text(stated.text.replace("diameter = 33", "diameter = 44"), encoding="utf-8")
    go_on.set()
    survey = bench.surveyed(LONG)
    assert survey.version == survey.job_version == stated.version
    assert survey.job.definition.hardware[0].form.length == 33


def test_of_many_edits_while_one_is_surveyed_only_the_newest_is_surveyed(bench, monkeypatch):
    bench.surveyed(LONG)
    at_work, go_on, seen = Event(), Event(), []
    real = surveying.Surveyor.surveyed

    def slow(self, folder, say, table):
        seen.append(table.hardware[0].diameter)
        at_work.set()
        assert go_on.wait(LONG)
        return real(self, folder, say, table)

    monkeypatch.setattr(surveying.Surveyor, "surveyed", slow)
    diameter(bench, 21)
    assert at_work.wait(LONG)
    for value in range(22, 30):
        diameter(bench, value)
    go_on.set()
    assert bench.surveyed(LONG).version == bench.stated().version
    assert seen == [21, 29]


def test_a_fault_of_our_own_is_told_with_its_place_and_the_bench_lives_on(bench, monkeypatch):
    bench.surveyed(LONG)
    with monkeypatch.context() as patched:
        patched.setattr("mateline.survey.stencils_of", lambda *_: {}["not there"])
        diameter(bench, 21)
        survey = bench.surveyed(LONG)
    assert (survey.state, survey.ours) == ("refused", True)
    (fault,) = survey.faults
    assert fault.place.startswith("survey.py, line ")
    assert fault.what == "This is Mateline's own fault, not yours: KeyError: 'not there'."
    diameter(bench, 22)
    assert bench.surveyed(LONG).state == "ready"


def test_before_its_art_is_traced_a_cabinet_is_surveyed_without_it(tmp_path):
    shutil.copytree(CABINETS / "last-season", tmp_path / "last")
    with closing(Workbench(tmp_path / "last")) as bench:
        survey = bench.surveyed(LONG)
        assert survey.state == "refused"
        assert [type(each) for each in survey.faults] == [UntracedError]
        assert [each.face.name for each in survey.job.stencils]
        bench.put_file("traced/right.svg", b"no drawing", NEW)
        bench.put_file("traced/front.svg", b"no drawing", NEW)
        survey = bench.surveyed(LONG)
        assert (survey.state, survey.ours) == ("refused", False)
        assert UntracedError not in map(type, survey.faults)


def test_an_edit_says_what_became_of_findings_and_pieces(bench):
    bench.surveyed(LONG)
    put(bench, "/stencil/least_width", "60 mm")
    more = bench.surveyed(LONG).since
    assert more.appeared
    assert not more.gone
    assert "more" in more.said
    bench.undo(bench.stated().version)
    less = bench.surveyed(LONG).since
    assert less.said == more.said.replace("more", "less")
    assert {each.code for each in less.gone} == {each.code for each in more.appeared}
    put(bench, "/title", "Another")
    assert bench.surveyed(LONG).since is None


def test_drawings_are_put_whole_and_undone_with_all_else(bench, folder):
    page = bench.subscribe()
    first = (folder / "star.svg").read_bytes()
    other = first.replace(b"</svg>", b"<!-- x --></svg>")
    version = bench.put_file("star.svg", other, bench.file_version("star.svg"), "Draw the star")
    assert version == bench.file_version("star.svg")
    assert bench.stated().undo.next == "Draw the star"
    assert "files" in kinds(page)
    with pytest.raises(ConflictError) as conflict:
        bench.put_file("star.svg", b"<svg/>", "0" * 12)
    assert conflict.value.version == version
    with pytest.raises(ConflictError):
        bench.put_file("star.svg", b"<svg/>", NEW)
    diameter(bench, 25)
    bench.undo(bench.stated().version)
    bench.undo(bench.stated().version)
    assert bench.file("star.svg") == first
    bench.redo(bench.stated().version)
    assert bench.file("star.svg") == other
    assert bench.put_file("photo.jpg", b"\xff\xd8", NEW)
    assert {each.path: each.kind for each in bench.files()}["photo.jpg"] == "photo"
    with pytest.raises(InputError, match="no such file"):
        bench.file("nothing.svg")
    with pytest.raises(InputError):
        bench.put_file("../outside.svg", b"x", NEW)


def test_the_definition_put_as_a_file_is_an_edit_of_it(bench):
    text = bench.stated().text.replace("Corner box", "Put")
    version = bench.put_file("cabinet.toml", text.encode(), bench.stated().version)
    assert bench.stated().version == version
    assert bench.stated().table["title"] == "Put"
    with pytest.raises(InputError, match="no UTF-8"):
        bench.put_file("cabinet.toml", b"\xff", version)


@pytest.mark.parametrize("content", [None, b"\xff\xfe", b"x" * 2_000_001],
                         ids=["gone", "no text", "too long"])  # fmt: skip
def test_a_definition_that_cannot_be_read_is_told_and_comes_back(bench, folder, content):
    bench.surveyed(LONG)
    file = folder / "cabinet.toml"
    whole = file.read_bytes()
    if content is None:
        file.unlink()
    else:
        file.write_bytes(content)
    assert bench.looked()
    stated = bench.stated()
    assert (stated.text, stated.table, len(stated.faults)) == ("", None, 1)
    assert bench.surveyed(LONG).faults == stated.faults
    assert not bench.looked()
    if content is None:
        assert bench.undo(stated.version).text == whole.decode()
    else:
        with pytest.raises(InputError):
            bench.set_text(stated.version, "x", "title = 1")
        assert file.read_bytes() == content
        file.write_bytes(whole)
        assert bench.looked()
    assert bench.surveyed(LONG).state == "ready"


def test_what_is_wrong_with_the_folder_is_told_when_it_is_opened(bench, folder):
    for value in (21, 22, 23):
        diameter(bench, value)
    assert bench.notices == ()
    bench.close()
    journal = folder / ".bench" / "journal"
    journal.write_bytes(journal.read_bytes().replace(b"latch to 22", b"latch to 99"))
    with closing(Workbench(folder)) as again:
        assert "journal of edits could not be read" in again.notices[0]
        assert again.stated().undo.next == "Changed outside the bench"
    shutil.rmtree(folder / ".bench")
    (folder / ".bench").write_text("in the way")
    with closing(Workbench(folder)) as again:
        assert "can't be written" in again.notices[0]
        assert again.surveyed(LONG).state == "ready"
        with pytest.raises(InputError, match="can't be written"):
            diameter(again, 25)


def test_a_bench_cannot_be_opened_twice_nor_where_there_is_no_folder(bench, folder, tmp_path):
    with pytest.raises(InputError, match="Another bench"):
        Workbench(folder)
    with pytest.raises(InputError, match="no such folder"):
        Workbench(tmp_path / "nowhere")
    bench.close()
    bench.close()
    Workbench(folder).close()


def test_what_the_bench_keeps_disturbs_no_check_and_no_build(bench, folder, capsys):
    before = json.loads(checked(CABINETS / "corner-box", capsys))
    diameter(bench, 24)
    bench.undo(bench.stated().version)
    bench.close()
    assert (folder / ".bench" / "journal").is_file()
    assert json.loads(checked(folder, capsys)) | {"cabinet": "corner-box"} == before


def checked(folder, capsys):
    main(["check", str(folder), "--json"])
    return capsys.readouterr().out


def test_memory_is_bounded_over_many_edits(bench):
    """What a survey needs is forgotten after a few; an edit leaves its place in the journal."""
    for nth in (1, 0):  # nothing to cut, so that a survey is quick
        patch = [{"op": "remove", "path": f"/art/{nth}"}]
        bench.edit(bench.stated().version, "Without art", patch)
    bench.surveyed(LONG)
    bench._surveying._surveyor = surveying.Surveyor(Memory(turns=2))
    tracemalloc.start()
    held = []
    for _ in range(3):  # the first fills what is remembered
        for nth in range(EDITS):
            diameter(bench, 20 + nth)
            bench.surveyed(LONG)
        gc.collect()
        held.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    assert held[2] - held[1] < 60_000, held  # bytes; four surveys kept for ever are 175 000


def test_a_folder_that_goes_away_piece_by_piece_is_told(folder):
    bench = Workbench(folder)
    (folder / "cabinet.toml").unlink()
    assert bench.looked()  # that is told as any other change
    shutil.rmtree(folder)
    for _ in range(2):
        with pytest.raises(InputError, match="not there any more"):
            bench.looked()
    bench.close()
