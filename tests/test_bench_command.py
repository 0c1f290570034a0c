"""`mateline bench` as a person types it: the address first, and an end in good order."""

import http.client
import json
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest
import zxingcpp

from benches import Calls
from mateline.bench.serving.server import wanted
from mateline.bench.serving.sharing import qr_code
from mateline.cli import main
from mateline.errors import InputError

CABINETS = Path(__file__).parents[1] / "cabinets"
COMMAND = (sys.executable, "-W", "ignore", "-m", "mateline", "bench", "--no-open")
LINES = {" ": (0, 0), "▄": (0, 1), "▀": (1, 0), "█": (1, 1)}


@pytest.fixture
def started(tmp_path):
    """Starts the command in an empty folder; killed at the end if it still runs."""
    running = []

    def start(*words, ctrl_c=signal.default_int_handler):
        process = subprocess.Popen(
            [*COMMAND, *words],
            cwd=tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            # A run in the background has Ctrl-C ignored, and hands that on.
            preexec_fn=lambda: signal.signal(signal.SIGINT, ctrl_c),  # noqa: PLW1509
        )
        running.append(process)
        return process, process.stdout.readline().strip()

    yield start
    for process in running:
        process.kill()
        process.communicate()


def called(address, method, path, token=None, host=None):
    connection = http.client.HTTPConnection(urlsplit(address).netloc, timeout=60)
    headers = {"Bench-Token": token} if token else {}
    headers |= {"Host": host} if host else {}
    connection.request(method, path, headers=headers)
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    return answer.status, text


def runs(calls, name):
    """The words of the command at work on a cabinet, from the present one on."""
    connection = http.client.HTTPConnection(calls.host, timeout=60)
    connection.request("GET", f"/cabinets/{name}/events?token={calls.token}")
    events = connection.getresponse()
    try:
        while line := events.readline():
            told = json.loads(line[6:]) if line.startswith(b"data") else {}
            if told.get("kind") == "run":
                yield told
    finally:
        connection.close()


def test_the_first_line_is_the_address_and_ctrl_c_ends_it(started):
    process, address = started()
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", address)
    assert called(address, "GET", "/")[0] == 200
    process.send_signal(signal.SIGINT)
    out, talk = process.communicate()
    assert process.returncode == 130
    assert out == ""
    assert "all that was done is in its files" in talk
    assert "Traceback" not in talk


def test_its_page_stops_it(started):
    process, address = started()
    token = re.search(r'bench-token" content="([^"]+)"', called(address, "GET", "/")[1])[1]
    assert called(address, "POST", "/stop")[0] == 403
    assert called(address, "POST", "/stop", token)[0] == 200
    process.communicate()
    assert process.returncode == 0


def test_a_build_is_stopped_also_by_a_bench_that_runs_in_the_background(started, tmp_path):
    shutil.copytree(CABINETS / "corner-box", tmp_path / "corner-box")
    process, address = started(ctrl_c=signal.SIG_IGN)
    calls = Calls(address)
    calls.post("/cabinets/corner-box/run", {"what": "build"})
    seen = runs(calls, "corner-box")
    next(each for each in seen if each["stage"].startswith("cutting"))
    calls.post("/cabinets/corner-box/run/stop")
    end = next(each for each in seen if each["state"] not in {"running", "stopping"})
    assert (end["state"], end["code"]) == ("stopped", 130)  # by itself: it was not killed
    process.send_signal(signal.SIGINT)
    calls.post("/stop")
    process.communicate()
    assert process.returncode == 0


def test_a_system_that_ends_programs_ends_it_in_order(started):
    process, _ = started()
    process.terminate()
    _, talk = process.communicate()
    assert process.returncode == 0
    assert "Traceback" not in talk


def test_a_folder_with_a_definition_is_opened_alone(started):
    _, address = started(str(CABINETS / "corner-box"))
    assert urlsplit(address).fragment == "/corner-box/measure"
    token = re.search(r'bench-token" content="([^"]+)"', called(address, "GET", "/")[1])[1]
    assert called(address, "GET", "/cabinets/night-ferry/definition", token)[0] == 404


def test_sharing_says_what_it_opens_and_gives_nothing_without_the_token(started):
    process, address = started("--share")
    if not address and "on no network" in process.communicate()[1]:
        pytest.skip("This machine is on no network.")
    token = parse_qs(urlsplit(address).query)["token"][0]
    assert called(address, "GET", "/")[0] == 403
    assert called(address, "GET", f"/?token={token}")[0] == 200
    assert called(address, "GET", f"/?token={token}", host="evil.example")[0] == 403
    process.send_signal(signal.SIGINT)
    _, talk = process.communicate()
    assert "can see and change the cabinets" in talk
    assert "not encrypted" in talk
    assert f"/?token={token}" in talk


def test_the_code_is_read_by_another_programs_reader():
    address = "http://192.0.2.20:8123/?token=Ckumfnsb3906aapmNuVMMQ"
    rows = []
    for line in qr_code(address).splitlines():
        upper, lower = zip(*(LINES[one] for one in line), strict=True)
        rows += [upper, lower]
    light = np.kron(np.array(rows, dtype=np.uint8) * 255, np.ones((6, 6), dtype=np.uint8))
    (found,) = zxingcpp.read_barcodes(light)
    assert found.text == address
    assert found.format == zxingcpp.BarcodeFormat.QRCode


@pytest.mark.parametrize("port", ["0", "70000", "x", "-1"])
def test_a_port_that_is_none_is_told(port, capsys):
    with pytest.raises(SystemExit) as ended:
        main(["bench", "--no-open", "--port", port])
    assert ended.value.code == 2
    assert "port" in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_told(capsys, tmp_path):
    assert main(["bench", "--no-open", str(tmp_path / "none")]) == 2
    assert "no such folder" in capsys.readouterr().err.lower()


def test_a_folder_of_cabinets_beside_others_is_found(tmp_path):
    (tmp_path / "cabinets").mkdir()
    asked = wanted(None, tmp_path, 0, shared=False, here=tmp_path)
    assert asked.root == (tmp_path / "cabinets").resolve()
    with pytest.raises(InputError):
        wanted(tmp_path / "none", tmp_path, 0, shared=False, here=tmp_path)
