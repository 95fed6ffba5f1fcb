"""How many get a seat when 200 ask for 24 at once: `python -m tests.bench.race_for_seats`.

Starts four web processes on 127.0.0.1 over a scratch SQLite file, and again over a scratch
database of the server in DATABASE_URL if that is PostgreSQL. Everybody has filled in the public
pages and presses the last button at the same moment; ten more then press it one after the other.
Arrival is the moment at which the database lets somebody in. Ends with 1 if a promise is broken.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from http.client import HTTPConnection
from threading import Barrier
from typing import TYPE_CHECKING
from urllib.parse import urlencode

if TYPE_CHECKING:
    from school.models import School

SEATS, AT_ONCE, ONE_BY_ONE = 24, 200, 10
PROCESSES, THREADS = 4, 4
PATIENCE_S = 90
SECRET = "r" * 32  # a form's token and its cookie only have to agree


@dataclass(frozen=True)
class Answer:
    status: int
    seconds: float


def main() -> int:
    """Each database in a process of its own, since settings are read once."""
    with tempfile.TemporaryDirectory() as folder:
        worst = _race_in(folder, f"sqlite:///{folder}/race.sqlite3")
    url = os.environ.get("DATABASE_URL", "")
    if url.startswith(("postgres:", "postgresql:")):
        with _scratch_database(url) as scratch, tempfile.TemporaryDirectory() as folder:
            worst = max(worst, _race_in(folder, scratch))
    return worst


def _race_in(folder: str, url: str) -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    ours = {
        "DJANGO_SETTINGS_MODULE": "school.config.settings",
        "DATABASE_URL": url,
        "MARRAM_VAR_DIR": folder,
        "MARRAM_SITE_URL": f"http://127.0.0.1:{port}",
        "MARRAM_BROKER_URL": "filesystem://localhost/",
    }
    command = [sys.executable, "-m", "tests.bench.race_for_seats", str(port)]
    return subprocess.run(command, env=os.environ | ours, check=False).returncode


@contextmanager
def _scratch_database(url: str) -> Iterator[str]:
    import psycopg

    name = f"marram_race_{os.getpid()}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}".encode())
        try:
            yield f"{url.rpartition('/')[0]}/{name}"
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


def race(port: int) -> int:
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection

    call_command("migrate", verbosity=0)
    call_command("loaddata", "standard", verbosity=0)
    school, tokens = _ready()
    connection.close()
    with _house(port):
        answers = _at_once(port, tokens[:AT_ONCE])
        for token in tokens[AT_ONCE:]:
            answers.append(_press(port, token))
    return _report(connection.display_name, school, tokens, answers)


def _ready() -> tuple[School, list[str]]:
    """A school, and drafts in which all but the last button is done."""
    from django.utils import timezone

    from school.models import EnrolmentDraft
    from tests.factories import SchoolFactory

    starts_on = timezone.now().date() + timedelta(days=90)
    school = SchoolFactory.create(capacity=SEATS, starts_on=starts_on)
    drafts = [
        EnrolmentDraft(token=f"{number:043d}", school=school, answers=_answers(number))
        for number in range(AT_ONCE + ONE_BY_ONE)
    ]
    EnrolmentDraft.objects.bulk_create(drafts)
    return school, [draft.token for draft in drafts]


def _answers(number: int) -> dict[str, dict[str, str]]:
    name = f"Racer {number}"
    return {
        "you": {
            "full_name": name,
            "email": f"racer{number}@example.org",
            "phone": "01632 960111",
            "birth_date": "1980-01-01",
            "handedness": "right",
            "handicap_index": "18.0",
        },
        "golf": {"emergency_contact": "Per 01632 960112"},
        "consents": {"terms": "1", "risk": "1", "given_by": name},
    }


@contextmanager
def _house(port: int) -> Iterator[None]:
    serve = ["--bind", f"127.0.0.1:{port}", "--workers", str(PROCESSES), "--threads", str(THREADS)]
    quiet = ["--log-level", "warning", "--no-control-socket", "--backlog", "512"]
    command = [sys.executable, "-m", "gunicorn", *serve, *quiet, "school.config.wsgi:application"]
    web = subprocess.Popen(command)
    try:
        _wait_for(port)
        yield
    finally:
        web.terminate()
        try:
            web.wait(10)
        except subprocess.TimeoutExpired:
            web.kill()
            web.wait()


def _wait_for(port: int) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        try:
            # Several, so that every process has started before the race does.
            if all(_ask(port, "GET", "/join/") == 200 for _ in range(PROCESSES * 2)):
                return
        except OSError:
            time.sleep(0.2)
    raise TimeoutError("The web processes did not start.")


def _ask(port: int, method: str, path: str, body: str = "") -> int:
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": f"csrftoken={SECRET}"}
    connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def _press(port: int, token: str, together: Barrier | None = None) -> Answer:
    body = urlencode({"csrfmiddlewaretoken": SECRET, "may_wait": "on"})
    if together:
        together.wait(PATIENCE_S)
    start = time.perf_counter()
    try:
        status = _ask(port, "POST", f"/join/d/{token}/send/", body)
    except OSError:
        status = 0
    return Answer(status, time.perf_counter() - start)


def _at_once(port: int, tokens: Sequence[str]) -> list[Answer]:
    together = Barrier(len(tokens))
    with ThreadPoolExecutor(len(tokens)) as pool:
        return list(pool.map(lambda token: _press(port, token, together), tokens))


def _report(database: str, school: School, tokens: Sequence[str], answers: list[Answer]) -> int:
    from school.models import Message
    from school.queries.money import school_money
    from school.queries.seats import waiting_in_order

    seated = list(school.enrolments.filter(state="seated").order_by("seat"))
    waiting = waiting_in_order(school)
    late = [row.draft.token for row in waiting[-ONE_BY_ONE:]]
    statuses = Counter(answer.status for answer in answers)
    taken = [answer.seconds for answer in answers[:AT_ONCE]]
    told = Counter(Message.objects.values_list("kind", flat=True))
    promises = {
        "no 5xx, and everybody was answered": set(statuses) == {302},
        "every seat is taken once": [row.seat for row in seated] == list(range(1, SEATS + 1)),
        "all others wait": len(waiting) == len(tokens) - SEATS,
        "nobody waits who came before somebody seated": max(row.enrolled_at for row in seated)
        < min(row.enrolled_at for row in waiting),
        "the list is in order of arrival": [row.pk for row in waiting]
        == sorted(row.pk for row in waiting),
        "who came one by one stand at its end in that order": late == list(tokens[AT_ONCE:]),
        "each seat is charged once": school_money(school).charged == SEATS * school.price,
        "everybody was told once": told == {"confirmation": SEATS, "waiting": len(waiting)},
    }
    lines = [
        f"{database}: {AT_ONCE} at once for {SEATS} seats, {PROCESSES} web processes",
        f"  answers       {', '.join(f'{n} × {status}' for status, n in sorted(statuses.items()))}",
        f"  seats         {len(seated)} taken",
        f"  waiting list  {len(waiting)}, of whom {ONE_BY_ONE} came afterwards",
        f"  seconds       {max(taken):.1f} until all {AT_ONCE} were answered, median "
        f"{statistics.median(taken):.1f}",
        *(f"  {'kept  ' if kept else 'BROKEN'}        {words}" for words, kept in promises.items()),
    ]
    print("\n".join(lines))  # noqa: T201
    return 0 if all(promises.values()) else 1


if __name__ == "__main__":
    sys.exit(race(int(sys.argv[1])) if len(sys.argv) > 1 else main())
