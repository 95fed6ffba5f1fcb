"""Work is told of while it goes on, and ends when the caller says so."""

from threading import Event

import pytest

from lessons.planner import watch
from lessons.planner.watch import Watch


def test_work_that_finds_nothing_is_told_of_every_second(monkeypatch: pytest.MonkeyPatch) -> None:
    assert watch.TICK_SECONDS < 1
    monkeypatch.setattr(watch, "TICK_SECONDS", 0.01)
    told: list[object] = []

    def tell(found: object) -> bool:
        told.append(found)
        return len(told) < 3

    end = Event()
    assert Watch().over(lambda: end.wait(60), tell, end.set)
    assert told == [None, None, None]


def test_what_was_found_last_is_told_though_the_work_is_done() -> None:
    found = Watch()
    told: list[object] = []

    def tell(plan: object) -> bool:
        told.append(plan)
        return True

    found.over(lambda: found.found(()), tell, lambda: None)
    assert told == [()]


def test_what_telling_raises_ends_the_work() -> None:
    def tell(_: object) -> bool:
        raise InterruptedError

    end = Event()
    with pytest.raises(InterruptedError):
        Watch().over(lambda: end.wait(20), tell, end.set)
    assert end.is_set()


def test_what_the_work_raises_is_raised() -> None:
    with pytest.raises(ZeroDivisionError):
        Watch().over(lambda: 1 / 0, lambda _: True, lambda: None)
