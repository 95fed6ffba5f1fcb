"""A worker as it runs at a school: its own process, a queue of files, a database on disk.

The house is set up by another process, the worker is killed in the middle of a report, and the
sweeper brings the work to its end. Nothing waits longer than it must: each wait looks for what it
waits for and has an end.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.conf import settings

from school.processes import worker

DEADLINE_S = 60.0
SET_UP = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.assessments.reports import scene
from tests.factories import StaffFactory
from assessments.actions.reports import queue_reports
account = StaffFactory.create(teaches=True).account
queue_reports(school=scene.signed(scene.full_school(account)).school, actor=account)
"""


@dataclass(frozen=True)
class House:
    """A house of its own under one folder, and its rows as another process sees them."""

    var: Path

    @property
    def environment(self) -> dict[str, str]:
        ours = {
            "DATABASE_URL": f"sqlite:///{self.var / 'house.sqlite3'}",
            "MARRAM_VAR_DIR": str(self.var),
            "MARRAM_BROKER_URL": "filesystem://",
            "DJANGO_SETTINGS_MODULE": "school.config.settings",
        }
        return {**os.environ, **ours}

    def run(self, *command: str) -> None:
        subprocess.run(command, cwd=settings.BASE_DIR, env=self.environment, check=True)

    def start_worker(self) -> subprocess.Popen[bytes]:
        command = worker().command
        return subprocess.Popen(command, cwd=settings.BASE_DIR, env=self.environment)

    def report(self) -> tuple[str, int, str]:
        """State, claims and file of the one report."""
        (row,) = self._sql("SELECT state, claims, file FROM assessments_report")
        return row

    def let_the_lease_lapse(self) -> None:
        self._sql("UPDATE assessments_report SET lease_until = '2000-01-01 00:00:00'")

    def files(self) -> list[str]:
        return sorted(path.name for path in (self.var / "files" / "reports").glob("*"))

    def _sql(self, statement: str) -> list[tuple[str, int, str]]:
        with sqlite3.connect(self.var / "house.sqlite3", timeout=20) as connection:
            return connection.execute(statement).fetchall()


@pytest.fixture
def house(tmp_path: Path) -> House:
    made = House(tmp_path)
    made.run(sys.executable, "-c", SET_UP)
    return made


@pytest.fixture
def workers(house: House) -> Iterator[Callable[[], subprocess.Popen[bytes]]]:
    """Starts workers and leaves none running."""
    started: list[subprocess.Popen[bytes]] = []

    def start() -> subprocess.Popen[bytes]:
        started.append(house.start_worker())
        return started[-1]

    yield start
    for process in started:
        process.kill()
        process.wait()


def wait_for(what: Callable[[], bool]) -> None:
    deadline = time.monotonic() + DEADLINE_S
    while not what():
        assert time.monotonic() < deadline, "It did not happen in time."
        time.sleep(0.01)


def test_a_report_outlives_the_worker_that_is_killed_over_it(
    house: House, workers: Callable[[], subprocess.Popen[bytes]]
) -> None:
    first = workers()
    wait_for(lambda: house.report()[0] == "running")
    first.send_signal(signal.SIGKILL)
    first.wait()
    assert house.report()[:2] == ("running", 1)

    house.let_the_lease_lapse()
    house.run(sys.executable, "manage.py", "sweep")
    workers()
    wait_for(lambda: house.report()[0] == "done")
    state, claims, file = house.report()
    assert (state, claims) == ("done", 2)
    wait_for(lambda: house.files() == [Path(file).name])
