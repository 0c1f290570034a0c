"""Who gets in: this computer's own browser, with the token, in messages of a sane size.

Stands first in the room; wraps the whole server, so that no route can forget it.

    Host      must be a name of this server: a foreign page that has its name point here (DNS
              rebinding) says its own
    Origin    must be this server's, where a browser sends one: a foreign page says its own
    token     must come with every call but those for the page itself; a foreign page can't read it
    sizes     are refused by what is announced, and again by what comes
"""

from __future__ import annotations

import hmac
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable, MutableMapping
    from typing import Any

    Message = MutableMapping[str, Any]
    Receive = Callable[[], Awaitable[Message]]
    Send = Callable[[Message], Awaitable[None]]
    App = Callable[[MutableMapping[str, Any], Receive, Send], Awaitable[None]]

HEADER = b"bench-token"
MOST_BODY = 60_000_000  # bytes of a photo; drawings and edits are far smaller
MOST_HEADERS = 16_000  # bytes
READING = frozenset({"GET", "HEAD"})
WAYS = frozenset({"GET", "HEAD", "POST", "PUT"})

# Nothing from elsewhere, no script or style in the page's own text, no frame around it.
PAGE = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
# A drawing or a photo shown by itself runs nothing, whatever is written in it.
SHOWN = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
# A build's own page holds its script and its style; it may ask for nothing.
BUILT = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
)


@dataclass(frozen=True, slots=True)
class Door:
    """What opens the door: the `hosts` that this server goes by ("127.0.0.1:8123"), the `token`,
    and whether the page too is only given to who has it.
    """

    hosts: frozenset[str]
    token: str
    shared: bool = False


class Guard:
    """Lets in what the door allows and tells the others why not; adds the headers that tell a
    browser to be careful.
    """

    def __init__(self, app: App, door: Door, most: int = MOST_BODY) -> None:
        self._app, self._door, self._most = app, door, most

    async def __call__(self, scope: MutableMapping[str, Any], receive: Receive, send: Send) -> None:
        """An ASGI application."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await _answer(send, *refusal)
            return
        counted = _Counted(receive, self._most)
        started = False

        async def careful(message: Message) -> None:
            nonlocal started
            if counted.over:  # the application tells that it was broken off
                return
            if message["type"] == "http.response.start":
                started = True
                message["headers"] = _with_headers(message.get("headers", ()))
            await send(message)

        try:
            await self._app(scope, counted.receive, careful)
        except TooLargeError:
            if started:
                raise
            await _answer(send, 413, *_too_large(self._most))

    def _refusal(self, scope: MutableMapping[str, Any]) -> tuple[int, str, str] | None:
        headers = _Headers(scope["headers"])
        host = headers.only(b"host")
        if host not in self._door.hosts:
            what = "This is not the name that the bench goes by."
            return 403, what, "Open the address that mateline bench printed."
        origin = headers.only(b"origin")
        foreign = origin is not None and origin != f"http://{host}"
        foreign = foreign or headers.only(b"sec-fetch-site") in {"cross-site", "same-site"}
        if foreign and not _is_visit(scope, headers, origin):
            return 403, "Another page asks, and gets no answer.", "Use the bench's own page."
        if scope["method"] not in WAYS:
            return 405, "The bench does not do that.", "Use the bench's own page."
        if _needs_token(scope, shared=self._door.shared) and not self._is_known(scope, headers):
            what = "The token of this bench is missing, or is an old one."
            return 403, what, "Open the address that mateline bench printed, or load the page anew."
        announced = headers.only(b"content-length")
        if announced is not None and (not announced.isdecimal() or int(announced) > self._most):
            return 413, *_too_large(self._most)
        return None

    def _is_known(self, scope: MutableMapping[str, Any], headers: _Headers) -> bool:
        given = headers.only(HEADER)
        if given is None and scope["method"] in READING:
            # Pictures, events and what opens beside the page can't send a header.
            asked = parse_qs(scope["query_string"].decode("latin-1")).get("token", [])
            given = asked[0] if len(asked) == 1 else _in_path(scope["path"])
        if given is None:
            return False
        return hmac.compare_digest(given.encode(), self._door.token.encode())


class TooLargeError(Exception):
    """More came than is taken."""


class _Counted:
    """A body that ends in TooLargeError when more comes than was to."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._left = receive, most
        self.over = False

    async def receive(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            self.over = True
            raise TooLargeError
        return message


class _Headers:
    def __init__(self, raw: Iterable[tuple[bytes, bytes]]) -> None:
        self._raw = tuple(raw)

    def only(self, name: bytes) -> str | None:
        """The header's value, None without one; "" where it comes twice, which nothing matches."""
        found = [value for key, value in self._raw if key == name]
        if len(found) > 1:
            return ""
        return found[0].decode("latin-1") if found else None


def _is_visit(scope: MutableMapping[str, Any], headers: _Headers, origin: str | None) -> bool:
    """Whether a person followed a link to the page itself, which may be given to them."""
    return (
        scope["method"] == "GET"
        and scope["path"] == "/"
        and origin is None
        and headers.only(b"sec-fetch-mode") == "navigate"
        and headers.only(b"sec-fetch-dest") == "document"
    )


def _needs_token(scope: MutableMapping[str, Any], *, shared: bool) -> bool:
    if scope["path"].startswith("/page/"):
        return False  # the page's own scripts, which anybody can read elsewhere too
    return shared or scope["path"] != "/" or scope["method"] not in READING


def _in_path(path: str) -> str | None:
    """The token in `/cabinets/NAME/exports/TOKEN/...`: links between a build's files keep it."""
    parts = path.split("/")
    return parts[4] if len(parts) > 5 and parts[3] == "exports" else None


def _with_headers(headers: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    found = [(key.lower(), value) for key, value in headers]
    names = {key for key, _ in found}
    if b"content-security-policy" not in names:
        found.append((b"content-security-policy", SHOWN.encode()))
    if b"cache-control" not in names:
        found.append((b"cache-control", b"no-store"))
    return [*found, *ALWAYS]


def _too_large(most: int) -> tuple[str, str]:
    what = f"This is larger than the {most // 1_000_000} MB that the bench takes at once."
    return what, "Save a photo as JPEG, or put the file into the cabinet's folder yourself."


async def _answer(send: Send, status: int, what: str, remedy: str) -> None:
    body = json.dumps({"error": {"what": what, "remedy": remedy}}).encode()
    headers = [
        (b"content-type", b"application/json"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),  # what else is sent is not read
    ]
    start = {"type": "http.response.start", "status": status, "headers": _with_headers(headers)}
    await send(start)
    await send({"type": "http.response.body", "body": body})
