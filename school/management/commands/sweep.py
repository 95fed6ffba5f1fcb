"""Wake the worker for jobs that stalled."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import OperationalError

from school.actions.jobs import sweep


class Command(BaseCommand):
    help = "Wake the worker for jobs whose message or worker was lost."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--every", type=float, metavar="SECONDS", help="go on until stopped")

    def handle(self, *args: Any, **options: Any) -> None:
        every = options["every"]
        while True:
            try:
                sent = sweep()
            except OperationalError as error:
                # A database that is away for a moment must not end the sweeper.
                if every is None:
                    raise
                self.stderr.write(f"The database did not answer: {error}")
            else:
                if sent:
                    self.stdout.write(f"Woke the worker for {sent} stalled job(s).")
            if every is None:
                return
            time.sleep(every)
