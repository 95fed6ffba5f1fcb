"""The processes that make a running house, started and stopped together."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import FrameType

GRACE_S = 10.0


@dataclass(frozen=True)
class Part:
    """One process of the house: a name for people and a command line.

    What a chatty one writes of its routine is not shown; what goes wrong is, by the other stream.
    """

    name: str
    command: Sequence[str]
    chatty: bool = False


def worker() -> Part:
    # One process without a pool: a fork under the text-layout libraries is not safe on macOS.
    arguments = ["worker", "--pool", "solo", "--loglevel", "WARNING", "--without-mingle"]
    # In a container it is root's worker, which is no fault of whoever reads the console.
    python = [sys.executable, "-W", "ignore:You're running the worker"]
    return Part("worker", [*python, "-m", "celery", "-q", "-A", "school.config", *arguments])


def sweeper() -> Part:
    sweep = [sys.executable, "manage.py", "sweep", "--every", "5"]
    return Part("sweeper", sweep, chatty=True)


def web(host: str, port: int) -> Part:
    serve = ["--bind", f"{host}:{port}", "--workers", "2", "--threads", "4"]
    quiet = ["--log-level", "warning", "--no-control-socket"]
    application = "school.config.wsgi:application"
    return Part("web", [sys.executable, "-m", "gunicorn", *serve, *quiet, application])


class Household:
    """Runs parts until one ends or somebody stops the household; then none is left running."""

    def __init__(self) -> None:
        self._running: list[tuple[Part, subprocess.Popen[bytes]]] = []
        self._stopped_by: int | None = None

    def __enter__(self) -> Household:
        self._before = {
            number: signal.signal(number, self._note_signal)
            for number in (signal.SIGINT, signal.SIGTERM)
        }
        return self

    def __exit__(self, *exc: object) -> None:
        self._stop_all()
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def _note_signal(self, number: int, frame: FrameType | None) -> None:
        self._stopped_by = number

    def start(self, part: Part) -> None:
        # A group of its own, so that Ctrl-C reaches this process alone and it stops the rest
        # in order: the worker may finish what it holds.
        output = subprocess.DEVNULL if part.chatty else None
        process = subprocess.Popen(part.command, stdout=output, start_new_session=True)
        self._running.append((part, process))

    def wait(self, until: Callable[[], bool] = lambda: False, every_s: float = 0.3) -> str | None:
        """Wait for `until`, a signal or the end of a part.

        Returns
        -------
        str or None
            The name of the part that ended by itself; None for the other two reasons.
        """
        while self._stopped_by is None and not until():
            for part, process in self._running:
                if process.poll() is not None:
                    return part.name
            time.sleep(every_s)
        return None

    @property
    def was_stopped(self) -> bool:
        return self._stopped_by is not None

    def _stop_all(self) -> None:
        for _, process in reversed(self._running):
            if process.poll() is None:
                process.terminate()
        deadline = time.monotonic() + GRACE_S
        for _, process in self._running:
            try:
                process.wait(max(0.1, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
