"""Do what falls due by itself: stalled jobs, offers that ended, reminders."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import OperationalError

from school.actions.sweeping import do_duties


class Command(BaseCommand):
    help = "Wake the worker for lost jobs, end offers nobody answered, and send reminders."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--every", type=float, metavar="SECONDS", help="go on until stopped")

    def handle(self, *args: Any, **options: Any) -> None:
        every = options["every"]
        while True:
            try:
                done = do_duties()
            except OperationalError as error:
                # A database that is away for a moment must not end the sweeper.
                if every is None:
                    raise
                self.stderr.write(f"The database did not answer: {error}")
            else:
                for name, count in done.items():
                    if count:
                        self.stdout.write(f"{name}: {count}")
            if every is None:
                return
            time.sleep(every)
