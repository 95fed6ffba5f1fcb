"""Parts of a household end together."""

import os
import signal
import sys
from pathlib import Path

import pytest

from school.processes import Household, Part


def part(name: str, code: str) -> Part:
    return Part(name, [sys.executable, "-c", code])


SLEEPS = part("sleeper", "import time; time.sleep(60)")


def test_the_end_of_one_part_is_told_and_ends_the_others() -> None:
    with Household() as house:
        house.start(SLEEPS)
        house.start(part("short", "pass"))
        assert house.wait(every_s=0.02) == "short"
        sleeper = house._running[0][1]
    assert sleeper.returncode == -signal.SIGTERM


def test_waiting_ends_when_the_wish_is_met() -> None:
    with Household() as house:
        house.start(SLEEPS)
        assert house.wait(until=lambda: True) is None
        assert not house.was_stopped


def test_a_signal_stops_the_household_and_the_handler_is_put_back() -> None:
    before = signal.getsignal(signal.SIGTERM)
    with Household() as house:
        house.start(SLEEPS)
        os.kill(os.getpid(), signal.SIGTERM)
        assert house.wait() is None
        assert house.was_stopped
    assert signal.getsignal(signal.SIGTERM) is before


def test_a_part_that_will_not_end_is_killed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("school.processes.GRACE_S", 0.2)
    ready = tmp_path / "ready"
    deaf = (
        "import pathlib, signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); "
        f"pathlib.Path({str(ready)!r}).touch(); time.sleep(60)"
    )
    with Household() as house:
        house.start(part("deaf", deaf))
        assert house.wait(until=ready.exists, every_s=0.02) is None
        process = house._running[0][1]
    assert process.returncode == -signal.SIGKILL
