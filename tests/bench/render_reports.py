"""What reports cost a worker: `python -m tests.bench.render_reports [HOW_MANY]`.

Works on a house of its own in a temporary folder, with workers of their own process that do
nothing but gather, compose, print and put in place. Speed is by the clock, with one worker alone
and with two at once; the ratio compares with the PDF library alone on the same page, without our
shared fonts, tags and finishing, in seconds of the processor.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assessments.reports.compose import Composed

COMPARED = 8
SET_UP = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.assessments.reports import scene
from tests.factories import StaffFactory
scene.full_school(StaffFactory.create(teaches=True).account)
"""


def main(how_many: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(
            DJANGO_SETTINGS_MODULE="school.config.settings",
            DATABASE_URL=f"sqlite:///{folder}/house.sqlite3",
            MARRAM_VAR_DIR=folder,
        )
        subprocess.run([sys.executable, "-c", SET_UP], check=True)
        (alone,) = at_work(1, how_many)
        both = at_work(2, how_many)
    one, two = alone["a_minute"], sum(worker["a_minute"] for worker in both)
    memory = alone["memory_mb"]
    lines = [
        f"first report of a process   {alone['first']:7.2f} s",
        f"a report, warm              {alone['warm']:7.2f} s, median of {how_many}",
        f"reports a minute, 1 worker  {one:7.0f}",
        f"reports a minute, 2 workers {two:7.0f}, {two / one:.2f} times as many",
        f"PDF to the library alone    {alone['ratio']:7.2f}",
        f"size                        {alone['kb']:7.0f} kB, {alone['pages']} pages",
        f"memory after {how_many:3} reports    {memory[-1]:7.0f} MB, {memory[0]:.0f} MB before the "
        f"first and {memory[-1] - memory[1]:+.1f} MB over the last half",
    ]
    sys.stdout.write("\n".join(lines) + "\n")


def at_work(workers: int, how_many: int) -> list[dict[str, Any]]:
    command = [sys.executable, "-m", "tests.bench.render_reports", "--worker", str(how_many)]
    running = [subprocess.Popen(command, stdout=subprocess.PIPE) for _ in range(workers)]
    return [json.loads(process.communicate()[0]) for process in running]


def work(how_many: int) -> None:
    """Be one worker: the same steps as its task, over and over for one golfer."""
    import django

    django.setup()
    from uuid import uuid4

    from assessments.reports import files
    from assessments.reports.compose import compose
    from assessments.reports.gather import gather
    from assessments.reports.render import render
    from school.models import Enrolment

    enrolment = Enrolment.objects.get()

    def make() -> None:
        pdf = render(compose(gather(enrolment)))
        files.put(files.REPORTS.name_of(enrolment.pk, uuid4()), pdf.content)

    memory = [memory_mb()]
    first = seconds(make)
    start = time.monotonic()
    taken = []
    for number in range(1, how_many + 1):
        taken.append(seconds(make))
        if number == how_many // 2:
            memory.append(memory_mb())
    a_minute = 60 * how_many / (time.monotonic() - start)
    memory.append(memory_mb())
    composed = compose(gather(enrolment))
    pdf = render(composed)
    told = {
        "first": first,
        "warm": statistics.median(taken),
        "a_minute": a_minute,
        "memory_mb": memory,
        "ratio": ratio_to_the_library(composed, lambda: render(composed)),
        "kb": len(pdf.content) / 1000,
        "pages": pdf.pages,
    }
    sys.stdout.write(json.dumps(told))


def ratio_to_the_library(composed: Composed, ours: Callable[[], object]) -> float:
    """In turns, so that both meet the same machine."""
    pairs = [(seconds(ours), seconds(lambda: library_alone(composed))) for _ in range(COMPARED)]
    mine, alone = (statistics.median(column) for column in zip(*pairs, strict=True))
    return mine / alone


def library_alone(composed: Composed) -> bytes:
    from weasyprint import HTML

    from assessments.reports.render import SHEETS
    from school.printing import own_files_only, stylesheets

    page = HTML(
        string=composed.html, url_fetcher=own_files_only(composed.pictures), base_url="page:/"
    )
    pdf: bytes = page.write_pdf(stylesheets=stylesheets(*SHEETS))
    return pdf


def seconds(work: Callable[[], object]) -> float:
    """Of the processor, which others on the machine do not lengthen."""
    start = time.process_time()
    work()
    return time.process_time() - start


def memory_mb() -> float:
    """What this process holds now; where the system does not say, the most it has held."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(row for row in status.read_text().splitlines() if row.startswith("VmRSS"))
        return int(line.split()[1]) / 1000
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


if __name__ == "__main__":
    if sys.argv[1:2] == ["--worker"]:
        work(int(sys.argv[2]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
