"""What happens at the bench, told to every page that listens.

Stands before surveying. An event is a small dictionary with a `kind`: it says what to ask for
again, never what to show. So of several of one kind that nobody has fetched yet only the newest
counts, and a page that does not listen costs nothing.
"""

from __future__ import annotations

from threading import Condition
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Event = dict[str, Any]
MOST_KINDS = 50  # of events that wait for one subscriber; the oldest goes


class Subscriber:
    """One page's events: told from any thread, taken from any thread."""

    def __init__(self, wake: Callable[[], None] | None = None) -> None:
        self._wake = wake
        self._waiting: dict[str, Event] = {}  # by kind
        self._changed = Condition()

    def tell(self, event: Mapping[str, Any]) -> None:
        """Keep an event, in the place of one of its kind that waits, and call `wake`."""
        with self._changed:
            self._waiting.pop(event["kind"], None)
            self._waiting[event["kind"]] = dict(event)
            if len(self._waiting) > MOST_KINDS:
                del self._waiting[next(iter(self._waiting))]
            self._changed.notify_all()
        if self._wake is not None:
            self._wake()

    def taken(self) -> list[Event]:
        """All events that wait, oldest first; they wait no more. Never blocks."""
        with self._changed:
            events = list(self._waiting.values())
            self._waiting.clear()
            return events

    def wait(self, seconds: float) -> list[Event]:
        """As `taken`, when there are any; none after `seconds`."""
        with self._changed:
            self._changed.wait_for(lambda: bool(self._waiting), seconds)
        return self.taken()


class Subscribers:
    """All pages that listen to one cabinet."""

    def __init__(self) -> None:
        self._all: tuple[Subscriber, ...] = ()
        self._changing = Condition()

    def subscribe(self, wake: Callable[[], None] | None = None) -> Subscriber:
        """A new subscriber. `wake` is called, from any thread, after each event that is told.

        It must not block: `lambda: loop.call_soon_threadsafe(flag.set)`.
        """
        subscriber = Subscriber(wake)
        with self._changing:
            self._all = (*self._all, subscriber)
        return subscriber

    def leave(self, subscriber: Subscriber) -> None:
        """Tell `subscriber` nothing more."""
        with self._changing:
            self._all = tuple(each for each in self._all if each is not subscriber)

    def tell(self, event: Mapping[str, Any]) -> None:
        """Tell everybody."""
        for each in self._all:
            each.tell(event)
