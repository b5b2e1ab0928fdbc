"""A search for a better plan lets the screens run now and then."""

from __future__ import annotations

from types import SimpleNamespace

from finplan.tui import thinking


def test_a_search_that_asks_often_gives_way_in_turns_and_hears_the_answer(monkeypatch):
    clock, slept, answers = [0.0], [], iter([False] * 39 + [True])

    def sleep(seconds):
        slept.append(seconds)
        clock[0] += seconds

    fake = SimpleNamespace(monotonic=lambda: clock[0], sleep=sleep)
    monkeypatch.setattr(thinking, "time", fake)
    asked, heard = thinking.giving_way(lambda: next(answers)), []
    for _ in range(40):
        heard.append(asked())
        clock[0] += thinking.WAY_EVERY_S / 3.9
    assert heard == [False] * 39 + [True]
    assert slept == [thinking.WAY_S] * 10
