"""A bench that runs for a test: the real server in a thread, on a free port, and calls to it."""

import http.client
import json
import re
import threading
from contextlib import contextmanager
from urllib.parse import urlsplit

from mateline.bench.serving.server import serve, wanted


class Calls:
    """Calls to a bench as its page makes them: with its token, unless one is told otherwise."""

    def __init__(self, address):
        self.address = address
        self.host = urlsplit(address).netloc
        found = re.search(
            r'name="bench-token" content="([^"]+)"', self.raw("GET", "/", token="")[1]
        )
        self.token = found[1] if found else ""

    def raw(self, method, path, body=None, token=None, **headers):
        """Status and text of an answer."""
        connection = http.client.HTTPConnection(self.host, timeout=60)
        sent = {"Bench-Token": self.token if token is None else token}
        sent |= {key.replace("_", "-"): value for key, value in headers.items()}
        connection.request(method, path, body, {k: v for k, v in sent.items() if v})
        answer = connection.getresponse()
        text = answer.read().decode("utf-8", "replace")
        connection.close()
        return answer.status, text

    def get(self, path):
        """The answer, which must be one."""
        status, text = self.raw("GET", path)
        assert status == 200, text
        return json.loads(text)

    def post(self, path, value=None, status=200):
        """The answer with this status."""
        got, text = self.raw("POST", path, json.dumps(value or {}), Content_Type="application/json")
        assert got == status, text
        return json.loads(text)

    def surveyed(self, name):
        """The survey of the present definition, waited for by the events of the server."""
        connection = http.client.HTTPConnection(self.host, timeout=60)
        connection.request("GET", f"/cabinets/{name}/events?token={self.token}")
        events = connection.getresponse()
        try:
            while True:
                now = self.get(f"/cabinets/{name}/definition")["version"]
                survey = self.get(f"/cabinets/{name}/survey")
                if survey["state"] != "working" and survey["version"] == now:
                    return survey
                while not events.readline().startswith(b"data"):
                    pass
        finally:
            connection.close()


@contextmanager
def opened(folder, exports=None, **more):
    """The bench of `folder`, served until the block ends."""
    asked = wanted(folder, exports or folder / "exports", 0, shared=False, here=folder, **more)
    ready, at, wrong = threading.Event(), [], []

    def known(where):
        at.append(where.address)
        ready.set()

    def run():
        try:
            serve(asked, known)
        except BaseException as fault:  # noqa: BLE001  told where the test is
            wrong.append(fault)
        finally:
            ready.set()

    thread = threading.Thread(target=run)
    thread.start()
    ready.wait()
    if wrong:
        thread.join()
        raise wrong[0]
    calls = Calls(at[0])
    try:
        yield calls
    finally:
        calls.raw("POST", "/stop")
        thread.join()
        if wrong:
            raise wrong[0]
