"""Events wait for each page, one of a kind, and a page that is slow or gone costs nothing."""

from threading import Thread

from mateline.bench.events import MOST_KINDS, Subscribers


def test_of_several_events_of_a_kind_only_the_newest_waits():
    subscribers = Subscribers()
    page = subscribers.subscribe()
    for version in ("1", "2", "3"):
        subscribers.tell({"kind": "definition", "version": version})
        subscribers.tell({"kind": "survey", "version": version})
    assert page.taken() == [
        {"kind": "definition", "version": "3"}, {"kind": "survey", "version": "3"},
    ]  # fmt: skip
    assert page.taken() == []


def test_what_waits_is_bounded():
    subscribers = Subscribers()
    page = subscribers.subscribe()
    for number in range(MOST_KINDS + 5):
        subscribers.tell({"kind": f"kind {number}"})
    waiting = page.taken()
    assert len(waiting) == MOST_KINDS
    assert waiting[-1]["kind"] == f"kind {MOST_KINDS + 4}"


def test_a_page_is_woken_from_whatever_thread_tells_and_hears_no_more_when_it_left():
    subscribers, woken = Subscribers(), []
    page = subscribers.subscribe(lambda: woken.append(1))
    teller = Thread(target=subscribers.tell, args=({"kind": "survey"},))
    teller.start()
    assert page.wait(600) == [{"kind": "survey"}]
    teller.join()
    assert woken == [1]
    subscribers.leave(page)
    subscribers.tell({"kind": "survey"})
    assert page.wait(0) == []
    assert woken == [1]
