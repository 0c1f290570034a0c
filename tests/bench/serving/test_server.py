"""The bench as a client of any kind meets it: over its socket, on real cabinets."""

import http.client
import json
import shutil
import socket
import tomllib
from pathlib import Path

import pytest
from PIL import Image

from benches import opened
from mateline.errors import InputError
from mateline.survey import surveyed

CABINETS = Path(__file__).parents[3] / "cabinets"


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    root = tmp_path_factory.mktemp("root")
    for name in ("corner-box", "night-ferry"):
        shutil.copytree(CABINETS / name, root / name)
    (root / "secret.txt").write_text("nobody's business", encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def bench(root):
    with opened(root) as calls:
        yield calls


def edit(bench, says, *patch, base=None, status=200):
    base = base or bench.get("/cabinets/corner-box/definition")["version"]
    asked = {"base": base, "says": says, "patch": list(patch)}
    return bench.post("/cabinets/corner-box/edit", asked, status)


def set_a_b(bench, value, **more):
    path = "/carcase/0/outline/readings/A-B"
    return edit(
        bench, f"Set A-B to {value}", {"op": "replace", "path": path, "value": value}, **more
    )


def test_it_lists_the_cabinets_of_its_folder(bench):
    found = bench.get("/cabinets")
    assert [each["name"] for each in found["cabinets"]] == ["corner-box", "night-ferry"]
    assert found["cabinets"][0]["title"] == "Corner box"


def test_the_survey_is_that_of_the_command(bench, root):
    told = bench.surveyed("night-ferry")
    job = surveyed(root / "night-ferry")
    assert [(each["name"], each["pieces"]) for each in told["faces"]] == [
        (each.face.name, len(each.pieces)) for each in job.stencils
    ]
    assert sorted(each["message"] for each in told["findings"]) == sorted(
        each.message for each in job.findings
    )


def test_an_edit_is_in_the_file_before_it_is_answered(bench, root):
    before = bench.get("/cabinets/corner-box/definition")
    answer = set_a_b(bench, 423)
    text = (root / "corner-box" / "cabinet.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["carcase"][0]["outline"]["readings"]["A-B"] == 423
    assert answer["text"] == text
    assert answer["version"] != before["version"]
    assert answer["undo"]["next"] == "Set A-B to 423"
    assert answer["outlines"]["version"] == answer["version"]
    assert answer["outlines"]["outlines"]["box"]["readings"]
    again = bench.post("/cabinets/corner-box/undo", {"base": answer["version"]})
    assert again["text"] == before["text"]


def test_an_edit_of_something_else_is_a_conflict(bench, root):
    before = (root / "corner-box" / "cabinet.toml").read_bytes()
    answer = set_a_b(bench, 500, base="0" * 12, status=409)
    assert answer["definition"]["text"].encode() == before
    assert (root / "corner-box" / "cabinet.toml").read_bytes() == before


def test_only_faces_that_change_get_new_keys(bench):
    before = {each["name"]: each["key"] for each in bench.surveyed("corner-box")["faces"]}
    edit(bench, "Move it", {"op": "add", "path": "/art/1/offset", "value": [5, 0]})
    after = {each["name"]: each["key"] for each in bench.surveyed("corner-box")["faces"]}
    assert {name for name in after if after[name] != before[name]} == {"box-top"}


def test_a_definition_that_cannot_be_surveyed_is_written_and_told(bench):
    answer = edit(bench, "Move it", {"op": "replace", "path": "/art/1/on", "value": "box-lid"})
    told = bench.surveyed("corner-box")
    assert told["state"] == "refused"
    assert "box-lid" in told["faults"][0]["what"]
    assert told["faces"], "what was there before is still shown"
    bench.post("/cabinets/corner-box/undo", {"base": answer["version"]})
    assert bench.surveyed("corner-box")["state"] == "ready"


@pytest.mark.parametrize(
    "path",
    [
        "/cabinets/../secret.txt",
        "/cabinets/..%2fsecret.txt/definition",
        "/cabinets/%2e%2e/definition",
        "/cabinets/corner-box/file?path=../secret.txt",
        "/cabinets/corner-box/file?path=..%2fsecret.txt",
        "/cabinets/corner-box/file?path=%2Fetc%2Fpasswd",
        "/cabinets/corner-box/file?path=.bench/journal",
        "/cabinets/corner-box/file?path=a%00.svg",
        "/cabinets/corner-box/file",
        "/cabinets/corner-box/drawing?path=../secret.txt",
        "/cabinets/corner-box/borders?path=../secret.txt",
        "/page/../../cli.py",
        "/page/%2e%2e/%2e%2e/cli.py",
        "/page/views/..%2f..%2fworkbench.py",
        "/cabinets/corner-box/faces/%2e%2e",
    ],
)
def test_no_path_leads_out(bench, path):
    status, text = bench.raw("GET", path)
    assert status in {400, 404}
    assert "nobody's business" not in text
    assert "error" in json.loads(text)


def test_no_path_of_a_build_leads_out(bench):
    for path in ("../../secret.txt", "..%2f..%2fsecret.txt", "/etc/passwd", ""):
        status, _ = bench.raw("GET", f"/cabinets/corner-box/exports/{bench.token}/{path}")
        assert status == 404


def test_a_link_out_of_the_folder_is_not_followed(bench, root):
    (root / "corner-box" / "out.svg").symlink_to(root / "secret.txt")
    assert bench.raw("GET", "/cabinets/corner-box/file?path=out.svg")[0] == 400
    (root / "corner-box" / "out.svg").unlink()


def test_a_gigabyte_is_refused_before_it_is_sent(bench, root):
    connection = http.client.HTTPConnection(bench.host, timeout=60)
    connection.putrequest("PUT", "/cabinets/corner-box/file?path=big.svg&base=new")
    connection.putheader("Bench-Token", bench.token)
    connection.putheader("Content-Length", str(10**9))
    connection.endheaders()
    answer = connection.getresponse()
    answer.read()
    assert answer.status == 413
    connection.close()
    assert not (root / "corner-box" / "big.svg").exists()


def test_a_body_without_a_length_is_counted(bench, root):
    def chunks():
        for _ in range(70):
            yield b"x" * 1_000_000

    connection = http.client.HTTPConnection(bench.host, timeout=60)
    headers = {"Bench-Token": bench.token}
    path = "/cabinets/corner-box/file?path=big.svg&base=new"
    try:
        connection.request("PUT", path, chunks(), headers, encode_chunked=True)
        answer = connection.getresponse()
        answer.read()
        status = answer.status
    except (BrokenPipeError, ConnectionResetError):
        status = 413  # it has closed the door while we were talking
    connection.close()
    assert status == 413
    assert not (root / "corner-box" / "big.svg").exists()


def test_a_file_is_put_whole_and_given_back_as_itself(bench, root):
    drawing = (CABINETS / "corner-box" / "star.svg").read_bytes()
    path = "/cabinets/corner-box/file?path=other.svg&base=new"
    assert bench.raw("PUT", path, drawing)[0] == 200
    assert (root / "corner-box" / "other.svg").read_bytes() == drawing
    assert bench.raw("PUT", path, drawing)[0] == 409  # it is there already
    assert bench.raw("GET", "/cabinets/corner-box/file?path=other.svg")[1].encode() == drawing
    named = {each["path"]: each["kind"] for each in bench.get("/cabinets/corner-box/files")}
    assert named["other.svg"] == "drawing"


@pytest.mark.parametrize(
    ("asked", "named"),
    [
        ({"name": "../out", "title": "x", "shape": "box", "unit": "mm"}, "name"),
        ({"name": "corner-box", "title": "x", "shape": "box", "unit": "mm"}, "already"),
        ({"name": "new", "title": "", "shape": "box", "unit": "mm"}, "title"),
        ({"name": "new", "title": "x", "shape": "ball", "unit": "mm"}, "shape"),
        ({"name": "new", "title": "x", "shape": "box", "unit": "ell"}, "shape"),
    ],
)
def test_a_cabinet_that_cannot_be_started_is_told(bench, root, asked, named):
    before = sorted(each.name for each in root.iterdir())
    answer = bench.post("/cabinets", asked, 400)
    assert named in json.dumps(answer)
    assert sorted(each.name for each in root.iterdir()) == before


@pytest.mark.parametrize("unit", ["in", "mm", "cm"])
@pytest.mark.parametrize(
    "shape", ["empty", "box", "sloped-top", "wedge", "upright", "table", "starter"]
)
def test_each_starting_shape_can_be_surveyed(tmp_path, shape, unit):
    from mateline.bench.serving.cabinets import Cabinets

    Cabinets(tmp_path, tmp_path / "exports").start("mine", 'My "own" \\', shape, unit)
    job = surveyed(tmp_path / "mine")
    assert job.stencils
    assert not [each for each in job.findings if each.level == "stop"]
    if shape != "starter":
        assert job.definition.title == 'My "own" \\'


def test_a_port_that_is_taken_is_told(bench, tmp_path):
    from mateline.bench.serving.server import Wanted, serve

    port = int(bench.host.split(":")[1])
    with pytest.raises(InputError, match="can't be used"):
        serve(Wanted(tmp_path, tmp_path, None, port), print)


def test_a_photo_is_shown_as_every_browser_can(tmp_path):
    shutil.copytree(CABINETS / "corner-box", tmp_path / "corner-box")
    Image.new("RGB", (30, 20), (200, 30, 30)).save(tmp_path / "corner-box" / "side.tif")
    with opened(tmp_path) as bench:
        path = "/cabinets/corner-box/picture?path=side.tif"
        connection = http.client.HTTPConnection(bench.host, timeout=60)
        connection.request("GET", f"{path}&token={bench.token}")  # as an <img> asks
        answer = connection.getresponse()
        assert answer.getheader("content-type") == "image/jpeg"
        assert Image.open(answer).size == (30, 20)
        connection.close()
        foreign = bench.token[::-1]
        assert bench.raw("GET", path, token=foreign)[0] == 403
        status, text = bench.raw("GET", "/cabinets/corner-box/picture?path=cabinet.toml")
        assert status == 400
        assert "no picture" in text


def test_an_answer_does_not_wait_for_the_page_to_acknowledge_its_head():
    # RFC 896 (Nagle) with the late acknowledgements of RFC 1122 held bodies back 40 ms. Asyncio
    # switches that off only for sockets whose protocol is named.
    from mateline.bench.serving.server import LOOPBACK, _listening

    with _listening(LOOPBACK, 0) as listening:
        assert listening.proto == socket.IPPROTO_TCP


def test_a_folder_that_goes_away_is_told_and_ends_nothing(tmp_path):
    root = tmp_path / "root"
    for name in ("corner-box", "gone"):
        shutil.copytree(CABINETS / "corner-box", root / name)
    with opened(root) as bench:
        bench.surveyed("gone")
        connection = http.client.HTTPConnection(bench.host, timeout=60)
        connection.request("GET", f"/cabinets/gone/events?token={bench.token}")
        events = connection.getresponse()
        shutil.rmtree(root / "gone")
        heard = {}
        while heard.get("kind") != "trouble":
            line = events.readline()
            assert line, "the bench has ended"
            heard = json.loads(line[6:]) if line.startswith(b"data") else {}
        assert heard["remedy"]
        events.close()
        connection.close()
        assert bench.get("/cabinets/corner-box/definition")["table"]["title"] == "Corner box"


def test_a_journal_that_cannot_be_read_is_told_when_the_cabinet_is_opened(tmp_path):
    shutil.copytree(CABINETS / "corner-box", tmp_path / "corner-box")
    with opened(tmp_path) as bench:
        assert bench.get("/cabinets/corner-box/definition")["notices"] == []
        set_a_b(bench, 421)
    journal = tmp_path / "corner-box" / ".bench" / "journal"
    journal.write_bytes(b"not a line of it\n" + journal.read_bytes())
    with opened(tmp_path) as bench:
        (told,) = bench.get("/cabinets/corner-box/definition")["notices"]
        assert "journal" in told
