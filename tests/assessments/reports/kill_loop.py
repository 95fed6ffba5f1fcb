"""Reports are made while their worker is killed again and again, at any moment.

    python -m tests.assessments.reports.kill_loop GOLFERS KILLS

Works on the database and the broker of the environment, which must be its own, and prints what it
saw as one line of JSON. Workers are forked from a process that has everything loaded, so that each
one is at work a moment after it was started; the fork comes before any page is printed. A lease is
let go as soon as its holder is dead: what a sweeper does after a minute, it does here at once.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
import sys
import time
from pathlib import Path
from typing import Any

from billiard import Process

DEADLINE_S = 150.0
CHANCE = random.Random(20261125)


def main(golfers: int, kills: int) -> None:
    import django

    django.setup()
    set_up(golfers)
    done_by = time.monotonic() + DEADLINE_S
    for number in range(kills):
        worker = start_worker()
        # a different moment each time: while it claims, lays out, writes, publishes, tells
        wait_until_at_work(done_by, leave_to_do=(golfers * (kills - number)) // (kills + 1))
        time.sleep(CHANCE.uniform(0.0, 0.5))
        kill(worker)
        sweep_up()
    worker = start_worker()
    while unfinished() and time.monotonic() < done_by:
        time.sleep(0.02)
        if CHANCE.random() < 0.02:
            sweep_up(of_the_dead=False)
    kill(worker)
    sys.stdout.write(json.dumps(what_there_is()) + "\n")


def set_up(golfers: int) -> None:
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("loaddata", "messages", verbosity=0)
    from assessments.models import Report
    from tests.assessments.factories import putts
    from tests.assessments.reports import scene
    from tests.factories import EnrolmentFactory, SchoolFactory, StaffFactory

    by = StaffFactory.create(teaches=True).account
    school = SchoolFactory.create(capacity=golfers)
    for _ in range(golfers):
        enrolment = EnrolmentFactory.create(school=school)
        for phase in ("intake", "exit"):
            scene.record(enrolment, "putting", phase, putts(9, 5, 3), by=by)
        Report.objects.create(enrolment=enrolment)
    sweep_up(of_the_dead=False)


def start_worker() -> Process:
    """A worker of one process, as the house runs it; what it shares with us it opens anew."""
    from celery import current_app
    from django.db import connections

    current_app.loader.import_default_modules()
    connections.close_all()
    worker = Process(target=be_a_worker)
    worker.start()
    return worker


def be_a_worker() -> None:
    from celery import current_app

    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    arguments = ["worker", "--pool", "solo", "--loglevel", "CRITICAL"]
    current_app.worker_main([*arguments, "--without-mingle", "--without-gossip"])


def kill(worker: Process) -> None:
    assert worker.pid is not None  # it was started
    os.kill(worker.pid, signal.SIGKILL)
    worker.join()


def wait_until_at_work(done_by: float, *, leave_to_do: int) -> None:
    """Until a report is being made, and so many are finished that some are left for every kill."""
    from assessments.models import Report

    while time.monotonic() < done_by:
        running = Report.objects.filter(state=Report.State.RUNNING).exists()
        if running or unfinished() <= leave_to_do:
            return
        time.sleep(0.005)


def unfinished() -> int:
    from school.actions import jobs

    return jobs.unfinished()


def sweep_up(*, of_the_dead: bool = True) -> None:
    """What the sweeper does, without its patience."""
    from datetime import timedelta

    from django.utils import timezone

    from school.actions import jobs

    past = timezone.now() - timedelta(hours=1)
    for model in jobs.job_models():
        rows = model._default_manager
        if of_the_dead:
            rows.filter(state="running").update(lease_until=past)
        rows.filter(state="queued").update(not_before=past)
    jobs.sweep()


def what_there_is() -> dict[str, Any]:
    """What golfers have, what lies in the store, and what was sent."""
    from django.conf import settings
    from django.core.files.storage import default_storage

    from assessments.models import Report
    from school.models import Message

    stored = Path(default_storage.path("reports")).glob("*")
    reports = Report.objects.all()
    mails = [path.read_text() for path in Path(settings.VAR_DIR, "mail").glob("*")]
    sent = re.findall(r"^Message-ID: (.+)$", "\n".join(mails), re.MULTILINE | re.IGNORECASE)
    return {
        "states": sorted({report.state for report in reports}),
        "claims": sum(report.claims for report in reports),
        "current": reports.filter(is_current=True).count(),
        "named": sorted(report.file for report in reports),
        "stored": sorted(f"reports/{path.name}" for path in stored),
        "told": Message.objects.filter(kind="report_ready").count(),
        "mails": len(set(sent)),
    }


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
