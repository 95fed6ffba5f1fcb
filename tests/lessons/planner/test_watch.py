"""Work is told of while it goes on, and ends when the caller says so."""

import time
from threading import Event

import pytest

from lessons.planner.watch import Watch


def test_work_that_finds_nothing_is_told_of_every_second() -> None:
    told: list[float] = []

    def tell(found: object) -> bool:
        assert found is None
        told.append(time.monotonic())
        return len(told) < 3

    began, end = time.monotonic(), Event()
    assert Watch().over(lambda: end.wait(20), tell, end.set)
    assert len(told) == 3
    assert told[-1] - began < 3


def test_what_was_found_last_is_told_though_the_work_is_done() -> None:
    watch = Watch()
    told: list[object] = []

    def tell(found: object) -> bool:
        told.append(found)
        return True

    watch.over(lambda: watch.found(()), tell, lambda: None)
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
