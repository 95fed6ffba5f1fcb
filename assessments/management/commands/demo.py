"""Play the invented school from nothing to a PDF for each golfer, then serve the house."""

from __future__ import annotations

import shutil
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from assessments.demo import steps
from assessments.demo.scenario import read_scenario
from assessments.models import Report
from school.models import School
from school.processes import Household, sweeper, web, worker

REPORTS_WITHIN_S = 600


class Command(BaseCommand):
    help = "Set up the demo's school, play its three days, render the reports and serve the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="delete what is stored first")
        parser.add_argument("--no-serve", action="store_true", help="stop before the site")

    def handle(self, *args: Any, **options: Any) -> None:
        self._refuse_a_real_house()
        if options["fresh"]:
            self._forget_everything()
        with self._step("Database"):
            call_command("migrate", verbosity=0)
        stage = steps.Stage(read_scenario(), timezone.localdate())
        school = self._play(stage)
        with Household() as house:
            house.start(worker())
            house.start(sweeper())
            with self._step("Reports"):
                self._wait_for_reports(house, school)
            if house.was_stopped:
                return
            self._tell(stage, school)
            if options["no_serve"]:
                return
            host, port = settings.LISTEN
            house.start(web(host, port))
            self.stdout.write(f"\nOpen {settings.SITE_URL} (Ctrl-C stops everything).")
            if (ended := house.wait()) is not None:
                raise CommandError(f"The {ended} process ended by itself; all were stopped.")
            self.stdout.write("\nStopping; the worker finishes what it holds …")
        self.stdout.write("Stopped. What was made is kept: run the demo again to come back to it.")

    def _play(self, stage: steps.Stage) -> School:
        with self._step("House") as say:
            steps.set_up_house(stage, say)
        with self._step("Schools and golfers") as say:
            school, _ = steps.set_up_schools(stage, say)
        with self._step("Squads and timetable") as say:
            plan = steps.plan_school(stage, school, say)
        with self._step("Measurements of three days") as say:
            steps.measure_golfers(stage, plan, say)
        with self._step("Practice plans") as say:
            steps.plan_practice(stage, school, say)
        with self._step("Signing the reports") as say:
            steps.sign_reports(plan, say)
        with self._step("Closing the school"):
            steps.close(stage, school)
        return school

    @contextmanager
    def _step(self, title: str) -> Iterator[Callable[[str], None]]:
        self.stdout.write(f"{title} …")
        start = time.monotonic()
        yield lambda line: self.stdout.write(f"  {line}")
        self.stdout.write(f"  done in {time.monotonic() - start:.1f} s")

    def _wait_for_reports(self, house: Household, school: School) -> None:
        reports = Report.objects.filter(enrolment__school=school, is_current=True)
        total, told = reports.count(), -1
        deadline = time.monotonic() + REPORTS_WITHIN_S

        def all_finished() -> bool:
            nonlocal told
            finished = sum(report.is_finished for report in reports.all())
            if finished != told:
                told = finished
                self.stdout.write(f"  {finished} of {total} rendered")
            return finished == total or time.monotonic() > deadline

        if (ended := house.wait(until=all_finished)) is not None:
            raise CommandError(f"The {ended} process ended by itself; run the demo again.")
        for report in reports.filter(state=Report.State.PARKED):
            self.stderr.write(f"  {report}: {report.reason}")
        if told < total and not house.was_stopped:
            raise CommandError("The reports are not ready; run the demo again to go on.")

    def _tell(self, stage: steps.Stage, school: School) -> None:
        golfer = steps.open_golfer_sign_in(stage, school)
        folder = Path(default_storage.path(""))
        self.stdout.write("\nThe reports:")
        for report in Report.objects.filter(
            enrolment__school=school, is_current=True, state=Report.State.DONE
        ).select_related("enrolment__golfer"):
            self.stdout.write(f"  {report.enrolment.golfer}: {folder / report.file}")
        if settings.EMAIL_IN_FILES:
            self.stdout.write(f"\nThe e-mails are files in {settings.EMAIL_FILE_PATH}")
        scenario = stage.scenario
        self.stdout.write(f"\nSign in with the password {scenario.password} as")
        for job, email in (
            ("front desk", scenario.email_of("at_front_desk")),
            ("instructor", scenario.email_of("teaches")),
            ("owner", scenario.email_of("owns")),
            ("golfer", golfer.email),
        ):
            self.stdout.write(f"  {job:10} {email}")

    def _refuse_a_real_house(self) -> None:
        if School._meta.db_table not in connection.introspection.table_names():
            return
        if School.objects.filter(is_demo=False).exists():
            raise CommandError(
                "There are real schools in this house; the demo will not play among them. "
                "Give it a house of its own: MARRAM_VAR_DIR=/some/other/folder."
            )

    def _forget_everything(self) -> None:
        """Only what the embedded house keeps; a database server is never emptied from here."""
        if connection.vendor != "sqlite":
            raise CommandError("--fresh only empties the embedded database; drop yours by hand.")
        connection.close()
        name = Path(str(connection.settings_dict["NAME"]))
        for path in (name, Path(f"{name}-wal"), Path(f"{name}-shm")):
            path.unlink(missing_ok=True)
        for folder in ("files", "mail", "queue", "queue-control"):
            shutil.rmtree(settings.VAR_DIR / folder, ignore_errors=True)
        for folder in ("queue", "queue-control"):
            (settings.VAR_DIR / folder).mkdir(parents=True)
