"""Who gets in at the bench: judged on what an application behind the guard ever sees.

Host and Origin are those of RFC 9110 (7.2) and RFC 6454 (7); `Sec-Fetch-Site` of the W3C's Fetch
Metadata Request Headers. A DNS rebinding page has its own name in Host and a token it can't know.
"""

import asyncio
import json

import pytest

from mateline.bench.serving.guard import PAGE, SHOWN, Door, Guard

HOST, TOKEN = "127.0.0.1:8123", "a-token"
MOST = 1000  # bytes of a body, in these tests
OPEN, SHARED = (
    Door(frozenset({HOST, "localhost:8123"}), TOKEN),
    Door(frozenset({HOST}), TOKEN, True),
)


async def app(scope, receive, send):
    """Answers with what it was sent."""
    body = b""
    while True:
        message = await receive()
        body += message.get("body", b"")
        if not message.get("more_body"):
            break
    headers = [(b"content-type", b"text/plain")]
    if scope["path"] == "/":
        headers.append((b"content-security-policy", PAGE.encode()))
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def asked(method, path, *, door=OPEN, query="", host=HOST, token=TOKEN, bodies=(b"",), **headers):
    """Status, headers and body of a call."""
    sent = [(b"host", host.encode())] if host is not None else []
    if token is not None:
        sent.append((b"bench-token", token.encode()))
    sent += [(key.replace("_", "-").encode(), value.encode()) for key, value in headers.items()]
    scope = {
        "type": "http",
        "method": method,
        "path": path,
        "query_string": query.encode(),
        "headers": sent,
    }
    waiting, got = list(bodies), []

    async def receive():
        body = waiting.pop(0)
        return {"type": "http.request", "body": body, "more_body": bool(waiting)}

    async def send(message):
        got.append(message)

    asyncio.run(Guard(app, door, most=MOST)(scope, receive, send))
    start, *rest = got
    return start["status"], dict(start["headers"]), b"".join(each["body"] for each in rest)


def status(*call, **more):
    return asked(*call, **more)[0]


def test_the_page_is_given_without_a_token_and_with_its_policy():
    code, headers, _ = asked("GET", "/", token=None)
    assert code == 200
    policy = headers[b"content-security-policy"].decode()
    assert policy == PAGE
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert headers[b"x-content-type-options"] == b"nosniff"
    assert b"set-cookie" not in headers


def test_what_is_shown_by_itself_runs_nothing():
    _, headers, _ = asked("GET", "/cabinets")
    assert headers[b"content-security-policy"].decode() == SHOWN
    assert "sandbox" in SHOWN
    assert headers[b"cache-control"] == b"no-store"


@pytest.mark.parametrize("host", ["evil.example:8123", "127.0.0.1", "127.0.0.1:80", "", None])
@pytest.mark.parametrize("path", ["/", "/page/shell.js", "/cabinets"])
def test_a_foreign_host_gets_nothing(host, path):
    code, _, body = asked("GET", path, host=host)
    assert code == 403
    assert b"not the name" in body


def test_two_hosts_are_none():
    got = []

    async def send(message):
        got.append(message)

    headers = [(b"host", HOST.encode()), (b"host", b"evil.example")]
    scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": headers}
    asyncio.run(Guard(app, OPEN)(scope, None, send))
    assert got[0]["status"] == 403


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1:8123", "http://127.0.0.1:9999"]
)
def test_a_foreign_origin_gets_nothing(origin):
    assert status("POST", "/stop", origin=origin) == 403
    assert status("GET", "/cabinets", origin=origin) == 403


def test_its_own_origin_gets_in():
    assert status("POST", "/stop", origin=f"http://{HOST}") == 200
    assert status("POST", "/stop", host="localhost:8123", origin="http://localhost:8123") == 200
    # One name of the server is no other one's origin.
    assert status("POST", "/stop", origin="http://localhost:8123") == 403


def test_another_page_may_lead_to_the_page_and_to_nothing_else():
    visit = {"sec_fetch_site": "cross-site", "sec_fetch_mode": "navigate"}
    assert status("GET", "/", token=None, sec_fetch_dest="document", **visit) == 200
    assert status("GET", "/", token=None, sec_fetch_dest="iframe", **visit) == 403
    assert status("GET", "/cabinets", sec_fetch_dest="document", **visit) == 403
    assert status("GET", "/cabinets", sec_fetch_site="cross-site", sec_fetch_mode="no-cors") == 403
    assert status("GET", "/cabinets", sec_fetch_site="same-origin") == 200


@pytest.mark.parametrize("token", [None, "", "another", "a-token "])
@pytest.mark.parametrize(("method", "path"), [("POST", "/stop"), ("GET", "/cabinets")])
def test_without_the_token_nobody_gets_in(method, path, token):
    code, _, body = asked(method, path, token=token)
    assert code == 403
    assert "token" in json.loads(body)["error"]["what"]


def test_pictures_and_events_have_the_token_in_their_address():
    for path in ("/cabinets/x/events", "/cabinets/x/file"):
        assert status("GET", path, token=None, query=f"path=a.svg&token={TOKEN}") == 200
        assert status("GET", path, token=None, query="token=no") == 403
        assert status("GET", path, token=None, query=f"token={TOKEN}&token={TOKEN}") == 403
    assert status("GET", f"/cabinets/x/exports/{TOKEN}/a.html", token=None) == 200
    assert status("GET", "/cabinets/x/exports/no/a.html", token=None) == 403
    # What changes something never takes it from an address.
    assert status("POST", "/cabinets/x/edit", token=None, query=f"token={TOKEN}") == 403
    assert status("PUT", f"/cabinets/x/exports/{TOKEN}/a.html", token=None) == 403


def test_a_shared_bench_shows_nobody_its_page_without_the_token():
    assert status("GET", "/", door=SHARED, token=None) == 403
    assert status("GET", "/", door=SHARED, token=None, query=f"token={TOKEN}") == 200
    assert status("GET", "/page/shell.js", door=SHARED, token=None) == 200


@pytest.mark.parametrize("method", ["DELETE", "PATCH", "TRACE", "CONNECT", "OPTIONS"])
def test_other_methods_are_refused(method):
    assert status(method, "/cabinets") == 405


@pytest.mark.parametrize("length", ["1001", "1000000000", "-1", "x", ""])
def test_what_says_that_it_is_too_long_is_never_read(length):
    code, _, body = asked(
        "PUT", "/cabinets/x/file", bodies=(), content_length=length
    )  # none to read
    assert code == 413
    assert b"larger" in body


def test_what_is_longer_than_it_says_is_cut_off():
    assert status("PUT", "/cabinets/x/file", bodies=(b"x" * 600, b"x" * 400)) == 200
    assert status("PUT", "/cabinets/x/file", bodies=(b"x" * 600, b"x" * 401)) == 413
    assert status("PUT", "/cabinets/x/file", bodies=[b"x" * 300] * 40) == 413
