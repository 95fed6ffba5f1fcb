"""Run the whole house on this machine: web, worker and sweeper."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from school.processes import Household, sweeper, web, worker


class Command(BaseCommand):
    help = "Start the web server, the worker and the sweeper together; Ctrl-C stops them all."

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = settings.LISTEN
        with Household() as house:
            for part in (worker(), sweeper(), web(host, port)):
                house.start(part)
            self.stdout.write(f"Marram is at {settings.SITE_URL} (Ctrl-C stops it).")
            ended = house.wait()
        if ended is not None:
            raise CommandError(f"The {ended} process ended by itself; everything was stopped.")
        self.stdout.write("Stopped.")
